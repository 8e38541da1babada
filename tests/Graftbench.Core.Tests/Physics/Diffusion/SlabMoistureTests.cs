using CsCheck;
using Graftbench.Core.Physics.Diffusion;

namespace Graftbench.Core.Tests.Physics.Diffusion;

public class SlabMoistureTests
{
    private const string Lines = "SciPy method of lines, 2000 cells, LSODA: tests/reference/diffusion.py";

    public static readonly TheoryData<bool, double, double, double, string> TwoClimates = new()
    { // one face open, mean, at a quarter of the depth, at half of it
        { false, 0.4607229, 0.5346905, 0.5659628, Lines },
        { true, 0.3345616, 0.4757122, 0.3836325, Lines },
    };

    [Theory, MemberData(nameof(TwoClimates))]
    public void Two_climates_after_one_another(
        bool oneFace,
        double mean,
        double atQuarter,
        double atHalf,
        string source
    )
    {
        SlabMoisture slab = new(1, oneFace, 0.2);
        slab.Hold(1e-12, 1.0, 20 * 3600);
        slab.Hold(5e-13, 0.1, 10 * 3600);

        Assert.True(Math.Abs(slab.MeanFraction - mean) < 3e-6, source);
        Assert.True(Math.Abs(slab.AtFraction(0.25) - atQuarter) < 3e-6, source);
        Assert.True(Math.Abs(slab.AtFraction(0.5) - atHalf) < 3e-6, source);
    }

    [Fact]
    public void One_drying_is_the_textbook_series() =>
        Gen.Select(Gen.Double[0.2, 5], Gen.Double[1e-3, 2])
            .Sample(
                (thicknessMm, fourier) =>
                {
                    SlabMoisture slab = new(thicknessMm, false, 1);
                    slab.Hold(1e-12, 0, fourier * thicknessMm * thicknessMm * 1e-6 / 1e-12);
                    return Math.Abs(slab.MeanFraction - Slab.RemainingFraction(fourier)) < 1e-9;
                }
            );

    [Fact]
    public void A_closed_face_takes_four_times_as_long()
    {
        // Fact sheet, check 31.
        double open = new SlabMoisture(1.6, false, 1).TimeToMeanS(1e-12, 0, 0.1)!.Value;
        double closed = new SlabMoisture(1.6, true, 1).TimeToMeanS(1e-12, 0, 0.1)!.Value;

        Assert.Equal(4, closed / open, 1e-4);
    }

    [Fact]
    public void Splitting_a_stretch_changes_nothing() =>
        Gen.Select(Gen.Double[0, 1], Gen.Double[0, 1.5], Gen.Double[100, 1e6], Gen.Double[0.01, 0.99])
            .Sample(
                (start, equilibrium, timeS, share) =>
                {
                    SlabMoisture whole = new(1.4, true, start);
                    SlabMoisture split = new(1.4, true, start);
                    whole.Hold(7e-13, equilibrium, timeS);
                    split.Hold(7e-13, equilibrium, timeS * share);
                    split.Hold(7e-13, equilibrium, timeS * (1 - share));
                    return Math.Abs(whole.MeanFraction - split.MeanFraction) < 1e-12;
                }
            );

    [Fact]
    public void Moisture_stays_between_start_and_surface() =>
        Gen.Select(Gen.Double[0, 1], Gen.Double[0, 1], Gen.Double[3600, 1e6], Gen.Double[0, 1])
            .Sample(
                (start, equilibrium, timeS, place) =>
                {
                    SlabMoisture slab = new(1, false, start);
                    slab.Hold(1e-12, equilibrium, timeS);
                    double at = slab.AtFraction(place);
                    return at > Math.Min(start, equilibrium) - 1e-6 && at < Math.Max(start, equilibrium) + 1e-6;
                }
            );

    [Fact]
    public void Wet_air_never_dries_to_below_its_own_moisture()
    {
        Assert.Null(new SlabMoisture(1, false, 1).TimeToMeanS(1e-12, 0.3, 0.2));
        Assert.Equal(0, new SlabMoisture(1, false, 0.1).TimeToMeanS(1e-12, 0.3, 0.2));
    }
}
