using Graftbench.Core.Heating;
using Graftbench.Core.Jobs;
using Graftbench.Core.Physics.Heat;

namespace Graftbench.Core.Tests.Heating;

/// <summary>Models of the lumped board: a larger nozzle heats the corners more evenly, a shield halves what U7 takes up.</summary>
internal sealed class LumpedModels : IHeatModels
{
    public Func<Job, IReadOnlyList<HeatLimit>> LimitsOf { get; init; } = _ => LumpedBoard.Limits();

    /// <summary>Rise of the full model at the joints as share of the reduced one's.</summary>
    public double FullJointsRatio { get; init; } = 1;

    public int FullRuns { get; private set; }

    public bool FullConverges { get; init; } = true;

    public bool FullThrows { get; init; }

    public bool ReducedThrows { get; init; }

    public List<HeatAssumption> Assumptions { get; init; } =
    [
        new("film.top", "Film under the nozzle: 100 W/m²K, assumed.", nameof(HeatFactors.TopFactor), 0.05, true, "t"),
        new("film.bottom", "Film below: 18 W/m²K, assumed.", nameof(HeatFactors.BottomFactor), 0.05, true, "t"),
    ];

    public BoardHeatModel Build(Job job, HeatTask task, string chipId, Nozzle? nozzle, double? flowPercent)
    {
        if (!job.Chips.Any(chip => chip.Id == chipId))
        {
            return Model(
                [],
                new RectMm(0, 0, 0, 0),
                [new(Findings.Verdict.FixFirst, "heat.no-such-chip", chipId, "No such chip.")]
            );
        }
        double halfX = (nozzle?.LengthMm ?? 40) / 2;
        double halfY = (nozzle?.WidthMm ?? nozzle?.LengthMm ?? 40) / 2;
        return Model(
            [new HeatBox("board", 0, 200, 0, 150, -1.6, 0, 25, 0.35, 2500, 800, BoxRole.Board)],
            new RectMm(100 - halfX, 100 + halfX, 75 - halfY, 75 + halfY),
            []
        );
    }

    public IReadOnlyList<HeatLimit> Limits(Job job, HeatTask task, BoardHeatModel model) => LimitsOf(job);

    public HeatTrace Quick(BoardHeatModel model, HeatSchedule schedule, CancellationToken cancel) =>
        Runner(model).Run(schedule, HeatFactors.Nominal);

    public IHeatRunner Reduced(
        BoardHeatModel model,
        bool rough,
        IProgress<double>? progress = null,
        CancellationToken cancel = default
    ) => ReducedThrows ? throw new HeatModelException("the basis is singular.") : Runner(model);

    public FullHeatRun Full(
        BoardHeatModel model,
        HeatSchedule schedule,
        IHeatRunner? reduced,
        IReadOnlyList<double> picturesS,
        CancellationToken cancel
    )
    {
        FullRuns++;
        if (FullThrows)
        {
            throw new HeatModelException("no convergence.");
        }
        HeatTrace trace = Runner(model).Run(schedule, HeatFactors.Nominal);
        for (int place = 0; place < model.Places.Count && FullJointsRatio != 1; place++)
        {
            for (int step = 0; step < trace.Count && model.Places[place].Kind == HeatPlaceKind.Joint; step++)
            {
                trace.TemperaturesC[place][step] =
                    model.RoomC + FullJointsRatio * (trace.TemperaturesC[place][step] - model.RoomC);
            }
        }
        return new FullHeatRun(
            trace,
            new HeatModelTrust(
                "full",
                1000,
                1,
                0.2,
                0.05,
                0.001,
                210 * Math.Abs(1 - FullJointsRatio),
                0.3,
                FullConverges
            ),
            []
        );
    }

    public static BoardHeatModel Model(
        IReadOnlyList<HeatBox> boxes,
        RectMm nozzle,
        IReadOnlyList<Findings.Finding> findings,
        IReadOnlyList<HeatAssumption>? assumptions = null
    ) =>
        new(
            new HeatCase("lumped", LumpedBoard.RoomC, 0, boxes, [], [], [], [], []),
            LumpedBoard.Chip().Places,
            nozzle,
            new RectMm(82.5, 117.5, 57.5, 92.5),
            LumpedBoard.RoomC,
            8,
            25,
            217,
            220,
            assumptions ?? [],
            findings
        );

    private BoardHeatModel Model(
        IReadOnlyList<HeatBox> boxes,
        RectMm nozzle,
        IReadOnlyList<Findings.Finding> findings
    ) => Model(boxes, nozzle, findings, Assumptions);

    private static LumpedRunner Runner(BoardHeatModel model)
    {
        double overhang = NozzleChooser.OverhangMm(model.Nozzle, model.Chip);
        return LumpedBoard.Chip(Math.Clamp(0.6 + 0.06 * overhang, 0.3, 0.95));
    }
}
