using Graftbench.Core.Joints;
using Graftbench.Core.Physics.Capillary;

namespace Graftbench.Core.Tests.Joints;

/// <summary>What solder on a land, other balls and other pads do: project fact sheet "seating mechanics", 6.4, 6.5 and 7.</summary>
public class DomeEffectTests
{
    [Theory]
    [InlineData(0.76, 0.60, 0.05, 3.1, 0.520, 0.829)]
    [InlineData(0.76, 0.60, 0.10, 6.4, 0.529, 0.836)]
    [InlineData(0.76, 0.60, 0.15, 10.0, 0.539, 0.844)]
    [InlineData(0.76, 0.60, 0.20, 14.1, 0.550, 0.853)]
    [InlineData(0.45, 0.40, 0.03, 4.0, 0.277, null)]
    [InlineData(0.45, 0.40, 0.05, 6.7, 0.282, null)]
    [InlineData(0.45, 0.40, 0.10, 14.3, 0.294, null)]
    public void A_dome_buys_five_times_more_reach_than_standoff_and_almost_no_width(
        double ball,
        double pad,
        double dome,
        double addsPercent,
        double standoff,
        double? width
    )
    {
        double volume = SolderCap.BallVolumeMm3(ball);
        double more = SolderCap.VolumeMm3(dome, pad / 2);
        BridgeShape shape = LiquidBridge.AtLoad(new(pad / 2, pad / 2, volume + more, 0.5, 7400), 0.1).Shape!;
        Assert.Equal(addsPercent, 100 * more / volume, 0.06);
        Assert.Equal(standoff, shape.GapMm, 0.6e-3);
        if (width is { } widest)
        {
            Assert.Equal(widest, shape.WidestMm, 0.6e-3);
        }
    }

    [Theory]
    [InlineData(0.60, 0.60, 0.454)]
    [InlineData(0.65, 0.60, 0.514)]
    [InlineData(0.70, 0.60, 0.573)]
    [InlineData(0.76, 0.60, 0.643)]
    [InlineData(0.80, 0.60, 0.688)]
    [InlineData(0.76, 0.55, 0.661)]
    [InlineData(0.76, 0.63, 0.631)]
    public void Attached_heights_are_the_printed_ones(double ball, double pad, double height) =>
        Assert.Equal(height, SolderCap.HeightMm(SolderCap.BallVolumeMm3(ball), pad / 2), 0.6e-3);

    [Theory]
    [InlineData("A", 480, 49, 16)]
    [InlineData("B", 576, 47, 16)]
    public void The_load_that_spills_everywhere_and_its_third_are_said(
        string name,
        int joints,
        double spillG,
        double safeG
    )
    {
        JointRequest request = WorkedCaseTests.Case(name, 0, 0, 0, 0.25) with
        {
            Goal = new JointGoal(0.975, 100, WithLevers: false),
        };
        JointPlan plan = JointPlanner.Plan(request);
        Assert.Equal(joints, plan.Joints.Count);
        // The sheet's spill loads are up to 4.5 % above its own limit L01, which ours agrees with.
        Assert.Equal(spillG, plan.Limits!.SpillLoadG!.Value, 0.045 * spillG);
        Assert.Equal(safeG, plan.Limits.SafeLoadG!.Value, 0.8);
    }

    [Fact]
    public void A_ball_of_080_reaches_as_far_as_an_even_dome_of_0046()
    {
        double more =
            SolderCap.HeightMm(SolderCap.BallVolumeMm3(0.80), 0.3)
            - SolderCap.HeightMm(SolderCap.BallVolumeMm3(0.76), 0.3);
        Assert.Equal(0.046, more, 0.6e-3);
    }
}
