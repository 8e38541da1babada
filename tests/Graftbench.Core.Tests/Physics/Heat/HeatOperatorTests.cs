using Graftbench.Core.Numerics;
using Graftbench.Core.Physics.Heat;

namespace Graftbench.Core.Tests.Physics.Heat;

/// <summary>
/// The operator alone, by a manufactured solution: a field is chosen, the heat that it needs is computed by hand, and the
/// network must give the field back. Conductivity along and through differ by fifty, cells by up to two and a half.
/// </summary>
public sealed class HeatOperatorTests
{
    private static readonly double[] SizesMm = [40, 30, 2];
    private const double Along = 25;
    private const double Through = 0.5;
    private const double JPerM3K = 2e6;

    // Holds the level that a body without loss does not have [1/s].
    private const double RatePerS = 0.02;

    [Fact]
    public void A_manufactured_field_comes_back_with_second_order_on_uneven_cells()
    {
        double[] errors = [.. new[] { 6, 12, 24, 48 }.Select(LargestErrorK)];
        Orders.Fall(errors, 2, 2, 0.1);
        Assert.True(errors[^1] < 0.2, $"{errors[^1]}");
    }

    [Fact]
    public void Capacities_add_up_to_the_body_and_conduction_takes_a_constant_to_nothing()
    {
        HeatNetwork network = HeatNetwork.Of(
            HeatCases.Read(HeatCases.Neighbours),
            HeatMesh.Plan with
            {
                SnapMm = 0,
            },
            HeatFactors.Nominal
        );
        // Volumes of the case's boxes by hand, later ones winning: ρ·cp·V.
        double board = 1.6e-3 * ((0.18 * 0.2 - 0.065 * 0.055) * 2500 * 800 + 0.065 * 0.055 * 2050 * 930);
        double rich = 1.6e-3 * 0.12 * 0.2 * 2900 * 720;
        double package =
            0.035 * 0.035 * (0.45e-3 * 1625 * 230 + 1.2e-3 * 2100 * 1000)
            + 0.015 * 0.015 * (0.1e-3 * 1900 * 1000 + 0.8e-3 * 2330 * 770);
        double neighbours = 0.05 * 0.008 * 0.006 * 1500 * 1200 + 0.012 * 0.012 * 0.005 * 5000 * 650;
        Assert.Equal(board + rich + package + neighbours, network.CapacityJPerK.Sum(), 1e-6);
        double[] ones = [.. Enumerable.Repeat(1.0, network.Count)];
        double[] flow = new double[network.Count];
        network.Conduction.Multiply(ones, flow);
        Assert.All(flow, value => Assert.Equal(0, value, 1e-9));
    }

    [Fact]
    public void Films_and_radiation_add_up_to_the_faces_they_cover()
    {
        HeatNetwork network = HeatNetwork.Of(
            HeatCases.Planned(HeatCases.Centred, melts: false) with
            {
                Radiation =
                [
                    new HeatRadiation(Faces.Top, 0.85, [new SignalShare(HeatSignals.Room, 1)], null, null, []),
                ],
            },
            HeatMesh.Plan,
            HeatFactors.Nominal
        );
        // Areas of the case by hand [m²]: nozzle 39 x 39 mm with chip sides, rings, rest, underside.
        double nozzle = 0.039 * 0.039;
        double sides = 4 * 0.035 * 1.2e-3 + 4 * 0.015 * 0.9e-3;
        Sum(FilmGroup.Top, 90 * nozzle + 45 * sides);
        Sum(FilmGroup.Spill, 31.5 * (0.059 * 0.059 - nozzle) + 10.8 * (0.099 * 0.099 - 0.059 * 0.059));
        Sum(FilmGroup.Bottom, 24 * 0.18 * 0.16);
        Sum(FilmGroup.Ambient, 7 * (0.18 * 0.16 - nozzle));
        Assert.Equal(
            0.85 * 5.670374419e-8 * 0.18 * 0.16,
            network.Radiation.SelectMany(patch => patch.WPerK4).Sum(),
            1e-16
        );

        void Sum(FilmGroup group, double wanted) =>
            Assert.Equal(wanted, network.Films.Where(f => f.Group == group).SelectMany(f => f.WPerK).Sum(), 1e-9);
    }

    private static double LargestErrorK(int cells)
    {
        HeatCase heat = new(
            "block",
            25,
            1,
            [
                .. Enumerable
                    .Range(0, cells)
                    .Select(i =>
                        Box(
                            $"{i}",
                            Line(0, i, cells),
                            Line(0, i + 1, cells),
                            Line(1, i, cells),
                            Line(1, i + 1, cells),
                            Line(2, i, cells),
                            Line(2, i + 1, cells)
                        )
                    ),
                Box("block", 0, SizesMm[0], 0, SizesMm[1], 0, SizesMm[2]),
            ],
            [],
            [],
            [],
            [],
            []
        );
        HeatGrid grid = HeatGrid.Of(heat, HeatCases.BoxByBox(1));
        HeatNetwork network = HeatNetwork.Of(heat, grid, HeatFactors.Nominal);
        double[] exact = new double[network.Count];
        double[] load = new double[network.Count];
        double[] diagonal = new double[network.Count];
        for (int k = 0; k < grid.ZMm.Length; k++)
        {
            for (int j = 0; j < grid.YMm.Length; j++)
            {
                for (int i = 0; i < grid.XMm.Length; i++)
                {
                    int node = network.NodeAt(i, j, k);
                    // cos·cos·cos has no slope at the faces, so they are insulated.
                    double a = Math.PI / SizesMm[0];
                    double b = 2 * Math.PI / SizesMm[1];
                    double c = Math.PI / SizesMm[2];
                    exact[node] =
                        100 * Math.Cos(a * grid.XMm[i]) * Math.Cos(b * grid.YMm[j]) * Math.Cos(c * grid.ZMm[k]);
                    // −div(k grad T) + rate·C·T per volume; millimetres to metres.
                    double source = 1e6 * (Along * (a * a + b * b) + Through * c * c) + RatePerS * JPerM3K;
                    load[node] = source * exact[node] * network.CapacityJPerK[node] / JPerM3K;
                    diagonal[node] = network.Conduction.Diagonal[node] + RatePerS * network.CapacityJPerK[node];
                }
            }
        }
        double[] found = new double[network.Count];
        SolveReport report = new ConjugateGradients(network.Conduction.WithDiagonal(diagonal)).Solve(
            load,
            found,
            1e-9,
            2000
        );
        Assert.True(report.Converged, $"{report}");
        return found.Zip(exact, (f, e) => Math.Abs(f - e)).Max();
    }

    // Cells grow from both ends to the middle and lean to one side; the map is smooth, so that halving halves every cell.
    private static double Line(int axis, int i, int cells) =>
        SizesMm[axis]
        * (1.0 * i / cells + 0.07 * Math.Sin(2 * Math.PI * i / cells) - 0.03 * Math.Sin(Math.PI * i / cells));

    private static HeatBox Box(string name, double x0, double x1, double y0, double y1, double z0, double z1) =>
        new(name, x0, x1, y0, y1, z0, z1, Along, Through, JPerM3K / 1000, 1000);
}
