using Graftbench.Core.Findings;
using Graftbench.Core.Joints;

namespace Graftbench.Core.Tests.Joints;

/// <summary>
/// What a technician is told for each worked package of project fact sheet "seating mechanics", section 6: the answer line says what
/// to do with balls and lands. The figures in it are those of WorkedCaseTests and WorkedDomeTests; here it is the words.
/// </summary>
public class WorkedAdviceTests
{
    public static TheoryData<string, double, double, double, double, JointPlanState, string> Packages =>
        new()
        { // case, stop height, warpage, dome, spread %; state, and how the answer begins
            { "A", 0, 0.10, 0, 25, JointPlanState.Reached, "Place it as it is, balls of 0.76 mm, lands bare: " },
            { "A", 0, -0.20, 0, 25, JointPlanState.Reached, "Place it as it is, balls of 0.76 mm, lands bare: " },
            { "A", 0.55, 0.05, 0, 25, JointPlanState.Reached, "Place it as it is, balls of 0.76 mm, lands bare: " },
            {
                "A",
                0.55,
                0.10,
                0.06,
                25,
                JointPlanState.Reached,
                "Place it as it is, balls of 0.76 mm, 0.06 mm of solder on the lands (thin): "
            },
            { "A", 0.55, 0.10, 0, 25, JointPlanState.NeedsSolder, "Balls of 0.76 mm. Leave 0.0" },
            { "A", 0.58, 0.10, 0, 10, JointPlanState.NeedsSolder, "Balls of 0.76 mm. Leave 0.0" },
            { "A", 0.58, 0.15, 0, 40, JointPlanState.NeedsSolder, "Balls of 0.76 mm. Leave 0.1" },
            { "A", 0.63, 0, 0, 25, JointPlanState.NeedsSolder, "Balls of 0.76 mm. Leave 0.0" },
            { "B", 0, 0.10, 0, 25, JointPlanState.Reached, "Place it as it is, balls of 0.45 mm, lands bare: " },
            { "B", 0.30, 0.03, 0, 25, JointPlanState.Reached, "Place it as it is, balls of 0.45 mm, lands bare: " },
            { "B", 0.33, 0.06, 0, 10, JointPlanState.NeedsSolder, "Balls of 0.45 mm. Leave 0.0" },
            { "B", 0.35, 0.10, 0, 25, JointPlanState.NeedsSolder, "Balls of 0.45 mm. Leave 0.1" },
            {
                "B",
                0.37,
                0.20,
                0,
                25,
                JointPlanState.CannotBeReached,
                "Balls of 0.45 mm. No amount of solder on the lands is enough"
            },
        };

    [Theory, MemberData(nameof(Packages))]
    public void The_answer_says_what_to_do(
        string name,
        double stop,
        double warpage,
        double dome,
        double spreadPercent,
        JointPlanState state,
        string begins
    )
    {
        // Levers take most of the time, and nothing is to be changed where it is reached.
        bool reached = state == JointPlanState.Reached;
        JointPlan plan = Plan(WorkedCaseTests.Case(name, stop, warpage, dome, spreadPercent / 100), !reached);
        Assert.Equal(state, plan.State);
        Assert.StartsWith(begins, plan.Answer, StringComparison.Ordinal);
        Assert.EndsWith(".", plan.Answer, StringComparison.Ordinal);
        Assert.Contains("every joint forms", plan.Answer, StringComparison.Ordinal);
        // Who must act is told so by a finding too, never an ok.
        Assert.Equal(reached, !plan.Findings.Any(finding => finding.Verdict is Verdict.FixFirst or Verdict.Blocker));
    }

