using System.Collections.Concurrent;
using Graftbench.Core.Proof;

namespace Graftbench.Probes.Tests;

public class MeterTests
{
    [Fact]
    public async Task A_meter_on_a_serial_port_gives_its_values_and_says_when_one_has_settled()
    {
        using PtyPair pair = new();
        MeterFeed feed = new(ReadingKind.Diode);
        ConcurrentQueue<MeterShown> shown = new();
        TaskCompletionSource connected = new();
        using SemaphoreSlim lines = new(0);
        using CancellationTokenSource stop = CancellationTokenSource.CreateLinkedTokenSource(
            TestContext.Current.CancellationToken
        );
        ProbeConnection connection = new(new SerialSource(pair.Port, new SerialSetting()), TimeProvider.System);
        // Arrivals are counted, not timed: each line comes a second after the one before.
        Task reading = connection.RunAsync(
            (bytes, _) =>
                feed.Feed(
                    bytes.Span,
                    shown.Count,
                    one =>
                    {
                        shown.Enqueue(one);
                        lines.Release();
                    }
                ),
            told =>
            {
                if (told.Kind == "connected")
                {
                    connected.TrySetResult();
                }
            },
            stop.Token
        );
        await connected.Task.WaitAsync(TimeSpan.FromSeconds(20), stop.Token);
        pair.Send("half of a li");
        foreach (
            string line in new[]
            {
                "ne",
                "+0.4523 V DC",
                "OL V",
                "0.6120 V",
                "0.6121 V",
                "0.6119 V",
                "0.6120 V",
                "0.6120 V",
            }
        )
        {
            pair.Send(line + "\r\n");
            if (line != "ne")
            {
                Assert.True(await lines.WaitAsync(TimeSpan.FromSeconds(20), stop.Token), line);
            }
        }
        await stop.CancelAsync();
        await reading;
        MeterShown[] all = [.. shown];
        Assert.Equal(0.4523, all[0].Value!.Number!.Value, 1e-9);
        Assert.True(all[1].Value!.IsOverload);
        Assert.All(all[..^1], one => Assert.Null(one.Settled));
        Assert.Equal(0.612, all[^1].Settled!.Number!.Value, 1e-9);
    }
}
