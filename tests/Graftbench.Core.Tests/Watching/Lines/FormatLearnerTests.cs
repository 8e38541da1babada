using System.Globalization;
using Graftbench.Core.Watching.Lines;

namespace Graftbench.Core.Tests.Watching.Lines;

/// <summary>Loggers as they write; all invented, each style common practice without a source.</summary>
public class FormatLearnerTests
{
    private const double RoomC = 22;

    // A line of the style from a time and two temperatures, and what its channels are called.
    private static readonly Dictionary<string, (Func<int, double, double, string> Line, string[] Names)> Styles = new(
        StringComparer.Ordinal
    )
    {
        ["comma"] = ((_, a, b) => N($"{a:0.0},{b:0.0}"), ["probe 1", "probe 2"]),
        ["semicolon and decimal comma"] = (
            (_, a, b) => N($"{a:0.00};{b:0.00}").Replace('.', ','),
            ["probe 1", "probe 2"]
        ),
        ["tab"] = ((_, a, b) => N($"{a:0.0}\t{b:0.0}"), ["probe 1", "probe 2"]),
        ["blanks, aligned"] = ((_, a, b) => N($"  {a, 7:0.0}   {b, 7:0.0}  "), ["probe 1", "probe 2"]),
        ["bar"] = ((_, a, b) => N($"{a:0.0}|{b:0.0}"), ["probe 1", "probe 2"]),
        ["separator at the end"] = ((_, a, b) => N($"{a:0.0},{b:0.0},"), ["probe 1", "probe 2"]),
        ["labels with ="] = ((_, a, b) => N($"T1={a:0.0} T2={b:0.0}"), ["T1", "T2"]),
        ["labels with : and blanks"] = ((_, a, b) => N($"CH1: {a:0.0}, CH2: {b:0.0}"), ["CH1", "CH2"]),
        ["units apart"] = ((_, a, b) => N($"T1 = {a:0.0} °C   T2 = {b:0.0} °C"), ["T1", "T2"]),
        ["Fahrenheit said"] = ((_, a, b) => N($"{F(a):0.0}F,{F(b):0.0}F"), ["probe 1", "probe 2"]),
        ["Fahrenheit not said"] = ((_, a, b) => N($"{F(a):0.0},{F(b):0.0}"), ["probe 1", "probe 2"]),
        ["Kelvin not said"] = ((_, a, b) => N($"{a + 273.15:0.00},{b + 273.15:0.00}"), ["probe 1", "probe 2"]),
        ["counter first"] = ((i, a, b) => N($"{i + 1},{a:0.0},{b:0.0}"), ["probe 1", "probe 2"]),
        ["milliseconds first"] = ((i, a, b) => N($"{i * 100 + 12345},{a:0.0},{b:0.0}"), ["probe 1", "probe 2"]),
        ["seconds first"] = ((i, a, b) => N($"{i * 0.1:0.0} {a:0.0} {b:0.0}"), ["probe 1", "probe 2"]),
        ["time of day"] = ((i, a, b) => N($"14:05:{i:00}.5;{a:0.0};{b:0.0}"), ["probe 1", "probe 2"]),
        ["date and time"] = ((i, a, b) => N($"2026-03-10 14:05:{i:00} {a:0.0} {b:0.0}"), ["probe 1", "probe 2"]),
        ["date and time in one"] = (
            (i, a, b) => N($"2026-03-10T14:05:{i:00}Z,{a:0.0},{b:0.0}"),
            ["probe 1", "probe 2"]
        ),
        ["American time"] = ((i, a, b) => N($"03/10/2026,2:05:{i:00} PM,{a:0.0},{b:0.0}"), ["probe 1", "probe 2"]),
        ["third channel open"] = ((_, a, b) => N($"{a:0.0},{b:0.0},OL"), ["probe 1", "probe 2", "probe 3"]),
        ["third channel by a number"] = ((_, a, b) => N($"{a:0.0},{b:0.0},-999.9"), ["probe 1", "probe 2"]),
        ["mark and status"] = ((_, a, b) => N($"$LOG,{a:0.0},{b:0.0},1,ok"), ["probe 1", "probe 2"]),
        ["quoted"] = ((_, a, b) => N($"\"{a:0.0}\",\"{b:0.0}\""), ["probe 1", "probe 2"]),
        ["whole degrees"] = ((_, a, b) => N($"{a:0} {b:0}"), ["probe 1", "probe 2"]),
    };

