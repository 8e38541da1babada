using Graftbench.Core.Heating;
using Graftbench.Core.Physics.Heat;

namespace Graftbench.Core.Watching;

/// <summary>All that is shown of a watched heat at one moment.</summary>
/// <param name="Estimate">What cannot be seen.</param>
/// <param name="Ahead">What comes as planned, or as set by hand since.</param>
/// <param name="Probes">Health of each probe.</param>
/// <param name="Cue">What the person is told.</param>
public sealed record WatchState(
    LiveEstimate Estimate,
    WatchAhead Ahead,
    IReadOnlyList<ProbeHealth> Probes,
    WatchCue Cue
);

/// <summary>What is set on the heaters.</summary>
/// <param name="GasC">Gas [°C].</param>
/// <param name="PreheaterC">Bottom heater [°C].</param>
/// <param name="ByHand">Whether the person has said so, false where the plan does.</param>
public sealed record WatchSettings(double GasC, double PreheaterC, bool ByHand);

/// <summary>
/// A watched heat: readings go in as the logger sends them, out come estimate, health of the probes and cue. Pure: it is
/// told the time, asks nobody, and keeps nothing but its state. One thread at a time.
/// </summary>
public sealed class HeatWatch
{
    private readonly WatchModel watch;
    private readonly LiveEstimator estimator;
    private readonly FreeRun free;
    private readonly ProbeDoctor[] doctors;
    private readonly ProbePairs pairs;
    private readonly CueBook cues;
    private readonly (double Sum, int Count)[] step;
    private readonly ProbeHealth?[] ofPairs;
    private readonly double[] expectedC;
    private WatchState state;

    /// <summary>Starts at time 0 with everything at room temperature.</summary>
    /// <param name="watch">Model and probes.</param>
    /// <param name="goals">What it is watched for.</param>
    /// <param name="range">Range of the logger; the usual one where null.</param>
    public HeatWatch(WatchModel watch, WatchGoals goals, LoggerRange? range = null)
    {
        ArgumentNullException.ThrowIfNull(watch);
        ArgumentNullException.ThrowIfNull(goals);
        this.watch = watch;
        estimator = new LiveEstimator(watch);
        free = new FreeRun(watch);
        WatchSetup setup = watch.Setup;
        doctors = [.. setup.Probes.Select(probe => new ProbeDoctor(probe.Channel, range ?? LoggerRange.Usual))];
        pairs = new ProbePairs(setup.Probes, setup.Model.RoomC);
        cues = new CueBook(goals, setup.Model.MoltenC, setup.Model.SolidusC);
        step = new (double, int)[setup.Probes.Count];
        ofPairs = new ProbeHealth?[setup.Probes.Count];
        expectedC = new double[setup.Probes.Count];
        state = Look();
    }

    /// <summary>The filter, for a review that reads every place.</summary>
    internal LiveFilter Filter => estimator.Filter;

    /// <summary>The last state.</summary>
    public WatchState State => state;

    /// <summary>What comes with present set points held, whatever was planned.</summary>
    public WatchAhead Held => estimator.Ahead(hold: true);

    /// <summary>Set points that count at present.</summary>
    public WatchSettings Settings => free.Settings;

    /// <summary>Says what the person has set, now or in a moment.</summary>
    /// <param name="timeS">When [s].</param>
    /// <param name="gasC">Gas [°C]; null where it was left.</param>
    /// <param name="preheaterC">Bottom heater [°C]; null where it was left.</param>
    public void Set(double timeS, double? gasC, double? preheaterC)
    {
        estimator.Set(timeS, gasC, preheaterC);
        free.Set(timeS, gasC, preheaterC);
    }

    /// <summary>Takes a reading, good or bad.</summary>
    /// <param name="reading">Reading; times of one channel may not fall.</param>
    /// <returns>False where it was not used.</returns>
    public bool Add(ProbeReading reading)
    {
        ArgumentNullException.ThrowIfNull(reading);
        int p = -1;
        for (int i = 0; i < doctors.Length && p < 0; i++)
        {
            p = watch.Setup.Probes[i].Channel == reading.Channel ? i : -1;
        }
        if (p < 0)
        {
            return false;
        }
        bool sound = doctors[p].Take(reading, expectedC[p]);
        if (sound && reading.TemperatureC is double read)
        {
            step[p] = (step[p].Sum + read, step[p].Count + 1);
        }
        Mind(p);
        return sound && ofPairs[p] is null && estimator.Add(reading);
    }

