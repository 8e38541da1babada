using Graftbench.Core.Jobs;

namespace Graftbench.Cli;

/// <summary>Gets a job document from disk or standard input.</summary>
internal static class JobInput
{
    /// <summary>Reads a job, or says everything that is wrong with it.</summary>
    /// <param name="path">Path of the document; <c>-</c> for standard input.</param>
    /// <param name="now">The present moment.</param>
    /// <exception cref="BadInputException">There is no job to be had.</exception>
    public static Job Load(string path, DateTimeOffset now)
    {
        JobReading reading = Read(path, now);
        return reading.Job
            ?? throw new BadInputException(ProblemText.Of(path == "-" ? "standard input" : path, reading));
    }

    /// <summary>Says that a file cannot be reached, in one line.</summary>
    public static string Unreachable(string path, Exception error) =>
        error switch
        {
            FileNotFoundException or DirectoryNotFoundException => $"{path}: there is no such file.",
            UnauthorizedAccessException => $"{path}: no right to read or write it.",
            _ => $"{path}: {error.Message}",
        };

    private static JobReading Read(string path, DateTimeOffset now) =>
        Bytes(path, out long size) is { } bytes ? JobReader.Read(bytes, now) : JobReader.TooLarge(size);

    /// <summary>The bytes of a document; null where it is larger than a document may be.</summary>
    /// <param name="path">Path of the document; <c>-</c> for standard input.</param>
    /// <param name="size">Its size where that is known before reading, else one byte more than is allowed.</param>
    /// <exception cref="BadInputException">It cannot be read.</exception>
    public static byte[]? Bytes(string path, out long size)
    {
        size = JobFormat.MaxBytes + 1L;
        if (string.IsNullOrWhiteSpace(path))
        {
            throw new BadInputException("The name of the job document is empty.");
        }
        if (Directory.Exists(path))
        {
            throw new BadInputException($"{path}: this is a folder; name the job document in it.");
        }
        try
        {
            using Stream stream =
                path == "-"
                    ? Console.OpenStandardInput()
                    : new FileStream(path, FileMode.Open, FileAccess.Read, FileShare.Read);
            // The size is checked before anything is read: a job fits into memory many times over, a disk image does not.
            if (stream.CanSeek && stream.Length > JobFormat.MaxBytes)
            {
                size = stream.Length;
                return null;
            }
            return ReadAtMost(stream, JobFormat.MaxBytes + 1);
        }
        catch (Exception error)
            when (error is IOException or UnauthorizedAccessException or NotSupportedException or ArgumentException)
        {
            throw new BadInputException(Unreachable(path, error));
        }
    }

    // Null where the stream holds more than the limit: pipes and devices have no length to ask for.
    private static byte[]? ReadAtMost(Stream stream, int limit)
    {
        using MemoryStream held = new();
        byte[] part = new byte[81920];
        int count;
        while ((count = stream.Read(part)) > 0)
        {
            held.Write(part.AsSpan(0, count));
            if (held.Length >= limit)
            {
                return null;
            }
        }
        return held.ToArray();
    }
}
