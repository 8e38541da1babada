using Graftbench.Core.Heating;
using Graftbench.Core.Jobs;
using Graftbench.Core.Watching;
using Graftbench.Core.Watching.Lines;
using Graftbench.Store;
using Graftbench.Tests.Shared;

namespace Graftbench.Watch.Tests;

/// <summary>A store in a folder of its own and a model that all tests share: building it takes seconds.</summary>
public sealed class WatchBench : IDisposable
{
    private static readonly TimeSpan Patience = TimeSpan.FromSeconds(60);
    private static readonly Lock Gate = new();
    private static (HeatPlan Plan, WatchModel Model)? made;

    private readonly string folder = Directory.CreateTempSubdirectory("graftbench-watch-").FullName;

    public WatchBench()
    {
        Store = BenchStore.Open(folder, TimeProvider.System);
        Store.SaveJob(Job, 0, "Ada");
    }

    public static Job Job { get; } = ReadJob();

    public static HeatPlan Plan => Made().Plan;

    public string Folder => folder;

    public BenchStore Store { get; private set; }

    public static ProbeFormat Format { get; } =
        new(
            ProbeSeparator.Comma,
            false,
            [new ProbeColumn(ProbeColumnRole.Temperature, "A"), new ProbeColumn(ProbeColumnRole.Temperature, "B")]
        );

    /// <summary>The wish for two probes, advised places.</summary>
    public static WatchWish Wish(params string[] channels) =>
        new(
            Job.Id,
            "Ada",
            Plan,
            [
                .. channels.Select(
                    (channel, i) =>
                        new WatchProbe(channel, Plan.Model!.Places.First(place => place.Name == Plan.Probes[i].Place))
                ),
            ]
        )
        {
            AlignmentChecked = true,
        };

    public static RunOrder Order(HeatTask task = HeatTask.Lift, string first = "A", string second = "B") =>
        new(
            Job.Id,
            "Ada",
            Plan.ChipId,
            Plan.Subject,
            Made().Model.With(Wish(first, second).Setup),
            new WatchGoals(task, 5)
        );

    /// <summary>Waits until a run is so; fails with what it showed where it never is.</summary>
    public static async Task<RunSnapshot> Until(WatchRun run, Func<RunSnapshot, bool> so)
    {
        DateTime end = DateTime.UtcNow + Patience;
        while (!so(run.Snapshot))
        {
            Assert.True(DateTime.UtcNow < end, $"Only: {run.Snapshot}");
            await Task.Delay(10);
        }
        return run.Snapshot;
    }

    /// <summary>The store as a program finds it that starts anew.</summary>
    public BenchStore Reopen()
    {
        Store.Dispose();
        return Store = BenchStore.Open(folder, TimeProvider.System);
    }

    public void Dispose()
    {
        Store.Dispose();
        Directory.Delete(folder, recursive: true);
    }

    private static (HeatPlan Plan, WatchModel Model) Made()
    {
        lock (Gate)
        {
            if (made is { } ready)
            {
                return ready;
            }
            HeatPlan plan = WatchPlans.Of(Job, HeatTask.Place, "GFX");
            made = (plan, null!);
            WatchModel model = WatchModel.Build(Wish("A", "B").Setup, rough: true);
            made = (plan, model);
            return made.Value;
        }
    }

    private static Job ReadJob()
    {
        string? at = AppContext.BaseDirectory;
        while (at is not null && !File.Exists(Path.Combine(at, "Graftbench.slnx")))
        {
            at = Path.GetDirectoryName(at);
        }
        byte[] text = File.ReadAllBytes(Path.Combine(at!, "demo", "arcade-graphics-chip.json"));
        return JobReader.Read(text, DateTimeOffset.UtcNow).Job!;
    }
}

/// <summary>A feed that the test moves by hand.</summary>
internal sealed class HandFeed(params string[] channels) : IRunFeed
{
    private readonly TaskCompletionSource<IFeedTaker> taker = new(TaskCreationOptions.RunContinuationsAsynchronously);

    public string Name => "the test's hand";

    public FeedNature Nature => FeedNature.Live;

    public IReadOnlyList<string> Channels { get; } = channels;

    public List<(double? GasC, double? PreheaterC)> Turned { get; } = [];

    /// <summary>Whether it says itself from when a setting counts, by <see cref="Later"/>.</summary>
    public bool IsAhead { get; init; }

    public Action<double?>? Later { get; private set; }

    public Task<IFeedTaker> Taker => taker.Task;

    public async Task RunAsync(IFeedTaker to, CancellationToken cancel)
    {
        taker.SetResult(to);
        try
        {
            await Task.Delay(Timeout.Infinite, cancel);
        }
        catch (OperationCanceledException) { }
    }

    public void Turn(double? gasC, double? preheaterC, Action<double?> taken)
    {
        Turned.Add((gasC, preheaterC));
        if (IsAhead)
        {
            Later = taken;
        }
        else
        {
            taken(null);
        }
    }
}
