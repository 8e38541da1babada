using Graftbench.Core.Heating;
using Graftbench.Core.Numerics;
using Graftbench.Core.Physics.Heat;

namespace Graftbench.Core.Watching;

/// <summary>What is really there at a simulated bench, and the model does not know.</summary>
public sealed record BenchTruth
{
    /// <summary>Films, conductivities, heat capacity, what the heaters deliver, lags.</summary>
    public HeatFactors Factors { get; init; } = HeatFactors.Nominal;

    /// <summary>How far the nozzle stands off to the right [mm].</summary>
    public double NozzleOffXMm { get; init; }

    /// <summary>How far the nozzle stands off upwards [mm].</summary>
    public double NozzleOffYMm { get; init; }

    /// <summary>Each probe's own errors, in the order of the watch's probes; missing ones have none but noise.</summary>
    public IReadOnlyList<ProbeTruth> Probes { get; init; } = [];

    /// <summary>Seed of the noise.</summary>
    public ulong Seed { get; init; } = 1;
}

/// <summary>A probe as it really is.</summary>
public sealed record ProbeTruth
{
    /// <summary>How far it sits off to the right [mm].</summary>
    public double OffXMm { get; init; }

    /// <summary>How far it sits off upwards [mm].</summary>
    public double OffYMm { get; init; }

    /// <summary>What it reads too much all along [K].</summary>
    public double BiasDeltaK { get; init; }

    /// <summary>Noise of each reading, one standard deviation [K].</summary>
    public double NoiseDeltaK { get; init; } = 0.5;

    /// <summary>Lag of its bead [s].</summary>
    public double LagS { get; init; } = 0.7;

    /// <summary>Share of the gas in its reading.</summary>
    public double GasShareFraction { get; init; }
}

/// <summary>A heat at a simulated bench: readings as a logger would send them, and the truth behind them.</summary>
/// <param name="StepS">Distance of all values [s]; the first at time 0.</param>
/// <param name="Readings">Readings in the order of time. They are a simulation and must be called so wherever they are shown.</param>
/// <param name="ColdestC">Coldest joint at each step [°C].</param>
/// <param name="HottestC">Hottest joint at each step [°C].</param>
/// <param name="Truth">Every place of the model at each step.</param>
/// <param name="AllMoltenS">When every joint is molten first [s]; null for never.</param>
public sealed record SimulatedHeat(
    double StepS,
    IReadOnlyList<ProbeReading> Readings,
    IReadOnlyList<double> ColdestC,
    IReadOnlyList<double> HottestC,
    HeatTrace Truth,
    double? AllMoltenS
);

/// <summary>The full model with disturbed numbers in place of a bench. Same seed, same readings.</summary>
public static class SimulatedBench
{
    /// <summary>A bench whose numbers are off by as much as real ones may be: films by up to 25 %, copper, lags, gas, the nozzle's and the probes' places.</summary>
    /// <param name="setup">What is watched.</param>
    /// <param name="seed">Same seed, same bench.</param>
    public static BenchTruth Drawn(WatchSetup setup, ulong seed)
    {
        ArgumentNullException.ThrowIfNull(setup);
        return WatchTrials.Drawn(setup.Probes, setup.Model.Nozzle, setup.AlignmentChecked, seed);
    }

    /// <summary>Runs a schedule.</summary>
    /// <param name="setup">What is watched: model, probes; its plan is not used.</param>
    /// <param name="schedule">What is set on the heaters.</param>
    /// <param name="truth">What is really there.</param>
    /// <param name="rough">On a wider grid: faster, for trials.</param>
    /// <param name="cancel">Stops it.</param>
    /// <exception cref="HeatModelException">The full model could not be solved.</exception>
    public static SimulatedHeat Run(
        WatchSetup setup,
        HeatSchedule schedule,
        BenchTruth truth,
        bool rough = false,
        CancellationToken cancel = default
    )
    {
        ArgumentNullException.ThrowIfNull(setup);
        ArgumentNullException.ThrowIfNull(schedule);
        ArgumentNullException.ThrowIfNull(truth);
        BoardHeatModel there = WithNozzle(setup.Model, truth.NozzleOffXMm, truth.NozzleOffYMm);
        HeatMesh mesh = rough ? HeatModels.MeshFor(there).Scaled(1.5) : HeatModels.MeshFor(there);
        HeatCase run = HeatModels.Driven(there, schedule);
        HeatNetwork network = HeatNetwork.Of(run, mesh, truth.Factors);
        List<(double, double, double)> points = [.. HeatModels.Points(there)];
        for (int p = 0; p < setup.Probes.Count; p++)
        {
            HeatPlace at = setup.Probes[p].Place;
            ProbeTruth own = Own(truth, p);
            points.Add((at.XMm + own.OffXMm, at.YMm + own.OffYMm, at.ZMm));
        }
        FieldSampler sampler = FieldSampler.Nearest(network, points);
        FullRun full = FullModel.Run(network, run, truth.Factors, mesh.StepS, sampler, null, null, cancel);
        if (!full.Converged)
        {
            throw new HeatModelException("the full model did not converge on the simulated bench.");
        }
        return Told(setup, truth, run, full);
    }

