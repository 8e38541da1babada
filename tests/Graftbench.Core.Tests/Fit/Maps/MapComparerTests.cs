using Graftbench.Core.Findings;
using Graftbench.Core.Fit.Maps;
using Graftbench.Core.Inspection;

namespace Graftbench.Core.Tests.Fit.Maps;

public class MapComparerTests
{
    private const int Side = 12;

    private static MapBall Ball(int row, int column, string signal, BallClass kind, string? rail = null) =>
        new(BallNames.Of(row, column), row, column, signal, kind, ClassBasis.Told, rail);

    private static BallMap Map(IEnumerable<MapBall> balls) =>
        new("P", "test", BallView.Top, BallNames.StandardLetters, "", [.. balls], []);

    // Every third ball ground, every seventh a supply, the others signals of their own.
    private static MapBall Usual(int row, int column)
    {
        int i = (row * Side) + column;
        return i % 3 == 0 ? Ball(row, column, "VSS", BallClass.Ground)
            : i % 7 == 0 ? Ball(row, column, "VCORE", BallClass.Supply)
            : Ball(row, column, $"S{i}", BallClass.Signal);
    }

    private static IEnumerable<MapBall> All() =>
        from row in Enumerable.Range(0, Side)
        from column in Enumerable.Range(0, Side)
        select Usual(row, column);

    private static BallMap Moved(Func<int, int, (int Row, int Column)> to) =>
        Map(
            All()
                .Select(ball =>
                {
                    (int row, int column) = to(ball.Row, ball.Column);
                    return Ball(row, column, ball.Signal, ball.Class, ball.Rail);
                })
        );

    [Fact]
    public void The_same_list_agrees_in_full_and_lies_the_same_way_round()
    {
        MapComparison same = MapComparer.Compare(Map(All()), Map(All()));
        Assert.Equal((FieldTurn.AsIs, Side * Side), (same.Scores[0].Turn, same.Scores[0].AgreeNumber));
        Assert.Equal(8, same.Scores.Count);
        Assert.All(same.Findings, finding => Assert.Equal(Verdict.Ok, finding.Verdict));
    }

    public static readonly TheoryData<FieldTurn, string> Wrong = new()
    {
        { FieldTurn.MirroredColumns, "fit.list-mirrored" },
        { FieldTurn.MirroredRows, "fit.list-mirrored" },
        { FieldTurn.MirroredDiagonal, "fit.list-mirrored" },
        { FieldTurn.MirroredOtherDiagonal, "fit.list-mirrored" },
        { FieldTurn.Quarter, "fit.list-turned" },
        { FieldTurn.Half, "fit.list-turned" },
        { FieldTurn.ThreeQuarters, "fit.list-turned" },
    };

    [Theory, MemberData(nameof(Wrong))]
    public void A_list_the_wrong_way_round_is_found_with_the_turn_that_puts_it_right(FieldTurn turn, string code)
    {
        const int Last = Side - 1;
        // The donor's list as it stands after the turn that undoes this one.
        BallMap donor = turn switch
        {
            FieldTurn.Quarter => Moved((r, c) => (Last - c, r)),
            FieldTurn.ThreeQuarters => Moved((r, c) => (c, Last - r)),
            FieldTurn.Half => Moved((r, c) => (Last - r, Last - c)),
            FieldTurn.MirroredColumns => Moved((r, c) => (r, Last - c)),
            FieldTurn.MirroredRows => Moved((r, c) => (Last - r, c)),
            FieldTurn.MirroredDiagonal => Moved((r, c) => (c, r)),
            _ => Moved((r, c) => (Last - c, Last - r)),
        };
        MapComparison found = MapComparer.Compare(Map(All()), donor);
        Assert.Equal((turn, Side * Side), (found.Scores[0].Turn, found.Scores[0].AgreeNumber));
        Assert.Contains(found.Findings, finding => finding.Code == code && finding.Verdict == Verdict.Blocker);
    }

