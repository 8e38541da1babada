using Graftbench.Core.Diagnosis;
using Graftbench.Core.Findings;
using Graftbench.Core.Planning;

namespace Graftbench.Core.Tests.Diagnosis;

/// <summary>Question 9 in short: nothing tested, not decided, named, closed.</summary>
public class DiagnosisQuestionTests
{
    private static readonly CauseTable Table = CauseTable.Standard;

    private static QuestionSummary? Summary(string seen, CaseClosing? closing = null)
    {
        TestSeen[] tests =
        [
            .. seen.Split(' ', StringSplitOptions.RemoveEmptyEntries)
                .Select(part => part.Split('='))
                .Select(part => new TestSeen(part[0], part[1])),
        ];
        return DiagnosisQuestion.Summary(Table, tests, Diagnoser.Answer(new DiagnosisRequest(tests)), closing);
    }

    [Fact]
    public void Nothing_tested_is_no_answer() => Assert.Null(Summary(""));

    // The first three are the worked cases of docs/models/diagnosis.md; the last is our own output: a pin.
    public static readonly TheoryData<string, Verdict, string, string> Told = new()
    {
        { "current=restarts press=same", Verdict.Warning, "diagnosis.open", "25 in 100" },
        { "current=restarts press=same image=wrong", Verdict.Warning, "diagnosis.open", "64 in 100" },
        { "current=standby rail=low", Verdict.FixFirst, "diagnosis.open", "38 in 100" },
        { "diode=tied rail=low side=uneven", Verdict.FixFirst, "diagnosis.named", "89 in 100" },
    };

    [Theory, MemberData(nameof(Told))]
    public void An_open_case_is_never_ok(string seen, Verdict verdict, string code, string value)
    {
        QuestionSummary summary = Summary(seen)!;
        Assert.Equal(verdict, summary.Verdict);
        Finding own = summary.Findings.Single(finding => finding.Code == code);
        Assert.StartsWith(value, own.Value, StringComparison.Ordinal);
        Assert.Equal(summary.Next, own.Todo);
        Assert.Contains(summary.Findings, finding => finding.Code == "diagnosis.estimates");
        Assert.Equal(code == "diagnosis.open", summary.Answer.StartsWith("Not decided.", StringComparison.Ordinal));
    }

    [Fact]
    public void A_closed_case_is_ok_and_says_how_it_was_proven()
    {
        QuestionSummary summary = Summary("image=wrong", new CaseClosing("firmware", CaseProof.OneAction, null))!;
        Assert.Equal(Verdict.Ok, summary.Verdict);
        Assert.Equal("Closed: Firmware does not know the chip; one action alone undid it.", summary.Answer);
        Assert.Equal(
            "Closed: no cause was found; not proven.",
            Summary("", new CaseClosing(null, CaseProof.None, null))!.Answer
        );
    }

    [Theory]
    [InlineData("firmware", CaseProof.OneAction, true)]
    [InlineData("firmware", CaseProof.Section, true)]
    [InlineData("firmware", CaseProof.Dye, true)]
    [InlineData("firmware", CaseProof.None, false)]
    [InlineData(null, CaseProof.Dye, false)]
    public void Only_a_proven_cause_teaches(string? cause, CaseProof proof, bool teaches) =>
        Assert.Equal(teaches, new CaseClosing(cause, proof, null).Teaches);
}
