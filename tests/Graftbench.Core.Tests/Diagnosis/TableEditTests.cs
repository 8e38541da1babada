using CsCheck;
using Graftbench.Core.Diagnosis;

namespace Graftbench.Core.Tests.Diagnosis;

/// <summary>Rows that a shop edits: what is taken, what is refused, and what closed cases make of them.</summary>
public class TableEditTests
{
    private static readonly CauseTable Table = CauseTable.Standard;
    private static readonly int Press = Table.TestOf("press");

    [Fact]
    public void An_edited_row_counts_and_closed_cases_move_it_by_its_own_strength()
    {
        CauseTable edited = Table.Edited([new TableEdit("pillow", "press", [0.9, 0.1], 12)]);
        int pillow = edited.CauseOf("pillow");
        Assert.Equal(0.9, edited.ChanceFraction(pillow, Press, 0));
        Assert.Equal((12, 0), (edited.StrengthNumber(pillow, Press), edited.RowCasesNumber(pillow, Press)));
        CauseTable moved = edited.With([new ClosedCase("pillow", [new TestSeen("press", "same")])]);
        // Beta(10.8, 1.2) after one of the other kind: 10.8 / 13.
        Assert.Equal(10.8 / 13, moved.ChanceFraction(pillow, Press, 0), 1e-12);
        Assert.Equal((1, 1), (moved.RowCasesNumber(pillow, Press), moved.CasesNumber));
        Assert.Equal(0, moved.RowCasesNumber(0, Press));
    }

    [Fact]
    public void Shares_of_the_causes_are_edited_together()
    {
        double[] shares = [.. Table.Causes.Select(_ => 1.0 / Table.Causes.Count)];
        CauseTable edited = Table.Edited([new TableEdit(null, null, shares, 40)]);
        Assert.All(edited.Causes, cause => Assert.Equal(1.0 / 13, cause.PriorFraction, 1e-12));
        Assert.Equal((40 / 13.0 + 1) / 41, edited.With([new ClosedCase("board", [])]).Causes[5].PriorFraction, 1e-12);
    }

    [Fact]
    public void A_case_that_saw_a_test_twice_counts_once_the_last_way()
    {
        ClosedCase one = new("pillow", [new TestSeen("press", "changes"), new TestSeen("press", "same")]);
        CauseTable moved = Table.With([one]);
        int pillow = Table.CauseOf("pillow");
        Assert.Equal(5 * 0.6 / 6, moved.ChanceFraction(pillow, Press, 0), 1e-12);
        Assert.Equal(1, moved.RowCasesNumber(pillow, Press));
    }

    public static readonly TheoryData<string?, string?, double[], double, string> Bad = new()
    {
        { "nobody", "press", [0.5, 0.5], 5, "no cause 'nobody'" },
        { "pillow", "smell", [0.5, 0.5], 5, "no test 'smell'" },
        { null, "press", [0.5, 0.5], 5, "no cause" },
        { "pillow", "press", [0.5, 0.4, 0.1], 5, "3 chances; 2 are due" },
        { "pillow", "press", [0.5, 0.6], 5, "sum to 1.1, not to 1" },
        { "pillow", "press", [0, 1], 5, "between 0 and 1, without the ends" },
        { "pillow", "press", [double.NaN, 0.5], 5, "between 0 and 1" },
        { "pillow", "press", [0.5, 0.5], 0, "counts as 0 cases" },
        { "pillow", "press", [0.5, 0.5], double.NaN, "cases: above 0" },
        { "pillow", "press", [0.5, 0.5], 1e9, "up to 10000" },
    };

    [Theory, MemberData(nameof(Bad))]
    public void What_does_not_fit_is_refused_and_changes_nothing(
        string? cause,
        string? test,
        double[] chances,
        double strength,
        string says
    )
    {
        TableEdit edit = new(cause, test, chances, strength);
        Assert.Contains(says, Table.Problem(edit), StringComparison.Ordinal);
        CauseTable edited = Table.Edited([edit]);
        for (int c = 0; c < Table.Causes.Count; c++)
        {
            Assert.Equal(Table.ChanceFraction(c, Press, 0), edited.ChanceFraction(c, Press, 0));
        }
    }

    [Fact]
    public void A_file_changes_rows_and_shares()
    {
        CauseTable read = TableFile.Read(
            Table,
            "cause,test,chances,cases\n# ours\npillow,press,same=0.1|changes=0.9,12\nother,share,0.04\nbridge,share,0.06\n",
            out IReadOnlyList<string> problems
        );
        Assert.Empty(problems);
        Assert.Equal(0.9, read.ChanceFraction(read.CauseOf("pillow"), Press, 0));
        Assert.Equal(12, read.StrengthNumber(read.CauseOf("pillow"), Press));
        Assert.Equal(0.06, read.Causes[read.CauseOf("bridge")].PriorFraction);
    }

    [Fact]
    public void All_that_is_wrong_with_a_file_is_said_with_its_lines()
    {
        CauseTable read = TableFile.Read(
            Table,
            "pillow,press,changes=0.9|same=0.2\nnobody,press,changes=0.5|same=0.5\npillow,smell,a=1\npillow,press,changes=0.5\npillow\nbridge,share,0.5\nbridge,share,many\npillow,press,changes=0.5|same=0.5,x",
            out IReadOnlyList<string> problems
        );
        Assert.Same(Table, read);
        string[] says =
        [
            "line 1: pillow, test press: the chances sum to 1.1",
            "line 2: there is no cause 'nobody'",
            "line 3: there is no test 'smell'",
            "line 4: write changes=CHANCE|same=CHANCE",
            "line 5: write cause, test, chances",
            "line 7: 'bridge' is no cause, or 'many' no number",
            "line 8: pillow, test press: it counts as NaN cases",
            "shares of the causes, those that are not in the file as they were: the chances sum to 1.42",
        ];
        Assert.Equal(says.Length, problems.Count);
        foreach ((string problem, string expected) in problems.Zip(says))
        {
            Assert.StartsWith(expected, problem, StringComparison.Ordinal);
        }
    }

    private static readonly string[] Parts =
    [
        "pillow",
        "press",
        "share",
        "changes",
        "same",
        "=",
        "|",
        ",",
        "0.5",
        "\n",
        "-1",
        "NaN",
        "1e999",
        "#",
        "\0",
    ];

    [Fact]
    public void No_text_breaks_the_reader() =>
        Gen.Int[0, Parts.Length - 1]
            .Select(i => Parts[i])
            .Array[0, 40]
            .Sample(parts =>
            {
                CauseTable read = TableFile.Read(Table, string.Concat(parts), out IReadOnlyList<string> problems);
                return problems.Count == 0 || ReferenceEquals(read, Table);
            });
}
