using Graftbench.Core.Physics.Heat;
using Graftbench.Tests.Checks;

namespace Graftbench.Core.Tests.Physics.Heat;

/// <summary>
/// The full model on bodies whose temperature is known exactly. Each row gives the printed value (to its two digits) and the
/// formula is summed again beside it, so that neither a slip of the pen nor of the code can hide.
/// </summary>
public sealed class TextbookHeatTests
{
    private const double Digits = 0.0051;
    private const string Slab = "slab with convection on both faces: Incropera, chapter 5, exact series";
    private const string Thick = "semi-infinite body with convection: Incropera, chapter 5";

    public static readonly TheoryData<double, double, double, string> BothFaces = new()
    { // time s, place from the middle in half thicknesses, K, source
        { 2, 1, 337.33, Slab },
        { 2, 0, 315.79, Slab },
        { 5, 1, 367.04, Slab },
        { 5, 0, 348.88, Slab },
        { 10, 1, 406.35, Slab },
        { 10, 0, 392.76, Slab },
        { 20, 1, 457.77, Slab },
        { 20, 0, 450.16, Slab },
        { 40, 1, 502.66, Slab },
        { 40, 0, 500.28, Slab },
    };

    [Theory, MemberData(nameof(BothFaces))]
    public void A_slab_heated_on_both_faces(double timeS, double place, double printedK, string source)
    {
        double exactK = 523.15 - 225 * TextbookHeat.SlabLeft(place, 100 * 0.0008 / 0.35, 0.35 / 2e6 * timeS / 6.4e-7);
        Assert.Equal(printedK, exactK, Digits);
        HeatCase heat = HeatCases.Slab(25, 40, 1.6, 16, 0.35, 2e6, -0.8) with
        {
            Films = [HeatCases.Film(Faces.Top, 100, "gas"), HeatCases.Film(Faces.Bottom, 100, "gas")],
            Signals = [HeatCases.Steady("gas", 250)],
            Probes = [new HeatProbe("p", 0.5, 0.5, 0.8 * place)],
        };
        Truth.Note("heat.textbook", At(heat, 0.1, timeS) - exactK);
        Assert.True(Math.Abs(At(heat, 0.1, timeS) - exactK) < 0.06, $"{At(heat, 0.1, timeS)}: {exactK}, {source}");
    }

    public static readonly TheoryData<double, double, double, string> ThickBody = new()
    { // time s, depth mm, K, source
        { 5, 0, 353.69, Thick },
        { 5, 1, 316.93, Thick },
        { 5, 3, 298.76, Thick },
        { 20, 0, 393.09, Thick },
        { 20, 1, 356.97, Thick },
        { 20, 3, 314.97, Thick },
        { 60, 0, 432.79, Thick },
        { 60, 1, 402.64, Thick },
        { 60, 3, 355.29, Thick },
    };

    [Theory, MemberData(nameof(ThickBody))]
    public void A_thick_body_heated_on_one_face(double timeS, double depthMm, double printedK, string source)
    {
        double exactK = 298.15 + 275 * TextbookHeat.SemiInfinite(depthMm / 1000, timeS, 80, 0.35, 0.35 / 2e6);
        Assert.Equal(printedK, exactK, Digits);
        HeatCase heat = HeatCases.Slab(25, 60, 30, 150, 0.35, 2e6, -30) with
        {
            Films = [HeatCases.Film(Faces.Top, 80, "gas")],
            Signals = [HeatCases.Steady("gas", 300)],
            Probes = [new HeatProbe("p", 0.5, 0.5, -depthMm)],
        };
        Truth.Note("heat.textbook", At(heat, 0.25, timeS) - exactK);
        Assert.True(Math.Abs(At(heat, 0.25, timeS) - exactK) < 0.1, $"{At(heat, 0.25, timeS)}: {exactK}, {source}");
    }

    public static readonly TheoryData<double, double, string> Ramps = new()
    {
        { 50, 323.08, "lumped body, ramped gas: first-order linear equation" },
        { 100, 377.12, "lumped body, ramped gas: first-order linear equation" },
        { 200, 435.71, "lumped body, gas held after the ramp" },
    };

    [Theory, MemberData(nameof(Ramps))]
    public void A_lumped_body_in_a_gas_that_climbs(double timeS, double printedK, string source)
    {
        double exactK = 273.15 + TextbookHeat.LumpedRampC(25, 1.5, 100, 0.0008 * 1.7941e6 / 25, timeS);
        Assert.Equal(printedK, exactK, Digits);
        double foundK = At(Ramped(1.5), 1, timeS);
        Truth.Note("heat.textbook", foundK - exactK);
        Assert.True(Math.Abs(foundK - exactK) < 0.02, $"{foundK}: {exactK}, {source}");
    }

