using Graftbench.Core.Jobs;
using Graftbench.Core.Physics.Heat;

namespace Graftbench.Core.Heating;

/// <summary>The physics behind a plan: boxes and films from the job, the full model, and the reduced model made from it.</summary>
public sealed class HeatModels : IHeatModels
{
    private const long MostPlanPoints = 400_000;
    private const double Coarser = 1.5;
    private const int LongSideCells = 150;
    private const double GasTestC = 300;
    private const double PreheaterTestC = 220;

    /// <summary>Step of planned runs [s].</summary>
    private const double StepS = 1;

    private const double ReducedStepS = 1;
    private const double QuickStepS = 3;

    /// <inheritdoc/>
    public BoardHeatModel Build(Job job, HeatTask task, string chipId, Nozzle? nozzle, double? flowPercent) =>
        BoardModelBuilder.Build(job, task, chipId, nozzle, flowPercent);

    /// <inheritdoc/>
    public IReadOnlyList<HeatLimit> Limits(Job job, HeatTask task, BoardHeatModel model) =>
        HeatLimitsOf.Of(job, task, model);

    /// <inheritdoc/>
    public HeatTrace Quick(BoardHeatModel model, HeatSchedule schedule, CancellationToken cancel) =>
        FullHeatRunner
            .Coarse(model, MeshFor(model).Scaled(Coarser) with { StepS = QuickStepS }, cancel)
            .Run(schedule, HeatFactors.Nominal);

    /// <inheritdoc/>
    public IHeatRunner Reduced(
        BoardHeatModel model,
        bool rough,
        IProgress<double>? doneFraction = null,
        CancellationToken cancel = default
    )
    {
        ReducedModel reduced = ReducedFor(model, Points(model), rough, doneFraction, cancel);
        return new ReducedHeatRunner(model, reduced);
    }

    /// <inheritdoc/>
    public FullHeatRun Full(
        BoardHeatModel model,
        HeatSchedule schedule,
        IHeatRunner? reduced,
        IReadOnlyList<double> picturesS,
        CancellationToken cancel
    )
    {
        HeatMesh mesh = MeshFor(model);
        HeatCase run = Driven(model, schedule);
        HeatNetwork network = HeatNetwork.Of(run, mesh, HeatFactors.Nominal);
        PlaneRecorder planes = new(network, model, picturesS, mesh.StepS, LongSideCells);
        FullRun? full = null;
        double[][] coarse = [];
        double[][] slow = [];
        HeatMesh wide = mesh.Scaled(Coarser);
        Parallel.Invoke(
            new ParallelOptions { CancellationToken = cancel },
            () =>
                full = FullModel.Run(
                    network,
                    run,
                    HeatFactors.Nominal,
                    mesh.StepS,
                    FieldSampler.Nearest(network, Points(model)),
                    planes.Record,
                    null,
                    cancel
                ),
            () =>
            {
                coarse = Coarse(model, schedule, wide, cancel);
                slow = Coarse(model, schedule, wide with { StepS = 2 * mesh.StepS }, cancel);
            }
        );
        if (full is not { Converged: true } || coarse.Length == 0 || slow.Length == 0)
        {
            throw new HeatModelException("the full model did not converge on the schedule.");
        }
        HeatTrace trace = new(full.StepS, full.ProbesC);
        (double meshErrorDeltaK, _) = Differences(model.Places, full.ProbesC, 1, coarse, 1);
        (double stepErrorDeltaK, _) = Differences(model.Places, coarse, 2, slow, 1);
        (double near, double elsewhere)? reducedError = reduced is null
            ? null
            : PeakDifferences(model.Places, trace, reduced.Run(schedule, HeatFactors.Nominal));
        return new FullHeatRun(
            trace,
            new HeatModelTrust(
                reduced is ReducedHeatRunner ? "reduced" : "full",
                network.Count,
                full.StepS,
                meshErrorDeltaK / (Coarser * Coarser - 1),
                stepErrorDeltaK / 3,
                full.Energy.ImbalanceFraction,
                reducedError?.near,
                reducedError?.elsewhere,
                true
            ),
            planes.Planes()
        );
    }

    /// <summary>The reduced model read at points at choice.</summary>
    internal static ReducedModel ReducedFor(
        BoardHeatModel model,
        IReadOnlyList<(double XMm, double YMm, double ZMm)> points,
        bool rough,
        IProgress<double>? doneFraction,
        CancellationToken cancel
    )
    {
        HeatMesh mesh = rough ? MeshFor(model).Scaled(Coarser) : MeshFor(model);
        ReducedLevels levels = new(GasTestC, PreheaterTestC);
        return ReducedBuilder.Build(Bare(model), mesh, levels, points, ReducedStepS, doneFraction, cancel)
            ?? throw new HeatModelException("a test run of the full model did not converge.");
    }

