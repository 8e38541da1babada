using CsCheck;
using Graftbench.Core.Returns;
using Graftbench.Tests.Checks;

namespace Graftbench.Core.Tests.Returns;

public class ClusterTestTests
{
    private static FieldSite[] Field(int side) =>
        [.. Enumerable.Range(0, side * side).Select(i => new FieldSite(i / side, i % side))];

    private const string Counted = "every choice counted: tests/reference/clusters.py";

    public static readonly TheoryData<int, int, int[], long, long, long, string> Enumerated = new()
    { // rows, columns, balls as row · 100 + column, choices, as close together, as close to corners
        { 4, 4, [101, 102], 120, 24, 120, Counted },
        { 4, 4, [0, 3, 300, 303], 1820, 1820, 1, Counted },
        { 5, 4, [0, 2, 101, 202, 300], 15504, 4734, 8808, Counted },
        { 6, 8, [0, 1, 100], 17296, 140, 236, Counted },
        { 8, 8, [303, 304, 404], 41664, 196, 41664, Counted },
        // Beyond what is gone through one by one: drawn.
        { 9, 9, [0, 1, 101, 200], 1663740, 1408, 7611, Counted },
        { 12, 12, [102, 309, 605, 808], 17178876, 7116207, 11137416, Counted },
        { 8, 8, [0, 7, 700, 707, 106], 7624512, 7624484, 12, Counted },
    };

    [Theory, MemberData(nameof(Enumerated))]
    public void Chances_are_those_of_counting_every_choice(
        int rows,
        int columns,
        int[] balls,
        long choices,
        long together,
        long atCorners,
        string source
    )
    {
        FieldSite[] field =
        [
            .. Enumerable.Range(0, rows * columns).Select(i => new FieldSite(i / columns, i % columns)),
        ];
        FieldSite[] chosen = [.. balls.Select(ball => new FieldSite(ball / 100, ball % 100))];
        ClusterChance chance = ClusterTest.Of(chosen, field, rows, columns);
        void Check(double told, long counted)
        {
            double fraction = (double)counted / choices;
            Truth.Note("returns.together", 100 * (told - fraction));
            double error = chance.Exact
                ? 1e-12
                : (4 * Math.Sqrt(fraction * (1 - fraction) / ClusterTest.Draws)) + (2.0 / ClusterTest.Draws);
            Assert.True(Math.Abs(told - fraction) <= error, $"{told} against {fraction}, {source}");
        }
        Assert.Equal(choices <= ClusterTest.MostExact, chance.Exact);
        Check(chance.TogetherFraction!.Value, together);
        Check(chance.CornerFraction, atCorners);
    }

    // Two of 16 sites of a 4 by 4 field: 120 pairs, of which 24 are neighbours at one pitch.
    [Fact]
    public void Two_neighbours_of_a_small_field_are_counted_by_hand()
    {
        ClusterChance chance = ClusterTest.Of([new(1, 1), new(1, 2)], Field(4), 4, 4);
        Assert.Equal((120, true), (chance.Choices, chance.Exact));
        Assert.Equal(24.0 / 120, chance.TogetherFraction!.Value, 1e-12);
        Assert.Equal(1, chance.MeanPitchNumber!.Value, 1e-12);
    }

    // The four corners of 16 sites: one choice of 1820 lies as close to corners.
    [Fact]
    public void Four_corners_lie_closest_to_corners_and_farthest_apart()
    {
        ClusterChance chance = ClusterTest.Of([new(0, 0), new(0, 3), new(3, 0), new(3, 3)], Field(4), 4, 4);
        Assert.Equal(1820, chance.Choices);
        Assert.Equal(1.0 / 1820, chance.CornerFraction, 1e-12);
        Assert.Equal(1, chance.TogetherFraction!.Value, 1e-12);
    }

    [Fact]
    public void One_ball_has_no_distance_to_others()
    {
        ClusterChance chance = ClusterTest.Of([new(0, 0)], Field(4), 4, 4);
        Assert.Null(chance.TogetherFraction);
        Assert.Equal(4.0 / 16, chance.CornerFraction, 1e-12);
    }

    // Five in a corner of a 15 by 15 field, where choices are too many to go through.
    [Fact]
    public void Draws_find_a_corner_cluster_and_are_the_same_in_any_order()
    {
        FieldSite[] chosen = [new(0, 0), new(0, 1), new(1, 0), new(1, 1), new(2, 0)];
        ClusterChance chance = ClusterTest.Of(chosen, Field(15), 15, 15);
        Assert.Equal((ClusterTest.Draws, false), (chance.Choices, chance.Exact));
        Assert.True(chance.TogetherFraction < 0.001 && chance.CornerFraction < 0.001);
        Assert.Equal(chance, ClusterTest.Of([.. chosen.Reverse()], [.. Field(15).Reverse()], 15, 15));
    }