    public static readonly TheoryData<double, double, string> Cooling = new()
    {
        { 20, 463.45, "1/T³ = 1/T0³ + 6εσt/(ρcL): integral of the T⁴ law" },
        { 60, 395.45, "1/T³ = 1/T0³ + 6εσt/(ρcL): integral of the T⁴ law" },
        { 200, 298.48, "1/T³ = 1/T0³ + 6εσt/(ρcL): integral of the T⁴ law" },
    };

    [Theory, MemberData(nameof(Cooling))]
    public void A_lumped_body_that_radiates_into_nothing(double timeS, double printedK, string source)
    {
        double exactK = Math.Pow(
            Math.Pow(523.15, -3) + 6 * 0.9 * HeatNetwork.StefanBoltzmann * timeS / (2e6 * 0.001),
            -1 / 3.0
        );
        Assert.Equal(printedK, exactK, Digits);
        HeatCase heat = HeatCases.Slab(250, 200, 1, 1, 5000, 2e6) with
        {
            Radiation = [Patch(Faces.Top), Patch(Faces.Bottom)],
            Signals = [HeatCases.Steady("nothing", -273.15)],
            Probes = [new HeatProbe("p", 0.5, 0.5, 1)],
        };
        double foundK = At(heat, 1, timeS);
        Truth.Note("heat.textbook", foundK - exactK);
        Assert.True(Math.Abs(foundK - exactK) < 0.02, $"{foundK}: {exactK}, {source}");

        static HeatRadiation Patch(Faces faces) => new(faces, 0.9, [new SignalShare("nothing", 1)], null, null, []);
    }

    public static readonly TheoryData<double, double, string> Strip = new()
    {
        { 0, 413.02, "two fins matched where the heater ends: Incropera, chapter 3" },
        { 120, 393.82, "two fins matched where the heater ends: Incropera, chapter 3" },
        { 150, 366.38, "two fins matched where the heater ends: Incropera, chapter 3" },
        { 180, 335.81, "two fins matched where the heater ends: Incropera, chapter 3" },
        { 300, 304.93, "two fins matched where the heater ends: Incropera, chapter 3" },
    };

    [Theory, MemberData(nameof(Strip))]
    public void A_strip_that_is_heated_on_one_half(double xMm, double printedK, string source)
    {
        Assert.Equal(printedK, FinStrip.ExactK(xMm / 1000), Digits);
        HeatCase heat = FinStrip.Case(60) with { Probes = [new HeatProbe("p", xMm, 0.5, 0)] };
        FullRun run = HeatCases.Run(heat, HeatCases.BoxByBox(10));
        double foundK = run.ProbesC[0][^1] + 273.15;
        Assert.True(Math.Abs(foundK - FinStrip.ExactK(xMm / 1000)) < 0.05, $"{foundK}: {source}");
    }

    // Cells of 10, 5, 2.5 and 1.25 mm.
    [Fact]
    public void The_strip_s_error_falls_with_the_square_of_the_cell()
    {
        double[] errors = [.. new[] { 30, 60, 120, 240 }.Select(cells => FinStrip.LargestErrorK(cells))];
        Orders.Fall(errors, 2, 2, 0.1);
    }

    // The exact solution of a box is the product of three slabs; conductivities along and through differ by ten.
    [Fact]
    public void A_block_heated_from_all_sides_is_a_product_of_slabs_and_of_second_order()
    {
        double[] errors = [.. new[] { 4, 8, 16 }.Select(cells => HeatedBlock.LargestErrorK(cells, 0.25))];
        Assert.True(errors[^1] < 0.15, $"{errors[^1]}");
        Orders.Fall(errors, 2, 2, 0.2);
    }

    [Fact]
    public void Steps_in_time_are_of_second_order()
    {
        double[] errors = [.. new[] { 20.0, 10, 5, 2.5 }.Select(step => RampError(step))];
        Orders.Fall(errors, 2, 2, 0.1);

        // Ten times as steep, so that the error of a step is far above what the solver lets pass.
        static double RampError(double stepS) =>
            Math.Abs(
                At(Ramped(15), stepS, 100) - 273.15 - TextbookHeat.LumpedRampC(25, 15, 100, 0.0008 * 1.7941e6 / 25, 100)
            );
    }

