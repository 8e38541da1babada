using Graftbench.Core.Physics.Heat;
using Graftbench.Tests.Checks;

namespace Graftbench.Core.Tests.Physics.Heat;

/// <summary>What any heating must obey, whatever its numbers: balance, symmetry, bounds, order, and how signals are read.</summary>
public sealed class HeatLawTests
{
    private static readonly HeatMesh Rough = HeatMesh.Coarse with { StepS = 2 };

    [
        Theory,
        InlineData(HeatCases.Neighbours, true),
        InlineData(HeatCases.Misaligned, true),
        InlineData(HeatCases.Centred, false)
    ]
    public void What_flows_in_is_what_is_stored(string name, bool melts)
    {
        HeatCase heat = Hotter(HeatCases.Planned(name, melts), 120);
        FullRun run = HeatCases.Run(heat, Rough);
        Assert.True(run.Converged);
        Truth.Note("heat.balance", 100 * run.Energy.ImbalanceFraction);
        Assert.True(run.Energy.ImbalanceFraction < 1e-3, $"{run.Energy}");
        Assert.True(run.Energy.TurnoverJ > 1000);
    }

    [Fact]
    public void A_symmetric_board_has_symmetric_joints()
    {
        HeatCase heat = HeatCases.Planned(HeatCases.Centred, melts: true);
        // Probes draw lines of the grid: only those that lie as symmetrically as the board does may stay.
        heat = heat with
        {
            Probes = [.. heat.Probes.Where(p => p.Name.StartsWith("J_", StringComparison.Ordinal))],
        };
        FullRun run = HeatCases.Run(Hotter(heat, 60), Rough);
        double[] Curve(string probe) => run.ProbesC[heat.Probes.ToList().FindIndex(p => p.Name == probe)];
        double worst = 0;
        for (int n = 0; n < Curve("J_c").Length; n++)
        {
            foreach (
                (string a, string b) in new[] { ("J_sw", "J_se"), ("J_sw", "J_nw"), ("J_sw", "J_ne"), ("J_e", "J_w") }
            )
            {
                worst = Math.Max(worst, Math.Abs(Curve(a)[n] - Curve(b)[n]));
            }
        }
        // The solver sweeps from one corner to the other, so that what it lets pass is not symmetric: 1e-4 K a step.
        TestContext.Current.SendDiagnosticMessage($"{worst}");
        Assert.True(worst < 2e-3, $"{worst}");
    }

    [Fact]
    public void A_board_turned_or_mirrored_or_moved_heats_the_same()
    {
        HeatCase heat = HeatCases.Planned(HeatCases.Misaligned, melts: false);
        double[][] asItIs = HeatCases.Run(heat, Rough).ProbesC;
        Assert.True(
            Apart(
                asItIs,
                HeatCases.Run(Mapped(heat, r => new(100 - r.X1Mm, 100 - r.X0Mm, r.Y0Mm, r.Y1Mm)), Rough).ProbesC
            ) < 5e-3
        );
        Assert.True(
            Apart(asItIs, HeatCases.Run(Mapped(heat, r => new(r.Y0Mm, r.Y1Mm, r.X0Mm, r.X1Mm)), Rough).ProbesC) < 5e-3
        );
        Assert.True(
            Apart(
                asItIs,
                HeatCases
                    .Run(Mapped(heat, r => new(r.X0Mm + 512, r.X1Mm + 512, r.Y0Mm - 256, r.Y1Mm - 256)), Rough)
                    .ProbesC
            ) < 5e-3
        );
    }

    // Backward differences of second order are not monotone to the last digit after a jump, so a tenth of a kelvin is let.
    [Fact]
    public void Nothing_gets_hotter_than_the_hottest_gas_or_colder_than_the_coldest()
    {
        HeatCase heat = HeatCases.Planned(HeatCases.Neighbours, melts: true) with
        {
            Signals =
            [
                new HeatSignal(
                    HeatSignals.Gas,
                    [new SignalPoint(0, 300), new SignalPoint(200, 300), new SignalPoint(200, 0)]
                ),
                HeatCases.Steady(HeatSignals.Preheater, 150),
                HeatCases.Steady(HeatSignals.Room, 20),
            ],
        };
        HeatNetwork network = HeatNetwork.Of(heat, Rough, HeatFactors.Nominal);
        double hottest = double.NegativeInfinity;
        double coldest = double.PositiveInfinity;
        FullModel.Run(
            network,
            heat,
            HeatFactors.Nominal,
            2,
            FieldSampler.Of(network, []),
            (_, field) =>
            {
                foreach (double value in field)
                {
                    hottest = Math.Max(hottest, value - 273.15);
                    coldest = Math.Min(coldest, value - 273.15);
                }
            },
            null,
            CancellationToken.None
        );
        Assert.InRange(hottest, 200, 300.1);
        Assert.InRange(coldest, -0.1, 25.01);
    }

