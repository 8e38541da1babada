using Graftbench.Core.Findings;
using Graftbench.Core.Jobs;
using Graftbench.Core.Ledger;
using Graftbench.Core.Tests.Drying;

namespace Graftbench.Core.Tests.Ledger;

public class HeatBookTests
{
    private static Heat Heat(HeatKind kind, double hoursAgo, string? decision = null) =>
        new()
        {
            Of = "U1",
            At = SampleJob.Now.AddHours(-hoursAgo),
            Kind = kind,
            Decision = decision,
        };

    private static HeatLedger Ledger(params Heat[] heats) =>
        HeatBook.Of(
            SampleJob.Job(SampleJob.Board(), SampleJob.Chip()) with
            {
                History = new History { Heats = heats },
            }
        );

    private static HeatAccount Chip(HeatLedger ledger) => ledger.Accounts.Single(account => account.Id == "U1");

    [Fact]
    public void Two_passes_and_a_whole_transplant_make_five_and_warn()
    {
        // Fact sheet, check 42: passes so far 2, plan lift + reball + place: 5 > 3, warn. Cleaning is a part of a heat and counted beside it.
        HeatLedger ledger = Ledger(Heat(HeatKind.Build, 20000), Heat(HeatKind.Neighbour, 9000));
        HeatAccount chip = Chip(ledger);
        double passes =
            chip.SpentNumber + chip.Planned.Where(heat => heat.Kind != HeatKind.Clean).Sum(heat => heat.LowNumber);

        Assert.Equal(5, passes);
        Assert.Equal(3, chip.GuidelineNumber);
        Assert.Contains(
            ledger.Findings,
            finding => finding is { Code: "heats.over-guideline", Verdict: Verdict.Warning, Where: "chip U1" }
        );
    }

    [Fact]
    public void A_salvage_spends_four_to_seven()
    {
        // Trade sheet section 5: build 1-2, lift 1, cleaning 0.3-0.5, ball attach 1 (often 2-3), placing 1 = 4 to 7.
        HeatAccount chip = Chip(Ledger());

        Assert.Equal(4.3, chip.SpentNumber + chip.PlannedLowNumber, 1e-9);
        Assert.Equal(6.5, chip.SpentNumber + chip.PlannedHighNumber, 1e-9);
    }

    [Fact]
    public void A_step_on_record_is_not_planned_again() =>
        Assert.DoesNotContain(Chip(Ledger(Heat(HeatKind.Lift, 3))).Planned, heat => heat.Kind == HeatKind.Lift);

    [Theory, InlineData(null, true), InlineData(" ", true), InlineData("M. Brandt: second try, corner open", false)]
    public void An_extra_heat_wants_a_decision_on_record(string? decision, bool missing)
    {
        HeatLedger ledger = Ledger(
            Heat(HeatKind.Lift, 30),
            Heat(HeatKind.BallAttach, 20),
            Heat(HeatKind.Place, 10),
            Heat(HeatKind.Again, 1, decision)
        );

        Assert.Equal(
            missing,
            ledger.Findings.Any(finding => finding is { Code: "heats.no-decision", Verdict: Verdict.FixFirst })
        );
    }

    [Fact]
    public void A_build_that_is_not_on_record_is_assumed_and_unknown()
    {
        HeatLedger ledger = Ledger();

        Assert.Equal(1, Chip(ledger).AssumedNumber);
        Assert.Contains(
            ledger.Findings,
            finding => finding is { Code: "heats.before-the-job", Verdict: Verdict.Unknown }
        );
    }

    [Fact]
    public void A_new_chip_from_the_shelf_is_placed_once()
    {
        HeatLedger ledger = HeatBook.Of(SampleJob.Job(SampleJob.Board(), SampleJob.Chip(from: ChipPlace.Shelf)));

        Assert.Equal([HeatKind.Place], Chip(ledger).Planned.Select(heat => heat.Kind));
        Assert.Equal(0, Chip(ledger).SpentNumber);
    }
}