    [Theory, InlineData(0.5), InlineData(0.25)]
    public void A_lumped_body_takes_as_long_to_melt_as_its_heat_needs(double stepS)
    {
        // C per area 2 kJ/(m² K), melting heat 150 kJ/m², film 200 W/(m² K), gas 300 °C:
        // (C + L/3 K)/h·ln((300 − 217)/(300 − 220)) in the range, and what comes before and after is lumped.
        const double Capacity = 2e3;
        const double Latent = 150e3;
        HeatCase slab = HeatCases.Slab(25, 60, 1, 1, 5000, 2e6);
        HeatCase heat = slab with
        {
            Boxes = [slab.Boxes[0] with { Melting = new Melting(Latent / (0.001 * 2000), 217, 220) }],
            Films = [HeatCases.Film(Faces.Top, 200, "gas")],
            Signals = [HeatCases.Steady("gas", 300)],
            Probes = [new HeatProbe("p", 0.5, 0.5, 1)],
        };
        FullRun run = HeatCases.Run(heat, HeatCases.BoxByBox(stepS));
        double first = HeatCases.ReachedS(run.ProbesC[0], stepS, 217) ?? double.NaN;
        double last = HeatCases.ReachedS(run.ProbesC[0], stepS, 220) ?? double.NaN;
        Assert.Equal(Capacity / 200 * Math.Log(275 / 83.0), first, stepS / 2);
        // The melting heat is stepped backwards in time, so that it is exact to about one step.
        Assert.Equal((Capacity + Latent / 3) / 200 * Math.Log(83 / 80.0), last - first, 1.2 * stepS);
        TestContext.Current.SendDiagnosticMessage($"{first} {last - first} {run.Energy.ImbalanceFraction}");
        Assert.True(run.Energy.ImbalanceFraction < 1e-2, $"{run.Energy}");
    }

    private static HeatCase Ramped(double rateKPerS) =>
        HeatCases.Slab(25, 200, 0.8, 1, 5000, 1.7941e6) with
        {
            Films = [HeatCases.Film(Faces.Top, 25, "gas")],
            Signals = [new HeatSignal("gas", [new SignalPoint(0, 25), new SignalPoint(100, 25 + 100 * rateKPerS)])],
            Probes = [new HeatProbe("p", 0.5, 0.5, 0.8)],
        };

    // The first probe at a moment [K].
    private static double At(HeatCase heat, double stepS, double timeS) =>
        HeatCases.Run(heat with { DurationS = timeS }, HeatCases.BoxByBox(stepS)).ProbesC[0][^1] + 273.15;
}

/// <summary>A thin strip over a heater that covers its left half.</summary>
internal static class FinStrip
{
    private const double LengthM = 0.3;
    private const double HeatedM = 0.15;
    private const double ThicknessM = 0.0016;
    private const double K = 25;
    private const double HeaterFilm = 24;
    private const double LossFilm = 16;

    public static double ExactK(double xM)
    {
        double heated = (HeaterFilm * 453.15 + LossFilm / 2 * 298.15) / (HeaterFilm + LossFilm / 2);
        double m1 = Math.Sqrt((HeaterFilm + LossFilm / 2) / (K * ThicknessM));
        double m2 = Math.Sqrt(LossFilm / (K * ThicknessM));
        // heated + a cosh m1 x = ambient + b cosh m2 (L − x), and the same slopes, where the heater ends.
        double c1 = Math.Cosh(m1 * HeatedM);
        double s1 = m1 * Math.Sinh(m1 * HeatedM);
        double c2 = Math.Cosh(m2 * (LengthM - HeatedM));
        double s2 = -m2 * Math.Sinh(m2 * (LengthM - HeatedM));
        double b = s1 * (heated - 298.15) / (s1 * c2 - c1 * s2);
        double a = b * s2 / s1;
        return xM <= HeatedM ? heated + a * Math.Cosh(m1 * xM) : 298.15 + b * Math.Cosh(m2 * (LengthM - xM));
    }

