using System.Globalization;
using Graftbench.Core.Heating;
using Graftbench.Core.Jobs;
using Graftbench.Core.Reviewing;
using Graftbench.Core.Watching;
using Graftbench.Probes;
using Graftbench.Probes.Tests;
using Graftbench.Store;

namespace Graftbench.Watch.Tests;

/// <summary>From the source to the disk and the picture of the moment.</summary>
public sealed class RunTests : IDisposable
{
    private static readonly TimeSpan Patience = TimeSpan.FromSeconds(60);
    private readonly WatchBench bench = new();

    public void Dispose() => bench.Dispose();

    [Fact]
    public async Task A_simulated_heat_runs_to_its_end_and_becomes_evidence_marked_as_a_simulation()
    {
        SimulatedFeed feed = WatchBench.Wish("A", "B").Simulated(7, 400, TimeProvider.System);
        await using RunHost host = new(bench.Store);
        WatchRun run = host.Start(WatchBench.Order(), feed);
        await run.Over.WaitAsync(Patience);
        HeatRun ended = bench.Store.FindRun(run.Id)!;
        Assert.Equal(HeatRunState.Ended, ended.State);
        Assert.NotNull(ended.EvidenceSequence);
        Assert.Contains("\"simulation\":true", ended.SetupJson, StringComparison.Ordinal);
        IReadOnlyList<HeatMark> marks = bench.Store.Marks(run.Id);
        Assert.Equal("simulation", marks[0].Kind);
        Assert.Contains(
            marks,
            mark => mark.Kind == "cue" && mark.Text.StartsWith("Lift now", StringComparison.Ordinal)
        );
        Assert.True(bench.Store.SampleNumber(run.Id) > 600);
        Assert.Equal(run.Snapshot.StoredNumber, bench.Store.SampleNumber(run.Id));
    }

    [Fact]
    public async Task A_watched_run_is_reviewed_with_the_nozzle_and_airflow_it_was_planned_with()
    {
        Job job = WatchBench.Job;
        HeatTools tools = job.Bench.Heat;
        Nozzle nozzle = tools.Gas.Nozzles[^1];
        double flow = tools
            .Gas.FlowSteps.OrderBy(step => step.FlowPercent)
            .ElementAt(tools.Gas.FlowSteps.Count / 2)
            .FlowPercent;
        HeatPlan plan = WatchBench.Plan;
        plan = plan with
        {
            Model = new HeatModels().Build(job, plan.Task, plan.ChipId!, nozzle, flow),
            Nozzle = new NozzleChoice(nozzle.Name, 1, 1, 0, 0, 1, null, "for this test"),
        };
        WatchWish wish = WatchBench.Wish("A", "B") with { Plan = plan };
        await using RunHost host = new(bench.Store);
        WatchRun run = host.Start(
            wish.Order(null, TestContext.Current.CancellationToken),
            wish.Simulated(7, 60, TimeProvider.System)
        );
        await run.Over.WaitAsync(Patience);
        HeatRun ended = bench.Store.FindRun(run.Id)!;
        RunSetup setup = RunSetup.Read(ended.SetupJson);
        Assert.Equal(nozzle.Name, setup.Nozzle);
        // With another nozzle the film would not fit, and the review could not tell.
        RunReview review = RunReviewing.Review("run", job, StoredRuns.Log(bench.Store, ended), setup, estimate: true);
        Assert.DoesNotContain("Cannot tell", review.Answer, StringComparison.Ordinal);
        Assert.DoesNotContain(review.Findings, finding => finding.Code == "review.nozzle");
    }

