using System.Globalization;
using Graftbench.Firmware.Dumps;
using Graftbench.Store;

namespace Graftbench.Cli;

/// <summary>Images of boot memory on disk: read whole, never written over.</summary>
internal static class ImageFile
{
    /// <summary>Reads images, or says everything that is wrong with their names and sizes.</summary>
    /// <param name="paths">Paths, in the order given.</param>
    /// <exception cref="BadInputException">One cannot be read, is too large, or is given twice.</exception>
    public static IReadOnlyList<DumpRead> Read(IReadOnlyList<string> paths)
    {
        List<string> problems = [];
        Dictionary<string, string> seen = new(StringComparer.Ordinal);
        List<DumpRead> reads = [];
        string[] names = Names(paths);
        for (int i = 0; i < paths.Count; i++)
        {
            string path = paths[i];
            try
            {
                if (Problem(path, seen) is { } problem)
                {
                    problems.Add(problem);
                    continue;
                }
                if (AtMost(path) is { } bytes)
                {
                    reads.Add(new DumpRead(names[i], bytes));
                }
                else
                {
                    problems.Add(TooLarge(path));
                }
            }
            catch (Exception error)
                when (error is IOException or UnauthorizedAccessException or ArgumentException or NotSupportedException)
            {
                problems.Add(JobInput.Unreachable(path, error));
            }
        }
        return problems.Count == 0 ? reads : throw new BadInputException(string.Join('\n', problems));
    }

    /// <summary>Refuses names of files that are there: what exists is never written over.</summary>
    /// <exception cref="BadInputException">A file exists, or its folder does not.</exception>
    public static void RefuseExisting(IReadOnlyList<string> paths)
    {
        List<string> problems = [];
        HashSet<string> seen = new(StringComparer.Ordinal);
        foreach (string path in paths)
        {
            if (string.IsNullOrWhiteSpace(path))
            {
                problems.Add("The name of the file to write is empty.");
                continue;
            }
            string full = Path.GetFullPath(path);
            if (!seen.Add(full))
            {
                problems.Add($"{path}: named twice.");
            }
            else if (Directory.Exists(path) || File.Exists(path) || new FileInfo(full).LinkTarget is not null)
            {
                problems.Add($"{path}: this exists already; name a new file. Nothing is written over.");
            }
            else if (Path.GetDirectoryName(full) is not { } folder || !Directory.Exists(folder))
            {
                problems.Add($"{path}: its folder does not exist.");
            }
        }
        if (problems.Count > 0)
        {
            throw new BadInputException(string.Join('\n', problems));
        }
    }

    /// <summary>Writes a new file whole or not at all: beside the target, to the disk, then renamed; never over another.</summary>
    /// <exception cref="BadInputException">It cannot be written, or has come to exist.</exception>
    public static async Task WriteNewAsync(string path, ReadOnlyMemory<byte> bytes, CancellationToken cancel)
    {
        string full = Path.GetFullPath(path);
        string part = Path.Combine(
            Path.GetDirectoryName(full)!,
            $".{Path.GetFileName(full)}.{Environment.ProcessId}.part"
        );
        try
        {
            FileStream stream = new(part, FileMode.CreateNew, FileAccess.Write, FileShare.None);
            try
            {
                await using (stream)
                {
                    await stream.WriteAsync(bytes, cancel);
                    stream.Flush(flushToDisk: true);
                }
                cancel.ThrowIfCancellationRequested();
                File.Move(part, full, overwrite: false);
            }
            finally
            {
                File.Delete(part);
            }
        }
        catch (Exception error) when (error is IOException or UnauthorizedAccessException)
        {
            throw new BadInputException(JobInput.Unreachable(path, error));
        }
    }

    /// <summary>The capacity that an option names [bytes]; null where it was not given.</summary>
    /// <exception cref="BadInputException">It is no capacity of a chip.</exception>
    public static long? Capacity(double? mebibytes, string option = "--capacity-mib")
    {
        if (mebibytes is not { } given)
        {
            return null;
        }
        double bytes = given * 1048576;
        return bytes is >= 1 and <= DumpTrust.MaxBytes && bytes == Math.Floor(bytes)
            ? (long)bytes
            : throw new BadInputException(
                string.Create(
                    CultureInfo.InvariantCulture,
                    $"{option} {given}: a capacity is above 0 and at most {DumpTrust.MaxBytes >> 20} MiB, which is our limit."
                )
            );
    }

    private static string? Problem(string path, Dictionary<string, string> seen)
    {
        if (string.IsNullOrWhiteSpace(path))
        {
            return "The name of an image is empty.";
        }
        if (Directory.Exists(path))
        {
            return $"{path}: this is a folder; name the image in it.";
        }
        string real = OutputTarget.Of(path).Path;
        if (!seen.TryAdd(real, path))
        {
            return $"{path}: the same file as {seen[real]}. Two reads are two files, read one after the other.";
        }
        return new FileInfo(real).Length > DumpTrust.MaxBytes ? TooLarge(path) : null;
    }

    private static string TooLarge(string path) =>
        $"{path}: more than {DumpTrust.MaxBytes >> 20} MiB is no boot memory. This is our limit.";

    // Null where there is more than the limit: pipes and devices have no length to ask for.
    private static byte[]? AtMost(string path)
    {
        using FileStream stream = new(path, FileMode.Open, FileAccess.Read, FileShare.ReadWrite | FileShare.Delete);
        using MemoryStream held = new(stream.CanSeek ? (int)Math.Min(stream.Length, DumpTrust.MaxBytes) : 0);
        byte[] part = new byte[1 << 20];
        int count;
        while ((count = stream.Read(part)) > 0)
        {
            held.Write(part.AsSpan(0, count));
            if (held.Length > DumpTrust.MaxBytes)
            {
                return null;
            }
        }
        return held.ToArray();
    }

    // The file's name, unless two files of different folders share it.
    private static string[] Names(IReadOnlyList<string> paths)
    {
        string[] names = [.. paths.Select(path => Path.GetFileName(path))];
        return [.. names.Select((name, i) => names.Count(other => other == name) > 1 ? paths[i] : name)];
    }
}