    [Fact]
    public void Without_films_everything_stays_as_it_was_to_the_last_bit()
    {
        HeatCase heat = HeatCases.Read(HeatCases.Misaligned) with { Films = [], Radiation = [], StartC = 31.4 };
        double[][] curves = HeatCases.Run(heat, Rough).ProbesC;
        // Reading a probe sums eight nodes with weights that add up to 1.
        Assert.All(curves, curve => Assert.All(curve, value => Assert.Equal(31.4, value, 1e-9)));
    }

    [Theory]
    [InlineData(nameof(HeatFactors.TopFactor))]
    [InlineData(nameof(HeatFactors.SpillFactor))]
    [InlineData(nameof(HeatFactors.BottomFactor))]
    [InlineData(nameof(HeatFactors.GasExcessFactor))]
    [InlineData(nameof(HeatFactors.PreheaterExcessFactor))]
    public void More_heat_makes_every_place_hotter_while_it_lasts(string factor)
    {
        HeatCase heat = HeatCases.Planned(HeatCases.Misaligned, melts: true) with { DurationS = 120 };
        HeatFactors more = With(factor, 1.2);
        double[][] usual = HeatCases.Run(heat, Rough).ProbesC;
        double[][] hot = HeatCases.Run(heat, Rough, more).ProbesC;
        for (int p = 0; p < usual.Length; p++)
        {
            for (int n = 5; n < usual[p].Length; n++)
            {
                Assert.True(hot[p][n] > usual[p][n] - 1e-3, $"{heat.Probes[p].Name}, step {n}");
            }
            Assert.True(hot[p][^1] > usual[p][^1] + (heat.Probes[p].Name == "corner" ? 0 : 0.1));
        }
    }

    [Fact]
    public void More_loss_makes_every_place_colder()
    {
        HeatCase heat = HeatCases.Planned(HeatCases.Misaligned, melts: false) with { DurationS = 120 };
        double[][] usual = HeatCases.Run(heat, Rough).ProbesC;
        double[][] cold = HeatCases.Run(heat, Rough, HeatFactors.Nominal with { AmbientFactor = 2 }).ProbesC;
        Assert.All(Enumerable.Range(0, usual.Length), p => Assert.True(cold[p][^1] < usual[p][^1] - 0.05));
    }

    // Heat capacity and conductivity of what lies last count; what it covers does not.
    [Fact]
    public void Of_two_boxes_in_one_place_the_later_one_wins()
    {
        HeatCase heat = HeatCases.Read(HeatCases.Misaligned);
        HeatBox board = heat.Boxes[0];
        HeatBox wrong = board with { Name = "wrong", InPlaneWPerMK = 300, DensityKgPerM3 = 9000 };
        double[][] asItIs = HeatCases.Run(heat, Rough).ProbesC;
        Assert.Equal(0, Apart(asItIs, HeatCases.Run(heat with { Boxes = [wrong, .. heat.Boxes] }, Rough).ProbesC), 12);
        Assert.True(Apart(asItIs, HeatCases.Run(heat with { Boxes = [.. heat.Boxes, wrong] }, Rough).ProbesC) > 5);
    }

    [Fact]
    public void A_sink_of_two_signals_is_their_weighted_sum()
    {
        HeatCase heat = HeatCases.Slab(25, 100, 1, 1, 100, 2e6) with { Probes = [new HeatProbe("p", 0.5, 0.5, 1)] };
        double[] mixed = HeatCases
            .Run(
                heat with
                {
                    Films =
                    [
                        new HeatFilm(
                            Faces.Top,
                            50,
                            [new SignalShare("gas", 0.6), new SignalShare("room", 0.4)],
                            FilmGroup.Spill,
                            null,
                            null,
                            []
                        ),
                    ],
                    Signals = [HeatCases.Steady("gas", 225), HeatCases.Steady("room", 25)],
                },
                HeatCases.BoxByBox(1)
            )
            .ProbesC[0];
        double[] alone = HeatCases
            .Run(
                heat with
                {
                    Films = [HeatCases.Film(Faces.Top, 50, "gas")],
                    Signals = [HeatCases.Steady("gas", 145)],
                },
                HeatCases.BoxByBox(1)
            )
            .ProbesC[0];
        for (int n = 0; n < mixed.Length; n++)
        {
            Assert.Equal(alone[n], mixed[n], 1e-9);
        }
    }