    /// <summary>The grid of a model: the usual one, or a wider one where many neighbours would make it too large.</summary>
    internal static HeatMesh MeshFor(BoardHeatModel model)
    {
        HeatMesh mesh = HeatMesh.Plan;
        HeatCase bare = Bare(model);
        for (int i = 0; i < 12 && HeatGrid.Of(bare, mesh).PointsNumber > MostPlanPoints; i++)
        {
            mesh = mesh.Scaled(1.2) with { SnapMm = mesh.SnapMm * 1.4 };
        }
        return mesh;
    }

    /// <summary>A model's case with a schedule's set points for signals.</summary>
    internal static HeatCase Driven(BoardHeatModel model, HeatSchedule schedule) =>
        Bare(model) with
        {
            DurationS = schedule.DurationS,
            Signals = Signals(model, schedule),
        };

    internal static IReadOnlyList<HeatSignal> Signals(BoardHeatModel model, HeatSchedule schedule) =>
        [
            new HeatSignal(HeatSignals.Gas, schedule.Gas, model.GasLagS),
            new HeatSignal(HeatSignals.Preheater, schedule.Preheater, model.PreheaterLagS),
            new HeatSignal(HeatSignals.Room, [new SignalPoint(0, model.RoomC)]),
        ];

    // Places are read between the grid's lines: with lines of their own they would make it several times larger.
    internal static HeatCase Bare(BoardHeatModel model) => model.Case with { Probes = [], StartC = model.RoomC };

    internal static IReadOnlyList<(double XMm, double YMm, double ZMm)> Points(BoardHeatModel model) =>
        [.. model.Places.Select(place => (place.XMm, place.YMm, place.ZMm))];

    private static double[][] Coarse(
        BoardHeatModel model,
        HeatSchedule schedule,
        HeatMesh mesh,
        CancellationToken cancel
    ) => FullHeatRunner.Coarse(model, mesh, cancel).Run(schedule, HeatFactors.Nominal).TemperaturesC;

    // Peaks are what limits are held against. While solder melts or freezes the curves may lie a few kelvin apart: that is
    // about a second.
    private static (double NearDeltaK, double ElsewhereDeltaK) PeakDifferences(
        IReadOnlyList<HeatPlace> places,
        HeatTrace full,
        HeatTrace reduced
    )
    {
        double[][] Peaks(HeatTrace trace) => [.. trace.TemperaturesC.Select(values => new[] { values.Max() })];
        return Differences(places, Peaks(full), 1, Peaks(reduced), 1);
    }

    // Largest difference at joints and body, and elsewhere; strides bring runs of different steps together.
    private static (double NearDeltaK, double ElsewhereDeltaK) Differences(
        IReadOnlyList<HeatPlace> places,
        double[][] a,
        int strideA,
        double[][] b,
        int strideB
    )
    {
        double near = 0;
        double elsewhere = 0;
        for (int p = 0; p < places.Count; p++)
        {
            double largest = 0;
            for (int t = 0; t * strideA < a[p].Length && t * strideB < b[p].Length; t++)
            {
                largest = Math.Max(largest, Math.Abs(a[p][t * strideA] - b[p][t * strideB]));
            }
            if (places[p].Kind is HeatPlaceKind.Joint or HeatPlaceKind.BodyTop)
            {
                near = Math.Max(near, largest);
            }
            else
            {
                elsewhere = Math.Max(elsewhere, largest);
            }
        }
        return (near, elsewhere);
    }
}

/// <summary>Runs schedules through the reduced model.</summary>
internal sealed class ReducedHeatRunner(BoardHeatModel model, ReducedModel reduced) : IHeatRunner
{
    /// <inheritdoc/>
    public IReadOnlyList<HeatPlace> Places => model.Places;

    /// <summary>Number of states.</summary>
    public int States => reduced.States;

    /// <inheritdoc/>
    public HeatTrace Run(HeatSchedule schedule, HeatFactors factors)
    {
        double[][] values = reduced.Run(HeatModels.Signals(model, schedule), schedule.DurationS, factors);
        return values.Length == model.Places.Count
            ? new HeatTrace(reduced.StepS, values)
            : throw new HeatModelException("the melting of the joints could not be followed.");
    }
}

/// <summary>Runs schedules through the full model: slower by a thousand, without the reduced model's limits.</summary>
internal sealed class FullHeatRunner : IHeatRunner
{
    private readonly BoardHeatModel model;
    private readonly HeatMesh mesh;
    private readonly CancellationToken cancel;

