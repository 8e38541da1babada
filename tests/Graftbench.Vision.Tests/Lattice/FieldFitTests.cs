using Graftbench.Core.Inspection;
using Graftbench.Core.Numerics;
using Graftbench.Vision.Lattice;

namespace Graftbench.Vision.Tests.Lattice;

public class FieldFitTests
{
    // One corner site and a block off the middle are absent: no turn and no mirror leaves it as it is.
    private static BallField Lopsided(int rows = 14, int columns = 12)
    {
        bool[] has = new bool[rows * columns];
        for (int k = 0; k < has.Length; k++)
        {
            (int row, int column) = (k / columns, k % columns);
            has[k] = !(row is >= 4 and < 8 && column is >= 3 and < 8) && (row, column) != (0, 0);
        }
        return new BallField(rows, columns, 1.0, has);
    }

    private static NodeEvidence Look(
        BallField field,
        FieldPlacement truth,
        int side,
        Func<int, int, bool>? seen = null,
        Dice? dice = null,
        double missing = 0
    )
    {
        double[] signs = new double[side * side];
        for (int k = 0; k < signs.Length; k++)
        {
            (int i, int j) = (k % side - 5, k / side - 5);
            (int row, int column) = truth.SiteOf(i, j);
            bool ball = field.Has(row, column) && !(dice is not null && dice.Uniform() < missing);
            signs[k] =
                seen is not null && !seen(i, j) ? 0
                : ball ? 1
                : -1;
        }
        return new NodeEvidence(side, side, -5, -5, signs);
    }

    public static TheoryData<int, bool> Ways =>
        new()
        {
            { 0, false },
            { 1, false },
            { 2, false },
            { 3, false },
            { 0, true },
            { 1, true },
            { 2, true },
            { 3, true },
        };

    [Theory, MemberData(nameof(Ways))]
    public void Every_way_is_found_back(int turns, bool mirrored)
    {
        BallField field = Lopsided();
        FieldPlacement truth = Shifted(field, turns, mirrored);
        NodeEvidence evidence = Look(field, truth, 24, null, new Dice(4), 0.05);
        FieldFitting fit = FieldFit.Fit(evidence, field, mirrored ? BallView.Bottom : BallView.Top);
        Assert.Equal(FieldFitState.Found, fit.State);
        Assert.Equal(truth, fit.Best);
        Assert.True(fit.MarginSites > 3, $"{fit.MarginSites}");
        (int i, int j) = truth.NodeOf(3, 5);
        Assert.Equal((3, 5), truth.SiteOf(i, j));
    }

    [Theory, MemberData(nameof(Ways))]
    public void Seen_from_the_other_side_it_says_mirrored(int turns, bool mirrored)
    {
        BallField field = Lopsided();
        NodeEvidence evidence = Look(field, Shifted(field, turns, mirrored), 24);
        FieldFitting fit = FieldFit.Fit(evidence, field, mirrored ? BallView.Top : BallView.Stencil);
        Assert.Equal(FieldFitState.Mirrored, fit.State);
    }

    // By hand: seen from the top columns run to the right and rows down; each further turn turns the field a quarter clockwise; a
    // mirrored one has its columns the other way round.
    [Theory]
    [InlineData(0, false, 1, 0, 0, 1)]
    [InlineData(1, false, 0, 1, -1, 0)]
    [InlineData(2, false, -1, 0, 0, -1)]
    [InlineData(3, false, 0, -1, 1, 0)]
    [InlineData(0, true, -1, 0, 0, 1)]
    public void A_column_and_a_row_run_in_these_directions(int turns, bool mirrored, int ci, int cj, int ri, int rj)
    {
        FieldPlacement way = new(turns, mirrored, 0, 0);
        Assert.Equal((ci, cj), way.NodeOf(0, 1));
        Assert.Equal((ri, rj), way.NodeOf(1, 0));
    }

    [Theory, MemberData(nameof(Ways))]
    public void Only_a_mirrored_way_turns_the_hand(int turns, bool mirrored)
    {
        FieldPlacement way = new(turns, mirrored, 3, -2);
        (int i0, int j0) = way.NodeOf(0, 0);
        (int i1, int j1) = way.NodeOf(0, 1);
        (int i2, int j2) = way.NodeOf(1, 0);
        Assert.Equal(mirrored ? -1 : 1, (i1 - i0) * (j2 - j0) - (j1 - j0) * (i2 - i0));
        Assert.Equal((7, 4), way.SiteOf(way.NodeOf(7, 4).I, way.NodeOf(7, 4).J));
    }

    [Fact]
    public void A_full_field_asks_for_its_corner_and_takes_it()
    {
        BallField field = new(10, 10, 0.8);
        FieldPlacement truth = Shifted(field, 1, true);
        NodeEvidence evidence = Look(field, truth, 20);
        FieldFitting asked = FieldFit.Fit(evidence, field, BallView.Bottom);
        Assert.Equal(FieldFitState.CornerUnknown, asked.State);
        Assert.Equal(4, asked.Alike.Count);
        (int, int) a1 = truth.NodeOf(0, 0);
        FieldFitting told = FieldFit.Fit(evidence, field, BallView.Bottom, corners => corners[0] == a1);
        Assert.Equal(FieldFitState.Found, told.State);
        Assert.Equal(truth, told.Best);
    }

    [Fact]
    public void A_crop_with_the_empty_block_in_it_is_placed_and_one_without_any_edge_is_not()
    {
        BallField field = Lopsided(30, 30);
        FieldPlacement truth = Shifted(field, 2, false);
        NodeEvidence part = Look(field, truth, 60, (i, j) => truth.SiteOf(i, j) is { Row: < 18, Column: < 20 });
        FieldFitting fit = FieldFit.Fit(part, field, BallView.Top);
        Assert.Equal(FieldFitState.Found, fit.State);
        Assert.Equal(truth, fit.Best);
        NodeEvidence middle = Look(
            field,
            truth,
            60,
            (i, j) => truth.SiteOf(i, j) is { Row: > 10 and < 22, Column: > 10 and < 22 }
        );
        Assert.Equal(FieldFitState.PlaceUnknown, FieldFit.Fit(middle, field, BallView.Top).State);
    }

    [Fact]
    public void Another_package_does_not_fit()
    {
        BallField shown = new(18, 18, 1);
        NodeEvidence evidence = Look(shown, Shifted(shown, 0, false), 30);
        Assert.Equal(FieldFitState.NoFit, FieldFit.Fit(evidence, new BallField(11, 11, 1), BallView.Top).State);
        Assert.Equal(
            FieldFitState.NoFit,
            FieldFit.Fit(new NodeEvidence(3, 3, 0, 0, new double[9]), shown, BallView.Top).State
        );
    }

    // Puts the field's nodes at 0 and on.
    private static FieldPlacement Shifted(BallField field, int turns, bool mirrored)
    {
        for (int c = -40; c <= 40; c++)
        {
            for (int r = -40; r <= 40; r++)
            {
                FieldPlacement way = new(turns, mirrored, c, r);
                IReadOnlyList<(int I, int J)> corners = FieldFit.Corners(way, field);
                if (corners.Min(node => node.I) == 0 && corners.Min(node => node.J) == 0)
                {
                    return way;
                }
            }
        }
        throw new InvalidOperationException();
    }
}