    public static TheoryData<string> Names => [.. Styles.Keys];

    private static string N(FormattableString text) => text.ToString(CultureInfo.InvariantCulture);

    private static double F(double c) => (c * 9 / 5) + 32;

    // Two probes at the room that begin to rise, with a little noise.
    private static (double A, double B) At(int i) =>
        (
            22 + (i > 10 ? 0.31 * (i - 10) : 0) + (0.1 * (i * 7 % 3)),
            22.4 + (i > 10 ? 0.2 * (i - 10) : 0) + (0.1 * (i * 5 % 4))
        );

    private static List<string> Lines(Func<int, double, double, string> line) =>
        [.. Enumerable.Range(0, 30).Select(i => line(i, At(i).A, At(i).B))];

    [Theory, MemberData(nameof(Names))]
    public void A_usual_logger_is_understood_at_the_first_proposal(string style)
    {
        (Func<int, double, double, string> line, string[] names) = Styles[style];
        List<string> lines = Lines(line);
        LearnedFormat learned = FormatLearner.Learn(lines, RoomC)[0];
        Assert.Equal(names, learned.Format.Channels.Take(names.Length));
        for (int i = 0; i < lines.Count; i++)
        {
            ProbeLine read = ProbeLine.Read(lines[i], learned.Format);
            Assert.Null(read.Problem);
            double within = style == "whole degrees" ? 0.51 : 0.051;
            Assert.Equal(At(i).A, read.Readings[0].TemperatureC, within);
            Assert.Equal(At(i).B, read.Readings[1].TemperatureC, within);
            Assert.All(read.Readings.Skip(2), reading => Assert.Equal(ChannelState.Open, reading.State));
        }
    }

    [Theory]
    [InlineData("milliseconds first", 0.1)]
    [InlineData("seconds first", 0.1)]
    [InlineData("time of day", 1)]
    [InlineData("date and time", 1)]
    [InlineData("date and time in one", 1)]
    [InlineData("American time", 1)]
    public void Stamps_are_read_where_there_are_any(string style, double stepS)
    {
        List<string> lines = Lines(Styles[style].Line);
        ProbeFormat format = FormatLearner.Learn(lines, RoomC)[0].Format;
        Assert.True(format.Timed);
        double[] stamps = [.. lines.Select(line => ProbeLine.Read(line, format).StampS!.Value)];
        Assert.All(stamps.Skip(1).Zip(stamps), pair => Assert.Equal(stepS, pair.First - pair.Second, 1e-6));
    }

    [Fact]
    public void A_heading_names_channels_and_units()
    {
        List<string> lines =
        [
            "Bench logger",
            "Time;Board [°F];Chip top [°F]",
            .. Lines((i, a, b) => N($"{i};{F(a):0.0};{F(b):0.0}")),
        ];
        LearnedFormat learned = FormatLearner.Learn(lines, RoomC)[0];
        Assert.Equal(["Board", "Chip top"], learned.Format.Channels);
        Assert.Equal(ProbeColumnRole.ElapsedS, learned.Format.Columns[0].Role);
        Assert.All(learned.Format.Columns.Skip(1), column => Assert.Equal(ProbeUnit.Fahrenheit, column.Unit));
        Assert.Empty(learned.Notes);
    }

    [Fact]
    public void A_unit_that_is_not_sent_is_said_to_be_taken_for_granted() =>
        Assert.Contains(
            "°F",
            FormatLearner.Learn(Lines(Styles["Fahrenheit not said"].Line), RoomC)[0].Notes.Single(),
            StringComparison.Ordinal
        );

    [Fact]
    public void A_few_broken_lines_among_good_ones_are_counted_and_not_read()
    {
        List<string> lines = Lines(Styles["comma"].Line);
        lines[7] = "23.";
        lines[12] = "22.5;22.9";
        lines[20] = "boot v1.2, self test";
        LearnedFormat learned = FormatLearner.Learn(lines, RoomC)[0];
        Assert.Equal((27, 30), (learned.ReadLines, learned.Lines));
        Assert.NotNull(ProbeLine.Read(lines[12], learned.Format).Problem);
        Assert.Empty(ProbeLine.Read(lines[12], learned.Format).Readings);
    }

