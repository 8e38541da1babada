using CsCheck;
using Graftbench.Core.Physics.Alloys;

namespace Graftbench.Core.Tests.Physics.Alloys;

/// <summary>Two alloys in one joint against the independent calculation of the project fact sheet 'solder alloys' 3.4, and properties.</summary>
public class MixedMeltTests
{
    // share of the tin-lead alloy %, then liquidus and T99 of SAC305, SAC405, SAC105 with Sn63Pb37, SAC305 with Sn62Pb36Ag2
    public static readonly TheoryData<double, double[]> Table = new()
    {
        { 0, [219.87, 219.75, 223.58, 217.72, 225.94, 225.89, 219.87, 219.75] },
        { 10, [215.22, 215.06, 216.08, 212.86, 220.85, 220.74, 214.77, 214.61] },
        { 20, [210.70, 210.50, 208.23, 208.11, 215.86, 215.71, 209.77, 209.56] },
        { 30, [206.33, 206.10, 204.10, 203.84, 211.00, 210.80, 204.87, 204.62] },
        { 40, [202.16, 201.89, 200.17, 199.88, 206.30, 206.07, 200.12, 199.83] },
        { 50, [198.22, 197.91, 196.49, 196.17, 201.80, 201.53, 195.53, 195.21] },
        { 60, [194.53, 194.20, 193.09, 192.73, 197.52, 197.21, 193.94, 191.14] },
        { 70, [191.15, 190.80, 190.01, 189.64, 193.48, 193.16, 193.46, 187.27] },
        { 80, [188.11, 187.73, 187.30, 186.92, 189.73, 189.38, 193.19, 183.65] },
        { 90, [185.44, 185.06, 185.01, 184.63, 186.29, 185.93, 193.14, 180.23] },
        { 100, [183.19, 182.82, 183.19, 182.82, 183.19, 182.82, 193.33, 177.08] },
    };

    [Theory, MemberData(nameof(Table))]
    public void Lead_free_with_tin_lead(double share, double[] expected)
    {
        (string, string)[] pairs =
        [
            ("SAC305", "Sn63Pb37"),
            ("SAC405", "Sn63Pb37"),
            ("SAC105", "Sn63Pb37"),
            ("SAC305", "Sn62Pb36Ag2"),
        ];
        for (int i = 0; i < pairs.Length; i++)
        {
            MeltingModel model = new(MeltingModelTests.Mix(pairs[i].Item1, pairs[i].Item2, share));
            Assert.Equal(expected[2 * i], model.Liquidus().ValueC!.Value, 0.03);
            Assert.Equal(expected[2 * i + 1], model.FullMelt().ValueC!.Value, 0.05);
        }
    }

    // share of Sn63Pb37 in SAC305, liquid at 178 183 190 200 205 210 215 °C (rows 25, 26)
    public static readonly TheoryData<double, double[]> Liquid = new()
    {
        { 5, [0, 0, 0, 0.007, 0.070, 0.260, 0.839] },
        { 10, [0.022, 0.033, 0.061, 0.164, 0.303, 0.692, 0.986] },
        { 20, [0.140, 0.173, 0.245, 0.477, 0.769, 0.966, 1] },
        { 30, [0.258, 0.313, 0.429, 0.774, 0.946, 1, 1] },
        { 50, [0.494, 0.593, 0.764, 1, 1, 1, 1] },
        { 70, [0.699, 0.795, 0.968, 1, 1, 1, 1] },
        { 90, [0.249, 0.938, 1, 1, 1, 1, 1] },
    };

    [Theory, MemberData(nameof(Liquid))]
    public void Liquid_of_a_partly_melted_joint(double share, double[] expected)
    {
        double[] atC = [178, 183, 190, 200, 205, 210, 215];
        MeltingModel model = new(MeltingModelTests.Mix("SAC305", "Sn63Pb37", share));
        for (int i = 0; i < atC.Length; i++)
        {
            Assert.Equal(expected[i], model.At(atC[i]).LiquidFraction, 0.005);
        }
    }

    [Theory] // wt% Pb in SAC305, equilibrium solidus
    [InlineData(0.1, 215.2)]
    [InlineData(0.5, 212.1)]
    [InlineData(1, 207.8)]
    [InlineData(2, 197.1)]
    [InlineData(3, 178.3)]
    [InlineData(4, 176.5)]
    public void Traces_of_lead_lower_the_solidus(double lead, double expectedC)
    {
        SolderMix mix = SolderMix.Blend((MeltingModelTests.Mix("SAC305"), 100 - lead), (new SolderMix(0, 100), lead));
        Assert.Equal(expectedC, new MeltingModel(mix).Solidus().ValueC!.Value, 0.1);
    }

