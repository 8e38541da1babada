using Graftbench.Core.Heating;
using Graftbench.Core.Numerics;
using Graftbench.Core.Physics.Heat;

namespace Graftbench.Core.Watching;

/// <summary>How one trial ended.</summary>
/// <param name="Channels">Probes that it had.</param>
/// <param name="AlignmentChecked">Whether the nozzle stood within half a millimetre and the watch knew it.</param>
/// <param name="ErrorsDeltaK">Estimated less true coldest joint, each second from 60 s on [K].</param>
/// <param name="AtMeltDeltaK">The same when the last joint truly melts [K]; null where it never does.</param>
/// <param name="NaiveAtMeltDeltaK">First probe's reading less the coldest joint then: what "probe = joint" is wrong by [K].</param>
/// <param name="MoltenS">When every joint is truly molten [s]; null for never.</param>
/// <param name="NaiveS">When the first probe reads full melt [s]; null for never.</param>
/// <param name="LiftS">When the cue to lift came [s]; null for never.</param>
/// <param name="ColdestAtLiftC">Coldest joint then, in truth [°C].</param>
/// <param name="HeldFraction">Share of seconds in which the band held the truth.</param>
/// <param name="TrustAtEnd">Trust at the end.</param>
/// <param name="Reasons">Why it was not trusted, at the end.</param>
/// <param name="TopFactorErrorRatio">Film under the nozzle as learned over the true one, at the end.</param>
internal sealed record WatchTrial(
    string Channels,
    bool AlignmentChecked,
    IReadOnlyList<double> ErrorsDeltaK,
    double? AtMeltDeltaK,
    double? NaiveAtMeltDeltaK,
    double? MoltenS,
    double? NaiveS,
    double? LiftS,
    double? ColdestAtLiftC,
    double HeldFraction,
    WatchTrust TrustAtEnd,
    IReadOnlyList<string> Reasons,
    double TopFactorErrorRatio
)
{
    /// <summary>Whether the chip would have been pulled with a joint still solid.</summary>
    public bool TooEarly(double moltenC) => ColdestAtLiftC < moltenC;
}

/// <summary>
/// Closed-loop trials on the simulated bench: the truth has other films, copper, substrate, gas and lags than the model, the
/// nozzle and each probe sit off their places, readings have bias, noise, lag and gas in them. A simulated person follows the
/// plan, then turns the gas up where the watch does not foresee a sure melt, and lifts when told.
/// </summary>
internal static class WatchTrials
{
    private const double RaiseEveryS = 40;
    private const double RaiseDeltaK = 20;
    private const double WaitS = 360;
    private const double GasMostC = 420;
    private const double AskedS = 5;

    /// <summary>Runs trials.</summary>
    /// <param name="model">Model of the heat.</param>
    /// <param name="plan">Planned set points; after their heating the last ones are held.</param>
    /// <param name="heatingS">When the plan would switch off [s].</param>
    /// <param name="sets">Sets of probes; trials take turns.</param>
    /// <param name="count">Number of trials.</param>
    /// <param name="seed">Seed.</param>
    /// <param name="rough">Whether the watch's model has the wide grid that the truth has, or a finer one of its own.</param>
    /// <param name="done">Told each trial's number; null for nobody.</param>
    public static IReadOnlyList<WatchTrial> Run(
        BoardHeatModel model,
        HeatSchedule plan,
        double heatingS,
        IReadOnlyList<IReadOnlyList<WatchProbe>> sets,
        int count,
        ulong seed,
        bool rough,
        IProgress<int>? done = null
    )
    {
        HeatSchedule held = Held(plan, heatingS);
        WatchModel[] watches =
        [
            .. sets.Select(set => WatchModel.Build(new WatchSetup(model, set) { Plan = held }, rough)),
        ];
        WatchTrial[] trials = new WatchTrial[count];
        int finished = 0;
        Parallel.For(
            0,
            count,
            new ParallelOptions { MaxDegreeOfParallelism = 2 },
            k =>
            {
                bool aligned = k / sets.Count % 2 == 0;
                WatchModel watch = watches[k % sets.Count];
                trials[k] = One(
                    watch.With(watch.Setup with { AlignmentChecked = aligned }),
                    held,
                    heatingS,
                    aligned,
                    seed + (ulong)k
                );
                done?.Report(Interlocked.Increment(ref finished));
            }
        );
        return trials;
    }