    [Fact]
    public void Times_and_names_are_found_though_every_fifth_line_came_with_other_separators()
    {
        List<string> lines =
        [
            "run s;Chip top;Board",
            .. Lines((i, a, b) => N($"{i * 0.5:0.0};{a:0.0};{b:0.0}"))
                .Select((line, i) => i % 5 == 0 ? line.Replace(';', ',') : line),
        ];
        LearnedFormat learned = FormatLearner.Learn(lines, RoomC)[0];
        Assert.Equal(["Chip top", "Board"], learned.Format.Channels);
        Assert.Equal(ProbeColumnRole.ElapsedS, learned.Format.Columns[0].Role);
        Assert.Equal(24, learned.ReadLines);
    }

    [Fact]
    public void A_clock_that_is_set_back_once_is_a_clock_still()
    {
        List<string> lines =
        [
            "time s;Chip top;Board",
            .. Lines((i, a, b) => N($"{(i < 20 ? i : i - 15) * 0.5:0.0};{a:0.0};{b:0.0}")),
        ];
        Assert.Equal(ProbeColumnRole.ElapsedS, FormatLearner.Learn(lines, RoomC)[0].Format.Columns[0].Role);
    }

    [Fact]
    public void A_probe_that_rises_steadily_in_steps_of_its_display_is_no_clock()
    {
        List<string> lines = [.. Enumerable.Range(0, 40).Select(i => N($"{22 + (0.13 * i):0.0};{22.4:0.0}"))];
        Assert.Equal(2, FormatLearner.Learn(lines, RoomC)[0].Format.Channels.Count);
    }

    [Theory]
    [InlineData("hello world")]
    [InlineData("")]
    [InlineData("a=b;c=d")]
    public void Lines_without_temperatures_are_no_format(string line) =>
        Assert.Empty(FormatLearner.Learn([.. Enumerable.Repeat(line, 30)], RoomC));

    [Fact]
    public void Too_few_lines_are_no_format() =>
        Assert.Empty(FormatLearner.Learn(["22.0,22.1", "22.0,22.2", "22.1,22.1", "22.0,22.3"], RoomC));

    [Theory]
    [InlineData("22.1,22.2,22.3")]
    [InlineData("22.1")]
    [InlineData("22.1,x")]
    [InlineData("")]
    [InlineData("T9=22.1,22.2")]
    public void A_line_that_does_not_fit_is_refused_whole(string line)
    {
        ProbeFormat format = FormatLearner.Learn(Lines(Styles["comma"].Line), RoomC)[0].Format;
        ProbeLine read = ProbeLine.Read(line, format);
        Assert.NotNull(read.Problem);
        Assert.Empty(read.Readings);
    }

    [Fact]
    public void A_label_of_another_channel_refuses_the_line_instead_of_swapping_probes()
    {
        ProbeFormat format = FormatLearner.Learn(Lines(Styles["labels with ="].Line), RoomC)[0].Format;
        Assert.NotNull(ProbeLine.Read("T2=30.0 T1=90.0", format).Problem);
    }

    [Theory]
    [InlineData("1500", ChannelState.OutOfRange)]
    [InlineData("-100", ChannelState.OutOfRange)]
    [InlineData("9999", ChannelState.Open)]
    [InlineData("OPEN", ChannelState.Open)]
    [InlineData("", ChannelState.Open)]
    [InlineData("nan", ChannelState.Open)]
    [InlineData("1e308", ChannelState.OutOfRange)]
    public void What_is_no_temperature_is_said(string text, ChannelState state)
    {
        ProbeFormat format = FormatLearner.Learn(Lines(Styles["comma"].Line), RoomC)[0].Format;
        ChannelReading reading = ProbeLine.Read($"22.0,{text}", format).Readings[^1];
        Assert.Equal(state, reading.State);
        Assert.True(double.IsNaN(reading.TemperatureC));
    }
}
