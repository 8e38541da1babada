using Graftbench.Core.Physics.Heat;

namespace Graftbench.Core.Heating;

/// <summary>
/// How far a rough grid is off the fine one on the present plan. Remedies are tried on rough grids: with limits shifted by
/// this much they are held to the same as the plan, and their figures can stand beside its own.
/// </summary>
internal sealed class RoughGrid
{
    private readonly Dictionary<(HeatLimitKind, string?), double> offsets = [];
    private readonly double jointDeltaK;

    private RoughGrid(IReadOnlyList<HeatLimit> limits, double[] fine, double[] rough, double jointDeltaK)
    {
        this.jointDeltaK = jointDeltaK;
        for (int i = 0; i < limits.Count; i++)
        {
            offsets[(limits[i].Kind, limits[i].Place)] = fine[i] - rough[i];
        }
    }

    /// <summary>Compares the present plan's figures with those of a rough model of the same case.</summary>
    public static RoughGrid Of(
        IHeatRunner runner,
        BoardHeatModel model,
        BenchSettings bench,
        IReadOnlyList<HeatLimit> limits,
        ScheduleAnswer fine
    )
    {
        HeatTrace trace = runner.Run(bench.Schedule(fine.Values, ScheduleOptimiser.CoolingS), HeatFactors.Nominal);
        int coldest = limits.ToList().FindIndex(limit => limit.Kind == HeatLimitKind.ColdestJointPeak);
        double offDeltaK =
            coldest < 0
                ? 0
                : fine.Figures[coldest]
                    - new RunFigures(runner.Places, [], model.MoltenC).ColdestC(trace.TemperaturesC);
        // Times above full melt are taken above the shifted level.
        double[] rough = new double[limits.Count];
        new RunFigures(runner.Places, limits, model.MoltenC - offDeltaK).Compute(
            trace,
            bench.HeatingS(fine.Values),
            smooth: false,
            rough
        );
        return new RoughGrid(limits, fine.Figures, rough, offDeltaK);
    }

    /// <summary>The model with its melt where the rough grid reaches it.</summary>
    public BoardHeatModel Shifted(BoardHeatModel model) => model with { MoltenC = model.MoltenC - jointDeltaK };

    /// <summary>Limits as the rough grid has to keep them.</summary>
    public IReadOnlyList<HeatLimit> Shifted(IReadOnlyList<HeatLimit> limits) =>
        [.. limits.Select(limit => limit with { Value = limit.Value - Offset(limit) })];

    /// <summary>An answer with figures and limits as the fine grid has them.</summary>
    /// <param name="answer">Found with shifted limits.</param>
    /// <param name="limits">The limits before they were shifted.</param>
    public ScheduleAnswer Restored(ScheduleAnswer answer, IReadOnlyList<HeatLimit> limits) =>
        answer with
        {
            Figures =
            [
                // Times, rises and differences do not turn negative.
                .. answer.Figures.Select(
                    (figure, i) =>
                        limits[i].Unit == "°C" ? figure + Offset(limits[i]) : Math.Max(0, figure + Offset(limits[i]))
                ),
            ],
            Blocking =
            [
                .. answer
                    .Blocking.Select(limit =>
                        limits.FirstOrDefault(one => one.Kind == limit.Kind && one.Place == limit.Place)
                    )
                    .OfType<HeatLimit>(),
            ],
        };

    private double Offset(HeatLimit limit) => offsets.GetValueOrDefault((limit.Kind, limit.Place));
}
