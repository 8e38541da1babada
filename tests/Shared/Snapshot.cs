using Xunit;

namespace Graftbench.Tests.Shared;

/// <summary>Compares a text with a committed file; the found text is left beside it where they differ.</summary>
internal static class Snapshot
{
    public static void Match(string found, string expectedFile)
    {
        string text = found.ReplaceLineEndings("\n");
        string actualFile = expectedFile.Replace(".expected.", ".actual.", StringComparison.Ordinal);
        string? expected = File.Exists(expectedFile) ? File.ReadAllText(expectedFile).ReplaceLineEndings("\n") : null;
        if (string.Equals(expected, text, StringComparison.Ordinal))
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