    /// <summary>What is really there in a trial.</summary>
    internal static BenchTruth Drawn(IReadOnlyList<WatchProbe> probes, RectMm nozzle, bool aligned, ulong seed)
    {
        Dice dice = new(seed);
        // The first numbers of neighbouring seeds are as good as any others, but not the bits that they come from.
        dice.Uniform();
        double Off(double share) => dice.Between(1 - share, 1 + share);
        HeatFactors factors = new()
        {
            TopFactor = Off(0.25),
            SpillFactor = Off(0.25),
            BottomFactor = Off(0.25),
            AmbientFactor = Off(0.25),
            RadiationFactor = Off(0.1),
            BoardConductivityFactor = Off(0.25),
            BoardCapacityFactor = Off(0.08),
            SubstrateConductivityFactor = Off(0.3),
            GasExcessFactor = Off(0.03),
            PreheaterExcessFactor = Off(0.03),
            GasLagFactor = Off(0.25),
            PreheaterLagFactor = Off(0.25),
        };
        double nozzleMm = dice.Between(0, aligned ? 0.5 : 2.5);
        double nozzleTurn = dice.Between(0, 2 * Math.PI);
        const double ProbeMm = 3;
        return new BenchTruth
        {
            Factors = factors,
            NozzleOffXMm = nozzleMm * Math.Cos(nozzleTurn),
            NozzleOffYMm = nozzleMm * Math.Sin(nozzleTurn),
            Seed = seed ^ 0x5DEECE66D,
            Probes =
            [
                .. probes.Select(probe =>
                {
                    double turn = dice.Between(0, 2 * Math.PI);
                    double mm = probe.Place.Kind == HeatPlaceKind.BodyTop ? ProbeMm / 2 : ProbeMm;
                    bool stream = probe.Place.ZMm > -0.05 && nozzle.Contains(probe.Place.XMm, probe.Place.YMm);
                    return new ProbeTruth
                    {
                        OffXMm = mm * Math.Cos(turn),
                        OffYMm = mm * Math.Sin(turn),
                        BiasDeltaK = 0.8 * dice.Normal(),
                        LagS = dice.Between(0.3, 2),
                        GasShareFraction = stream ? dice.Between(0, 0.06) : 0,
                    };
                }),
            ],
        };
    }

    private static WatchTrial One(WatchModel model, HeatSchedule plan, double heatingS, bool aligned, ulong seed)
    {
        WatchSetup setup = model.Setup;
        BenchTruth truth = Drawn(setup.Probes, setup.Model.Nozzle, aligned, seed);
        HeatWatch watch = new(model, new WatchGoals(HeatTask.Lift, AskedS));
        SimulatedLogger bench = new(setup, plan, truth, rough: true);
        SimulatedHeat heat = bench.Heat;
        List<double> errors = [];
        double? atMelt = null;
        double? naiveAtMelt = null;
        double? moltenS = null;
        double? naiveS = null;
        double? liftS = null;
        int held = 0;
        int last = heat.ColdestC.Count - 1;
        double raisedS = heatingS - RaiseEveryS / 2;
        WatchState state = watch.State;
        for (int k = 1; k <= last && liftS is null; k++)
        {
            double now = k * heat.StepS;
            double firstC = double.NaN;
            foreach (ProbeReading reading in bench.ReadTo(now))
            {
                firstC = reading.Channel == setup.Probes[0].Channel ? reading.TemperatureC!.Value : firstC;
                watch.Add(reading);
            }
            state = watch.AdvanceTo(now);
            TemperatureBand band = state.Estimate.Coldest.Band;
            double there = heat.ColdestC[k];
            if (now >= 60)
            {
                errors.Add(band.EstimateC - there);
                held += there >= band.LowC && there <= band.HighC ? 1 : 0;
            }
            naiveS ??= firstC >= setup.Model.MoltenC ? now : null;
            if (moltenS is null && there >= setup.Model.MoltenC)
            {
                moltenS = now;
                atMelt = band.EstimateC - there;
                naiveAtMelt = firstC - there;
            }
            liftS = state.Cue.Kind == CueKind.Lift ? now : null;
            if (now >= raisedS + RaiseEveryS && state.Ahead.LastMeltLatestInS is null && liftS is null)
            {
                raisedS = now;
                double gasC = Math.Min(GasMostC, SetPoints.AtC(bench.Schedule.Gas, now) + RaiseDeltaK);
                watch.Set(now, gasC, null);
                bench.Set(now, gasC, null);
                heat = bench.Heat;
            }
        }
        return new WatchTrial(
            string.Join(" + ", setup.Probes.Select(probe => probe.Channel)),
            aligned,
            errors,
            atMelt,
            naiveAtMelt,
            moltenS,
            naiveS,
            liftS,
            liftS is double lifted ? heat.ColdestC[(int)Math.Round(lifted / heat.StepS)] : null,
            (double)held / Math.Max(1, errors.Count),
            state.Estimate.Trust,
            state.Estimate.Reasons,
            state.Estimate.Factors.TopFactor / truth.Factors.TopFactor
        );
    }

    private static SignalPoint At(IReadOnlyList<SignalPoint> points, double timeS) =>
        new(timeS, SetPoints.AtC(points, timeS));

    // What the plan holds at its end is held on, until the person is told to lift.
    private static HeatSchedule Held(HeatSchedule plan, double heatingS)
    {
        // Just before the end: at the end itself the plan may switch off.
        double endS = heatingS - 0.5;
        return new HeatSchedule(
            [.. plan.Gas.Where(point => point.TimeS < endS), At(plan.Gas, endS)],
            [.. plan.Preheater.Where(point => point.TimeS < endS), At(plan.Preheater, endS)],
            heatingS + WaitS
        );
    }
}