    /// <summary>Goes on to a time, second by second.</summary>
    /// <param name="timeS">Time [s].</param>
    /// <returns>The state then.</returns>
    public WatchState AdvanceTo(double timeS)
    {
        if (double.IsFinite(timeS) && timeS - estimator.NowS > LiveEstimator.LongestGapS)
        {
            estimator.AdvanceTo(timeS);
            return state = Look();
        }
        while (estimator.NowS + LiveEstimator.StepS <= timeS)
        {
            estimator.AdvanceTo(estimator.NowS + LiveEstimator.StepS);
            free.Step();
            Compare();
            state = Look();
        }
        return state;
    }

    private void Compare()
    {
        double?[] read = [.. step.Select(one => one.Count > 0 ? one.Sum / one.Count : (double?)null)];
        double[] alone = [.. Enumerable.Range(0, read.Length).Select(p => free.TemperatureC(watch.RowOf(p)))];
        pairs.Take(read, alone);
        IReadOnlyList<ProbeHealth> found = pairs.Faults(estimator.NowS);
        for (int p = 0; p < doctors.Length; p++)
        {
            if (read[p] is double mean)
            {
                doctors[p].Compare(estimator.NowS, mean, alone[p]);
            }
            ProbeHealth? fault = found.FirstOrDefault(one => one.Channel == watch.Setup.Probes[p].Channel);
            bool same = fault is not null && ofPairs[p]?.Fault == fault.Fault;
            ofPairs[p] = same ? fault! with { SinceS = ofPairs[p]!.SinceS } : fault;
            step[p] = (0, 0);
            Mind(p);
        }
    }

    // A faulty probe is left out until it is sound again.
    private void Mind(int p) =>
        estimator.LeaveOut(
            watch.Setup.Probes[p].Channel,
            ofPairs[p] is not null || doctors[p].Health.Fault != ProbeFault.None
        );

    private WatchState Look()
    {
        LiveEstimate now = estimator.Estimate;
        for (int p = 0; p < expectedC.Length; p++)
        {
            expectedC[p] = now.Probes[p].ExpectedC;
        }
        WatchAhead ahead = estimator.Ahead(hold: false);
        return new WatchState(
            now,
            ahead,
            [.. doctors.Select((doctor, p) => ofPairs[p] ?? doctor.Health)],
            cues.Take(now, ahead)
        );
    }

    /// <summary>The model alone, which no probe has moved: swapped or loose probes show against it.</summary>
    private sealed class FreeRun
    {
        private readonly WatchModel watch;
        private readonly LiveStep step;
        private readonly HeaterTrack gas;
        private readonly HeaterTrack preheater;
        private readonly double[] state;
        private readonly double[] gain;
        private double nowS;

        public FreeRun(WatchModel watch)
        {
            this.watch = watch;
            WatchSetup setup = watch.Setup;
            (gas, preheater) = HeaterTrack.Both(setup);
            step = new LiveStep(watch.Reduced, LiveEstimator.StepS);
            step.Use(setup.Factors);
            state = new double[watch.Reduced.States];
            gain = new double[watch.Reduced.States];
        }

        public WatchSettings Settings => new(gas.SetC, preheater.SetC, gas.ByHand || preheater.ByHand);

        public void Set(double timeS, double? gasC, double? preheaterC)
        {
            if (gasC is double g)
            {
                gas.Set(timeS, g);
            }
            if (preheaterC is double p)
            {
                preheater.Set(timeS, p);
            }
        }

        public void Step()
        {
            double stepS = LiveEstimator.StepS;
            LiveDrive first = HeaterTrack.Drive(
                watch.Setup,
                gas,
                preheater,
                nowS + LiveStep.FirstStageFraction * stepS
            );
            LiveDrive end = HeaterTrack.Drive(watch.Setup, gas, preheater, nowS + stepS);
            step.Step(state, gain, first, end);
            nowS += stepS;
        }

        public double TemperatureC(int row)
        {
            ReducedModel.Parts parts = watch.Reduced.Matrices;
            double sum = parts.StartC;
            for (int k = 0; k < state.Length; k++)
            {
                sum += parts.Outputs[k * parts.OutputCount + row] * state[k];
            }
            return sum;
        }
    }
}
