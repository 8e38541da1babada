using CsCheck;
using Graftbench.Core.Findings;
using Graftbench.Core.Fit.Maps;
using Graftbench.Core.Inspection;
using Graftbench.Core.Numerics;
using Graftbench.Core.Proof;
using Graftbench.Core.Returns;
using Graftbench.Tests.Checks;
using static Graftbench.Core.Tests.Proof.Boards;

namespace Graftbench.Core.Tests.Returns;

/// <summary>Hand-over against return: project fact sheet on the trade, 6.3, last point.</summary>
public class ReturnComparerTests
{
    private static readonly BallMap Square = BallMapReader
        .Read(
            "ball,signal,type\n"
                + string.Concat(Enumerable.Range(0, 64).Select(i => $"{BallNames.Of(i / 8, i % 8)},S{i},signal\n")),
            BallView.Top
        )
        .Packages.Single();

    // All 64 signals, with a common shift and some that moved besides.
    private static Reading[] Board(
        double shiftV,
        IReadOnlyCollection<int> moved,
        double byV = 0.05,
        double? beforeC = 25,
        double? nowC = 25
    )
    {
        Dice dice = new(4);
        return
        [
            .. Enumerable
                .Range(0, 64)
                .SelectMany(i =>
                {
                    double level = 0.45 + (0.002 * i);
                    return new[]
                    {
                        Diode($"S{i}", level + (0.001 * dice.Normal()), ReadingState.Handover) with
                        {
                            BoardC = beforeC,
                        },
                        Diode(
                            $"S{i}",
                            level + shiftV + (moved.Contains(i) ? byV : 0) + (0.001 * dice.Normal()),
                            ReadingState.Return
                        ) with
                        {
                            BoardC = nowC,
                        },
                    };
                }),
        ];
    }

    private static ReturnAnswer Compare(Reading[] readings, BallMap? map = null) =>
        ReturnComparer.Compare(new ReturnRequest(readings) { Map = map });

    public static readonly TheoryData<int[], ReturnPattern> Patterns = new()
    {
        { [0, 1, 8, 9], ReturnPattern.Corner },
        { [55, 62, 63], ReturnPattern.Corner },
        { [27, 28, 35, 36], ReturnPattern.Block },
        { [3, 16, 29, 47, 58], ReturnPattern.Scattered },
        { [0, 7, 56, 63], ReturnPattern.Corners },
        { [1, 6, 57, 62, 55], ReturnPattern.Corners },
        { [5, 60], ReturnPattern.NotTold },
        { [], ReturnPattern.NotTold },
    };

    [Theory, MemberData(nameof(Patterns))]
    public void How_they_lie_is_told_with_its_chance(int[] moved, ReturnPattern expected)
    {
        ReturnAnswer answer = Compare(Board(-0.02, moved, nowC: 35), Square);
        HashSet<string> wrong = [.. moved.Select(i => $"S{i}")];
        wrong.SymmetricExceptWith(answer.StandingOut.Select(net => net.Net));
        Truth.Note("returns.moved", wrong.Count, answer.Nets.Count);
        Assert.Equal(moved.Select(i => $"S{i}").Order(), answer.StandingOut.Select(net => net.Net).Order());
        Assert.Equal(expected, answer.Pattern);
        Assert.Equal(moved.Length == 0, answer.Chance is null);
        Assert.Equal(moved.Length == 0 ? Verdict.Ok : Verdict.FixFirst, answer.Verdict);
    }

    [Theory]
    [InlineData(25.0, 35.0, -0.020, "return.shift-removed")]
    [InlineData(25.0, 35.0, 0.020, "return.shift-unexplained")]
    [InlineData(null, 35.0, 0.020, "return.shift-unexplained")]
    public void What_all_moved_by_is_taken_off_and_held_against_temperature(
        double? before,
        double? now,
        double shiftV,
        string code
    )
    {
        ReturnAnswer answer = Compare(Board(shiftV, [], beforeC: before, nowC: now));
        Assert.Empty(answer.StandingOut);
        Assert.Equal(shiftV, Assert.Single(answer.Shifts).MedianNumber, 0.001);
        Assert.Contains(answer.Findings, one => one.Code == code);
    }

    // 3·s·√(2/n) with the estimate s = 3 mV: 12.7 mV for one reading, 9 mV for two.
    [Theory]
    [InlineData(1, 0.0127)]
    [InlineData(2, 0.0090)]
    public void The_limit_is_three_times_the_error_of_a_difference(int repeats, double limitV)
    {
        Reading[] readings = [.. Enumerable.Repeat(Board(0, []).Take(6).ToArray(), repeats).SelectMany(one => one)];
        Assert.All(Compare(readings).Nets, net => Assert.Equal(limitV, net.LimitNumber!.Value, 0.00005));
    }

