using CsCheck;
using Graftbench.Core.Reviewing;
using Graftbench.Tests.Checks;

namespace Graftbench.Core.Tests.Reviewing;

public sealed class RunMeasuresTests
{
    // A trapezoid: 25 °C, 1 K/s to 225 °C (200 s), held 40 s, 2 K/s down to 25 °C (100 s). Everything below is arithmetic on it.
    private static readonly (double S, double C)[] Trapezoid = [(0, 25), (200, 225), (240, 225), (340, 25)];

    private static RunCurve Curve(RunLog log) => RunCurve.Of(log.TimesS, log.Channels[0].TemperaturesC, log.BreaksS);

    private static double Off(int _) => 0;

    [Theory]
    [InlineData(217, 40 + 8 + 4)]
    [InlineData(183, 40 + 42 + 21)]
    [InlineData(225.1, 0)]
    [InlineData(60, 165 + 40 + 82.5)]
    public void Time_above_a_level_is_that_of_the_trapezoid_at_every_rate(double levelC, double expectedS)
    {
        foreach (double stepS in new[] { 0.1, 0.5, 1, 3.7 })
        {
            Measure above = RunMeasures.Above(Curve(Profiles.Log(Trapezoid, stepS)), levelC, Off);
            Assert.InRange(above.Best, expectedS - stepS / 2 - 1e-6, expectedS + 1e-6);
            Assert.False(above.Open);
        }
    }

    [Fact]
    public void A_bias_moves_both_crossings_by_its_share_of_the_slopes()
    {
        // 2 K at 1 K/s up and 2 K/s down: 2 s and 1 s either way.
        Measure above = RunMeasures.Above(Curve(Profiles.Log(Trapezoid, 0.5)), 217, _ => 2);
        Assert.Equal(52, above.Best, 6);
        Assert.Equal(49, above.Low, 6);
        Assert.Equal(55, above.High, 6);
    }

    [Theory]
    [InlineData(0.1)]
    [InlineData(1)]
    [InlineData(2)]
    public void Slopes_and_peak_are_those_of_the_trapezoid(double stepS)
    {
        RunCurve curve = Curve(Profiles.Log(Trapezoid, stepS));
        Assert.Equal(1, RunMeasures.SteepestRise(curve)!.Value.Best, 6);
        Assert.Equal(2, RunMeasures.SteepestFall(curve, 183)!.Value.Best, 6);
        (Measure peak, _) = RunMeasures.Peak(curve, Off);
        Assert.Equal(225, peak.Best, 6);
        Measure soak = RunMeasures.Between(curve, 150, 200, Off)!.Value;
        Assert.Equal(50, soak.Best, 6);
        Measure mean = RunMeasures.MeanSlope(curve, 217, Off, rising: true)!.Value;
        Assert.InRange(mean.Best, 1 - 1e-6, 1 + 1e-6);
    }

    [Fact]
    public void A_flat_top_may_peak_anywhere_on_it()
    {
        Measure toPeak = RunMeasures.ToPeak(Curve(Profiles.Log(Trapezoid, 1)), 25, Off)!.Value;
        Assert.InRange(toPeak.Low, 199, 200.1);
        Assert.InRange(toPeak.High, 239.9, 241);
    }

    [Fact]
    public void Noise_is_found_whatever_the_slope_and_widens_the_ranges()
    {
        RunCurve curve = Curve(Profiles.Log(Trapezoid, 0.2, noiseDeltaK: 0.5));
        Assert.InRange(curve.NoiseDeltaK, 0.4, 0.6);
        Measure rise = RunMeasures.SteepestRise(curve)!.Value;
        Assert.InRange(1, rise.Low, rise.High);
        Assert.InRange(rise.Best, 0.95, 1.25);
        Measure fall = RunMeasures.SteepestFall(curve, 183)!.Value;
        Assert.InRange(fall.Best, 1.9, 2.25);
        (Measure peak, _) = RunMeasures.Peak(curve, Off);
        Assert.InRange(225, peak.Low, peak.High);
        Measure above = RunMeasures.Above(curve, 217, _ => curve.NoiseDeltaK);
        Assert.InRange(52, above.Low, above.High);
    }

