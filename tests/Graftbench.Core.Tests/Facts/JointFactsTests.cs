using Graftbench.Core.Facts;
using Graftbench.Core.Jobs;
using Graftbench.Core.Joints;

namespace Graftbench.Core.Tests.Facts;

/// <summary>The tables behind the joint answer against project fact sheet "seating mechanics", 1.1 and 1.3.</summary>
public class JointFactsTests
{
    [Theory]
    [InlineData(0.76, 0.50, 0.60)]
    [InlineData(0.60, 0.40, 0.50)]
    [InlineData(0.50, 0.35, 0.45)]
    [InlineData(0.30, 0.20, 0.25)]
    public void Lands_of_a_ball_are_those_of_the_table(double ball, double least, double most)
    {
        BallLand row = JointFacts.Balls.Single(one => one.BallMm == ball);
        Assert.Equal((least, most), (row.LeastLandMm, row.MostLandMm));
    }

    [Fact]
    public void Lands_by_the_rule_are_a_quarter_or_a_fifth_smaller_and_a_tenth_wide() =>
        Assert.All(
            JointFacts.Balls.Where(row => row.Confidence == Confidence.Computed),
            row =>
            {
                double middle = row.BallMm * (row.BallMm > 0.55 ? 0.75 : 0.80);
                Assert.Equal(middle - 0.05, row.LeastLandMm, 1e-9);
                Assert.Equal(middle + 0.05, row.MostLandMm, 1e-9);
            }
        );

    [Theory]
    [InlineData(0.10, 0.005)]
    [InlineData(0.15, 0.010)]
    [InlineData(0.50, 0.010)]
    [InlineData(0.60, 0.020)]
    [InlineData(0.76, 0.020)]
    public void Loose_balls_have_the_printed_tolerance(double ball, double tolerance) =>
        Assert.Equal(tolerance, JointFacts.Tolerance(ball).ToleranceMm);

    [Theory]
    [InlineData(1.0, 0.22, "warpage-article")]
    [InlineData(0.8, 0.17, "warpage-article")]
    [InlineData(1.27, 0.25, "jeita-ed-7306")]
    [InlineData(0.75, 0.17, "warpage-article")]
    public void The_warpage_limit_is_that_of_the_nearest_pitch(double pitch, double limit, string source) =>
        Assert.Equal((limit, source), JointFacts.WarpageLimit(pitch));

    [Fact]
    public void Every_source_of_a_joint_answer_is_in_the_source_table()
    {
        JointCaseDocument document = new()
        {
            Format = "graftbench-joints-1",
            PitchMm = 1.27,
            Rows = 6,
            Columns = 6,
            BallDiameterMm = 0.65,
            Seat = new Seat { PackagePadMm = 0.6, BoardPadMm = 0.6 },
        };
        JointRequestMade made = JointRequests.Of(document);
        JointPlan plan = JointPlanner.Plan(made.Request! with { Goal = new JointGoal(0.975, 100) }, made.Assumptions);
        IEnumerable<string?> sources = plan
            .Findings.Select(finding => finding.Source)
            .Concat(plan.Assumptions.Select(assumption => assumption.Source))
            .Concat(plan.Balls.Select(ball => ball.Source))
            .Concat(plan.Need!.Words.Select(word => word.Source))
            .Concat(plan.Request.Solder.Figures.Select(figure => figure.Source));
        Assert.All(sources, source => Assert.NotNull(ReferenceShelf.FindSource(source!)));
        Assert.Contains(plan.Findings, finding => finding.Code == "joints.ball");
        Assert.Contains(plan.Findings, finding => finding.Code == "joints.solder-assumed");
    }
}
