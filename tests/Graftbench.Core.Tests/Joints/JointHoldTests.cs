using System.Text;
using Graftbench.Core.Findings;
using Graftbench.Core.Joints;
using Graftbench.Core.Planning;
using Graftbench.Core.Tests.Heating;

namespace Graftbench.Core.Tests.Joints;

/// <summary>What stands against placing comes first in the answer, however good the chance of the joints is.</summary>
public class JointHoldTests
{
    private static JointPlan Plan(string alloys, string seat, string warpage = "\"hotWarpageMm\": 0.01,")
    {
        string text = $$"""
            {
              "format": "graftbench-joints-1", "name": "case", "pitchMm": 1.27, "rows": 4, "columns": 4,
              "ballDiameterMm": 0.76, {{alloys}}, "trials": 200,
              "seat": {
                "packagePadMm": 0.60, "boardPadMm": 0.60, "domeHeightMm": 0.05, {{warpage}}
                "packageG": 0.1, {{seat}}
              }
            }
            """;
        JointCaseReading reading = JointCaseReader.Read(Encoding.UTF8.GetBytes(text));
        Assert.Empty(reading.Problems);
        return JointMixes.With(JointPlanner.Plan(reading.Request!, reading.Assumptions), reading.Mix!);
    }

    private const string OneAlloy = "\"ballAlloy\": \"SAC305\", \"landAlloy\": \"SAC305\"";

