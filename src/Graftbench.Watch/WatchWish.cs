using Graftbench.Core.Heating;
using Graftbench.Core.Physics.Heat;
using Graftbench.Core.Watching;

namespace Graftbench.Watch;

/// <summary>What a person wants watched, before the model for it is built.</summary>
/// <param name="RecordId">Job.</param>
/// <param name="Who">Who watches.</param>
/// <param name="Plan">The heat's plan, with its model.</param>
/// <param name="Probes">Probes by channel.</param>
public sealed record WatchWish(string RecordId, string Who, HeatPlan Plan, IReadOnlyList<WatchProbe> Probes)
{
    private const double AfterPlanS = 300;

    /// <summary>Whether the person has checked by sight that the nozzle stands centred.</summary>
    public bool AlignmentChecked { get; init; }

    /// <summary>What is watched, as the estimator takes it.</summary>
    /// <exception cref="InvalidOperationException">The plan has no model.</exception>
    public WatchSetup Setup =>
        new(Plan.Model ?? throw new InvalidOperationException("The heat plan has no model."), Probes)
        {
            Plan = Plan.Schedule,
            AlignmentChecked = AlignmentChecked,
            Limits = [.. Plan.Figures.Select(figure => figure.Limit)],
        };

    /// <summary>What stands against it, all of it.</summary>
    public IReadOnlyList<string> Problems() =>
        Plan.Model is null ? ["The heat plan has no model of board and chip."] : WatchModel.Problems(Setup);

    /// <summary>Builds the model: seconds.</summary>
    /// <param name="doneFraction">Told the share done; null for nobody.</param>
    /// <param name="cancel">Stops it.</param>
    /// <exception cref="ArgumentException">Something stands against it.</exception>
    /// <exception cref="HeatModelException">The model could not be built.</exception>
    public RunOrder Order(IProgress<double>? doneFraction, CancellationToken cancel)
    {
        WatchSetup setup = Setup;
        return new RunOrder(
            RecordId,
            Who,
            Plan.ChipId,
            Plan.Subject,
            WatchModel.Build(setup, rough: false, doneFraction, cancel),
            WatchGoals.Of(Plan.Task, setup.Limits)
        )
        {
            Stages = Plan.Stages,
            Curves = Plan.Curves,
            Nozzle = Plan.Nozzle?.Name,
            Where = Plan
                .Probes.GroupBy(probe => probe.Place, StringComparer.Ordinal)
                .ToDictionary(group => group.Key, group => group.First().Where, StringComparer.Ordinal),
        };
    }

    /// <summary>A simulated bench for it: its numbers are off by as much as real ones may be. About a second.</summary>
    /// <param name="seed">Same seed, same bench.</param>
    /// <param name="speedRatio">Run time over the time on the wall.</param>
    /// <param name="time">Clock.</param>
    /// <exception cref="HeatModelException">The full model could not be solved.</exception>
    public SimulatedFeed Simulated(ulong seed, double speedRatio, TimeProvider time)
    {
        WatchSetup setup = Setup;
        HeatSchedule still = new([new SignalPoint(0, setup.Model.RoomC)], [new SignalPoint(0, setup.Model.RoomC)], 600);
        HeatSchedule plan = setup.Plan ?? still;
        HeatSchedule schedule = plan with { DurationS = plan.DurationS + AfterPlanS };
        SimulatedLogger logger = new(setup, schedule, SimulatedBench.Drawn(setup, seed), rough: true);
        return new SimulatedFeed(
            logger,
            [.. setup.Probes.Select(probe => probe.Channel)],
            schedule.DurationS,
            speedRatio,
            time
        );
    }
}
