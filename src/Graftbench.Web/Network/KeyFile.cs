namespace Graftbench.Web.Network;

/// <summary>Files that only their owner may read, replaced whole or not at all.</summary>
internal static class KeyFile
{
    private const UnixFileMode OwnerOnly = UnixFileMode.UserRead | UnixFileMode.UserWrite;

    /// <summary>Makes the folder, open to its owner only where the system knows such a thing.</summary>
    public static DirectoryInfo Folder(string path)
    {
        if (OperatingSystem.IsWindows())
        {
            return Directory.CreateDirectory(path);
        }
        DirectoryInfo folder = Directory.CreateDirectory(path, OwnerOnly | UnixFileMode.UserExecute);
        // A folder that an earlier version made may be open to others.
        File.SetUnixFileMode(path, OwnerOnly | UnixFileMode.UserExecute);
        return folder;
    }

    /// <summary>Writes a file beside its place and moves it there once it is on disk.</summary>
    public static void Write(string path, ReadOnlySpan<byte> bytes)
    {
        string beside = path + ".new";
        // What a write left behind that was cut off may have another mode.
        File.Delete(beside);
        FileStreamOptions options = new() { Mode = FileMode.CreateNew, Access = FileAccess.Write };
        if (!OperatingSystem.IsWindows())
        {
            options.UnixCreateMode = OwnerOnly;
        }
        using (FileStream file = new(beside, options))
        {
            file.Write(bytes);
            file.Flush(flushToDisk: true);
        }
        File.Move(beside, path, overwrite: true);
    }
}