    [Theory, InlineData(0.3), InlineData(8), InlineData(3600)]
    public void A_device_follows_a_step_and_a_ramp_as_the_first_order_law_says(double lagS)
    {
        // Step to 125 at 0, ramp of 2 K/s from 30 s to 80 s, jump back to 25 at 80 s.
        SignalPoint[] points = [new(0, 125), new(30, 125), new(80, 225), new(80, 25)];
        double[] sampled = new double[121];
        DriveValues.Sample(points, lagS, 25, 1, sampled);
        double Decay(double s) => Math.Exp(-s / lagS);
        double at30 = 125 - 100 * Decay(30);
        double Ramp(double s) => 125 + 2 * (s - lagS) + (at30 - 125 + 2 * lagS) * Decay(s);
        for (int n = 0; n < sampled.Length; n++)
        {
            double exact =
                n <= 30 ? 125 - 100 * Decay(n)
                : n <= 80 ? Ramp(n - 30)
                : 25 + (Ramp(50) - 25) * Decay(n - 80);
            Assert.Equal(exact, sampled[n], 1e-8);
        }
    }

    [Fact]
    public void A_jump_counts_from_its_own_moment_on_and_the_last_point_is_held()
    {
        double[] sampled = new double[8];
        DriveValues.Sample([new(1, 40), new(3, 60), new(3, 200), new(5, 100)], 0, 25, 1, sampled);
        Assert.Equal([40, 40, 50, 200, 150, 100, 100, 100], sampled);
    }

    [Fact]
    public void Excess_scales_the_rise_over_the_start_only()
    {
        HeatCase heat = HeatCases.Planned(HeatCases.Misaligned, melts: false);
        DriveValues drive = new(heat, 1, 100, HeatFactors.Nominal with { GasExcessFactor = 0.5 });
        DriveValues usual = new(heat, 1, 100, HeatFactors.Nominal);
        for (int n = 0; n <= 100; n++)
        {
            Assert.Equal(25 + (usual.Of(HeatSignals.Gas)[n] - 25) / 2, drive.Of(HeatSignals.Gas)[n], 1e-9);
            Assert.Equal(usual.Of(HeatSignals.Preheater)[n], drive.Of(HeatSignals.Preheater)[n]);
        }
    }

    internal static HeatCase Hotter(HeatCase heat, double byK) =>
        heat with
        {
            Signals =
            [
                .. heat.Signals.Select(signal =>
                    signal.Name == HeatSignals.Gas
                        ? signal with
                        {
                            Points =
                            [
                                .. signal.Points.Select(point =>
                                    point with
                                    {
                                        // The rise grows in proportion: the shape stays.
                                        TemperatureC =
                                            25
                                            + (point.TemperatureC - 25)
                                                * (1 + byK / (signal.Points.Max(p => p.TemperatureC) - 25)),
                                    }
                                ),
                            ],
                        }
                        : signal
                ),
            ],
        };

    private static HeatFactors With(string factor, double value)
    {
        HeatFactors factors = HeatFactors.Nominal with { };
        typeof(HeatFactors).GetProperty(factor)!.SetValue(factors, value);
        return factors;
    }

    private static double Apart(double[][] a, double[][] b) =>
        a.Zip(b, (x, y) => x.Zip(y, (v, w) => Math.Abs(v - w)).Max()).Max();

    private static HeatCase Mapped(HeatCase heat, Func<RectMm, RectMm> map) =>
        heat with
        {
            Boxes =
            [
                .. heat.Boxes.Select(box =>
                {
                    RectMm to = map(new RectMm(box.X0Mm, box.X1Mm, box.Y0Mm, box.Y1Mm));
                    return box with { X0Mm = to.X0Mm, X1Mm = to.X1Mm, Y0Mm = to.Y0Mm, Y1Mm = to.Y1Mm };
                }),
            ],
            Films =
            [
                .. heat.Films.Select(f => f with { Inside = Maybe(f.Inside, map), Outside = Maybe(f.Outside, map) }),
            ],
            Radiation =
            [
                .. heat.Radiation.Select(r =>
                    r with
                    {
                        Inside = Maybe(r.Inside, map),
                        Outside = Maybe(r.Outside, map),
                    }
                ),
            ],
            Probes =
            [
                .. heat.Probes.Select(p =>
                {
                    RectMm to = map(new RectMm(p.XMm, p.XMm, p.YMm, p.YMm));
                    return p with { XMm = to.X0Mm, YMm = to.Y0Mm };
                }),
            ],
        };

    private static RectMm? Maybe(RectMm? rect, Func<RectMm, RectMm> map) => rect is null ? null : map(rect);
}
