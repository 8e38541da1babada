using CsCheck;
using Graftbench.Core.Proof;

namespace Graftbench.Core.Tests.Proof;

public class ReadingListTests
{
    private const string Good = """
        # readings of an invented board
        value;unit;net;state;kind;meter;polarity;repeat;temperature;ball
        0,452;V;DATA0;baseline;diode;M1;red on ground;1;24,5;C3
        453;mV;DATA0;after placing;diode;M1;red-on-ground;2;;c3

        OL;;DATA1;after-placing;diode-mode;M1;black;;;
        4k7;;3V3;baseline;;;;;;
        """;

    [Fact]
    public void Columns_in_any_order_with_decimal_commas_are_read()
    {
        ReadingListResult read = ReadingList.Read(Good.Replace("4k7;;", "4k7;Ω;", StringComparison.Ordinal));
        Assert.Empty(read.Problems);
        Assert.Equal(4, read.Readings.Count);
        Assert.Equal(
            new Reading
            {
                Net = "DATA0",
                Kind = ReadingKind.Diode,
                Value = MeterValue.Of(0.452),
                State = ReadingState.Baseline,
                Meter = "M1",
                Polarity = ProbePolarity.RedOnGround,
                Repeat = 1,
                BoardC = 24.5,
                Ball = "C3",
            },
            read.Readings[0]
        );
        Assert.Equal(0.453, read.Readings[1].Value.Number!.Value, 1e-12);
        Assert.True(read.Readings[2].Value.IsOverload);
        Assert.Equal((ReadingKind.Resistance, 4700.0), (read.Readings[3].Kind, read.Readings[3].Value.Number));
    }

    public static readonly TheoryData<string, int, string> Bad = new()
    {
        { "", 0, "empty" },
        { "net,value", 0, "no reading below" },
        { "rail,ohm\n1V8,4", 1, "names no column for value" },
        { "net,kind,value,state\n,diode,0.4,baseline", 2, "names no net" },
        { "net,kind,value,state\nA,smell,0.4,baseline", 2, "'smell' is no kind" },
        { "net,kind,value,state\nA,diode,0.4,yesterday", 2, "'yesterday' is no state" },
        { "net,kind,value\nA,diode,0.4", 2, "names no state" },
        { "net,value,state\nA,0.4,baseline", 2, "does not say what was measured" },
        { "net,value,unit,state\nA,0.4,V,baseline", 2, "does not say what was measured" },
        { "net,kind,value,unit,state\nA,diode,452,V,baseline", 2, "452 V lies outside" },
        { "net,kind,value,unit,state\nA,diode,0.4,kOhm,baseline", 2, "no unit of this" },
        { "net,kind,value,state,repeat\nA,diode,0.4,baseline,0", 2, "no whole number" },
        { "net,kind,value,state,temperature\nA,diode,0.4,baseline,900", 2, "from -40 to 150" },
        { "net,kind,value,state,when\nA,diode,0.4,baseline,yesterday", 2, "no moment" },
        { "net,kind,value,state,when\nA,diode,0.4,baseline,2026-03-02T10:00", 2, "offset from UTC" },
        { "net,kind,value,state\nA,diode,0,452,baseline", 2, "more cells" },
        { "net,kind,value,state,polarity\nA,diode,0.4,baseline,sideways", 2, "'sideways' is no polarity" },
    };

    [Theory, MemberData(nameof(Bad))]
    public void What_is_wrong_is_told_with_its_line(string text, int line, string says)
    {
        ReadingListResult read = ReadingList.Read(text);
        Assert.False(read.Sound);
        Assert.Contains(
            read.Problems,
            problem => problem.Line == line && (problem.What + problem.Todo).Contains(says, StringComparison.Ordinal)
        );
    }

    [Fact]
    public void All_that_is_wrong_is_told_at_once_and_good_lines_are_kept()
    {
        ReadingListResult read = ReadingList.Read(
            "net,kind,value,state\nA,smell,x,never\nB,diode,0.5,baseline\n,diode,-1,baseline"
        );
        Assert.Equal([2, 2, 4, 4], read.Problems.Select(problem => problem.Line).Order());
        Assert.Equal("B", Assert.Single(read.Readings).Net);
    }

    [Fact]
    public void Columns_that_are_not_known_are_told_and_do_not_stop()
    {
        ReadingListResult read = ReadingList.Read("net,kind,value,state,colour\nA,diode,0.5,baseline,red");
        Assert.True(read.Sound);
        Assert.Contains("'colour' is not known", Assert.Single(read.Problems).What, StringComparison.Ordinal);
    }