    public static readonly TheoryData<string, BallClass, string, BallClass, BallMatch, Verdict> Pairs = new()
    {
        { "VSS", BallClass.Ground, "VCORE", BallClass.Supply, BallMatch.Clash, Verdict.Blocker },
        { "CLK", BallClass.Signal, "VSS", BallClass.Ground, BallMatch.Clash, Verdict.Blocker },
        { "NC", BallClass.NoConnect, "VTT", BallClass.Supply, BallMatch.NoPower, Verdict.Blocker },
        { "RSVD", BallClass.Reserved, "VSS", BallClass.Ground, BallMatch.NoPower, Verdict.Blocker },
        { "VCORE", BallClass.Supply, "VTT", BallClass.Supply, BallMatch.OtherRail, Verdict.FixFirst },
        { "CLK", BallClass.Signal, "CLK2", BallClass.Signal, BallMatch.Renamed, Verdict.Warning },
        { "clk", BallClass.Signal, "CLK", BallClass.Signal, BallMatch.Same, Verdict.Ok },
        { "VSS", BallClass.Ground, "GND", BallClass.Ground, BallMatch.Same, Verdict.Ok },
        { "VCORE", BallClass.Supply, "NC", BallClass.NoConnect, BallMatch.NotConnected, Verdict.Warning },
        { "", BallClass.Unknown, "CLK", BallClass.Signal, BallMatch.Unclear, Verdict.Unknown },
    };

    [Theory, MemberData(nameof(Pairs))]
    public void Two_balls_are_judged_by_what_they_carry(
        string host,
        BallClass hostClass,
        string donor,
        BallClass donorClass,
        BallMatch match,
        Verdict verdict
    )
    {
        MapComparison found = MapComparer.Compare(
            Map(All().Select(ball => ball.Name == "C5" ? Ball(2, 4, host, hostClass) : ball)),
            Map(All().Select(ball => ball.Name == "C5" ? Ball(2, 4, donor, donorClass) : ball))
        );
        Assert.Equal(match, found.Sites.Single(site => site.Name == "C5").Match);
        Assert.Equal(verdict, Finding.Worst(found.Findings));
    }

    [Fact]
    public void A_list_that_is_shifted_by_one_row_is_no_match()
    {
        BallMap donor = Map(
            All()
                .Where(ball => ball.Row < Side - 1)
                .Select(ball => Ball(ball.Row + 1, ball.Column, ball.Signal, ball.Class))
        );
        MapComparison found = MapComparer.Compare(Map(All()), donor);
        Assert.Equal(Verdict.Blocker, Finding.Worst(found.Findings));
        Assert.Equal(Side, found.Number(BallMatch.OnlyHost));
    }

    [Fact]
    public void Balls_beyond_the_hosts_lands_stop_the_job()
    {
        MapComparison found = MapComparer.Compare(Map(All().Where(ball => ball.Row < Side - 1)), Map(All()));
        Assert.Contains(found.Findings, finding => finding.Code == "fit.only-donor");
        Assert.Contains(found.Findings, finding => finding.Code == "fit.field");
    }

    [Fact]
    public void A_field_of_nothing_but_ground_does_not_tell_which_way_round_it_is()
    {
        BallMap ground = Map(All().Select(ball => Ball(ball.Row, ball.Column, "VSS", BallClass.Ground)));
        Assert.Contains(
            MapComparer.Compare(ground, ground).Findings,
            finding => finding.Code == "fit.turn-unclear" && finding.Verdict == Verdict.Unknown
        );
    }

    public static readonly TheoryData<int, int> Offs = new()
    {
        { 1, 0 },
        { -1, 0 },
        { 0, 1 },
        { 0, -2 },
        { 1, -1 },
    };

    // A list whose first row or column was called otherwise: met in the wild, no source.
    [Theory, MemberData(nameof(Offs))]
    public void A_list_that_is_named_off_by_rows_or_columns_is_called_so(int down, int right)
    {
        BallMap donor = Map(
            All()
                .Where(ball => ball.Row + down is >= 0 and < Side && ball.Column + right is >= 0 and < Side)
                .Select(ball => Ball(ball.Row + down, ball.Column + right, ball.Signal, ball.Class))
        );
        Finding found = MapComparer
            .Compare(Map(All()), donor)
            .Findings.Single(one => one.Code.StartsWith("fit.list-", StringComparison.Ordinal));
        Assert.Equal(("fit.list-shifted", Verdict.Blocker), (found.Code, found.Verdict));
        Assert.Contains(down == 0 ? "column" : "row", found.What, StringComparison.Ordinal);
        Assert.Contains(
            down > 0 ? "up"
                : down < 0 ? "down"
                : right > 0 ? "left"
                : "right",
            found.What,
            StringComparison.Ordinal
        );
    }