    public static HeatCase Case(int cells) =>
        new(
            "strip",
            25,
            4000,
            [
                .. Enumerable
                    .Range(0, cells)
                    .Select(i => new HeatBox(
                        FormattableString.Invariant($"piece {i}"),
                        300.0 * i / cells,
                        300.0 * (i + 1) / cells,
                        0,
                        1,
                        -1.6,
                        0,
                        K,
                        5000,
                        2000,
                        1000
                    )),
            ],
            [
                HeatCases.Film(Faces.Top, LossFilm / 2, "room"),
                HeatCases.Film(Faces.Bottom, HeaterFilm, "heater") with
                {
                    Inside = new RectMm(0, 150, -1, 2),
                },
                HeatCases.Film(Faces.Bottom, LossFilm / 2, "room") with
                {
                    Outside = new RectMm(0, 150, -1, 2),
                },
            ],
            [],
            [HeatCases.Steady("room", 25), HeatCases.Steady("heater", 180)],
            [],
            []
        );

    public static double LargestErrorK(int cells)
    {
        HeatCase heat = Case(cells) with
        {
            Probes = [.. new[] { 0.0, 75, 150, 225, 300 }.Select(x => new HeatProbe($"{x}", x, 0.5, 0))],
        };
        FullRun run = HeatCases.Run(heat, HeatCases.BoxByBox(20));
        return heat.Probes.Select((p, i) => Math.Abs(run.ProbesC[i][^1] + 273.15 - ExactK(p.XMm / 1000))).Max();
    }
}

/// <summary>A block of 24 x 16 x 4 mm that a gas heats from all sides.</summary>
internal static class HeatedBlock
{
    private static readonly double[] SizesMm = [24, 16, 4];
    private static readonly double[] WPerMK = [5, 5, 0.5];
    private const double Film = 60;
    private const double JPerM3K = 2e6;

    // A quarter of the block would do; the whole is taken so that every sort of face is used.
    public static double LargestErrorK(int cells, double stepS)
    {
        const double TimeS = 40;
        List<HeatBox> boxes = [];
        // One box sets the lines in each direction.
        for (int i = 0; i < cells; i++)
        {
            double From(int axis) => SizesMm[axis] * i / cells;
            double To(int axis) => SizesMm[axis] * (i + 1) / cells;
            boxes.Add(Box($"{i}", From(0), To(0), From(1), To(1), From(2), To(2)));
        }
        boxes.Add(Box("block", 0, SizesMm[0], 0, SizesMm[1], 0, SizesMm[2]));
        HeatCase heat = new(
            "block",
            25,
            TimeS,
            boxes,
            [
                HeatCases.Film(Faces.Top, Film, "gas"),
                HeatCases.Film(Faces.Bottom, Film, "gas"),
                HeatCases.Film(Faces.Side, Film, "gas"),
            ],
            [],
            [HeatCases.Steady("gas", 250)],
            [
                new HeatProbe("middle", 12, 8, 2),
                new HeatProbe("face", 12, 8, 4),
                new HeatProbe("edge", 24, 8, 4),
                new HeatProbe("corner", 0, 0, 0),
                new HeatProbe("within", 6, 4, 1),
            ],
            []
        );
        FullRun run = HeatCases.Run(heat, HeatCases.BoxByBox(stepS));
        return heat.Probes.Select((p, n) => Math.Abs(run.ProbesC[n][^1] - ExactC(p, TimeS))).Max();
    }

    private static double ExactC(HeatProbe probe, double timeS)
    {
        double[] at = [probe.XMm, probe.YMm, probe.ZMm];
        double left = 1;
        for (int axis = 0; axis < 3; axis++)
        {
            double half = SizesMm[axis] / 2000;
            left *= TextbookHeat.SlabLeft(
                at[axis] / 1000 / half - 1,
                Film * half / WPerMK[axis],
                WPerMK[axis] / JPerM3K * timeS / (half * half)
            );
        }
        return 250 - 225 * left;
    }

    private static HeatBox Box(string name, double x0, double x1, double y0, double y1, double z0, double z1) =>
        new(name, x0, x1, y0, y1, z0, z1, WPerMK[0], WPerMK[2], JPerM3K / 1000, 1000);
}

/// <summary>Whether errors fall as fast as theory says.</summary>
internal static class Orders
{
    /// <summary>Every halving must show the order; the last two within a tolerance.</summary>
    public static void Fall(double[] errors, double ratio, double order, double tolerance)
    {
        double[] orders = [.. errors.Skip(1).Select((error, i) => Math.Log(errors[i] / error) / Math.Log(ratio))];
        string text = string.Join(", ", errors.Select(e => $"{e:0.000e+0}")) + " -> " + string.Join(", ", orders);
        Assert.True(Math.Abs(orders[^1] - order) < tolerance, text);
        Assert.All(orders, found => Assert.True(found > order - 3 * tolerance, text));
        TestContext.Current.SendDiagnosticMessage(text);
    }
}
