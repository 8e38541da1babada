using System.Globalization;
using System.Text;
using CsCheck;
using Graftbench.Core.Watching.Lines;

namespace Graftbench.Core.Tests.Watching.Lines;

public class ProbeReceiverTests
{
    private static readonly ProbeFormat Two = new(
        ProbeSeparator.Comma,
        false,
        [new(ProbeColumnRole.Temperature, "a"), new(ProbeColumnRole.Temperature, "b")]
    );

    private static readonly ProbeFormat Stamped = Two with
    {
        Columns = [new(ProbeColumnRole.ElapsedS, ""), .. Two.Columns],
    };

    private static byte[] B(string text) => Encoding.UTF8.GetBytes(text);

    private static (List<ProbeSample> Samples, List<ProbeEvent> Events) Run(
        ProbeReceiver stream,
        IEnumerable<(double AtS, byte[] Bytes)> pieces
    )
    {
        List<ProbeSample> samples = [];
        List<ProbeEvent> events = [];
        foreach ((double atS, byte[] bytes) in pieces)
        {
            stream.Feed(bytes, atS, samples.Add, events.Add);
        }
        return (samples, events);
    }

    [Fact]
    public void Lines_in_pieces_become_samples_with_their_arrival_time()
    {
        var (samples, events) = Run(
            ProbeReceiver.Live(Two),
            [(0, B("9,22.\n")), (1, B("22.0,22")), (1.1, B(".5\n")), (1.2, B("22.1,22.6\n")), (1.3, B("22.2,OL\n"))]
        );
        Assert.Equal(3, samples.Count);
        Assert.Equal(22.5, samples[0].Readings[1].TemperatureC);
        Assert.Equal(1.1, samples[0].TimeS, 1e-9);
        Assert.Equal(ChannelState.Open, samples[^1].Readings[1].State);
        Assert.Empty(events);
    }

    [Fact]
    public void A_flood_is_thinned_to_medians_and_said()
    {
        // A thousand lines a second for ten seconds, one of ten far off.
        var (samples, events) = Run(
            ProbeReceiver.Live(Two),
            Enumerable
                .Range(0, 10_000)
                .Select(i =>
                    (i * 1e-3, B(FormattableString.Invariant($"{(i % 10 == 0 ? 300 : 100 + (i * 1e-3)):0.00},20\n")))
                )
        );
        Assert.InRange(samples.Count, 180, 201);
        Assert.All(samples.Skip(2), sample => Assert.InRange(sample.Readings[0].TemperatureC, 99, 111));
        Assert.Equal("flood", Assert.Single(events).Kind);
    }

    [Fact]
    public void Ten_lines_a_second_pass_as_they_came()
    {
        var (samples, events) = Run(
            ProbeReceiver.Live(Two),
            Enumerable.Range(0, 100).Select(i => (i * 0.1, B(FormattableString.Invariant($"{i},{i}\n"))))
        );
        Assert.Equal(99, samples.Count);
        Assert.Empty(events);
    }

    [Fact]
    public void Many_refused_lines_are_said_once_in_ten_seconds_with_their_number()
    {
        var (samples, events) = Run(
            ProbeReceiver.Live(Two),
            Enumerable.Range(0, 250).Select(i => (i * 0.1, B("mixed;separators,22.1,9\n")))
        );
        Assert.Empty(samples);
        Assert.Equal(3, events.Count);
        Assert.Contains("100 times", events[1].Text, StringComparison.Ordinal);
    }

    [Fact]
    public void A_stored_log_runs_by_its_own_stamps()
    {
        ProbeReceiver stream = ProbeReceiver.OfFile(Stamped);
        List<ProbeSample> samples = [];
        stream.Feed(B("100,22,22\n100.5,23,22\n101,24,22"), 0, samples.Add, _ => { });
        stream.Finish(0, samples.Add, _ => { });
        Assert.Equal([0, 0.5, 1], samples.Select(sample => Math.Round(sample.TimeS, 6)));
    }

    [Fact]
    public void Stamps_that_jump_repeat_or_run_backwards_never_turn_the_time_back()
    {
        string[] stamps = ["0", "0.1", "0.1", "5000", "5000.1", "3", "3.1", "-7", "1e300", "nan"];
        var (samples, events) = Run(
            ProbeReceiver.Live(Stamped),
            stamps.Select((stamp, i) => (i * 0.1, B(i == 0 ? "\n0,22,22\n" : $"{stamp},22,22\n")))
        );
        Assert.All(samples.Skip(1).Zip(samples), pair => Assert.True(pair.First.TimeS > pair.Second.TimeS));
        Assert.Contains(events, one => one.Kind == "clock");
        Assert.All(samples, sample => Assert.InRange(sample.TimeS, 0, 3));
    }

    [Fact]
    public void No_bytes_throw_and_no_reading_is_made_up() =>
        Gen.OneOf(Gen.Byte.Array[0, 60], Gen.String[Gen.Char["0123456789.,;:\t -+eE°CFKnaOL=|\r\n\0"], 0, 60].Select(B))
            .Array[0, 20]
            .Sample(
                pieces =>
                {
                    var (samples, _) = Run(ProbeReceiver.Live(Two), pieces.Select((bytes, i) => (i * 0.05, bytes)));
                    double lastS = double.NegativeInfinity;
                    foreach (ProbeSample sample in samples)
                    {
                        Assert.True(sample.TimeS > lastS);
                        lastS = sample.TimeS;
                        Assert.Equal(2, sample.Readings.Count);
                        Assert.All(
                            sample.Readings,
                            reading =>
                                Assert.Equal(
                                    reading.State == ChannelState.Measured,
                                    reading.TemperatureC is >= ChannelReading.LowestC and <= ChannelReading.HighestC
                                )
                        );
                    }
                },
                iter: 2000
            );
}
