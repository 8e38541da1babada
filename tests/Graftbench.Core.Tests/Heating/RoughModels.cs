using Graftbench.Core.Heating;
using Graftbench.Core.Jobs;
using Graftbench.Core.Physics.Heat;

namespace Graftbench.Core.Tests.Heating;

/// <summary>The real models on a wide grid, and the reduced one in place of the full one: quick enough for many jobs.</summary>
internal sealed class RoughModels(double coarser = 4) : IHeatModels
{
    private readonly HeatModels real = new();

    public BoardHeatModel Build(Job job, HeatTask task, string chipId, Nozzle? nozzle, double? flowPercent) =>
        real.Build(job, task, chipId, nozzle, flowPercent);

    public IReadOnlyList<HeatLimit> Limits(Job job, HeatTask task, BoardHeatModel model) =>
        real.Limits(job, task, model);

    public HeatTrace Quick(BoardHeatModel model, HeatSchedule schedule, CancellationToken cancel) =>
        FullHeatRunner
            .Coarse(model, HeatModels.MeshFor(model).Scaled(coarser) with { StepS = 5 }, cancel)
            .Run(schedule, HeatFactors.Nominal);

    public IHeatRunner Reduced(
        BoardHeatModel model,
        bool rough,
        IProgress<double>? progress = null,
        CancellationToken cancel = default
    ) =>
        new ReducedHeatRunner(
            model,
            ReducedBuilder.Build(
                HeatModels.Bare(model),
                HeatModels.MeshFor(model).Scaled(coarser),
                new ReducedLevels(300, 220),
                HeatModels.Points(model),
                2,
                progress,
                cancel
            ) ?? throw new HeatModelException("a test run did not converge.")
        );

    public FullHeatRun Full(
        BoardHeatModel model,
        HeatSchedule schedule,
        IHeatRunner? reduced,
        IReadOnlyList<double> picturesS,
        CancellationToken cancel
    ) => new(reduced!.Run(schedule, HeatFactors.Nominal), new HeatModelTrust("reduced", 1, 2, 0, 0, 0, 0, 0, true), []);
}
