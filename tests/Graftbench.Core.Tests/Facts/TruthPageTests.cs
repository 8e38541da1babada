using System.Globalization;
using System.Text;
using Graftbench.Core.Facts;
using Graftbench.Core.Planning;
using Graftbench.Core.Tests.Jobs;
using Graftbench.Tests.Checks;
using Graftbench.Tests.Shared;

namespace Graftbench.Core.Tests.Facts;

/// <summary>docs/truth.md is made of data/truth.csv, and every figure there is noted by a test.</summary>
public class TruthPageTests
{
    private const string Head =
        "id,question,what,error,unit,cases,found,against,notFor,evidence,test,confidence,source\n";

    private static IReadOnlyList<CsvRow> Rows => CsvTable.Load(TruthTable.Name).Rows;

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
            "An error of arithmetic says nothing of what goes in: films of a nozzle, warpage, the history of a board.\n"
        );
        Wrap(page, "", TruthTable.Summary);
        for (int number = 1; number <= Planner.Questions.Count; number++)
        {
            List<TruthRow> rows = [.. TruthTable.Rows.Where(row => row.QuestionNumber == number)];
            Assert.NotEmpty(rows);
            page.Append(CultureInfo.InvariantCulture, $"\n## {number}. {Planner.Questions[number - 1]}\n");
            foreach (TruthRow row in rows)
            {
                page.Append(CultureInfo.InvariantCulture, $"\n**{row.What}**\n\n");
                Point(page, $"how far off: {row.Off}");
                Point(page, $"checked against: {row.Against}");
                Point(page, $"do not use it for: {row.NotFor}");
            }
        }
        page.Append("\n## Not checked against anything outside\n");
        List(page, "Against nothing at all", TruthEvidence.Nothing);
        List(
            page,
            "On simulations, made pictures or made readings only, never on a real board",
            TruthEvidence.Simulated
        );
        page.Append(
            "\nHeavier trials that `./test` does not run, with what they found and when: 400 simulated heats\n"
        );
        page.Append(
            "([models/heat-watch.md](models/heat-watch.md)), faults and attacks ([reliability.md](reliability.md)).\n"
        );
        Snapshot.Match(page.ToString(), Path.Combine(Corpus.Root, "docs/truth.md"));
    }

    [Fact]
    public void A_row_says_what_it_rests_on_and_never_dresses_a_simulation_up() =>
        Assert.All(
            Rows,
            row =>
            {
                TruthRow read = TruthTable.Read(row);
                Assert.NotEmpty(read.What);
                Assert.NotEmpty(read.Against);
                Assert.NotEmpty(read.NotFor);
                bool told = read.Evidence != TruthEvidence.Nothing;
                Assert.Equal(told, row["error"].Length > 0);
                Assert.Equal(told, row["cases"] != "0");
                Assert.Equal(told, row["test"].Length > 0);
                Assert.Equal(!told, read.Against.StartsWith("nothing", StringComparison.Ordinal));
                Assert.Equal(
                    read.Evidence == TruthEvidence.Simulated,
                    read.Against.Contains("not a real board", StringComparison.Ordinal)
                );
                if (told)
                {
                    Assert.Contains("{cases}", row["found"], StringComparison.Ordinal);
                    Assert.Equal(row["error"] != "0", row["found"].Contains("{error}", StringComparison.Ordinal));
                    Assert.Equal(row["error"] == "0", row["found"].StartsWith("none ", StringComparison.Ordinal));
                }
            }
        );

    [Fact]
    public void Every_project_that_a_row_names_looks_at_its_rows_at_the_end() =>
        Assert.All(
            Rows.Select(row => row["test"]).Where(test => test.Length > 0).Distinct(),
            test =>
                Assert.Contains(
                    "../Shared/",
                    File.ReadAllText(
                        Path.Combine(Corpus.Root, $"tests/Graftbench.{test}.Tests/Graftbench.{test}.Tests.csproj")
                    ),
                    StringComparison.Ordinal
                )
        );

    [Theory]
    [InlineData("a", 3, 1.0, false, null)]
    [InlineData("b", 3, 1.0, false, "a: no test noted it, data/truth.csv says that one of Core does")]
    [InlineData("b", 3, 1.0, true, null)]
    [InlineData("a", 2, 1.0, false, "a: 2 cases were seen, data/truth.csv tells 3")]
    [InlineData("a", 2, 1.0, true, null)]
    [InlineData("a", 4, 1.0, true, "a: 4 cases were seen, data/truth.csv tells 3")]
    [InlineData("a", 3, 0.5, false, "a: 0.5 found in 3 cases, data/truth.csv tells 1 K")]
    [InlineData("v", 1, 1.0, true, "v: noted by Core, data/truth.csv says by 'Vision'")]
    public void A_row_that_no_test_notes_as_told_is_found(
        string id,
        int cases,
        double worst,
        bool isPart,
        string? fault
    )
    {
        CsvTable table = CsvTable.Parse(
            "truth",
            Head
                + "a,1,A,1,K,3,off by {error} K in {cases},x,y,outside,Core,X,s\n"
                + "v,1,V,1,K,1,off by {error} K in {cases},x,y,outside,Vision,X,s\n"
        );
        Dictionary<string, (int, double)> noted = new(StringComparer.Ordinal) { [id] = (cases, worst) };
        if (id == "v")
        {
            noted["a"] = (3, 1);
        }
        Assert.Equal(fault is null ? [] : [fault], Truth.Faults(table.Rows, "Core", noted, isPart));
    }

    private static void Point(StringBuilder page, string text) => Wrap(page, "- ", text);

    // Lines no longer than a terminal is wide; those after the first stand under its text.
    private static void Wrap(StringBuilder page, string lead, string text)
    {
        const int Most = 118;
        StringBuilder line = new(lead);
        bool isNew = true;
        foreach (string word in text.Split(' '))
        {
            if (!isNew && line.Length + 1 + word.Length > Most)
            {
                page.Append(line).Append('\n');
                line.Clear().Append(' ', lead.Length);
                isNew = true;
            }
            line.Append(isNew ? "" : " ").Append(word);
            isNew = false;
        }
        page.Append(line).Append('\n');
    }

    private static void List(StringBuilder page, string title, TruthEvidence evidence)
    {
        page.Append(CultureInfo.InvariantCulture, $"\n{title}:\n\n");
        foreach (TruthRow row in TruthTable.Rows.Where(row => row.Evidence == evidence))
        {
            Point(page, $"{row.What} (question {row.QuestionNumber})");
        }
    }
}