    // A footprint library that kept a row I shifts every row below it (fact sheet on the trade, 2.2).
    [Theory]
    [InlineData(1)]
    [InlineData(-1)]
    public void A_row_letter_too_many_or_too_few_is_named(int off)
    {
        BallMap Shifted() =>
            Map(
                All()
                    .Where(ball => ball.Row + 1 < Side)
                    .Select(ball => Ball(ball.Row < 6 ? ball.Row : ball.Row + 1, ball.Column, ball.Signal, ball.Class))
            );
        MapComparison found =
            off > 0 ? MapComparer.Compare(Map(All()), Shifted()) : MapComparer.Compare(Shifted(), Map(All()));
        Finding first = found.Findings.First(one => one.Code.StartsWith("fit.list-", StringComparison.Ordinal));
        Assert.Equal("fit.list-shifted", first.Code);
        // Rows A to F are right; G is the first that is empty or wrong.
        Assert.Contains("From row G of the chip's list", first.What, StringComparison.Ordinal);
    }

    [Fact]
    public void Lists_that_hardly_agree_are_not_said_to_lie_alike()
    {
        // Other signals, other rails, another size: only some grounds happen to meet.
        BallMap donor = Map(
            from row in Enumerable.Range(0, Side)
            from column in Enumerable.Range(0, Side + 1)
            select (row + column) % 4 == 0
                ? Ball(row, column, "VSS", BallClass.Ground)
                : Ball(row, column, $"X{row}_{column}", BallClass.Signal)
        );
        Assert.Contains(
            MapComparer.Compare(Map(All()), donor).Findings,
            finding => finding is { Code: "fit.turn-unclear", Verdict: Verdict.Unknown }
        );
    }

    [Fact]
    public void A_mirror_that_wins_by_chance_is_not_called_the_cause()
    {
        // Nothing alike but the grounds on one diagonal, and one ball more of them mirrored than as it is.
        BallMap host = Map(
            All()
                .Select(b => Ball(b.Row, b.Column, $"H{b.Row}_{b.Column}", BallClass.Signal))
                .Select(b => b.Name == "A1" ? Ball(0, 0, "VSS", BallClass.Ground) : b)
        );
        BallMap donor = Map(
            All()
                .Select(b => Ball(b.Row, b.Column, $"D{b.Row}_{b.Column}", BallClass.Signal))
                .Select(b => b.Name == "A12" ? Ball(0, 11, "VSS", BallClass.Ground) : b)
        );
        MapComparison found = MapComparer.Compare(host, donor);
        Assert.Contains(found.Findings, finding => finding.Code == "fit.turn-unclear");
        Assert.DoesNotContain(found.Findings, finding => finding.Code is "fit.list-mirrored" or "fit.list-turned");
    }

    // Labels of [Pin Mapping] are the author's own; the second column is the data book's name (IBIS text, lines 260 to 864).
    [Theory]
    [InlineData("VDDQ", "BUS7", "VDDQ", null, BallMatch.Same)]
    [InlineData("VDDQ", null, "vddq", "BUS7", BallMatch.Same)]
    [InlineData("VDDQ", "BUS7", "VDDQ", "BUS8", BallMatch.OtherRail)]
    [InlineData("VDDQ", "BUS7", "VTT", "BUS7", BallMatch.Same)]
    [InlineData("VDDQ", "BUS7", "VTT", null, BallMatch.OtherRail)]
    public void A_rail_label_of_one_list_only_does_not_make_another_rail(
        string host,
        string? hostRail,
        string donor,
        string? donorRail,
        BallMatch match
    )
    {
        MapComparison found = MapComparer.Compare(
            Map(All().Select(b => b.Name == "C5" ? Ball(2, 4, host, BallClass.Supply, hostRail) : b)),
            Map(All().Select(b => b.Name == "C5" ? Ball(2, 4, donor, BallClass.Supply, donorRail) : b))
        );
        Assert.Equal(match, found.Sites.Single(site => site.Name == "C5").Match);
    }

    [Theory]
    [InlineData("DQ(7)", "DQ7", BallMatch.Same)]
    [InlineData("DQ[7]", "dq<07>", BallMatch.Same)]
    [InlineData("DQ(7)", "DQ(8)", BallMatch.Renamed)]
    [InlineData("A1(2)", "A12", BallMatch.Renamed)]
    [InlineData("CLK)", "CLK", BallMatch.Renamed)]
    [InlineData("7", "07", BallMatch.Renamed)]
    public void A_bit_is_the_same_however_its_number_is_written(string host, string donor, BallMatch match)
    {
        MapComparison found = MapComparer.Compare(
            Map(All().Select(b => b.Name == "C5" ? Ball(2, 4, host, BallClass.Signal) : b)),
            Map(All().Select(b => b.Name == "C5" ? Ball(2, 4, donor, BallClass.Signal) : b))
        );
        Assert.Equal(match, found.Sites.Single(site => site.Name == "C5").Match);
    }
}