    [Fact]
    public void Resistances_are_compared_by_their_ratio()
    {
        Reading[] readings =
        [
            .. Enumerable
                .Range(0, 6)
                .SelectMany(i =>
                    new[]
                    {
                        Ohm($"R{i}", 10 * Math.Pow(10, i), ReadingState.Handover),
                        Ohm($"R{i}", 10 * Math.Pow(10, i) * (i == 2 ? 0.8 : 1.01), ReadingState.Return),
                    }
                ),
        ];
        ReturnAnswer answer = Compare(readings);
        NetReturn moved = Assert.Single(answer.StandingOut);
        Assert.Equal("R2", moved.Net);
        Assert.Equal(Math.Log(0.8 / 1.01), moved.ShiftNumber!.Value, 1e-9);
    }

    [Fact]
    public void Overload_against_a_number_stands_out_as_open()
    {
        Reading[] readings = Board(0, []);
        readings[1] = readings[1] with { Value = MeterValue.Overload };
        ReturnAnswer answer = Compare(readings, Square);
        Assert.Equal("return.open", answer.Findings[0].Code);
        Assert.Equal("S0", Assert.Single(answer.StandingOut).Net);
    }

    [Fact]
    public void Another_meter_is_said_and_never_compared()
    {
        Reading[] readings =
        [
            .. Board(0, []).Select(one => one.State == ReadingState.Return ? one with { Meter = "M9" } : one),
        ];
        ReturnAnswer answer = Compare(readings);
        Assert.All(answer.Nets, net => Assert.Null(net.ShiftNumber));
        Assert.Equal(Verdict.Unknown, answer.Verdict);
        Assert.Contains(
            "Read with another meter: M9, at hand-over M1.",
            answer.Findings[0].What,
            StringComparison.Ordinal
        );
        Assert.StartsWith("Not known", answer.Answer, StringComparison.Ordinal);
    }

    [Fact]
    public void Both_polarities_are_compared_each_with_its_own()
    {
        Reading[] black = [.. Board(0, [3]).Select(one => one with { Polarity = ProbePolarity.BlackOnGround })];
        ReturnAnswer answer = Compare([.. Board(0, []), .. black]);
        Assert.Equal("S3, black on ground", Assert.Single(answer.StandingOut).Net);
        Assert.Equal(128, answer.Nets.Count);
    }

    [Fact]
    public void What_was_read_only_once_of_both_is_unknown()
    {
        ReturnAnswer answer = Compare([Diode("A", 0.5, ReadingState.Handover), Diode("B", 0.5, ReadingState.Return)]);
        Assert.Equal(["Not read at hand-over.", "Not read on return."], answer.Nets.Select(net => net.Why).Order());
    }

    [Fact]
    public void No_reading_at_all_is_unknown() => Assert.Equal(Verdict.Unknown, Compare([]).Verdict);

    [Fact]
    public void Without_a_ball_list_there_is_no_pattern()
    {
        ReturnAnswer answer = Compare(Board(0, [0, 1, 8, 9]));
        Assert.Equal(ReturnPattern.NotTold, answer.Pattern);
        Assert.Contains(answer.Findings, one => one is { Code: "return.pattern", Verdict: Verdict.Unknown });
    }

    [Fact]
    public void The_order_of_readings_does_not_matter() =>
        Gen.Shuffle(Board(0.01, [0, 1, 8]))
            .Sample(
                shuffled =>
                {
                    ReturnAnswer answer = Compare(shuffled, Square);
                    return answer.Pattern == ReturnPattern.Corner && answer.StandingOut.Count() == 3;
                },
                iter: 5
            );

    [Fact]
    public void All_nets_together_by_more_than_temperature_explains_is_not_said_to_be_nothing()
    {
        ReturnAnswer answer = Compare(Board(0.04, []), Square);
        Assert.Empty(answer.StandingOut);
        Assert.StartsWith("Not known", answer.Answer, StringComparison.Ordinal);
        Assert.Contains("diode of your own", answer.Next, StringComparison.Ordinal);
    }

    // Three of four: each choice is as likely as 1 in 4, so no pattern could ever be rare.
    [Fact]
    public void Where_hardly_more_was_read_than_stands_out_no_pattern_is_told()
    {
        Reading[] few = [.. Board(0, [0, 27, 63]).Where(one => one.Net is "S0" or "S27" or "S63" or "S5")];
        ReturnAnswer answer = Compare(few, Square);
        Assert.Equal(3, answer.StandingOut.Count());
        Assert.Equal(ReturnPattern.NotTold, answer.Pattern);
    }

    [Fact]
    public void Few_nets_on_a_warmer_board_do_not_stand_out_for_that()
    {
        Reading[] few = [.. Board(-0.02, [], nowC: 35).Where(one => one.Net is "S0" or "S27" or "S63")];
        Assert.Empty(Compare(few, Square).StandingOut);
    }
}
