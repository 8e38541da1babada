using System.Globalization;
using System.Text;
using Graftbench.Core.Facts;
using Graftbench.Core.Planning;
using Graftbench.Core.Tests.Jobs;
using Graftbench.Tests.Shared;

namespace Graftbench.Core.Tests.Facts;

/// <summary>docs/truth.md is made of data/truth.csv, and every figure there is noted by a test.</summary>
public class TruthPageTests
{
    private static IReadOnlyList<CsvRow> Rows => CsvTable.Load("truth").Rows;

    [Fact]
    public void The_page_tells_what_the_table_does()
    {
        StringBuilder page = new();
        page.Append("# How far off\n\n");
        page.Append(
            "What each answer was held against, and the worst that was found. A test computes each figure and fails where it\n"
        );
        page.Append(
            "differs; this page is made of [data/truth.csv](../data/truth.csv), which the Reference screen shows too.\n\n"
        );
        page.Append(
            "An error of arithmetic says nothing of what goes in: films of a nozzle, warpage, the history of a board. Where nothing\n"
        );
        page.Append("from outside was found, that stands here.\n");
        for (int number = 1; number <= Planner.Questions.Count; number++)
        {
            string wanted = number.ToString(CultureInfo.InvariantCulture);
            List<CsvRow> rows = [.. Rows.Where(row => row["question"] == wanted)];
            Assert.NotEmpty(rows);
            page.Append(CultureInfo.InvariantCulture, $"\n## {number}. {Planner.Questions[number - 1]}\n");
            foreach (CsvRow row in rows)
            {
                page.Append(CultureInfo.InvariantCulture, $"\n**{row["what"]}**: {Error(row)}.\n\n");
                page.Append(CultureInfo.InvariantCulture, $"- against {row["against"]}\n");
                if (row["notFor"].Length > 0)
                {
                    page.Append(CultureInfo.InvariantCulture, $"- not for: {row["notFor"]}\n");
                }
            }
        }
        page.Append(
            "\nHeavier trials that `./test` does not run, with what they found and when: 400 simulated heats\n"
        );
        page.Append(
            "([models/heat-watch.md](models/heat-watch.md)), faults and attacks ([reliability.md](reliability.md)).\n"
        );
        Snapshot.Match(page.ToString(), Path.Combine(Corpus.Root, "docs/truth.md"));
    }

    [Fact]
    public void Every_figure_is_noted_by_a_test_and_no_other_row_has_one()
    {
        string tests = string.Concat(
            Directory
                .EnumerateFiles(Path.Combine(Corpus.Root, "tests"), "*Tests.cs", SearchOption.AllDirectories)
                .Where(path => !path.Contains("/obj/", StringComparison.Ordinal))
                .Select(File.ReadAllText)
        );
        Assert.All(
            Rows,
            row =>
            {
                bool told = row["error"].Length > 0;
                Assert.Equal(told, row["cases"] != "0");
                Assert.Equal(told, tests.Contains($"\"{row["id"]}\"", StringComparison.Ordinal));
                Assert.Equal(!told, row["against"].StartsWith("nothing", StringComparison.Ordinal));
            }
        );
    }

    private static string Error(CsvRow row) =>
        row["error"].Length == 0 ? "not held against anything from outside"
        : row["error"] == "0" ? $"none of {row["cases"]} {row["unit"]}".TrimEnd()
        : row["what"].EndsWith("within", StringComparison.Ordinal)
            ? $"{row["error"]} {row["unit"]}, {row["cases"]} cases"
        : $"off by {row["error"]} {row["unit"]} at most, {row["cases"]} cases".Replace(
            "  ",
            " ",
            StringComparison.Ordinal
        );
}
