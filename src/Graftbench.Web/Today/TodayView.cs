using Graftbench.Core.Drying;
using Graftbench.Core.Findings;
using Graftbench.Core.Jobs;
using Graftbench.Core.Planning;
using Graftbench.Store;
using Graftbench.Web.Demo;
using Graftbench.Web.Shell;

namespace Graftbench.Web.Today;

/// <summary>What the first page shows, picked from the plans of the jobs on the bench.</summary>
/// <param name="Open">Jobs on the bench, those that want hands first.</param>
/// <param name="OpenNumber">How many are on the bench; more than are shown where it is very full.</param>
/// <param name="Closed">Jobs that were handed over last, last changed first.</param>
/// <param name="ClosedNumber">How many were handed over.</param>
/// <param name="Clocks">Everything that runs by itself, soonest first.</param>
/// <param name="Cautions">Cautions of the open jobs, each once.</param>
public sealed record TodayView(
    IReadOnlyList<JobLine> Open,
    int OpenNumber,
    IReadOnlyList<StoredJob> Closed,
    int ClosedNumber,
    IReadOnlyList<RunningClock> Clocks,
    IReadOnlyList<(Caution Caution, IReadOnlyList<string> Jobs)> Cautions
)
{
    /// <summary>Most jobs on the page, those that were changed last.</summary>
    public const int MostOpen = 40;

    /// <summary>Jobs handed over that are named.</summary>
    public const int MostClosed = 10;

    /// <summary>True where the store holds no job of the shop's own: none, or the demo's only.</summary>
    public bool IsFirstRun =>
        OpenNumber + ClosedNumber == Open.Count + Closed.Count
        && Open.Select(line => line.Stored).Concat(Closed).All(stored => DemoShop.Holds(stored.Job.Id));

    /// <summary>Picks from the plans.</summary>
    public static TodayView Of(BenchStore store, BenchPlans plans, DateTimeOffset now)
    {
        ArgumentNullException.ThrowIfNull(store);
        ArgumentNullException.ThrowIfNull(plans);
        JobHits open = store.FindJobs(new JobQuery { Stages = JobQuery.OnTheBench, Take = MostOpen });
        JobHits closed = store.FindJobs(new JobQuery { Stages = [JobStage.HandedOver], Take = MostClosed });
        List<JobLine> lines = [.. open.Jobs.Select(job => JobLine.Of(job, plans.For(job), now))];
        return new TodayView(
            lines.OrderBy(line => line.Rank).ToList(),
            open.TotalNumber,
            closed.Jobs,
            closed.TotalNumber,
            lines.SelectMany(line => RunningClock.Of(line)).OrderBy(clock => clock.At).ToList(),
            lines
                .SelectMany(line => line.Plan.Cautions.Select(caution => (caution, line.Stored.Job.Title)))
                .GroupBy(pair => pair.caution)
                .Select(group => (group.Key, (IReadOnlyList<string>)group.Select(pair => pair.Title).ToList()))
                .ToList()
        );
    }
}

/// <summary>One job on the first page.</summary>
/// <param name="Stored">The job.</param>
/// <param name="Plan">Its plan.</param>
/// <param name="ReadyAt">When everything is dry, what has not been started included; null where nothing is in the dryer or no time is known.</param>
/// <param name="Urgent">The worst finding that stops the work; null without one.</param>
/// <param name="Next">The first question that has something to do.</param>
/// <param name="Rank">Order on the page, smallest first.</param>
public sealed record JobLine(
    StoredJob Stored,
    JobPlan Plan,
    DateTimeOffset? ReadyAt,
    Finding? Urgent,
    QuestionAnswer? Next,
    int Rank
)
{
    /// <summary>What is in the dryer and what is not, where a drying runs and not all of it was started; null otherwise.</summary>
    public string? Split
    {
        get
        {
            List<string> inside = Titles(DryingState.InDryer);
            List<string> parts =
            [
                .. Titles(DryingState.ToDry).Select(title => $"{title} not started"),
                .. Titles(DryingState.NoAnswer).Select(title => $"no time for the {title}"),
            ];
            return inside.Count > 0 && parts.Count > 0
                ? $"{string.Join(", ", inside)} in the dryer; {string.Join(", ", parts)}"
                : null;
        }
    }

    /// <summary>How many more findings stop the work, beside the worst.</summary>
    public int UrgentMore =>
        Math.Max(0, Plan.Findings.Count(finding => finding.Verdict is Verdict.Blocker or Verdict.FixFirst) - 1);

    private List<string> Titles(DryingState state) =>
        Plan.Drying.Subjects.Where(subject => subject.State == state).Select(subject => subject.Title).ToList();

    /// <summary>The line of a job.</summary>
    public static JobLine Of(StoredJob stored, JobPlan plan, DateTimeOffset now)
    {
        bool runs = plan.Drying.Subjects.Any(subject => subject.State == DryingState.InDryer);
        DateTimeOffset? readyAt = runs ? plan.Drying.ReadyAt : null;
        Finding? urgent = plan.Findings.FirstOrDefault(finding =>
            finding.Verdict is Verdict.Blocker or Verdict.FixFirst
        );
        QuestionAnswer? next = NextStep.Of(plan);
        int rank =
            urgent?.Verdict == Verdict.Blocker ? 0
            : readyAt <= now ? 1
            : urgent is not null ? 2
            : readyAt is null ? 3
            : 4;
        return new JobLine(stored, plan, readyAt, urgent, next, rank);
    }
}

/// <summary>Something that runs by itself.</summary>
/// <param name="Line">The job.</param>
/// <param name="What">What it is.</param>
/// <param name="At">When it ends.</param>
/// <param name="UseBy">True for a use-by moment, false for a drying that ends.</param>
public sealed record RunningClock(JobLine Line, string What, DateTimeOffset At, bool UseBy)
{
    /// <summary>The clocks of a job.</summary>
    public static IEnumerable<RunningClock> Of(JobLine line)
    {
        foreach (SubjectDrying subject in line.Plan.Drying.Subjects)
        {
            if (subject.State == DryingState.InDryer && subject.ReadyAt is { } ready)
            {
                yield return new RunningClock(line, $"{subject.Title} in the dryer", ready, false);
            }
            else if (subject.State is DryingState.Dried or DryingState.NoBakeNeeded && subject.UseBy is { } useBy)
            {
                yield return new RunningClock(line, $"{subject.Title} dry, heat it by", useBy, true);
            }
        }
    }
}
