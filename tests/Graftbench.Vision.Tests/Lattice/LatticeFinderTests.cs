using System.Diagnostics;
using Graftbench.Core.Numerics;
using Graftbench.Vision.Lattice;

namespace Graftbench.Vision.Tests.Lattice;

public class LatticeFinderTests
{
    // columns, rows, pitch px, turn, tilt, towards, empty middle, missing, moved, outliers, doubled
    public static readonly TheoryData<int, int, double, double, double, double, int, double, double, int, double> Seen =
        new()
        {
            { 20, 20, 30, 0, 0, 0, 0, 0, 0.01, 0, 0 },
            { 20, 20, 30, 45, 0, 0, 0, 0.05, 0.03, 40, 0 },
            { 25, 25, 18, 17, 25, 30, 7, 0.05, 0.03, 80, 0.3 },
            { 14, 22, 60, -77, 25, 90, 0, 0.3, 0.04, 100, 0.2 },
            { 34, 34, 11, 133, 20, 0, 14, 0.02, 0.04, 150, 0.1 },
            { 8, 8, 80, 5, 28, 120, 0, 0.1, 0.02, 20, 0.5 },
            { 5, 6, 90, 60, 10, 45, 0, 0, 0.02, 5, 0 },
            { 50, 50, 9, 30, 15, 10, 20, 0.1, 0.04, 400, 0.1 },
        };

    [Theory, MemberData(nameof(Seen))]
    public void Finds_the_lattice_of_the_camera(
        int columns,
        int rows,
        double pitchPx,
        double turnDeg,
        double tiltDeg,
        double towardsDeg,
        int emptyMiddle,
        double missing,
        double moved,
        int outliers,
        double doubled
    )
    {
        PlaneMap camera = LatticePoints.Camera(columns, rows, pitchPx, turnDeg, tiltDeg, towardsDeg);
        bool Has(int i, int j) =>
            Math.Abs(2 * i - columns + 1) >= emptyMiddle || Math.Abs(2 * j - rows + 1) >= emptyMiddle;
        for (ulong seed = 1; seed <= 6; seed++)
        {
            Dice dice = new(seed);
            List<LatticePoint> points = LatticePoints.Draw(
                dice,
                camera,
                columns,
                rows,
                Has,
                missing,
                moved,
                outliers,
                doubled
            );
            PointLattice? found = LatticeFinder.Find(points);
            Assert.NotNull(found);
            // Every node of the found lattice is a node of the true one, up to a quarter turn and a shift.
            (double u0, double v0) = TrueNode(camera, found.Map, 0, 0);
            Assert.All(
                found.Nodes,
                node =>
                {
                    (double u, double v) = TrueNode(camera, found.Map, node.I, node.J);
                    Assert.InRange(Math.Abs(u - Math.Round(u)), 0, 0.06);
                    Assert.InRange(Math.Abs(v - Math.Round(v)), 0, 0.06);
                }
            );
            (double u1, double v1) = TrueNode(camera, found.Map, 1, 0);
            Assert.Equal(1, Math.Abs(Math.Round(u1) - Math.Round(u0)) + Math.Abs(Math.Round(v1) - Math.Round(v0)));
            int balls = 0;
            for (int k = 0; k < columns * rows; k++)
            {
                balls += Has(k % columns, k / columns) ? 1 : 0;
            }
            Assert.InRange(found.Nodes.Count, 0.93 * balls * (1 - 1.3 * missing), balls + outliers);
            Assert.True(found.Map.StepAt(0, 0).Unmirrored);
        }
    }

    private static (double U, double V) TrueNode(PlaneMap camera, PlaneMap found, double i, double j)
    {
        (double x, double y) = found.ToPicture(i, j);
        return camera.ToPlane(x, y);
    }

    [Fact]
    public void Points_thrown_at_random_fill_no_lattice()
    {
        for (ulong seed = 1; seed <= 5; seed++)
        {
            Dice dice = new(seed);
            LatticePoint[] points =
            [
                .. Enumerable.Range(0, 600).Select(_ => new LatticePoint(dice.Between(0, 900), dice.Between(0, 900))),
            ];
            PointLattice? found = LatticeFinder.Find(points);
            Assert.True(found is null || found.ScoreNumber < 60, $"{found?.ScoreNumber} {found?.Nodes.Count}");
        }
    }

    [Fact]
    public void Points_without_number_or_on_one_spot_take_bounded_time()
    {
        Stopwatch watch = Stopwatch.StartNew();
        Dice dice = new(3);
        LatticePoint[] many =
        [
            .. Enumerable.Range(0, 100_000).Select(_ => new LatticePoint(dice.Between(0, 4000), dice.Between(0, 3000))),
        ];
        LatticeFinder.Find(many);
        Assert.Null(LatticeFinder.Find([.. Enumerable.Repeat(new LatticePoint(5, 5), 20_000)]));
        Assert.Null(LatticeFinder.Find([.. Enumerable.Range(0, 5000).Select(i => new LatticePoint(i, 7))]));
        Assert.Null(LatticeFinder.Find([]));
        // A minute would be a hang; this takes about a second.
        Assert.InRange(watch.Elapsed.TotalSeconds, 0, 30);
    }
}