    [Fact]
    public async Task No_cue_to_lift_comes_before_the_simulated_joints_are_molten()
    {
        WatchWish wish = WatchBench.Wish("A", "B");
        SimulatedHeat truth = SimulatedBench.Run(
            wish.Setup,
            WatchBench.Plan.Schedule! with
            {
                DurationS = WatchBench.Plan.Schedule.DurationS + 300,
            },
            SimulatedBench.Drawn(wish.Setup, 7),
            rough: true
        );
        await using RunHost host = new(bench.Store);
        WatchRun run = host.Start(WatchBench.Order(), wish.Simulated(7, 400, TimeProvider.System));
        await run.Over.WaitAsync(Patience);
        HeatMark lift = bench
            .Store.Marks(run.Id)
            .First(mark => mark.Text.StartsWith("Lift now", StringComparison.Ordinal));
        Assert.True(lift.TimeS >= truth.AllMoltenS, $"lift at {lift.TimeS}, molten at {truth.AllMoltenS}");
    }

    [Fact]
    public async Task What_is_shown_as_stored_is_on_disk_for_a_program_that_starts_anew()
    {
        HandFeed feed = new("A", "B");
        WatchRun run = new RunHost(bench.Store).Start(WatchBench.Order(), feed);
        IFeedTaker taker = await feed.Taker;
        for (int i = 1; i <= 50; i++)
        {
            taker.Sample(i * 0.1, [25 + i * 0.01, double.NaN]);
        }
        RunSnapshot shown = await WatchBench.Until(run, now => now.StoredNumber == 50);
        // A second connection of another program sees them although nobody has closed anything.
        using BenchStore other = BenchStore.Open(bench.Folder, TimeProvider.System);
        IReadOnlyList<HeatSample> stored = other.Samples(run.Id);
        Assert.Equal(shown.StoredNumber, stored.Count);
        Assert.Equal(25.5, stored[^1].TemperaturesC[0], 9);
        Assert.True(double.IsNaN(stored[^1].TemperaturesC[1]));
    }

    [Fact]
    public async Task A_gap_is_a_gap_and_is_said()
    {
        HandFeed feed = new("A", "B");
        await using RunHost host = new(bench.Store);
        WatchRun run = host.Start(WatchBench.Order(), feed);
        IFeedTaker taker = await feed.Taker;
        taker.Sample(1, [25, 25]);
        taker.Clock(2);
        await WatchBench.Until(run, now => now.Source.Well);
        taker.Clock(8);
        RunSnapshot silent = await WatchBench.Until(run, now => !now.Source.Well);
        Assert.All(silent.Channels, channel => Assert.Null(channel.TemperatureC));
        Assert.Contains("No reading for 7 s", silent.Source.Text, StringComparison.Ordinal);
        taker.Sample(9, [26, 26]);
        await WatchBench.Until(
            run,
            now => now.Marks.Any(mark => mark is { Kind: "gap", Text: "No readings from 1.0 to 9.0 s." })
        );
        Assert.Equal([1.0, 9.0], bench.Store.Samples(run.Id).Select(sample => sample.TimeS));
        (float[] cells, int columns) = run.History();
        // Rows of the hole hold no reading: nothing was filled in.
        float[] inHole =
        [
            .. Enumerable
                .Range(0, cells.Length / columns)
                .Where(i => cells[i * columns] is > 4.5f and < 8.5f)
                .Select(i => cells[i * columns + RunHistory.FixedColumns]),
        ];
        Assert.NotEmpty(inHole);
        Assert.All(inHole, cell => Assert.True(float.IsNaN(cell)));
    }

    [Fact]
    public async Task Times_that_stand_still_or_fall_or_are_none_are_left_out()
    {
        HandFeed feed = new("A", "B");
        await using RunHost host = new(bench.Store);
        WatchRun run = host.Start(WatchBench.Order(), feed);
        IFeedTaker taker = await feed.Taker;
        foreach (double timeS in new[] { 1, 2, 2, 1.5, double.NaN, double.NegativeInfinity, 3 })
        {
            taker.Sample(timeS, [25, 25]);
        }
        await WatchBench.Until(run, now => now.TimeS == 3);
        Assert.Equal([1.0, 2.0, 3.0], bench.Store.Samples(run.Id).Select(sample => sample.TimeS));
    }