    /// <summary>A model whose nozzle stands off its place: all that lies round the nozzle moves with it.</summary>
    internal static BoardHeatModel WithNozzle(BoardHeatModel model, double offXMm, double offYMm)
    {
        if (offXMm == 0 && offYMm == 0)
        {
            return model;
        }
        RectMm nozzle = model.Nozzle;
        RectMm? Moved(RectMm? rect) =>
            rect is not null && Concentric(rect, nozzle)
                ? new RectMm(rect.X0Mm + offXMm, rect.X1Mm + offXMm, rect.Y0Mm + offYMm, rect.Y1Mm + offYMm)
                : rect;
        return model with
        {
            Nozzle = Moved(nozzle)!,
            Case = model.Case with
            {
                Films =
                [
                    .. model.Case.Films.Select(film =>
                        film.Faces == Faces.Bottom
                            ? film
                            : film with
                            {
                                Inside = Moved(film.Inside),
                                Outside = Moved(film.Outside),
                            }
                    ),
                ],
                Radiation =
                [
                    .. model.Case.Radiation.Select(patch =>
                        patch.Faces == Faces.Bottom
                            ? patch
                            : patch with
                            {
                                Inside = Moved(patch.Inside),
                                Outside = Moved(patch.Outside),
                            }
                    ),
                ],
            },
        };
    }

    // The opening and its rings grow by the same on all sides, unlike the board or a heater's field.
    private static bool Concentric(RectMm rect, RectMm nozzle)
    {
        double grownMm = nozzle.X0Mm - rect.X0Mm;
        const double SameMm = 1e-6;
        return grownMm > -SameMm
            && Math.Abs(rect.X1Mm - nozzle.X1Mm - grownMm) < SameMm
            && Math.Abs(nozzle.Y0Mm - rect.Y0Mm - grownMm) < SameMm
            && Math.Abs(rect.Y1Mm - nozzle.Y1Mm - grownMm) < SameMm;
    }

    private static ProbeTruth Own(BenchTruth truth, int p) =>
        p < truth.Probes.Count ? truth.Probes[p] : new ProbeTruth();

    private static SimulatedHeat Told(WatchSetup setup, BenchTruth truth, HeatCase run, FullRun full)
    {
        int places = setup.Model.Places.Count;
        int steps = full.ProbesC[0].Length;
        int[] joints = [.. Enumerable.Range(0, places).Where(i => setup.Model.Places[i].Kind == HeatPlaceKind.Joint)];
        double[] coldest = new double[steps];
        double[] hottest = new double[steps];
        double? moltenS = null;
        for (int k = 0; k < steps; k++)
        {
            coldest[k] = joints.Min(joint => full.ProbesC[joint][k]);
            hottest[k] = joints.Max(joint => full.ProbesC[joint][k]);
            if (moltenS is null && coldest[k] >= setup.Model.MoltenC)
            {
                moltenS = k * full.StepS;
            }
        }
        DriveValues drive = new(run, full.StepS, steps - 1, truth.Factors);
        Dice dice = new(truth.Seed);
        List<ProbeReading> readings = [];
        double[] beadC = [.. setup.Probes.Select((_, p) => full.ProbesC[places + p][0])];
        for (int k = 0; k < steps; k++)
        {
            double gasC = drive.Of(HeatSignals.Gas)[k];
            for (int p = 0; p < setup.Probes.Count; p++)
            {
                ProbeTruth own = Own(truth, p);
                double hereC = full.ProbesC[places + p][k];
                hereC += own.GasShareFraction * (gasC - hereC);
                beadC[p] += (hereC - beadC[p]) * (own.LagS > 0 ? 1 - Math.Exp(-full.StepS / own.LagS) : 1);
                double readC = beadC[p] + own.BiasDeltaK + own.NoiseDeltaK * dice.Normal();
                readings.Add(new ProbeReading(k * full.StepS, setup.Probes[p].Channel, readC));
            }
        }
        return new SimulatedHeat(
            full.StepS,
            readings,
            coldest,
            hottest,
            new HeatTrace(full.StepS, full.ProbesC[..places]),
            moltenS
        );
    }
}
