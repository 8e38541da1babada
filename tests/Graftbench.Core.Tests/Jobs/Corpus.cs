using System.Runtime.CompilerServices;
using Graftbench.Core.Jobs;

namespace Graftbench.Core.Tests.Jobs;

/// <summary>The job documents under tests/corpus.</summary>
internal static class Corpus
{
    /// <summary>The moment at which every corpus file is read.</summary>
    public static DateTimeOffset Now { get; } = new(2026, 3, 10, 12, 0, 0, TimeSpan.Zero);

    public static string Root { get; } = Path.GetFullPath(Path.Combine(Folder(), "../../.."));

    public static string Good { get; } = Path.Combine(Root, "tests/corpus/good");

    public static string Broken { get; } = Path.Combine(Root, "tests/corpus/broken");

    public static TheoryData<string> GoodFiles() => new(Files(Good));

    public static TheoryData<string> BrokenFiles() =>
        new(
            Files(Broken)
                .Where(name =>
                    !name.Contains(".expected.", StringComparison.Ordinal)
                    && !name.Contains(".actual.", StringComparison.Ordinal)
                )
        );

    public static byte[] ReadGood(string name) => File.ReadAllBytes(Path.Combine(Good, name));

    public static byte[] ReadBroken(string name) => File.ReadAllBytes(Path.Combine(Broken, name));

    public static Job GoodJob(string name) =>
        JobReader.Read(ReadGood(name), Now).Job ?? throw new InvalidDataException($"corpus/good/{name} is not good.");

    private static IEnumerable<string> Files(string folder) =>
        Directory.GetFiles(folder).Select(file => Path.GetFileName(file)).Order(StringComparer.Ordinal);

    private static string Folder([CallerFilePath] string file = "") => Path.GetDirectoryName(file)!;
}
