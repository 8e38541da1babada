namespace Graftbench.Cli;

/// <summary>Writes a file whole or not at all.</summary>
internal static class WholeFile
{
    /// <summary>Writes beside the target and renames: whoever looks sees the old file or the new one.</summary>
    /// <exception cref="BadInputException">The target cannot be written.</exception>
    public static async Task WriteAsync(string path, ReadOnlyMemory<byte> bytes, CancellationToken cancel)
    {
        if (Directory.Exists(path))
        {
            throw new BadInputException($"{path}: this is a folder; name a file.");
        }
        string full = Path.GetFullPath(path);
        string folder = Path.GetDirectoryName(full)!;
        if (!Directory.Exists(folder))
        {
            throw new BadInputException($"{path}: the folder {folder} does not exist.");
        }
        string part = Path.Combine(folder, $".{Path.GetFileName(full)}.{Environment.ProcessId}.part");
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
        catch (Exception error) when (error is IOException or UnauthorizedAccessException)
        {
            throw new BadInputException(JobInput.Unreachable(path, error));
        }
        finally
        {
            File.Delete(part);
        }
    }
}
