using Xunit;

namespace Graftbench.Tests.Shared;

/// <summary>Compares a text with a committed file; the found text is left beside it where they differ.</summary>
internal static class Snapshot
{
    /// <summary>Compares.</summary>
    /// <param name="found">What was found.</param>
    /// <param name="expectedFile">The committed file.</param>
    /// <param name="seenAs">What counts of either text; all of it where null.</param>
    public static void Match(string found, string expectedFile, Func<string, string>? seenAs = null)
    {
        string text = found.ReplaceLineEndings("\n");
        string actualFile = expectedFile.Contains(".expected.", StringComparison.Ordinal)
            ? expectedFile.Replace(".expected.", ".actual.", StringComparison.Ordinal)
            : Path.ChangeExtension(expectedFile, ".actual" + Path.GetExtension(expectedFile));
        string? expected = File.Exists(expectedFile) ? File.ReadAllText(expectedFile).ReplaceLineEndings("\n") : null;
        seenAs ??= all => all;
        if (expected is not null && string.Equals(seenAs(expected), seenAs(text), StringComparison.Ordinal))
        {
            File.Delete(actualFile);
            return;
        }
        File.WriteAllText(actualFile, text);
        Assert.Fail(
            $"{Path.GetFileName(expectedFile)} {(expected is null ? "is missing" : "differs")}. Read {actualFile} line by line; if it is right, rename it.\n\n{text}"
        );
    }
}
