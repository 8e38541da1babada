using Graftbench.Core;
using Graftbench.Core.Heating;
using Graftbench.Core.Jobs;
using Graftbench.Tests.Shared;
using Graftbench.Web.Desk;
using Graftbench.Web.Heating;

namespace Graftbench.Web.Tests;

/// <summary>The desk computes once, one at a time, in order, and stops when told.</summary>
public sealed class HeatDeskTests
{
    private static Job Job(double lengthMm = 200) =>
        new()
        {
            Format = "graftbench-job-1",
            Id = "a",
            Title = "A",
            Host = new Board
            {
                LengthMm = lengthMm,
                WidthMm = 100,
                ThicknessMm = 1.6,
            },
            Chips = [HeatJobs.Chip],
        };

    private static async Task<DeskStatus<HeatPlan>> Until(
        HeatDesk desk,
        Job job,
        Func<DeskStatus<HeatPlan>, bool> reached,
        HeatTask task = HeatTask.Place
    )
    {
        while (true)
        {
            DeskStatus<HeatPlan> status = desk.Status(job, task, "U1");
            if (reached(status))
            {
                return status;
            }
            await Task.Delay(10, TestContext.Current.CancellationToken);
        }
    }

    [Fact]
    public async Task A_plan_is_computed_once_for_the_same_content()
    {
        int runs = 0;
        using HeatDesk desk = new(
            (job, task, chip, progress, cancel) =>
            {
                Interlocked.Increment(ref runs);
                return HeatPlans.Of(job.Host, HeatJobs.Chip, task);
            }
        );
        Job job = Job();
        Assert.Equal(DeskState.NotComputed, desk.Status(job, HeatTask.Place, "U1").State);
        desk.Request(job, HeatTask.Place, "U1");
        DeskStatus<HeatPlan> done = await Until(desk, job, status => !status.Moving);
        Assert.Equal(DeskState.Done, done.State);
        Assert.NotNull(done.Plan);
        // What does not heat does not count.
        Job renamed = job with
        {
            Id = "b",
            Title = "B",
            Stage = JobStage.Drying,
            Result = WorkResult.Works,
            Work = [new WorkEntry { What = WorkStep.Lift, SpentMin = 20 }],
            Host = job.Host with { Gives = new BoardGives { Rails = [new GivenRail { Name = "VCC", SetV = 1 }] } },
            Chips =
            [
                HeatJobs.Chip with
                {
                    Marking = "M",
                    Needs = new ChipNeeds { MostW = 3 },
                },
            ],
            Evidence =
            [
                new EvidenceEntry
                {
                    At = DateTimeOffset.UnixEpoch,
                    Who = "T",
                    Kind = EvidenceKind.Note,
                },
            ],
        };
        Assert.Equal(DeskState.Done, desk.Request(renamed, HeatTask.Place, "U1").State);
        Assert.Equal(1, runs);
        // What heats does.
        Assert.Equal(DeskState.NotComputed, desk.Status(Job(201), HeatTask.Place, "U1").State);
        Assert.Equal(DeskState.NotComputed, desk.Status(job, HeatTask.Lift, "U1").State);
        Assert.Equal(
            DeskState.NotComputed,
            desk.Status(job with { Bench = new Bench { RoomC = 25 } }, HeatTask.Place, "U1").State
        );
    }

    [Fact]
    public async Task One_runs_at_a_time_and_a_stopped_one_gives_way()
    {
        int running = 0;
        int most = 0;
        using ManualResetEventSlim go = new();
        using HeatDesk desk = new(
            (job, task, chip, progress, cancel) =>
            {
                most = Math.Max(most, Interlocked.Increment(ref running));
                try
                {
                    progress.Report(new PlanProgress("searching settings", 0.4));
                    go.Wait(cancel);
                }
                finally
                {
                    Interlocked.Decrement(ref running);
                }
                return HeatPlans.Of(job.Host, HeatJobs.Chip, task);
            }
        );
        Job first = Job();
        Job second = Job(210);
        desk.Request(first, HeatTask.Place, "U1");
        desk.Request(second, HeatTask.Place, "U1");
        DeskStatus<HeatPlan> at = await Until(desk, first, status => status.DoneFraction > 0);
        Assert.Equal((0.4, "searching settings"), (at.DoneFraction, at.Words));
        Assert.Equal(DeskState.Queued, desk.Status(second, HeatTask.Place, "U1").State);
        desk.Cancel(first, HeatTask.Place, "U1");
        Assert.Equal(DeskState.Cancelled, desk.Status(first, HeatTask.Place, "U1").State);
        await Until(desk, second, status => status.State == DeskState.Running);
        go.Set();
        Assert.Equal(DeskState.Done, (await Until(desk, second, status => !status.Moving)).State);
        Assert.Null(desk.Status(first, HeatTask.Place, "U1").Plan);
        // Asked for again, it is computed after all.
        desk.Request(first, HeatTask.Place, "U1");
        Assert.Equal(DeskState.Done, (await Until(desk, first, status => !status.Moving)).State);
        Assert.Equal(1, most);
    }

    [Fact]
    public async Task What_breaks_is_said_and_the_next_one_still_runs()
    {
        using HeatDesk desk = new(
            (job, task, chip, progress, cancel) =>
                task == HeatTask.Lift
                    ? throw new InvalidOperationException("matrix is singular")
                    : HeatPlans.Of(job.Host, HeatJobs.Chip, task)
        );
        Job job = Job();
        desk.Request(job, HeatTask.Lift, "U1");
        desk.Request(job, HeatTask.Place, "U1");
        Assert.Equal(DeskState.Done, (await Until(desk, job, status => !status.Moving)).State);
        DeskStatus<HeatPlan> failed = desk.Status(job, HeatTask.Lift, "U1");
        Assert.Equal(DeskState.Failed, failed.State);
        Assert.Contains("matrix is singular", failed.Words, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Plans_kept_and_waiting_are_bounded()
    {
        using ManualResetEventSlim go = new();
        using HeatDesk desk = new(
            (job, task, chip, progress, cancel) =>
            {
                go.Wait(cancel);
                return HeatPlans.Of(job.Host, HeatJobs.Chip, task, HeatPlanState.NoAnswer);
            }
        );
        List<Job> jobs = [.. Enumerable.Range(0, 40).Select(i => Job(100 + i))];
        DeskStatus<HeatPlan>[] asked = [.. jobs.Select(job => desk.Request(job, HeatTask.Place, "U1"))];
        Assert.InRange(
            asked.Count(status => status.Moving),
            PlanDesk<HeatPlan>.MostWaiting,
            PlanDesk<HeatPlan>.MostWaiting + 1
        );
        Assert.All(
            asked.Where(status => !status.Moving),
            status => Assert.Contains("wait already", status.Words, StringComparison.Ordinal)
        );
        go.Set();
        foreach (Job job in jobs)
        {
            await Until(desk, job, status => !status.Moving);
        }
        desk.Request(Job(500), HeatTask.Place, "U1");
        await Until(desk, Job(500), status => !status.Moving);
        int kept = jobs.Count(job => desk.Status(job, HeatTask.Place, "U1").State == DeskState.Done);
        Assert.InRange(kept, 1, PlanDesk<HeatPlan>.MostKept);
    }

    [Fact]
    public void Without_a_planner_the_answer_is_a_reason()
    {
        using HeatDesk desk = new(null);
        DeskStatus<HeatPlan> status = desk.Request(Job(), HeatTask.Place, "U1");
        Assert.Equal(DeskState.Failed, status.State);
        Assert.Contains("no planner for the heat plan", status.Words, StringComparison.Ordinal);
    }
}