    // C(20, 5) = 15504 are gone through; drawn ones of the same field must agree within four standard errors.
    [Fact]
    public void Draws_and_all_choices_agree()
    {
        FieldSite[] small = [.. Field(5).Take(20)];
        FieldSite[] chosen = [new(0, 0), new(0, 2), new(1, 1), new(2, 2), new(3, 0)];
        ClusterChance exact = ClusterTest.Of(chosen, small, 4, 5);
        Assert.True(exact.Exact);
        Graftbench.Core.Numerics.Dice dice = new(3);
        int asClose = 0;
        const int Tries = 20_000;
        for (int i = 0; i < Tries; i++)
        {
            FieldSite[] pick = [.. small.OrderBy(_ => dice.Uniform()).Take(5)];
            double sum = 0;
            foreach (FieldSite one in pick)
            {
                sum += pick.Sum(other => double.Hypot(one.Row - other.Row, one.Column - other.Column)) / 2;
            }
            asClose += sum / 10 <= exact.MeanPitchNumber + 1e-9 ? 1 : 0;
        }
        double p = exact.TogetherFraction!.Value;
        Assert.Equal(p, (double)asClose / Tries, 4 * Math.Sqrt(p * (1 - p) / Tries));
    }

    // Too many choices to go through: the fixed sequence against another way to draw, for balls that lie as chance puts them.
    [Fact]
    public void Drawn_chances_agree_with_another_way_to_draw()
    {
        FieldSite[] field = Field(12);
        FieldSite[] chosen = [new(1, 2), new(3, 9), new(6, 5), new(8, 8)];
        ClusterChance drawn = ClusterTest.Of(chosen, field, 12, 12);
        Assert.False(drawn.Exact);
        Graftbench.Core.Numerics.Dice dice = new(21);
        int asClose = 0;
        int asCorner = 0;
        const int Tries = 5000;
        for (int i = 0; i < Tries; i++)
        {
            FieldSite[] pick = [.. field.OrderBy(_ => dice.Uniform()).Take(4)];
            double apart =
                pick.Sum(one => pick.Sum(other => double.Hypot(one.Row - other.Row, one.Column - other.Column))) / 12;
            double corner = pick.Average(one =>
                double.Hypot(Math.Min(one.Row, 11 - one.Row), Math.Min(one.Column, 11 - one.Column))
            );
            asClose += apart <= drawn.MeanPitchNumber + 1e-9 ? 1 : 0;
            asCorner += corner <= drawn.CornerPitchNumber + 1e-9 ? 1 : 0;
        }
        double error = 4 * Math.Sqrt(0.25 * ((1.0 / Tries) + (1.0 / ClusterTest.Draws)));
        Assert.InRange(drawn.TogetherFraction!.Value, 0.1, 0.95);
        Assert.Equal((double)asClose / Tries, drawn.TogetherFraction.Value, error);
        Assert.Equal((double)asCorner / Tries, drawn.CornerFraction, error);
    }

    // What a test promises: under pure chance, 5 % or less of the cases come out at 5 % or less.
    [Fact]
    public void Pure_chance_is_called_a_cluster_as_rarely_as_said()
    {
        FieldSite[] field = Field(7);
        Graftbench.Core.Numerics.Dice dice = new(9);
        int called = 0;
        const int Cases = 400;
        for (int i = 0; i < Cases; i++)
        {
            FieldSite[] pick = [.. field.OrderBy(_ => dice.Uniform()).Take(3)];
            called += ClusterTest.Of(pick, field, 7, 7).TogetherFraction <= 0.05 ? 1 : 0;
        }
        Assert.InRange((double)called / Cases, 0, 0.05 + (4 * Math.Sqrt(0.05 * 0.95 / Cases)));
    }

    [Fact]
    public void Chances_lie_between_0_and_1_and_are_never_0() =>
        Gen.Int[1, 12]
            .Sample(
                k =>
                {
                    ClusterChance chance = ClusterTest.Of([.. Field(8).Take(k)], Field(8), 8, 8);
                    return chance.CornerFraction is > 0 and <= 1 && chance.TogetherFraction is null or (> 0 and <= 1);
                },
                iter: 12
            );

    [Fact]
    public void A_ball_that_was_not_measured_is_refused()
    {
        Assert.Throws<ArgumentException>(() => ClusterTest.Of([new(9, 9)], Field(4), 4, 4));
        Assert.Throws<ArgumentException>(() => ClusterTest.Of([], Field(4), 4, 4));
    }
}
