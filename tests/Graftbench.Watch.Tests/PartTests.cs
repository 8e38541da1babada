using Graftbench.Core.Watching.Lines;
using Graftbench.Probes.Tests;

namespace Graftbench.Watch.Tests;

/// <summary>Sources as they are written, formats that are kept, curves in bounded memory.</summary>
public class PartTests
{
    [Theory]
    [InlineData("serial:/dev/ttyUSB0@115200", RunSourceKind.Serial, "/dev/ttyUSB0", 115_200, 1)]
    [InlineData("serial:COM3", RunSourceKind.Serial, "COM3", 9600, 1)]
    [InlineData("tcp:192.168.1.20:4000", RunSourceKind.Tcp, "192.168.1.20:4000", 9600, 1)]
    [InlineData("tcp:[::1]:4000", RunSourceKind.Tcp, "[::1]:4000", 9600, 1)]
    [InlineData("file:/logs/a@b.csv", RunSourceKind.File, "/logs/a@b.csv", 9600, 1)]
    [InlineData("replay:log.csv@10", RunSourceKind.Replay, "log.csv", 9600, 10)]
    [InlineData("simulation@20", RunSourceKind.Simulation, "", 9600, 20)]
    [InlineData("simulation", RunSourceKind.Simulation, "", 9600, 1)]
    public void A_source_is_read_as_it_is_written(
        string text,
        RunSourceKind kind,
        string address,
        int baud,
        double speed
    )
    {
        RunSource source = RunSource.Parse(text, out string? problem)!;
        Assert.Null(problem);
        Assert.Equal((kind, address, baud, speed), (source.Kind, source.Address, source.BaudNumber, source.SpeedRatio));
    }

    [Theory]
    [InlineData("", "a source is")]
    [InlineData("usb", "a source is")]
    [InlineData("serial:", "No serial port")]
    [InlineData("serial:/dev/x@fast", "no number")]
    [InlineData("serial:/dev/x@7", "signs a second")]
    [InlineData("tcp:host", "no network address")]
    [InlineData("tcp:host:70000", "65535")]
    [InlineData("file:", "No file")]
    [InlineData("replay:log.csv@0", "Speed")]
    [InlineData("simulation@1e9", "Speed")]
    [InlineData("simulation@NaN", "no number")]
    public void What_is_no_source_is_refused_with_the_reason(string text, string why)
    {
        Assert.Null(RunSource.Parse(text, out string? problem));
        Assert.Contains(why, problem, StringComparison.Ordinal);
    }

    [Fact]
    public void A_day_of_curves_fits_into_the_same_memory_as_an_hour()
    {
        RunHistory history = new(8);
        float[] row = new float[history.Columns];
        int rows = 0;
        for (int second = 0; second < 24 * 3600; second++)
        {
            if (history.IsDue(second))
            {
                row[0] = second;
                history.Add(row);
                rows++;
            }
        }
        Assert.InRange(history.Count, RunHistory.MostRows / 2, RunHistory.MostRows);
        float[] cells = history.ToArray();
        Assert.Equal(0, cells[0]);
        Assert.True(cells[(history.Count - 1) * history.Columns] > 24 * 3600 - 120);
        for (int i = 1; i < history.Count; i++)
        {
            Assert.True(cells[i * history.Columns] > cells[(i - 1) * history.Columns]);
        }
        Assert.True(rows > RunHistory.MostRows);
    }

    [Fact]
    public async Task A_listener_learns_the_format_lets_go_of_the_port_and_the_bench_keeps_it()
    {
        using WatchBench bench = new();
        using PtyPair pair = new();
        RunSource source = new(RunSourceKind.Serial, pair.Port) { BaudNumber = 115_200 };
        ProbeFormat format;
        await using (SourceListener listener = new(source.Listening(TimeProvider.System)!, TimeProvider.System))
        {
            DateTime end = DateTime.UtcNow.AddSeconds(30);
            for (int i = 0; listener.Formats(23).Count == 0; i++)
            {
                Assert.True(DateTime.UtcNow < end, listener.Said);
                pair.Send(FormattableString.Invariant($"23,{i * 7 % 10};22,{i * 3 % 10}\n"));
                await Task.Delay(20);
            }
            format = listener.Formats(23)[0].Format;
            Assert.Equal(
                (ProbeSeparator.Semicolon, true, 2),
                (format.Separator, format.DecimalComma, format.Channels.Count)
            );
            Assert.Null(KeptFormats.For(bench.Store, "north", source, listener.Newest));
            KeptFormats.Keep(bench.Store, "north", source, format, "Ada");
            KeptFormats.Keep(bench.Store, "north", source, format, "Ada");
            Assert.Equal(
                KeptFormats.TextOf(format),
                KeptFormats.TextOf(KeptFormats.For(bench.Store, "north", source, listener.Newest)!)
            );
        }
        Assert.Single(bench.Store.BenchFacts("north", Store.BenchFactRules.ProbeFormat));
        // A logger that writes otherwise today is not read by yesterday's format.
        Assert.Null(KeptFormats.For(bench.Store, "north", source, ["1 2 3", "1 2 4"]));
        await using SourceListener again = new(source.Listening(TimeProvider.System)!, TimeProvider.System);
        DateTime late = DateTime.UtcNow.AddSeconds(20);
        while (!again.Said.StartsWith("Reading", StringComparison.Ordinal))
        {
            Assert.True(DateTime.UtcNow < late, again.Said);
            await Task.Delay(20);
        }
    }
}