    [Theory] // Sn42Bi58 with share of Sn63Pb37: solidus, tolerance = printed digits
    [InlineData(1, 116.1)]
    [InlineData(2, 97.96)]
    [InlineData(50, 97.96)]
    [InlineData(60, 100.5)]
    [InlineData(70, 122.4)]
    [InlineData(80, 135.7)]
    [InlineData(90, 157.9)]
    public void Bismuth_with_lead_softens(double share, double expectedC) =>
        Assert.Equal(
            expectedC,
            new MeltingModel(MeltingModelTests.Mix("Sn42Bi58", "Sn63Pb37", share)).Solidus().ValueC!.Value,
            0.1
        );

    [Theory] // Sn42Bi58 with share of SAC305: T99 printed to 1 K; solidus 137.1 up to 60 %
    [InlineData(10, 147)]
    [InlineData(30, 168)]
    [InlineData(50, 185)]
    [InlineData(70, 199)]
    [InlineData(90, 213)]
    public void Bismuth_with_lead_free(double share, double expectedC)
    {
        MeltingModel model = new(MeltingModelTests.Mix("Sn42Bi58", "SAC305", share));
        Assert.Equal(expectedC, model.FullMelt().ValueC!.Value, 0.6);
        if (share <= 60)
        {
            Assert.Equal(137.1, model.Solidus().ValueC!.Value, 0.1);
        }
    }

    [Fact] // rows 38, 39
    public void Order_does_not_matter_and_a_trace_of_nothing_is_nothing()
    {
        SolderMix one = SolderMix.Blend((MeltingModelTests.Mix("SAC305"), 30), (MeltingModelTests.Mix("Sn63Pb37"), 70));
        SolderMix two = SolderMix.Blend((MeltingModelTests.Mix("Sn63Pb37"), 70), (MeltingModelTests.Mix("SAC305"), 30));
        Assert.Equal(
            new MeltingModel(one).Liquidus().ValueC!.Value,
            new MeltingModel(two).Liquidus().ValueC!.Value,
            1e-9
        );
        SolderMix clean = MeltingModelTests.Mix("Sn63Pb37");
        foreach (SolderMix trace in (SolderMix[])[new(0, 0, 1), new(0, 0, 0, 1), new(0, 0, 0, 0, 1)])
        {
            SolderMix dirty = SolderMix.Blend((clean, 1), (trace, 1e-9));
            Assert.Equal(
                new MeltingModel(clean).Liquidus().ValueC!.Value,
                new MeltingModel(dirty).Liquidus().ValueC!.Value,
                0.01
            );
        }
    }

    private static readonly Gen<SolderMix> AnyMix = Gen.Select(
            Gen.Double[0, 100],
            Gen.Double[0, 60],
            Gen.Double[0, 5],
            Gen.Double[0, 1.5],
            Gen.Double[0, 60]
        )
        .Select((tin, lead, silver, copper, bismuth) => new SolderMix(tin + 20, lead, silver, copper, bismuth).Whole())
        .Where(mix => MeltingModel.OutsideModel(mix) is null);

    // The second law: at one pressure the enthalpy rises with the temperature. The melt need not: see the pocket below.
    [Fact]
    public void Phases_keep_the_elements_and_warmer_holds_more_heat() =>
        Gen.Select(AnyMix, Gen.Double[70, 240])
            .Sample(
                (mix, atC) =>
                {
                    MeltingModel model = new(mix);
                    PhaseBalance low = model.At(atC);
                    Assert.True(low.Converged, $"{mix} at {atC}: residual {low.ResidualJ}");
                    double? warmer = model.EnthalpyJPerKg(atC + 10) - model.EnthalpyJPerKg(atC);
                    // 120 J/(kg K) is below the specific heat of every one of the metals but bismuth's and lead's 122 and 127 (from memory).
                    Assert.True(warmer > 1000, $"{mix} at {atC}: {warmer} J/kg for 10 K");
                    Assert.Equal(
                        mix.LeadPercent,
                        low.Phases.Sum(each => each.MassFraction * each.Mix.LeadPercent),
                        1e-5
                    );
                    Assert.Equal(
                        mix.CopperPercent,
                        low.Phases.Sum(each => each.MassFraction * each.Mix.CopperPercent),
                        1e-5
                    );
                    Assert.Equal(1, low.Phases.Sum(each => each.MassFraction), 1e-7);
                },
                iter: 300,
                threads: 1
            );

    // A quarter per cent of melt at 124 °C of which less is left at 134: tin dissolves more bismuth and lead as it warms.
    [Fact]
    public void Solidus_is_the_first_melt_where_warmer_tin_takes_some_of_it_back()
    {
        MeltingModel model = new(
            new SolderMix(87.67144748334323, 0.8399022038499864, 0, 0.2438425753112864, 11.244807737495492)
        );
        Assert.True(model.At(124).LiquidFraction > model.At(134).LiquidFraction);
        for (double lead = 0.5; lead <= 0.9; lead += 0.02)
        {
            MeltingModel pocket = new(new SolderMix(100 - lead - 0.24 - 11.24, lead, 0, 0.24, 11.24));
            double firstC = pocket.Solidus().ValueC!.Value;
            for (double atC = 70; atC < firstC - 0.05; atC += 2)
            {
                Assert.True(pocket.At(atC).LiquidFraction < 1e-5, $"{lead} % lead melts at {atC}, not {firstC}");
            }
        }
    }

