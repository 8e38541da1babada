namespace Graftbench.Store;

/// <summary>Where an answer is to be written: links followed, so that what is replaced is what was meant.</summary>
public sealed class OutputTarget
{
    private const int MostLinks = 40;
    private static readonly string[] StoreEndings = ["", "-wal", "-shm", "-journal"];

    private OutputTarget(string path) => Path = path;

    /// <summary>The file behind all links, as a full path.</summary>
    public string Path { get; }

    /// <summary>Whether it is the file of a store, or one of the files that SQLite keeps beside it.</summary>
    public bool IsStore =>
        StoreEndings.Any(ending => System.IO.Path.GetFileName(Path) == BenchStore.FileName + ending) || IsDatabase();

    /// <summary>Follows the links of a path.</summary>
    /// <exception cref="IOException">The links go in a circle.</exception>
    public static OutputTarget Of(string path)
    {
        string full = System.IO.Path.GetFullPath(path);
        string real = Real(full, 0);
        // A pipe behind /dev/stdout has no path of its own.
        return new OutputTarget(!File.Exists(real) && IsSystemPath(full) && File.Exists(full) ? full : real);
    }

    /// <summary>Opens what can only be written straight into: a pipe, a terminal, a device. Null for a file, there or not.</summary>
    public FileStream? OpenStraight()
    {
        if (!File.Exists(Path))
        {
            return null;
        }
        FileStream stream = new(Path, FileMode.Open, FileAccess.Write, FileShare.ReadWrite | FileShare.Delete);
        if (!stream.CanSeek || IsSystemPath(Path))
        {
            return stream;
        }
        stream.Dispose();
        return null;
    }

    private static bool IsSystemPath(string path) =>
        path.StartsWith("/proc/", StringComparison.Ordinal)
        || (
            path.StartsWith("/dev/", StringComparison.Ordinal)
            && !path.StartsWith("/dev/shm/", StringComparison.Ordinal)
        );

    private static string Real(string full, int links)
    {
        if (links > MostLinks)
        {
            throw new IOException("its links go in a circle");
        }
        if (System.IO.Path.GetDirectoryName(full) is not { } parent)
        {
            return full;
        }
        string folder = Real(parent, links);
        string real = System.IO.Path.Combine(folder, System.IO.Path.GetFileName(full));
        return new FileInfo(real).LinkTarget is { } link
            ? Real(System.IO.Path.GetFullPath(link, folder), links + 1)
            : real;
    }

    // A store under another name; a pipe has no length and is not opened here.
    private bool IsDatabase()
    {
        ReadOnlySpan<byte> mark = "SQLite format 3\0"u8;
        FileInfo file = new(Path);
        if (!file.Exists || file.Length < mark.Length)
        {
            return false;
        }
        using FileStream stream = new(Path, FileMode.Open, FileAccess.Read, FileShare.ReadWrite | FileShare.Delete);
        Span<byte> start = stackalloc byte[mark.Length];
        return stream.ReadAtLeast(start, start.Length, throwOnEndOfStream: false) == start.Length
            && start.SequenceEqual(mark);
    }
}
