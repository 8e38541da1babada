using System.Runtime.CompilerServices;
using System.Text;

namespace Graftbench.Sheets.Tests;

/// <summary>Compares a text with its committed file; writes what came instead beside it, to be read line by line.</summary>
internal static class Snapshot
{
    public static void Matches(string actual, string name, string ending, [CallerFilePath] string testFile = "")
    {
        string folder = Path.Combine(Path.GetDirectoryName(testFile)!, "..", "Snapshots");
        string expectedFile = Path.Combine(folder, $"{name}.expected.{ending}");
        string actualFile = Path.Combine(folder, $"{name}.actual.{ending}");
        string expected = File.Exists(expectedFile) ? File.ReadAllText(expectedFile).ReplaceLineEndings("\n") : "";
        if (expected == actual.ReplaceLineEndings("\n"))
        {
            File.Delete(actualFile);
            return;
        }
        Directory.CreateDirectory(folder);
        File.WriteAllText(actualFile, actual.ReplaceLineEndings("\n"), new UTF8Encoding(false));
        Assert.Fail(
            $"{name}: read {Path.GetFileName(actualFile)} against {Path.GetFileName(expectedFile)}; rename it if it is right."
        );
    }
}
