using Graftbench.Core.Drying;
using Graftbench.Core.Facts;
using Graftbench.Core.Jobs;
using Graftbench.Core.Physics.Diffusion;
using Graftbench.Tests.Checks;

namespace Graftbench.Core.Tests.Drying;

public class BakeModelTests
{
    public static readonly TheoryData<double, double, string> Diffusivities = new()
    { // °C, m²/s: fact sheet section 4.3, three digits
        { 90, 1.268e-12, "check 28" },
        { 40, 1.32e-13, "section 4.3" },
        { 60, 3.53e-13, "section 4.3" },
        { 70, 5.54e-13, "section 4.3" },
        { 80, 8.48e-13, "section 4.3" },
        { 105, 2.22e-12, "section 4.3" },
        { 120, 3.74e-12, "section 4.3" },
        { 125, 4.41e-12, "section 4.3" },
    };

    [Theory, MemberData(nameof(Diffusivities))]
    public void Fitted_diffusivity_matches_the_sheet(double temperatureC, double expected, string source) =>
        Assert.True(Math.Abs(BakeModel.Mould.AtM2PerS(temperatureC) / expected - 1) < 5e-3, source);

    [Fact]
    public void Standards_slow_law_at_30_degrees()
    {
        // Fact sheet, check 33.
        Arrhenius slow = new(Constants.Value("mould.slow.d0"), Constants.Value("mould.standard.ea"));

        Assert.Equal(1, slow.AtM2PerS(30) / 1.84e-13, 5e-3);
    }

    [Fact]
    public void Standards_fast_law_at_30_degrees()
    {
        // Fact sheet section 4.2.
        Arrhenius fast = new(Constants.Value("mould.fast.d0"), Constants.Value("mould.standard.ea"));

        Assert.Equal(1, fast.AtM2PerS(30) / 2.00e-12, 6e-3);
    }

    public static readonly TheoryData<double, double, double> TimeFactors = new()
    { // °C, factor against 125 °C, printed digit: fact sheet section 4.3
        { 120, 1.18, 0.006 },
        { 110, 1.66, 0.006 },
        { 105, 1.98, 0.006 },
        { 90, 3.48, 0.006 },
        { 80, 5.20, 0.006 },
        { 70, 7.96, 0.006 },
        { 65, 9.94, 0.006 },
        { 60, 12.5, 0.06 },
        { 40, 33.5, 0.06 },
    };

    [Theory, MemberData(nameof(TimeFactors))]
    public void Time_factor_matches_the_sheet(double temperatureC, double expected, double tolerance) =>
        Assert.Equal(expected, BakeModel.Mould.TimeRatio(temperatureC, 125), tolerance);

    public static readonly TheoryData<double, double, double, double, double> WorkedTimes = new()
    { // mm, °C, hours to 90 % loss, hours to 99 % loss, relative tolerance: fact sheet section 4.4 (checks 29 and 30 among them)
        { 1.0, 60, 167, 350, 0.005 },
        { 1.0, 70, 106, 223, 0.005 },
        { 1.0, 90, 46.5, 97.6, 0.005 },
        { 1.0, 125, 13.3, 28.0, 0.01 },
        { 1.6, 60, 427, 896, 0.005 },
        { 1.6, 70, 272, 571, 0.005 },
        { 1.6, 90, 119, 250, 0.005 },
        { 1.6, 125, 34.2, 71.8, 0.005 },
        { 2.0, 60, 667, 1400, 0.005 },
        { 2.0, 70, 425, 892, 0.005 },
        { 2.0, 90, 186, 390, 0.005 },
        { 2.0, 125, 53.4, 112, 0.005 },
        { 3.0, 60, 1500, 3151, 0.005 },
        { 3.0, 70, 956, 2008, 0.005 },
        { 3.0, 90, 418, 878, 0.005 },
        { 3.0, 125, 120, 252, 0.005 },
    };

    [Theory, MemberData(nameof(WorkedTimes))]
    public void Worked_times_match_the_sheet(
        double thicknessMm,
        double temperatureC,
        double h90,
        double h99,
        double tolerance
    )
    {
        Assert.Equal(1, BakeModel.SlabH(thicknessMm, 0.10, 0, temperatureC)!.Value / h90, tolerance);
        Assert.Equal(1, BakeModel.SlabH(thicknessMm, 0.01, 0, temperatureC)!.Value / h99, tolerance);
    }

    [Fact]
    public void Nine_hours_at_125_carried_to_70()
    {
        // Fact sheet, check 32.
        Assert.Equal(1, 9 * BakeModel.Mould.TimeRatio(70, 125) / 71.6, 0.01);
    }

