using Graftbench.Core.Findings;
using Graftbench.Core.Jobs;
using Graftbench.Core.Joints;
using Graftbench.Core.Planning;
using Graftbench.Core.Tests.Heating;

namespace Graftbench.Core.Tests.Joints;

public class JobJointsTests
{
    private static readonly Chip Seated = HeatJob.Chip with
    {
        PitchMm = 1.27,
        Rows = 6,
        Columns = 6,
        BallDiameterMm = 0.76,
        Seat = new Seat
        {
            PackagePadMm = 0.6,
            BoardPadMm = 0.6,
            HasParts = YesNo.No,
            PackageG = 1,
            HotWarpageMm = 0,
        },
    };

    [Fact]
    public void What_is_missing_is_said_in_words_and_is_unknown()
    {
        Job job = HeatJob.Job() with
        {
            Chips =
            [
                Seated with
                {
                    Seat = new Seat { BoardPadMm = 0.6 },
                    Rows = null,
                },
            ],
        };
        JointPlan plan = JobJoints.Plan(job, Seated.Id);
        Assert.Equal(JointPlanState.NoAnswer, plan.State);
        Finding finding = Assert.Single(plan.Findings, one => one.Code.StartsWith("joints.", StringComparison.Ordinal));
        Assert.Equal(Verdict.Unknown, finding.Verdict);
        Assert.Contains("the pad's diameter on the chip", finding.What, StringComparison.Ordinal);
        Assert.Contains("the number of rows", finding.What, StringComparison.Ordinal);
        QuestionAnswer answer = Answer(job, plan);
        Assert.Equal((true, Verdict.Unknown), (answer.Computed, answer.Verdict));
    }

    [Fact]
    public void A_flat_package_without_parts_forms_every_joint_at_a_glance()
    {
        Job job = HeatJob.Job() with { Chips = [Seated] };
        JointPlan plan = JobJoints.Glance(job, Seated.Id);
        Assert.Equal(36, plan.Joints.Count);
        Assert.Equal(0, plan.Molten!.OpenNumber);
        Assert.Equal(1, plan.Chance!.AllJoinedFraction);
        Assert.Equal(JobJoints.GlanceTrials, plan.Chance.Trials);
        Assert.Empty(plan.Levers);
    }

    [Fact]
    public void The_row_with_an_open_joint_is_the_neediest()
    {
        // Corners stand up by more than a joint swallows, parts carry the middle.
        Seat warped = Seated.Seat! with
        {
            HotWarpageMm = 0.25,
            HasParts = YesNo.Yes,
            Parts =
            [
                new SeatPart
                {
                    Name = "K1",
                    XMm = 0,
                    YMm = 0,
                    HeightMm = 0.56,
                },
            ],
        };
        Job job = HeatJob.Job() with { Chips = [Seated with { Seat = warped }] };
        JointPlan plan = JobJoints.Glance(job, Seated.Id);
        int row = JointRows.Neediest(plan);
        double yMm = JointSections.RowsMm(plan)[row];
        Assert.True(plan.Molten!.OpenNumber > 0);
        Assert.Contains(plan.Joints, joint => joint.YMm == yMm && joint.Class.HasFlag(JointClass.Open));
    }

    private static QuestionAnswer Answer(Job job, JointPlan plan) =>
        Planner
            .Plan(job, new DateTimeOffset(2026, 11, 26, 12, 0, 0, TimeSpan.Zero), new ApartAnswers { Joints = plan })
            .Questions.Single(question => question.Number == 5);
}
