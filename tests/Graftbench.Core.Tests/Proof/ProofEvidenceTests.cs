using Graftbench.Core.Diagnosis;
using Graftbench.Core.Jobs;
using Graftbench.Core.Proof;
using Graftbench.Core.Tests.Jobs;
using static Graftbench.Core.Tests.Proof.Boards;

namespace Graftbench.Core.Tests.Proof;

public class ProofEvidenceTests
{
    public static readonly TheoryData<string, double, double, string> Outcomes = new()
    {
        // rail ratio in percent, signal in volts (0.5 before), outcomes
        { "all good", 100, 0.5, "rail=none diode=none" },
        { "rail low", 30, 0.5, "rail=low diode=none" },
        { "signal open", 100, 2.0, "rail=none diode=open" },
        { "signal short", 100, 0.1, "rail=none diode=tied" },
        { "signal moved", 100, 0.55, "rail=none" },
    };

    [Theory, MemberData(nameof(Outcomes))]
    public void Readings_tell_the_diagnosis_what_it_asks(string what, double percent, double volts, string expected)
    {
        IReadOnlyList<TestSeen> seen = ProofEvidence.Of(
            Prove([.. Rail("X", percent, 100), .. Signal("S", volts, 0.5), .. Others()])
        );
        Assert.True(string.Join(' ', seen.Select(one => $"{one.TestId}={one.OutcomeId}")) == expected, what);
        Assert.All(seen, one => Assert.True(CauseTable.Standard.TestOf(one.TestId) >= 0));
        Assert.NotEmpty(Diagnoser.Answer(new DiagnosisRequest(seen)).Causes);
    }

    [Fact]
    public void A_test_that_was_not_done_in_full_has_no_outcome() =>
        Assert.Empty(ProofEvidence.Of(Prove(Ohm("X", 100), Diode("S", 0.5, ReadingState.Baseline))));

    [Fact]
    public void Waivers_of_a_job_are_taken_by_code_and_place()
    {
        DateTimeOffset at = new(2026, 3, 2, 10, 0, 0, TimeSpan.Zero);
        EvidenceEntry Waiver(string code, string where, string? note) =>
            new()
            {
                At = at,
                Who = "Ida",
                Kind = EvidenceKind.Waiver,
                Waives = code,
                WaivesWhere = where,
                Note = note,
            };
        Job job = Corpus.GoodJob("smallest.json") with
        {
            Evidence =
            [
                Waiver("proof.rail-low", "X", "twin reads the same"),
                Waiver("drying.wet", "X", "why"),
                Waiver("proof.rail-low", "Y", null),
            ],
        };
        IReadOnlyList<ProofWaiver> waivers = ProofWaiver.Of(job);
        Assert.Equal(2, waivers.Count);
        ProofAnswer answer = Prover.Answer(
            new ProofRequest([.. Rail("X", 30, 100), .. Rail("Y", 30, 100)]) { Waivers = waivers }
        );
        Assert.False(answer.Of("X")!.BarsPower);
        Assert.True(answer.Of("Y")!.BarsPower);
    }
}
