using CsCheck;
using Graftbench.Core.Physics.Capillary;

namespace Graftbench.Core.Tests.Physics.Capillary;

/// <summary>The table against the exact solver.</summary>
public class ForceTableTests
{
    private static readonly double[] Off = [-0.012, 0, 0.012];

    [Theory]
    [InlineData(0.60, 0.60, 0.76)]
    [InlineData(0.45, 0.40, 0.45)]
    [InlineData(0.60, 0.50, 0.635)]
    [InlineData(0.25, 0.30, 0.30)]
    public void Force_slope_and_width_are_the_exact_ones(double lowerPad, double upperPad, double ball)
    {
        double volume = SolderCap.BallVolumeMm3(ball);
        BridgeCase nominal = new(lowerPad / 2, upperPad / 2, volume, 0.5, 7400);
        double scale = nominal.ScaleMm;
        double cube = scale * scale * scale;
        double bond = 7400 * 9.80665e-6 * scale * scale / 0.5;
        BridgeTable table = BridgeTable.Create(upperPad / lowerPad, bond, 0.8 * volume / cube, 1.4 * volume / cube)!;
        Assert.InRange(table.Covered.LeastRatio, 0.4, 0.7);
        Assert.InRange(table.Covered.MostRatio, 1.7, 2.0);
        double worst = 0;
        double worstSlope = 0;
        double worstWidth = 0;
        Gen.Select(Gen.Double[0.8, 1.4], Gen.Double[0.7, 1.7])
            .Sample(
                (more, share) =>
                {
                    BridgeCase one = nominal with { VolumeMm3 = more * volume };
                    double gap = share * SolderCap.TruncatedSphereHeightMm(one.VolumeMm3, lowerPad / 2, upperPad / 2);
                    BridgeShape exact = LiquidBridge.AtGap(one, gap).Shape!;
                    BridgeReading read = table.At(gap / scale, one.VolumeMm3 / cube);
                    worst = Math.Max(worst, Math.Abs(read.ForceRatio * 0.5 * scale - exact.ForceMilliN));
                    worstSlope = Math.Max(worstSlope, Math.Abs(read.SlopeRatio * 0.5 - exact.SlopeMilliNPerMm));
                    double width = table.WidestRatio(gap / scale, one.VolumeMm3 / cube) * scale;
                    worstWidth = Math.Max(worstWidth, Math.Abs(width - exact.WidestMm));
                    return !read.Outside;
                },
                iter: 400,
                threads: 1
            );
        // 1.4e-5 mN is what the project fact sheet 'seating mechanics', section 2, reports of its own table.
        Assert.True(worst < 5e-6, $"force {worst:0.0e+0} mN");
        Assert.True(worstSlope < 1e-3, $"slope {worstSlope:0.0e+0} mN/mm");
        Assert.True(worstWidth < 1e-3, $"width {worstWidth:0.0e+0} mm");
    }

    [Fact]
    public void Pads_a_little_off_the_ratio_are_read_to_a_fraction_of_their_own_effect()
    {
        // Radii drawn with 0.004 mm: the root mean square of both stands for the pair.
        double volume = SolderCap.BallVolumeMm3(0.76);
        BridgeTable table = BridgeTable.Create(1, 7400 * 9.80665e-6 * 0.09 / 0.5, 5, 14)!;
        double worst = 0;
        foreach (double lower in Off)
        {
            foreach (double upper in Off)
            {
                for (double gap = 0.45; gap < 0.71; gap += 0.05)
                {
                    BridgeCase one = new(0.3 + lower, 0.3 + upper, volume, 0.5, 7400);
                    double scale = one.ScaleMm;
                    double read = table.At(gap / scale, volume / (scale * scale * scale)).ForceRatio * 0.5 * scale;
                    worst = Math.Max(worst, Math.Abs(read - LiquidBridge.AtGap(one, gap).Shape!.ForceMilliN));
                }
            }
        }
        // Less than one per cent of the 0.48 mN at the smallest gap, both radii three standard deviations off against each other.
        Assert.True(worst < 4e-3, $"{worst:0.00000} mN");
    }

    [Theory]
    [InlineData(0.60, 0.60, 0.76)]
    [InlineData(0.45, 0.40, 0.45)]
    [InlineData(0.25, 0.30, 0.30)]
    public void Stretched_past_the_table_the_pull_goes_to_that_at_the_break(
        double lowerPad,
        double upperPad,
        double ball
    )
    {
        double volume = SolderCap.BallVolumeMm3(ball);
        BridgeCase bridge = new(lowerPad / 2, upperPad / 2, volume, 0.5, 7400);
        double scale = bridge.ScaleMm;
        double cube = scale * scale * scale;
        double bond = 7400 * 9.80665e-6 * scale * scale / 0.5;
        BridgeTable table = BridgeTable.Create(upperPad / lowerPad, bond, 0.8 * volume / cube, 1.4 * volume / cube)!;
        double free = SolderCap.TruncatedSphereHeightMm(volume / cube, 1, 1);
        int row = table.Row(free, out double share);
        BridgeLimit limit = BridgeLimits.PullApart(bridge)!.Value;
        Assert.Equal(limit.GapMm, table.BreakShare(row, share) * free * scale, 2e-4 * limit.GapMm);
        double edge = table.Covered.MostRatio * free * scale;
        double worst = 0;
        for (double part = 0.05; part < 1; part += 0.05)
        {
            double gap = edge + part * (limit.GapMm - edge);
            BridgeReading read = table.At(gap / scale, volume / cube);
            Assert.True(read.Outside);
            double exact = LiquidBridge.AtGap(bridge, gap).Shape!.ForceMilliN;
            worst = Math.Max(worst, Math.Abs(read.ForceRatio * 0.5 * scale / exact - 1));
        }
        // A straight line for a curve that falls ever faster.
        Assert.True(worst < 0.12, $"{worst:0.000} of the pull");
    }
}