    [Fact]
    public void Newton_makes_the_phases_of_any_mix_exact_from_one_temperature_to_the_next() =>
        Gen.Select(AnyMix, Gen.Double[330, 510].Array[4])
            .Sample(
                (mix, temperaturesK) =>
                {
                    PhaseSolver solver = new(mix.MoleFractions());
                    foreach (double temperatureK in temperaturesK)
                    {
                        Assert.True(solver.Solve(temperatureK), $"{mix} at {temperatureK} K: {solver.ResidualJ}");
                        // Of an element with one atom in a hundred million or less the digits do not suffice; the simplex's do.
                        Assert.True(solver.IsExact || Traces(mix), $"{mix} at {temperatureK} K");
                        Assert.InRange(solver.ResidualJ, 0, PhaseSolver.ToleranceJ);
                    }
                },
                iter: 300,
                threads: 1
            );

    private static bool Traces(SolderMix mix) =>
        new[] { mix.LeadPercent, mix.SilverPercent, mix.CopperPercent, mix.BismuthPercent }.Any(share =>
            share is > 0 and < 1e-5
        );

    [Fact]
    public void An_answer_of_the_simplex_alone_says_how_far_off_it_is_and_is_refused_beyond_a_tenth_of_a_kelvin()
    {
        int taken = 0;
        Gen.Select(AnyMix, Gen.Double[340, 500])
            .Sample(
                (mix, temperatureK) =>
                {
                    double[] x = mix.MoleFractions();
                    PhaseSolver rough = new(x) { WithoutNewton = true };
                    PhaseSolver exact = new(x);
                    Assert.True(exact.Solve(temperatureK));
                    bool solved = rough.Solve(temperatureK);
                    Assert.False(rough.IsExact);
                    Assert.Equal(solved, rough.ResidualJ <= PhaseSolver.MostInexactJ);
                    if (solved)
                    {
                        taken++;
                        // Within what the liquid gains in a few tenths of a kelvin, off the steps.
                        double slopeHalfK = Math.Abs(
                            LiquidAt(x, temperatureK + 0.25) - LiquidAt(x, temperatureK - 0.25)
                        );
                        Assert.Equal(exact.LiquidMoles(), rough.LiquidMoles(), 0.01 + 2 * slopeHalfK);
                    }
                },
                iter: 100,
                threads: 1
            );
        Assert.True(taken > 50, $"{taken} of 100");
    }

    private static double LiquidAt(double[] x, double temperatureK)
    {
        PhaseSolver solver = new(x);
        Assert.True(solver.Solve(temperatureK));
        return solver.LiquidMoles();
    }

    // Epsilon lead-bismuth mixes with so much heat that its free energy is not convex in all five shares at once, only along
    // those that add up to 1; without that distinction it was never made exact.
    [Fact]
    public void The_lead_bismuth_phase_is_exact()
    {
        SolderMix mix = new(46.026, 30.602, 2.05044, 0.63695, 20.68455);
        PhaseSolver solver = new(mix.Whole().MoleFractions());
        Assert.True(solver.Solve(370.524));
        Assert.True(solver.IsExact);
        Assert.Contains(solver.Found, each => each.Phase == 3);
    }

    [Fact]
    public void Any_mix_gets_a_finite_figure_or_a_reason_in_order() =>
        AnyMix.Sample(
            mix =>
            {
                MeltingModel model = new(mix);
                MeltPoint[] points = [model.Solidus(), model.FullMelt(), model.Liquidus()];
                Assert.All(
                    points,
                    point => Assert.True(point.ValueC is double c ? double.IsFinite(c) : point.Why is not null)
                );
                Assert.All(points, point => Assert.True(point.ValueC is not null, $"{mix}: {point.Why}"));
                Assert.True(
                    points[0].ValueC <= points[1].ValueC + 0.01 && points[1].ValueC <= points[2].ValueC + 0.01,
                    $"{mix}"
                );
            },
            iter: 100,
            threads: 1
        );

    [Fact]
    public void Any_mix_freezes_step_by_step_to_an_end_at_or_below_its_first_melt() =>
        AnyMix.Sample(
            mix =>
            {
                MeltingModel model = new(mix);
                Freezing freezing = model.Freeze();
                Assert.True(freezing.End.ValueC is not null, $"{mix}: {freezing.End.Why}");
                Assert.True(freezing.End.ValueC <= model.Solidus().ValueC + 0.3, $"{mix}");
                Assert.All(
                    freezing.Curve.Zip(freezing.Curve.Skip(1)),
                    pair =>
                        Assert.True(
                            pair.Second.TemperatureC < pair.First.TemperatureC
                                && pair.Second.LiquidFraction <= pair.First.LiquidFraction + 1e-9,
                            $"{mix} at {pair.Second.TemperatureC}"
                        )
                );
            },
            iter: 100,
            threads: 1
        );
}
