using Graftbench.Store;

namespace Graftbench.Cli;

/// <summary>Writes a file whole or not at all.</summary>
internal static class WholeFile
{
    private const string StandardInput = "/dev/stdin";

    /// <summary>Writes beside the target and renames: whoever looks sees the old file or the new one.</summary>
    /// <remarks>A link stays: the file it leads to is replaced. Into a pipe or device it is written straight.</remarks>
    /// <exception cref="BadInputException">The target cannot be written.</exception>
    public static async Task WriteAsync(string path, ReadOnlyMemory<byte> bytes, CancellationToken cancel)
    {
        OutputTarget target = Target(path);
        try
        {
            FileStream? straight = target.OpenStraight();
            if (straight is null)
            {
                await ReplaceAsync(target.Path, bytes, cancel);
                return;
            }
            await using (straight)
            {
                await straight.WriteAsync(bytes, cancel);
            }
        }
        catch (Exception error) when (error is IOException or UnauthorizedAccessException)
        {
            throw new BadInputException(JobInput.Unreachable(path, error));
        }
    }

    /// <summary>Refuses a target that is the very input, before anything is done.</summary>
    /// <param name="path">The target.</param>
    /// <param name="input">The input; <c>-</c> for standard input.</param>
    /// <exception cref="BadInputException">The target is the input or cannot be written.</exception>
    public static void RefuseInput(string path, string input)
    {
        string source = input == "-" ? StandardInput : input;
        if (
            File.Exists(source)
            && !Directory.Exists(source)
            && string.Equals(Target(path).Path, OutputTarget.Of(source).Path, StringComparison.Ordinal)
        )
        {
            throw new BadInputException($"{path}: this is the job document itself; name another file.");
        }
    }

    private static OutputTarget Target(string path)
    {
        if (string.IsNullOrWhiteSpace(path))
        {
            throw new BadInputException("The name of the file to write is empty.");
        }
        if (Directory.Exists(path))
        {
            throw new BadInputException($"{path}: this is a folder; name a file.");
        }
        try
        {
            OutputTarget target = OutputTarget.Of(path);
            string folder = Path.GetDirectoryName(target.Path)!;
            if (!Directory.Exists(folder))
            {
                throw new BadInputException($"{path}: the folder {folder} does not exist.");
            }
            return target.IsStore
                ? throw new BadInputException($"{path}: this is a store of records; name another file.")
                : target;
        }
        catch (Exception error) when (error is IOException or UnauthorizedAccessException or ArgumentException)
        {
            throw new BadInputException(JobInput.Unreachable(path, error));
        }
    }

    private static async Task ReplaceAsync(string full, ReadOnlyMemory<byte> bytes, CancellationToken cancel)
    {
        string part = Path.Combine(
            Path.GetDirectoryName(full)!,
            $".{Path.GetFileName(full)}.{Environment.ProcessId}.part"
        );
        try
        {
            FileStream stream = new(part, FileMode.Create, FileAccess.Write, FileShare.None);
            await using (stream)
            {
                await stream.WriteAsync(bytes, cancel);
                stream.Flush(flushToDisk: true);
            }
            cancel.ThrowIfCancellationRequested();
            File.Move(part, full, overwrite: true);
        }
        finally
        {
            File.Delete(part);
        }
    }
}
