using System.Diagnostics;
using System.Globalization;
using Graftbench.Store.Tests.Support;

namespace Graftbench.Store.Tests;

/// <summary>The short form of scripts/kill-test: a writer is killed in the middle, what it acknowledged is there.</summary>
public abstract class KillTests : IDisposable
{
    // More than any disk takes before the writer is killed.
    private const int Lines = 1_000_000;
    private readonly TestFolder _folder;

    protected KillTests(StoreKind kind)
    {
        _folder = new(kind);
    }

    [Theory, InlineData(1), InlineData(2), InlineData(3)]
    public async Task No_acknowledged_line_is_lost_when_the_writer_is_killed(int seed)
    {
        using (BenchStore store = _folder.Open())
        {
            store.SaveJob(Samples.Job(), 0, "Ada");
        }
        Random random = new(seed);
        int killAfter = random.Next(5, 200);
        TimeSpan moment = TimeSpan.FromMicroseconds(random.Next(0, 3000));

        List<string> acknowledged = [];
        using Process process = WriterProcess.Start(_folder, "arcade-7", "w", Lines);
        while (await process.StandardOutput.ReadLineAsync(TestContext.Current.CancellationToken) is { } line)
        {
            acknowledged.Add(line);
            if (acknowledged.Count == killAfter)
            {
                Stopwatch watch = Stopwatch.StartNew();
                SpinWait.SpinUntil(() => watch.Elapsed >= moment);
                process.Kill();
            }
        }
        await process.WaitForExitAsync(TestContext.Current.CancellationToken);

        Assert.NotEqual(0, process.ExitCode);
        Assert.InRange(acknowledged.Count, killAfter, Lines - 1);
        using BenchStore again = _folder.Open();
        IReadOnlyList<EvidenceLine> stored = again.Evidence("arcade-7");
        Assert.Equal(
            acknowledged,
            stored
                .Skip(1)
                .Take(acknowledged.Count)
                .Select(line => string.Create(CultureInfo.InvariantCulture, $"ok {line.Sequence} {line.Sha256}"))
        );
        // At most the one line that was on disk but not yet acknowledged.
        Assert.InRange(stored.Count, acknowledged.Count + 1, acknowledged.Count + 2);
        Assert.True(again.Check().IsWhole);
        Assert.Equal(stored.Count + 1, again.Append("arcade-7", Samples.Note("goes on")).Sequence);
    }

    public void Dispose() => _folder.Dispose();
}