    [Theory]
    [InlineData("silent")]
    [InlineData("stuck")]
    [InlineData("wild")]
    [InlineData("open")]
    public async Task Bad_readings_never_say_lift(string how)
    {
        HandFeed feed = new("A", "B");
        await using RunHost host = new(bench.Store);
        WatchRun run = host.Start(WatchBench.Order(), feed);
        IFeedTaker taker = await feed.Taker;
        Random random = new(5);
        for (int k = 1; k <= 580; k++)
        {
            double[] read = how switch
            {
                "stuck" => [240, 240],
                "wild" => [random.Next(-60, 700), random.Next(-60, 700)],
                _ => [double.NaN, double.NaN],
            };
            if (how != "silent" || k < 30)
            {
                taker.Sample(k, how == "silent" ? [25, 25] : read);
            }
            taker.Clock(k);
        }
        await WatchBench.Until(run, now => now.TimeS >= 580);
        Assert.DoesNotContain(
            bench.Store.Marks(run.Id),
            mark => mark.Kind == "cue" && mark.Text.StartsWith("Lift now", StringComparison.Ordinal)
        );
    }

    [Fact]
    public async Task A_run_that_a_dead_program_left_is_recovered_and_a_living_one_is_not_touched()
    {
        HandFeed feed = new("A", "B");
        RunHost host = new(bench.Store);
        WatchRun run = host.Start(WatchBench.Order(), feed);
        (await feed.Taker).Sample(1, [25, 25]);
        await WatchBench.Until(run, now => now.StoredNumber == 1);
        HeatRun dead = bench.Store.StartRun(new HeatRunDraft(WatchBench.Job.Id, "Ada", "{}", ["A"]));
        bench.Store.AppendSamples(dead, [new HeatSample(1, [25])]);
        // Another program on the same store.
        using BenchStore other = BenchStore.Open(bench.Folder, TimeProvider.System);
        HeatRun recovered = Assert.Single(await Recovered(other));
        Assert.Equal(dead.Id, recovered.Id);
        Assert.Equal(HeatRunState.Interrupted, bench.Store.FindRun(dead.Id)!.State);
        Assert.Equal(HeatRunState.Running, bench.Store.FindRun(run.Id)!.State);
        Assert.NotNull(bench.Store.FindRun(dead.Id)!.EvidenceSequence);
        await host.DisposeAsync();
        Assert.Equal(HeatRunState.Interrupted, bench.Store.FindRun(run.Id)!.State);
    }

    private static async Task<IReadOnlyList<HeatRun>> Recovered(BenchStore store)
    {
        await using RunHost host = new(store);
        return host.Recover();
    }

    [Fact]
    public async Task Marks_and_settings_are_on_disk_when_they_are_acknowledged_and_the_bench_is_told()
    {
        HandFeed feed = new("A", "B");
        await using RunHost host = new(bench.Store);
        WatchRun run = host.Start(WatchBench.Order(), feed);
        (await feed.Taker).Sample(12, [25, 25]);
        await WatchBench.Until(run, now => now.StoredNumber == 1);
        Assert.Null(await run.MarkAsync("moved", "Marked by the person."));
        Assert.Null(await run.SetAsync(250, null));
        Assert.Contains(bench.Store.Marks(run.Id), mark => mark is { Kind: "moved", TimeS: 12 });
        Assert.Contains(bench.Store.Marks(run.Id), mark => mark is { Kind: "set", Text: "gas 250 °C" });
        Assert.Equal([(250, null)], feed.Turned);
        Assert.Null(await run.EndAsync(HeatRunState.Ended));
        await run.Over.WaitAsync(Patience);
        Assert.Equal("The run is over.", await run.MarkAsync("moved", "late"));
    }