    [Fact]
    public void Where_nothing_stands_against_it_the_package_is_placed()
    {
        JointPlan plan = Plan(OneAlloy, "\"hasParts\": \"no\"");
        Assert.Equal(JointPlanState.Reached, plan.State);
        Assert.StartsWith("Place it as it is", plan.Answer, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(
        "\"ballAlloy\": \"Sn42Bi58\", \"landAlloy\": \"Sn63Pb37\"",
        "\"hasParts\": \"no\"",
        "Do not place it: lead meets bismuth",
        false
    )]
    [InlineData(
        "\"ballAlloy\": \"SAC305\", \"landAlloy\": \"Sn63Pb37\"",
        "\"hasParts\": \"no\", \"solder\": { \"peakC\": 205 }",
        "Do not place it yet: the joint does not mix",
        false
    )]
    [InlineData(
        "\"ballAlloy\": \"Pb90Sn10\", \"landAlloy\": \"Sn63Pb37\"",
        "\"hasParts\": \"no\"",
        "Do not place it yet: the balls do not melt",
        false
    )]
    [InlineData(OneAlloy, "\"hasParts\": \"no\", \"pressG\": 3", "Do not place it yet: 16 joints are squashed", true)]
    [InlineData(OneAlloy, "\"hasParts\": \"unknown\"", "Look first: nobody looked", true)]
    public void What_stands_against_it_comes_first(string alloys, string seat, string begins, bool goesOn)
    {
        JointPlan plan = Plan(alloys, seat);
        Assert.Equal(JointPlanState.Held, plan.State);
        Assert.StartsWith(begins, plan.Answer, StringComparison.Ordinal);
        Assert.DoesNotContain("lace it as it is", plan.Answer, StringComparison.Ordinal);
        Assert.Equal(goesOn, plan.Answer.Contains("Apart from that", StringComparison.Ordinal));
    }

    [Fact]
    public void Joints_that_spill_are_a_reason_not_to_place()
    {
        JointPlan plan = Plan(OneAlloy, "\"hasParts\": \"no\", \"pressG\": 3");
        Assert.Contains(plan.Findings, one => one is { Code: "joints.spill", Verdict: Verdict.FixFirst });
        // By the answer alone it would have been placed: every joint forms.
        Assert.Equal(1, plan.Chance!.AllJoinedFraction);
    }

    [Fact]
    public void Where_only_drawn_packages_spill_the_reason_is_how_often_and_what_is_not_known()
    {
        // A wide land under a ball that is nearly as wide as the pitch allows, the warpage drawn either way.
        JointPlan plan = Plan(OneAlloy, "\"hasParts\": \"no\", \"pressG\": 1.0", warpage: "");
        Finding spill = plan.Findings.Single(one => one.Code == "joints.spill");
        Assert.StartsWith("In ", spill.What, StringComparison.Ordinal);
        Assert.EndsWith("at nominal sizes none is.", spill.What, StringComparison.Ordinal);
        Assert.StartsWith("Measure the warpage", spill.Todo, StringComparison.Ordinal);
        Assert.DoesNotContain(" 0 joints are squashed", plan.Answer, StringComparison.Ordinal);
    }

    [Fact]
    public void Parts_that_hold_the_chip_up_are_named_before_what_to_do()
    {
        JointPlan plan = Plan(
            OneAlloy,
            "\"parts\": [{ \"name\": \"CB1\", \"xMm\": 0, \"yMm\": 0, \"heightMm\": 0.7 }]"
        );
        Assert.Contains("CB1 underneath hold", plan.Answer, StringComparison.Ordinal);
    }

    [Fact]
    public void Looking_underneath_comes_before_any_change_that_gains_chance()
    {
        JointPlan plan = Plan(OneAlloy, "\"hasParts\": \"unknown\"");
        QuestionAnswer answer = Planner
            .Plan(
                HeatJob.Job(),
                new DateTimeOffset(2026, 3, 10, 12, 0, 0, TimeSpan.Zero),
                new ApartAnswers { Joints = plan }
            )
            .Questions.Single(one => one.Number == 5);
        Assert.Equal((Verdict.Unknown, null), (answer.Verdict, answer.Next));
        Assert.StartsWith("Look first", answer.Answer, StringComparison.Ordinal);
    }

    [Fact]
    public void What_was_left_at_the_usual_figure_is_listed_as_assumed()
    {
        JointPlan plan = Plan(OneAlloy, "\"parts\": [{ \"name\": \"C1\", \"xMm\": 0, \"yMm\": 0, \"heightMm\": 0.4 }]");
        Assert.Contains(
            plan.Assumptions,
            one => one.What.StartsWith("part C1: height off by 0.02 mm", StringComparison.Ordinal)
        );
        Assert.Contains(
            plan.Assumptions,
            one => one.What.StartsWith("scatter of the warpage", StringComparison.Ordinal)
        );
        // Entered is entered, though it is the usual figure.
        JointPlan entered = Plan(
            OneAlloy,
            """
            "parts": [{ "name": "C1", "xMm": 0, "yMm": 0, "heightMm": 0.4, "heightErrorMm": 0.02, "filmMm": 0.03,
              "padDepthMm": 0.02, "maskHeightMm": 0 }],
            "spread": { "warpageSdMm": 0.01, "padRadiusSdMm": 0.004, "landHeightSdMm": 0.005 }
            """
        );
        string[] usual = ["height off", "film under", "pads below", "board's mask", "scatter of", "standard deviation"];
        Assert.DoesNotContain(
            entered.Assumptions,
            one => usual.Any(words => one.What.Contains(words, StringComparison.Ordinal))
        );
        Assert.Equal(plan.Chance!.AllJoinedFraction, entered.Chance!.AllJoinedFraction);
    }

    [Fact]
    public void A_warpage_that_nobody_knows_is_drawn_either_way()
    {
        JointPlan unknown = Plan(OneAlloy, "\"hasParts\": \"no\"", warpage: "");
        Assert.Equal(2, unknown.WarpageEnds.Count);
        Assert.Equal(-unknown.WarpageEnds[0].WarpageMm, unknown.WarpageEnds[1].WarpageMm, 1e-12);
        // The limit for the pitch of 1.27 mm (data/package-warpage-limits.csv) is taken as two standard deviations.
        Assert.Equal(0.25, unknown.WarpageEnds[1].WarpageMm, 1e-12);
        Assert.Contains("either way", unknown.Findings.Single(one => one.Code == "joints.warpage-unknown").What);
        // It spills more often than flat and opens more often than flat.
        JointPlan flat = Plan(OneAlloy, "\"hasParts\": \"no\", \"spread\": { \"warpageSdMm\": 0 }");
        Assert.Empty(flat.WarpageEnds);
        Assert.True(
            unknown.Chance!.SpillFraction + 1 - unknown.Chance.AllJoinedFraction
                > flat.Chance!.SpillFraction + 1 - flat.Chance.AllJoinedFraction
        );
    }

    [Fact]
    public void A_part_that_is_listed_twice_is_a_problem()
    {
        const string Case = """
            {"format": "graftbench-joints-1", "pitchMm": 1.27, "rows": 4, "columns": 4, "ballDiameterMm": 0.76,
             "seat": {"packagePadMm": 0.6, "boardPadMm": 0.6, "parts": [
               {"name": "C1", "xMm": 0, "yMm": 0, "heightMm": 0.4}, {"name": "c1", "xMm": 0, "yMm": 0, "heightMm": 0.5}]}}
            """;
        JointCaseReading reading = JointCaseReader.Read(Encoding.UTF8.GetBytes(Case));
        Assert.Equal("seat.parts[1].name", Assert.Single(reading.Problems).Path);
    }

    [Fact]
    public void A_load_that_squashes_the_joints_flat_gives_no_figures()
    {
        JointPlan plan = Plan(OneAlloy, "\"hasParts\": \"no\", \"pressG\": 20");
        Assert.Equal(JointPlanState.NoAnswer, plan.State);
        Assert.Contains("squashed flat", plan.Answer, StringComparison.Ordinal);
        Assert.Null(plan.Molten);
        Assert.Contains(plan.Findings, one => one is { Code: "joints.crushed", Verdict: <= Verdict.FixFirst });
    }

    [Fact]
    public void A_single_joint_beyond_its_rim_says_that_it_spills()
    {
        // Spills below 0.4842 mm at 0.750 mN: an independent shooting solver gave rim angles of -0.8 and -8.6 degrees at 0.4557 mm.
        OneJoint joint = OneJoint.Solve(0.35, 0.325, OneJoint.BallVolumeMm3(0.9), 0.4, 7400, null, 0.9);
        Assert.True(joint is { Solved: true, Spills: true });
        Assert.Equal(0.4557, joint.GapMm!.Value, 1e-3);
        Assert.False(OneJoint.Solve(0.3, 0.3, OneJoint.BallVolumeMm3(0.76), 0.5, 7400, null, 0.1).Spills);
    }
}