    [Theory]
    // Fact sheet section 4.3: "D_eff gives every >72 h cell of both classes within -8/+11 % (36 cells)" with an effective
    // thickness of 1.09 ± 0.02 mm for the thin class. The printed 1.09 gives -9.1/+11.2 %, as an independent SciPy
    // calculation of the same 36 ratios does; 1.097, inside the stated error, gives the sheet's own band.
    [InlineData(1.097, -0.08, 0.11)]
    [InlineData(1.09, -0.091, 0.112)]
    public void The_36_long_cells_come_out_within_the_stated_band(double thinPathMm, double lowest, double highest)
    {
        MoistureLevel[] levels =
        [
            MoistureLevel.L2,
            MoistureLevel.L2A,
            MoistureLevel.L3,
            MoistureLevel.L4,
            MoistureLevel.L5,
            MoistureLevel.L5A,
        ];
        List<double> ratios = [];
        foreach (
            (double thicknessMm, double pathMm) in new[]
            {
                (1.2, thinPathMm),
                (1.8, Constants.Value("mould.mid-class-path")),
            }
        )
        {
            foreach (MoistureLevel level in levels)
            {
                foreach (double columnC in BakeTable.ColumnsC)
                {
                    double cellH = BakeTable
                        .HoursH(BakeTableTests.Body(thicknessMm, level), FloorLifeOver.MoreThan72H, columnC)!
                        .Value;
                    double target = BakeModel.TargetFraction(level, FloorLifeOver.MoreThan72H);
                    ratios.Add(BakeModel.SlabH(pathMm, target, 0, columnC)!.Value / cellH - 1);
                }
            }
        }

        Assert.Equal(36, ratios.Count);
        if (thinPathMm == Constants.Value("mould.thin-class-path"))
        {
            Truth.Note("drying.cells", 100 * ratios.Max(Math.Abs), ratios.Count);
        }
        Assert.Equal(lowest, ratios.Min(), 0.005);
        Assert.Equal(highest, ratios.Max(), 0.005);
        Assert.Equal(
            Constants.Value("mould.thin-class-path"),
            thinPathMm,
            Constants.Deviation("mould.thin-class-path")
        );
    }

    [Fact]
    public void Wet_air_adds_time_and_ends_in_no_answer()
    {
        double dry = BakeModel.SlabH(1.4, 0.26, 0, 70)!.Value;
        double damp = BakeModel.SlabH(1.4, 0.26, BakeModel.FloorFraction(8), 70)!.Value;

        Assert.True(damp > dry);
        // 5 % RH over a store at 50 % leaves a tenth: fact sheet section 3. Here the reference is 60 %.
        Assert.Equal(0.1, BakeModel.FloorFraction(6), 1e-12);
        Assert.Null(BakeModel.SlabH(1.4, 0.10, BakeModel.FloorFraction(6), 70));
    }

    [Fact]
    public void Planes_close_the_lower_face_and_take_the_substrate_out()
    {
        MoistBody planes = new(MoistureLevel.L3, 2.3, 27, 27, true, YesNo.Yes, YesNo.No, 0.6);
        MoistBody open = planes with { InternalPlanes = YesNo.No };

        Assert.Equal(3.4, BakeModel.PathMm(planes), 1e-12);
        Assert.Equal(2.3, BakeModel.PathMm(open), 1e-12);
    }

    [Theory, InlineData(39.9), InlineData(125.1)]
    public void Gives_no_answer_outside_the_fitted_temperatures(double temperatureC) =>
        Assert.Null(
            BakeModel.Answer(BakeTableTests.Body(1.4, MoistureLevel.L3), FloorLifeOver.MoreThan72H, temperatureC, 1, 0)
        );

    [Fact]
    public void Answer_is_never_shorter_than_the_row_of_the_table()
    {
        foreach (double columnC in BakeTable.ColumnsC)
        {
            foreach (double thicknessMm in new[] { 0.5, 1.0, 1.4, 1.5, 2.0, 2.5, 4.5 })
            {
                MoistBody body = BakeTableTests.Body(thicknessMm, MoistureLevel.L4);
                DiffusionAnswer answer = BakeModel.Answer(body, FloorLifeOver.MoreThan72H, columnC, 0, 0)!;
                Assert.True(
                    answer.Hours >= BakeTable.HoursH(body, FloorLifeOver.MoreThan72H, columnC)!.Value * (1 - 1e-12)
                );
                Assert.True(answer.LowH < answer.Hours && answer.Hours < answer.HighH);
            }
        }
    }

    [Fact]
    public void Cooler_and_thicker_take_longer()
    {
        double last = 0;
        for (double temperatureC = 125; temperatureC >= 40; temperatureC -= 5)
        {
            double hours = BakeModel
                .Answer(BakeTableTests.Body(1.4, MoistureLevel.L3), FloorLifeOver.MoreThan72H, temperatureC, 0, 0)!
                .Hours;
            Assert.True(hours > last);
            last = hours;
        }
    }
}