    [Fact]
    public async Task What_is_set_counts_from_when_the_source_took_it()
    {
        HandFeed feed = new("A", "B") { IsAhead = true };
        await using RunHost host = new(bench.Store);
        WatchRun run = host.Start(WatchBench.Order(), feed);
        IFeedTaker taker = await feed.Taker;
        taker.Sample(1, [25, 25]);
        Task<string?> asked = run.SetAsync(250, null);
        taker.Sample(40, [25, 25]);
        Assert.False(asked.IsCompleted);
        feed.Later!(40);
        Assert.Null(await asked);
        RunSnapshot now = await WatchBench.Until(run, now => now.Marks.Any(mark => mark.Kind == "set"));
        HeatMark set = now.Marks.Single(mark => mark.Kind == "set");
        Assert.Equal((40, "gas 250 °C"), (set.TimeS, set.Text));
        // One that ends before it took the setting answers too.
        asked = run.SetAsync(100, null);
        Assert.Null(await run.EndAsync(HeatRunState.Ended));
        Assert.Equal("The run is over.", await asked);
    }

    [Fact]
    public async Task A_heater_that_is_off_goes_to_the_room_and_no_lower()
    {
        HandFeed feed = new("A", "B");
        await using RunHost host = new(bench.Store);
        WatchRun run = host.Start(WatchBench.Order(), feed);
        IFeedTaker taker = await feed.Taker;
        taker.Sample(1, [25, 25]);
        Assert.Null(await run.SetAsync(0, 0));
        taker.Sample(120, [25, 25]);
        RunSnapshot now = await WatchBench.Until(run, now => now.TimeS >= 120);
        Assert.Equal((now.RoomC, now.RoomC), (now.GasSetC, now.PreheaterSetC));
        Assert.Equal(now.RoomC, now.State.Estimate.GasC, 0.01);
        Assert.Equal(now.RoomC, now.State.Estimate.PreheaterC, 0.01);
    }

    [Fact]
    public async Task A_port_gives_its_lines_half_ones_and_broken_ones_are_refused()
    {
        using PtyPair pair = new();
        RunSource source = new(RunSourceKind.Serial, pair.Port) { BaudNumber = 115_200 };
        await using RunHost host = new(bench.Store);
        WatchRun run = host.Start(WatchBench.Order(), source.Feed(WatchBench.Format, TimeProvider.System));
        await WatchBench.Until(run, now => now.Marks.Any(mark => mark.Kind == "connected"));
        // The first piece may be half a line; lines come at a pace that is not thinned.
        string[] pieces =
        [
            "5.1\n",
            "25.0,25.1\n",
            "25.2;25.3\n",
            "\0\025.4,25.5\n",
            "25,4,25,5\n",
            new string('9', 20_000) + "\n",
            "25.",
            "6,25.7\n",
        ];
        foreach (string piece in pieces)
        {
            pair.Send(piece);
            await Task.Delay(80);
        }
        await WatchBench.Until(run, now => now.StoredNumber >= 3);
        Assert.Equal([25.0, 25.4, 25.6], bench.Store.Samples(run.Id).Select(sample => sample.TemperaturesC[0]));
        Assert.Contains(run.Snapshot.Marks, mark => mark.Kind == "refused");
        Assert.Contains(run.Snapshot.Marks, mark => mark.Kind == "bytes");
    }

    [Fact]
    public async Task A_second_run_on_one_port_is_told_why_it_gets_nothing()
    {
        using PtyPair pair = new();
        RunSource source = new(RunSourceKind.Serial, pair.Port) { BaudNumber = 115_200 };
        await using RunHost host = new(bench.Store);
        WatchRun first = host.Start(WatchBench.Order(), source.Feed(WatchBench.Format, TimeProvider.System));
        await WatchBench.Until(first, now => now.Marks.Any(mark => mark.Kind == "connected"));
        WatchRun second = host.Start(WatchBench.Order(), source.Feed(WatchBench.Format, TimeProvider.System));
        RunSnapshot told = await WatchBench.Until(second, now => now.Marks.Any(mark => mark.Kind == "gone"));
        Assert.Contains("another Graftbench", told.Source.Text, StringComparison.Ordinal);
        Assert.False(told.Source.Well);
        pair.Send("x\n25.0,25.1\n");
        await WatchBench.Until(first, now => now.StoredNumber == 1);
    }

