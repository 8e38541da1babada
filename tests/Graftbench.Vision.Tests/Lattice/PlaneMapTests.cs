using CsCheck;
using Graftbench.Vision.Lattice;

namespace Graftbench.Vision.Tests.Lattice;

public class PlaneMapTests
{
    [Fact]
    public void Four_corners_of_a_known_trapezium_decide_the_map()
    {
        // x = u / (1 + v/2), y = v / (1 + v/2): (0,0)→(0,0), (1,0)→(1,0), (1,2)→(1/2,1), (0,2)→(0,1); the middle (1/2,1)→(1/3,2/3).
        PlaneMap map = PlaneMap.Fit([new(0, 0, 0, 0), new(1, 0, 1, 0), new(1, 2, 0.5, 1), new(0, 2, 0, 1)])!;
        (double x, double y) = map.ToPicture(0.5, 1);
        Assert.Equal(1 / 3.0, x, 1e-6);
        Assert.Equal(2 / 3.0, y, 1e-6);
    }

    [Fact]
    public void There_and_back_is_the_same_place() =>
        Gen.Select(Gen.Double[-30, 30], Gen.Double[-180, 180], Gen.Double[0, 28], Gen.Double[0, 360])
            .Sample(
                (place, turn, tilt, towards) =>
                {
                    PlaneMap map = LatticePoints.Camera(20, 20, 25, turn, tilt, towards);
                    (double x, double y) = map.ToPicture(10 + place / 3, 5 - place / 3);
                    (double u, double v) = map.ToPlane(x, y);
                    return Math.Abs(u - 10 - place / 3) < 1e-6 && Math.Abs(v - 5 + place / 3) < 1e-6;
                }
            );

    [Fact]
    public void A_few_pairs_far_off_do_not_move_it()
    {
        PlaneMap truth = LatticePoints.Camera(20, 20, 25, 30, 20, 70);
        List<PlacePair> pairs = [];
        for (int k = 0; k < 400; k++)
        {
            (double x, double y) = truth.ToPicture(k % 20, k / 20);
            pairs.Add(new PlacePair(k % 20, k / 20, x + (k % 29 == 0 ? 9 : 0), y));
        }
        PlaneMap map = PlaneMap.Fit(pairs, 1)!;
        (double px, double py) = map.ToPicture(19, 0);
        (double tx, double ty) = truth.ToPicture(19, 0);
        Assert.Equal(tx, px, 0.02);
        Assert.Equal(ty, py, 0.02);
    }

    [Fact]
    public void Pairs_on_one_line_or_one_spot_decide_nothing()
    {
        Assert.Null(PlaneMap.Fit([new(0, 0, 0, 0), new(1, 0, 1, 0), new(2, 0, 2, 0)]));
        Assert.Null(PlaneMap.Fit([.. Enumerable.Repeat(new PlacePair(1, 1, 2, 2), 9)]));
    }
}