    [Fact]
    public void A_reading_pasted_twice_is_told()
    {
        ReadingListResult read = ReadingList.Read(
            "net,kind,value,state,repeat\nA,diode,0.5,baseline,1\nA,diode,0.5,baseline,1"
        );
        Assert.True(read.Sound);
        Assert.Contains("1 reading stands twice", Assert.Single(read.Problems).What, StringComparison.Ordinal);
    }

    [Fact]
    public void The_state_that_is_given_stands_for_lines_without_one() =>
        Assert.Equal(
            ReadingState.Return,
            Assert.Single(ReadingList.Read("net,kind,value\nA,diode,0.5", ReadingState.Return).Readings).State
        );

    [Fact]
    public void More_readings_than_are_taken_are_told_and_cut()
    {
        string text =
            "net,kind,value,state\n"
            + string.Concat(Enumerable.Repeat("A,diode,0.5,baseline\n", ReadingList.MostReadings + 5));
        ReadingListResult read = ReadingList.Read(text);
        Assert.Equal(ReadingList.MostReadings, read.Readings.Count);
        Assert.Contains("more than 20000 readings", Assert.Single(read.Problems).What, StringComparison.Ordinal);
    }

    [Fact]
    public void Problems_without_end_are_counted_not_listed()
    {
        string text = "net,kind,value,state\n" + string.Concat(Enumerable.Repeat("A,diode,x,baseline\n", 500));
        ReadingListResult read = ReadingList.Read(text);
        Assert.Equal((ReadingList.MostProblems, 300), (read.Problems.Count, read.NotListed));
    }

    private static readonly Gen<string?> Word = Gen.String[Gen.Char["abcXYZ019_+#,;\"' -äΩ"], 1, 12]
        .Select(text => text.Trim() is { Length: > 0 } trimmed ? trimmed : null);

    private static readonly Gen<Reading> AnyReading = Gen.Select(
            Gen.Enum<ReadingKind>(),
            Gen.Double[0, 3.3],
            Gen.Bool,
            Gen.Enum<ReadingState>(),
            Gen.Select(Word, Word, Word, Word),
            Gen.Select(
                Gen.Enum<ProbePolarity>().Nullable(),
                Gen.Int[1, 1000].Nullable(),
                Gen.Double[-40, 150].Nullable(),
                Gen.Enum<LeadState>()
            ),
            Gen.Select(
                Gen.Double[-1000, 1000].Nullable(),
                Gen.Int[1, 1000].Nullable(),
                Gen.Int[0, 1_000_000_000].Nullable(),
                Gen.Int[-14, 14]
            )
        )
        .Select(
            (kind, number, overload, state, words, some, more) =>
                new Reading
                {
                    Net = words.Item1 ?? "net",
                    Kind = kind,
                    Value = overload ? MeterValue.Overload : MeterValue.Of(number),
                    State = state,
                    To = words.Item2,
                    Meter = words.Item3,
                    Note = words.Item4,
                    Polarity = some.Item1,
                    Repeat = some.Item2,
                    BoardC = some.Item3,
                    Leads = some.Item4,
                    XMm = more.Item1,
                    Junctions = more.Item2,
                    At = more.Item3 is { } seconds
                        ? DateTimeOffset
                            .FromUnixTimeSeconds(1_000_000_000L + seconds)
                            .ToOffset(TimeSpan.FromHours(more.Item4))
                        : null,
                }
        );

    [Fact]
    public void What_is_written_reads_back_to_the_same_readings() =>
        AnyReading
            .Array[1, 8]
            .Sample(readings =>
            {
                ReadingListResult back = ReadingList.Read(ReadingList.Write(readings));
                Assert.DoesNotContain(back.Problems, problem => problem.Stops);
                Assert.Equal(readings, back.Readings);
            });

    [Fact]
    public void Spoilt_lists_give_readings_or_problems_and_never_an_exception() =>
        Gen.Select(Gen.Int[0, Good.Length - 1], Gen.String[Gen.Char["\",;\t\n\0x9-Ω"], 0, 6], Gen.Int[0, 30])
            .Sample(
                (at, insert, cut) =>
                {
                    string text = Good.Remove(at, Math.Min(cut, Good.Length - at)).Insert(at, insert);
                    ReadingListResult read = ReadingList.Read(text);
                    return read.Readings.Count + read.Problems.Count > 0
                        && read.Readings.All(one =>
                            one.Value.Number is null || ReadingLimits.Problem(one.Kind, one.Value.Number.Value) is null
                        );
                },
                iter: 20_000
            );
}
