namespace Graftbench.Conventions;

/// <summary>The checkout that the tests were built from.</summary>
internal static class Repository
{
    private static readonly string[] Skipped =
    [
        ".git",
        ".vs",
        ".idea",
        "bin",
        "obj",
        "artifacts",
        "bench-data",
        "BenchmarkDotNet.Artifacts",
        "TestResults",
    ];

    private static readonly string[] Binary =
    [
        ".png",
        ".bin",
        ".pdf",
        ".ttf",
        ".otf",
        ".woff2",
        ".zip",
        ".ico",
        ".jpg",
    ];

    /// <summary>Root folder.</summary>
    public static string Root { get; } = FindRoot();

    /// <summary>Path of a file, from the root.</summary>
    public static string PathOf(string relative) => Path.Combine(Root, relative);

    /// <summary>Text of a file, from the root.</summary>
    public static string Read(string relative) => File.ReadAllText(PathOf(relative));

    /// <summary>Every text file of the checkout without what building makes, as path from the root with slashes.</summary>
    public static IReadOnlyList<string> TextFiles { get; } =
        Walk(Root)
            .Select(path => Path.GetRelativePath(Root, path).Replace('\\', '/'))
            .Where(path => !Binary.Contains(Path.GetExtension(path)))
            .Order(StringComparer.Ordinal)
            .ToList();

    /// <summary>Source files of a folder.</summary>
    public static IEnumerable<string> CodeFiles(string folder) =>
        TextFiles.Where(path =>
            path.StartsWith(folder + "/", StringComparison.Ordinal) && path.EndsWith(".cs", StringComparison.Ordinal)
        );

    private static IEnumerable<string> Walk(string folder) =>
        Directory
            .EnumerateFiles(folder)
            .Where(path => !Skipped.Contains(Path.GetFileName(path)))
            .Concat(
                Directory
                    .EnumerateDirectories(folder)
                    .Where(path => !Skipped.Contains(Path.GetFileName(path)))
                    .SelectMany(Walk)
            );

    private static string FindRoot()
    {
        for (DirectoryInfo? folder = new(AppContext.BaseDirectory); folder is not null; folder = folder.Parent)
        {
            if (File.Exists(Path.Combine(folder.FullName, "Graftbench.slnx")))
            {
                return folder.FullName;
            }
        }
        throw new InvalidOperationException(
            "The tests must run from inside a checkout: no Graftbench.slnx above " + AppContext.BaseDirectory
        );
    }
}