    [Theory] // no amount at all as uneven as it is; more than balls stay on; much more than an even hand needs
    [InlineData("A", 0.58, 0.15, 40, "As uneven as it is (40 %) no amount is enough")]
    [InlineData("B", 0.35, 0.10, 25, "As uneven as it is (25 %) no amount is enough")]
    [InlineData("A", 0.60, 0.10, 25, "As uneven as it is (25 %) it would take ")]
    public void Even_work_is_advised_before_heaps(string name, double stop, double warpage, double spread, string why)
    {
        JointPlan plan = Plan(WorkedCaseTests.Case(name, stop, warpage, 0, spread / 100));
        Assert.Equal(10, plan.Need!.AdvisedSpreadPercent);
        Assert.Contains("made even to 10 %", plan.Answer, StringComparison.Ordinal);
        Assert.Contains(why, plan.Answer, StringComparison.Ordinal);
        double even = plan.Need.Levels[0].LeastMeanDomeMm!.Value;
        Assert.InRange(plan.Need.AdvisedDomeMm!.Value, even, 1.08 * even + 0.0051);
        // What is advised, drawn anew with other packages, is enough.
        JointRequest told = JointChanges.WithDome(plan.Request, plan.Need.AdvisedDomeMm.Value, 10);
        JointPlan done = Plan(told with { Goal = told.Goal with { Seed = 3, WithLevers = false } });
        Assert.InRange(done.Chance!.AllJoinedFraction, plan.Request.Goal.WantedFraction - 0.005, 1);
    }

    [Fact]
    public void Where_solder_is_asked_for_another_way_is_named_too()
    {
        JointPlan plan = Plan(WorkedCaseTests.Case("A", 0.55, 0.15, 0, 0.10));
        Assert.Equal(JointPlanState.NeedsSolder, plan.State);
        JointLever other = plan.Levers.First(lever => lever.Enough && lever.Kind != JointLeverKind.Solder);
        Assert.Contains($"Or {other.What}.", plan.Answer, StringComparison.Ordinal);
    }

    [Fact]
    public void A_dome_that_a_ball_slides_off_is_said_with_the_advice()
    {
        JointPlan plan = Plan(WorkedCaseTests.Case("A", 0.63, 0.15, 0, 0.10));
        Assert.Equal(JointPlanState.NeedsSolder, plan.State);
        Assert.Contains("slides: set the chip down centred", plan.Answer, StringComparison.Ordinal);
    }

    [Fact]
    public void A_ball_too_small_for_its_pad_is_found_and_the_suiting_one_named()
    {
        // Section 7: with 0.55 to 0.58 of parts a ball of 0.65 or less hangs clear of its pad everywhere.
        JointPlan plan = Plan(JointChanges.WithBall(WorkedCaseTests.Case("A", 0.57, 0, 0, 0.25), 0.65));
        Finding finding = plan.Findings.Single(one => one.Code == "joints.ball");
        Assert.Equal(Verdict.Warning, finding.Verdict);
        Assert.Contains("0.76", finding.Todo, StringComparison.Ordinal);
        Assert.Equal(480, plan.Molten!.OpenNumber);
        Assert.NotEqual(JointPlanState.Reached, plan.State);
    }

    [Theory]
    [InlineData(
        "AR1",
        JointPlanState.Reached,
        "Place it as it is, balls of 0.76 mm, lands bare: every joint forms in all 200"
    )]
    [InlineData("AR3", JointPlanState.NeedsSolder, "Balls of 0.76 mm. Leave 0.015 mm of solder")]
    [InlineData(
        "AR5",
        JointPlanState.Reached,
        "Place it as it is, balls of 0.76 mm, 0.10 mm of solder on the lands (full):"
    )]
    [InlineData("AR5 bare", JointPlanState.NeedsSolder, "Balls of 0.76 mm. Leave 0.1")]
    [InlineData(
        "AR7",
        JointPlanState.Reached,
        "Place it as it is, balls of 0.448 mm, 0.03 mm of solder on the lands (thin):"
    )]
    public void The_small_arrays_have_an_answer_to_act_on(string name, JointPlanState state, string begins)
    {
        JointPlan plan = JointPlanner.Plan(SmallArrayTests.Request(name));
        Assert.Equal(state, plan.State);
        Assert.StartsWith(begins, plan.Answer, StringComparison.Ordinal);
    }

    private static JointPlan Plan(JointRequest request, bool withLevers = true) =>
        JointPlanner.Plan(request with { Goal = new JointGoal(0.975, 100, WithLevers: withLevers) });
}
