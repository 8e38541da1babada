using Graftbench.Core.Physics.Heat;

namespace Graftbench.Core.Heating;

/// <summary>
/// How far a quick model is off the one that counts, on one schedule: a reduced model off the full one, a rough grid off the
/// fine one. With limits shifted by this much what the quick model finds keeps the limits themselves.
/// </summary>
internal sealed class ModelShift
{
    private readonly Dictionary<(HeatLimitKind, string?), double> offsets = [];

    private ModelShift(IReadOnlyList<HeatLimit> limits, double[] counts, double[] quick, double jointDeltaK)
    {
        JointDeltaK = jointDeltaK;
        for (int i = 0; i < limits.Count; i++)
        {
            offsets[(limits[i].Kind, limits[i].Place)] = counts[i] - quick[i];
        }
    }

    /// <summary>What the coldest joint's peak lies above that of the quick model [K].</summary>
    public double JointDeltaK { get; }

    /// <summary>Compares figures that count with those of a quick model of the same case.</summary>
    public static ModelShift Of(
        IHeatRunner runner,
        BoardHeatModel model,
        BenchSettings bench,
        IReadOnlyList<HeatLimit> limits,
        ScheduleAnswer counts
    )
    {
        HeatTrace trace = runner.Run(bench.Schedule(counts.Values, ScheduleOptimiser.CoolingS), HeatFactors.Nominal);
        int coldest = limits.ToList().FindIndex(limit => limit.Kind == HeatLimitKind.ColdestJointPeak);
        double offDeltaK =
            coldest < 0
                ? 0
                : counts.Figures[coldest]
                    - new RunFigures(runner.Places, [], model.MoltenC).ColdestC(trace.TemperaturesC);
        // Times above full melt are taken above the shifted level.
        double[] quick = new double[limits.Count];
        new RunFigures(runner.Places, limits, model.MoltenC - offDeltaK).Compute(
            trace,
            bench.HeatingS(counts.Values),
            smooth: false,
            quick
        );
        return new ModelShift(limits, counts.Figures, quick, offDeltaK);
    }

    /// <summary>Largest shift of a limit, in its own uncertainties.</summary>
    public double Largest(IReadOnlyList<HeatLimit> limits) =>
        limits.Count == 0 ? 0 : limits.Max(limit => Math.Abs(Offset(limit)) / limit.Scale);

    /// <summary>The model with its melt where the quick model reaches it.</summary>
    public BoardHeatModel Shifted(BoardHeatModel model) => model with { MoltenC = model.MoltenC - JointDeltaK };

    /// <summary>Limits as the quick model has to keep them.</summary>
    public IReadOnlyList<HeatLimit> Shifted(IReadOnlyList<HeatLimit> limits) =>
        [.. limits.Select(limit => limit with { Value = limit.Value - Offset(limit) })];

    /// <summary>An answer with figures and limits as the model that counts has them.</summary>
    /// <param name="answer">Found with shifted limits.</param>
    /// <param name="limits">The limits before they were shifted.</param>
    public ScheduleAnswer Restored(ScheduleAnswer answer, IReadOnlyList<HeatLimit> limits) =>
        answer with
        {
            Figures = Restored(answer.Figures, limits),
            Blocking =
            [
                .. answer
                    .Blocking.Select(limit =>
                        limits.FirstOrDefault(one => one.Kind == limit.Kind && one.Place == limit.Place)
                    )
                    .OfType<HeatLimit>(),
            ],
        };

    /// <summary>Figures of a run of the quick model as the model that counts would have them.</summary>
    /// <param name="figures">One for each limit.</param>
    /// <param name="limits">The limits.</param>
    public double[] Restored(double[] figures, IReadOnlyList<HeatLimit> limits) =>
        [
            // Times, rises and differences do not turn negative.
            .. figures.Select(
                (figure, i) =>
                    limits[i].Unit == "°C" ? figure + Offset(limits[i]) : Math.Max(0, figure + Offset(limits[i]))
            ),
        ];

    private double Offset(HeatLimit limit) => offsets.GetValueOrDefault((limit.Kind, limit.Place));
}