    // Half a wave of 220 K over 500 s: its crossings, steepest slope and peak are those of the sine.
    [Theory]
    [InlineData(0.2, 0)]
    [InlineData(1, 0)]
    [InlineData(2, 0)]
    [InlineData(5, 0)]
    [InlineData(0.2, 0.5)]
    [InlineData(1, 0.5)]
    [InlineData(2, 0.5)]
    [InlineData(5, 0.5)]
    public void A_half_wave_has_the_figures_of_the_sine(double stepS, double noiseDeltaK)
    {
        RunCurve curve = Curve(
            Profiles.Log(timeS => 25 + 220 * Math.Sin(Math.PI * timeS / 500), 500, stepS, noiseDeltaK: noiseDeltaK)
        );
        foreach (double levelC in new[] { 60.0, 183, 217, 240 })
        {
            double expectedS = 500 - 1000 / Math.PI * Math.Asin((levelC - 25) / 220);
            double found = RunMeasures.Above(curve, levelC, Off).Best;
            Truth.Note("review.times", found - expectedS);
            // Straight lines between readings, and two deviations of the noise over the slope there.
            double slope = 220 * Math.PI / 500 * Math.Sqrt(1 - Math.Pow((levelC - 25) / 220, 2));
            Assert.Equal(expectedS, found, 0.2 + 4 * noiseDeltaK / slope);
        }
        double steepest = 220 * Math.PI / 500;
        double rise = RunMeasures.SteepestRise(curve)!.Value.Best;
        Truth.Note("review.slopes", 100 * (rise / steepest - 1));
        Assert.Equal(steepest, rise, 0.01 + 0.25 * noiseDeltaK);
        double peak = RunMeasures.Peak(curve, Off).Peak.Best;
        Truth.Note("review.peak", peak - 245);
        Assert.Equal(245, peak, 0.1 + 2 * noiseDeltaK);
    }

    [Fact]
    public void A_gap_on_the_hot_top_is_not_bridged_the_time_is_at_least()
    {
        RunLog log = Profiles.Without(Profiles.Log(Trapezoid, 1), 205, 235);
        Measure above = RunMeasures.Above(Curve(log), 217, Off);
        Assert.True(above.Open);
        Assert.Equal(52 - 32, above.Best, 6);
        Assert.InRange(above.High, 52 - 1e-6, 53);
    }

    [Fact]
    public void A_gap_far_below_cannot_have_held_a_melt()
    {
        RunLog log = Profiles.Without(Profiles.Log(Trapezoid, 1), 20, 30);
        Measure above = RunMeasures.Above(Curve(log), 217, Off);
        Assert.False(above.Open);
        Assert.Equal(52, above.High, 6);
    }

    [Fact]
    public void A_jump_of_the_clock_is_not_joined()
    {
        RunLog log = Profiles.Log(Trapezoid, 1) with { BreaksS = [220.5] };
        Measure above = RunMeasures.Above(Curve(log), 217, Off);
        Assert.True(above.Open);
        Assert.Equal(51, above.Best, 6);
    }

    [Fact]
    public void A_run_that_ends_hot_has_no_upper_end()
    {
        RunLog log = Profiles.Without(Profiles.Log(Trapezoid, 1), 220, 400);
        Measure above = RunMeasures.Above(Curve(log), 217, Off);
        Assert.True(above.Open);
        Assert.Equal(double.PositiveInfinity, above.High);
        RunLog climbing = Profiles.Without(Profiles.Log(Trapezoid, 1), 190, 400);
        (Measure peak, _) = RunMeasures.Peak(Curve(climbing), Off);
        Assert.True(peak.Open);
        Assert.Equal(double.PositiveInfinity, peak.High);
    }

    [Fact]
    public void A_gap_inside_a_ramp_leaves_the_steepest_slope_open()
    {
        RunLog log = Profiles.Without(Profiles.Log(Trapezoid, 1), 100, 108);
        Measure rise = RunMeasures.SteepestRise(Curve(log))!.Value;
        Assert.True(rise.Open);
        Assert.Equal(1, rise.Best, 6);
        Assert.Equal(double.PositiveInfinity, rise.High);
    }

    [Fact]
    public void Random_profiles_keep_their_figures_when_shifted_or_thinned() =>
        Gen.Select(
                Gen.Double[0.4, 2.5],
                Gen.Double[221, 250],
                Gen.Double[10, 80],
                Gen.Double[0.5, 3],
                Gen.Double[-50, 500]
            )
            .Sample(
                (up, top, hold, down, shift) =>
                {
                    double riseS = (top - 25) / up;
                    (double, double)[] corners =
                    [
                        (0, 25),
                        (riseS, top),
                        (riseS + hold, top),
                        (riseS + hold + (top - 25) / down, 25),
                    ];
                    double expected = hold + (top - 217) / up + (top - 217) / down;
                    RunCurve fine = Curve(Profiles.Log(corners, 0.25));
                    RunCurve thin = Curve(Profiles.Log(corners, 1));
                    RunCurve moved = Curve(Profiles.Log(corners, 1, shift));
                    double a = RunMeasures.Above(fine, 217, Off).Best;
                    double b = RunMeasures.Above(thin, 217, Off).Best;
                    double c = RunMeasures.Above(moved, 217, Off).Best;
                    return Math.Abs(a - expected) < 0.3
                        && Math.Abs(b - expected) < 1.01
                        && Math.Abs(b - c) < 1e-6
                        && Math.Abs(RunMeasures.SteepestRise(fine)!.Value.Best - up) < 0.02 * up
                        && Math.Abs(RunMeasures.SteepestRise(thin)!.Value.Best - up) < 0.05 * up;
                },
                iter: 200
            );
}
