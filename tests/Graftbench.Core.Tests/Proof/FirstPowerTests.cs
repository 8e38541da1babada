using Graftbench.Core.Findings;
using Graftbench.Core.Proof;
using static Graftbench.Core.Tests.Proof.Boards;

namespace Graftbench.Core.Tests.Proof;

/// <summary>The plan of the first power: project fact sheet on the trade, 3.5.</summary>
public class FirstPowerTests
{
    private static readonly Reading[] Good =
    [
        .. Rail("VIN", 5000, 5000),
        .. Rail("3V3", 1000, 1000),
        .. Rail("1V8_MEM", 100, 100),
        .. Rail("VCORE", 12, 12),
    ];

    private static FirstPowerRequest Request(Reading[] readings, double? standbyA = 0.5) =>
        new(Prove(readings), 19, standbyA) { CoolerOn = true };

    [Fact]
    public void The_limit_is_a_little_above_standby()
    {
        FirstPowerPlan plan = FirstPowerPlanner.Plan(Request(Good));
        Assert.Equal(0.6, plan.LimitCurrentA!.Value, 1e-12); // 0.5 A normal, 0.6 A limit
        Assert.True(plan.Allowed);
    }

    [Fact]
    public void Rails_come_in_the_order_in_which_they_are_trusted()
    {
        FirstPowerPlan plan = FirstPowerPlanner.Plan(Request(Good));
        Assert.Equal(
            ["VIN", "3V3", "1V8_MEM", "VCORE"],
            plan.Steps.SelectMany(step => step.Rails).Select(rail => rail.Rail.Name)
        );
        Assert.Equal(Enumerable.Range(1, plan.Steps.Count), plan.Steps.Select(step => step.Number));
        Assert.All(plan.Steps, step => Assert.NotEmpty(step.Stop));
        Assert.Equal("Reset released", plan.Steps[^1].Title);
        Assert.Contains(plan.Cautions, one => one.Words.StartsWith("Never raise the limit", StringComparison.Ordinal));
    }

    [Fact]
    public void A_stop_of_the_proof_is_a_blocker_until_it_is_let_pass_by_name()
    {
        Reading[] low = [.. Good, .. Rail("5V", 10, 100)];
        FirstPowerPlan plan = FirstPowerPlanner.Plan(Request(low));
        Assert.False(plan.Allowed);
        Assert.Contains(
            plan.Findings,
            one => one is { Verdict: Verdict.Blocker, Code: "power.proof-stop", Where: "5V" }
        );
        ProofAnswer waived = Prover.Answer(
            new ProofRequest(low) { Waivers = [new ProofWaiver("5V", "a fan was plugged in")] }
        );
        FirstPowerPlan after = FirstPowerPlanner.Plan(new FirstPowerRequest(waived, 19, 0.5) { CoolerOn = true });
        Assert.True(after.Allowed);
        Assert.Contains(
            after.Findings,
            one => one.Code == "power.waived" && one.What.Contains("a fan was plugged in", StringComparison.Ordinal)
        );
    }

    [Fact]
    public void Without_a_proof_a_standby_current_or_a_cooler_nothing_is_allowed()
    {
        Assert.False(FirstPowerPlanner.Plan(Request([])).Allowed);
        FirstPowerPlan plan = FirstPowerPlanner.Plan(Request(Good, null));
        Assert.Equal((false, null), (plan.Allowed, plan.LimitCurrentA));
        Assert.Contains(plan.Findings, one => one is { Verdict: Verdict.Unknown, Code: "power.no-standby" });
        Assert.False(FirstPowerPlanner.Plan(Request(Good) with { CoolerOn = null }).Allowed);
        Assert.False(FirstPowerPlanner.Plan(Request(Good) with { CoolerOn = false }).Allowed);
    }

    [Theory]
    [InlineData(3.14, true)]
    [InlineData(3.13, false)]
    [InlineData(3.46, true)]
    [InlineData(3.47, false)]
    public void A_rail_lies_within_5_percent(double volts, bool inside)
    {
        Reading read = Ohm("3v3", volts) with { Kind = ReadingKind.Voltage };
        FirstPowerPlan plan = FirstPowerPlanner.Plan(Request(Good) with { Measured = [read] });
        PowerWindow window = plan.Steps.SelectMany(step => step.Rails).Single(one => one.Rail.Name == "3V3");
        Assert.Equal((volts, inside), (window.MeasuredV, window.Inside));
        Assert.Equal(inside, plan.Allowed);
    }

    [Fact]
    public void The_window_of_a_sheet_goes_first_and_an_unknown_one_is_said()
    {
        FirstPowerPlan plan = FirstPowerPlanner.Plan(
            Request(Good) with
            {
                Rails =
                [
                    new PowerRail("A", 1.0, PowerOrder.Core, 0.8, 1.25),
                    new PowerRail("B", null, PowerOrder.Main),
                ],
            }
        );
        PowerWindow[] windows = [.. plan.Steps.SelectMany(step => step.Rails).OrderBy(one => one.Rail.Name)];
        Assert.Equal((0.8, 1.25, "job-file"), (windows[0].LeastV, windows[0].MostV, windows[0].Source));
        Assert.Null(windows[1].LeastV);
        Assert.Contains(
            plan.Findings,
            one => one is { Verdict: Verdict.Unknown, Code: "power.no-nominal", Where: "B" }
        );
    }

    [Theory, InlineData(0.0), InlineData(-1.0), InlineData(double.NaN), InlineData(1e9)]
    public void A_current_that_is_none_is_refused(double standbyA) =>
        Assert.Throws<ArgumentOutOfRangeException>(() => FirstPowerPlanner.Plan(Request(Good, standbyA)));
}
