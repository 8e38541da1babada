namespace Graftbench.Core.Jobs;

/// <summary>Reads job documents and reports everything that is wrong with one at once.</summary>
public static class JobReader
{
    /// <summary>
    /// Reads a job document from UTF-8 text. Never throws on what the text holds, and takes time in proportion to its
    /// length. There is a job only where there is no problem at all.
    /// </summary>
    /// <param name="utf8">The document, a byte-order mark allowed.</param>
    /// <param name="now">The present moment: what has happened cannot lie after it.</param>
    /// <returns>The job, or its problems in document order.</returns>
    public static JobReading Read(ReadOnlySpan<byte> utf8, DateTimeOffset now)
    {
        (Job? job, JobReading reading) = DocumentReader<Job>.Read(utf8, job => JobChecks.Run(job, now));
        return reading with { Job = job };
    }

    /// <summary>The problem of a file that is larger than a job document may be, for callers that know its size before reading it.</summary>
    /// <param name="bytes">Size of the file [bytes].</param>
    public static JobReading TooLarge(long bytes) => new(null, [JobReaderBytes.TooLarge(bytes)], 0);
}