    private FullHeatRunner(BoardHeatModel model, HeatMesh mesh, CancellationToken cancel)
    {
        this.model = model;
        this.mesh = mesh;
        this.cancel = cancel;
    }

    /// <inheritdoc/>
    public IReadOnlyList<HeatPlace> Places => model.Places;

    /// <summary>A runner on a grid at choice.</summary>
    public static FullHeatRunner Coarse(BoardHeatModel model, HeatMesh mesh, CancellationToken cancel) =>
        new(model, mesh, cancel);

    /// <inheritdoc/>
    public HeatTrace Run(HeatSchedule schedule, HeatFactors factors)
    {
        HeatCase run = HeatModels.Driven(model, schedule);
        HeatNetwork network = HeatNetwork.Of(run, mesh, factors);
        FullRun done = FullModel.Run(
            network,
            run,
            factors,
            mesh.StepS,
            FieldSampler.Nearest(network, HeatModels.Points(model)),
            null,
            null,
            cancel
        );
        return done.Converged
            ? new HeatTrace(done.StepS, done.ProbesC)
            : throw new HeatModelException("the full model did not converge.");
    }
}

/// <summary>Takes the temperature pictures of top, joint plane and bottom during a run.</summary>
internal sealed class PlaneRecorder
{
    private readonly RectMm area;
    private readonly int columns;
    private readonly int rows;
    private readonly (string Name, FieldSampler Sampler, List<HeatFrame> Frames)[] planes;
    private readonly HashSet<int> steps;
    private readonly double stepS;

    public PlaneRecorder(
        HeatNetwork network,
        BoardHeatModel model,
        IReadOnlyList<double> picturesS,
        double stepS,
        int longSideCells
    )
    {
        this.stepS = stepS;
        steps = [.. picturesS.Select(time => (int)Math.Round(time / stepS))];
        HeatGrid grid = network.Grid;
        area = new RectMm(grid.XMm[0], grid.XMm[^1], grid.YMm[0], grid.YMm[^1]);
        double cellMm = Math.Max(area.X1Mm - area.X0Mm, area.Y1Mm - area.Y0Mm) / longSideCells;
        columns = Math.Max(1, (int)Math.Round((area.X1Mm - area.X0Mm) / cellMm));
        rows = Math.Max(1, (int)Math.Round((area.Y1Mm - area.Y0Mm) / cellMm));
        double jointMm = model
            .Places.Where(place => place.Kind == HeatPlaceKind.Joint)
            .Select(place => place.ZMm)
            .DefaultIfEmpty(0)
            .First();
        double faceMm = model
            .Case.Boxes.Where(box => box.Role == BoxRole.Board)
            .Select(box => box.Z1Mm)
            .DefaultIfEmpty(0)
            .Max();
        planes =
        [
            Plane("top", network, (x, y) => SurfacePoints.HeightMm(network, x, y, top: true)),
            Plane("joints", network, (x, y) => model.Chip.Contains(x, y) ? jointMm : faceMm),
            Plane("bottom", network, (x, y) => SurfacePoints.HeightMm(network, x, y, top: false)),
        ];
    }

    /// <summary>Keeps a picture where the step is one of the wanted ones.</summary>
    public void Record(int step, ReadOnlySpan<double> fieldK)
    {
        if (!steps.Contains(step))
        {
            return;
        }
        foreach ((_, FieldSampler sampler, List<HeatFrame> frames) in planes)
        {
            float[] values = new float[sampler.Count];
            for (int p = 0; p < values.Length; p++)
            {
                values[p] = sampler.Covered[p] ? (float)(sampler.Read(fieldK, p) - Units.ZeroCelsiusK) : 0;
            }
            frames.Add(new HeatFrame(step * stepS, values));
        }
    }

    /// <summary>The pictures taken.</summary>
    public IReadOnlyList<HeatPlane> Planes() =>
        [
            .. planes.Select(plane => new HeatPlane(
                plane.Name,
                area,
                columns,
                rows,
                plane.Sampler.Covered,
                plane.Frames
            )),
        ];

    private (string, FieldSampler, List<HeatFrame>) Plane(
        string name,
        HeatNetwork network,
        Func<double, double, double?> heightMm
    )
    {
        List<(double, double, double)> points = [];
        for (int j = 0; j < rows; j++)
        {
            double y = area.Y0Mm + (j + 0.5) * (area.Y1Mm - area.Y0Mm) / rows;
            for (int i = 0; i < columns; i++)
            {
                double x = area.X0Mm + (i + 0.5) * (area.X1Mm - area.X0Mm) / columns;
                // A height far off finds no cell, so the point is not covered.
                points.Add((x, y, heightMm(x, y) ?? 1e6));
            }
        }
        return (name, FieldSampler.Of(network, points), []);
    }
}
