namespace Graftbench.Core.Jobs;

/// <summary>Reads job documents and reports everything that is wrong with one at once.</summary>
public static class JobReader
{
    /// <summary>Reads a job document from UTF-8 text.</summary>
    public static JobReading Read(ReadOnlySpan<byte> utf8, DateTimeOffset now) => throw new NotSupportedException();
}