    [Fact]
    public async Task A_flood_is_thinned_and_said()
    {
        using PtyPair pair = new();
        RunSource source = new(RunSourceKind.Serial, pair.Port) { BaudNumber = 115_200 };
        await using RunHost host = new(bench.Store);
        WatchRun run = host.Start(WatchBench.Order(), source.Feed(WatchBench.Format, TimeProvider.System));
        await WatchBench.Until(run, now => now.Marks.Any(mark => mark.Kind == "connected"));
        pair.Send("x\n");
        for (int i = 0; i < 200; i++)
        {
            pair.Send(string.Concat(Enumerable.Repeat("25.0,25.1\n", 10)));
            await Task.Delay(10);
        }
        RunSnapshot now = await WatchBench.Until(run, each => each.Marks.Any(mark => mark.Kind == "flood"));
        Assert.True(now.StoredNumber < 22 * (now.TimeS + 1), $"{now.StoredNumber} in {now.TimeS} s");
    }

    [Fact]
    public async Task A_file_that_grows_gives_only_what_is_written_after_the_start()
    {
        string path = Path.Combine(bench.Folder, "grows.csv");
        await File.WriteAllTextAsync(path, "99.0,99.0\n98.0,98.0\n");
        RunSource source = new(RunSourceKind.File, path);
        await using RunHost host = new(bench.Store);
        WatchRun run = host.Start(WatchBench.Order(), source.Feed(WatchBench.Format, TimeProvider.System));
        await WatchBench.Until(run, now => now.Marks.Any(mark => mark.Kind == "connected"));
        await Task.Delay(200);
        await File.AppendAllTextAsync(path, "24.0,24.0\n25.0,25.0\n26.0,26.0\n");
        await WatchBench.Until(run, now => now.StoredNumber >= 1);
        Assert.All(bench.Store.Samples(run.Id), sample => Assert.InRange(sample.TemperaturesC[0], 24, 26));
    }

    [Fact]
    public async Task A_stored_log_is_played_again_by_its_own_times_and_marked_as_a_replay()
    {
        string path = Path.Combine(bench.Folder, "log.csv");
        await File.WriteAllTextAsync(
            path,
            string.Concat(
                Enumerable
                    .Range(0, 120)
                    .Select(k =>
                        string.Create(CultureInfo.InvariantCulture, $"{25 + k * 0.1:0.0},{25 + k * 0.1:0.0}\n")
                    )
            )
        );
        RunSource source = new(RunSourceKind.Replay, path) { SpeedRatio = 200 };
        await using RunHost host = new(bench.Store);
        WatchRun run = host.Start(WatchBench.Order(), source.Feed(WatchBench.Format, TimeProvider.System));
        await run.Over.WaitAsync(Patience);
        IReadOnlyList<HeatSample> samples = bench.Store.Samples(run.Id);
        Assert.Equal(120, samples.Count);
        Assert.Equal(119, samples[^1].TimeS, 6);
        Assert.Contains(bench.Store.Marks(run.Id), mark => mark.Kind == "replay");
    }

    [Fact]
    public void A_log_that_is_not_there_is_said_with_its_name()
    {
        RunSource source = new(RunSourceKind.Replay, "/nowhere/log.csv");
        ProbeSourceException error = Assert.Throws<ProbeSourceException>(() =>
            source.Feed(WatchBench.Format, TimeProvider.System)
        );
        Assert.Contains("/nowhere/log.csv", error.Message, StringComparison.Ordinal);
    }
}
