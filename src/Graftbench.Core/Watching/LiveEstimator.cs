using Graftbench.Core.Heating;
using Graftbench.Core.Physics.Heat;

namespace Graftbench.Core.Watching;

/// <summary>
/// Estimates the temperatures that cannot be seen from probes that can: fed with readings and with what the person sets,
/// asked at any time. Steps of one second; memory does not grow. One thread at a time.
/// </summary>
/// <remarks>
/// Filter: <see cref="LiveFilter"/>. Readings of one probe within a step are averaged and brought from their mean time to the
/// end of the step by the probe's own slope, so irregular, late and missing readings need no care. Without readings the model goes on by itself and the band
/// grows. See docs/models/heat-watch.md.
/// </remarks>
public sealed class LiveEstimator
{
    /// <summary>Step [s].</summary>
    public const double StepS = 1;

    /// <summary>Longest gap that is bridged by the model alone; after it there is no answer any more [s].</summary>
    public const double LongestGapS = 600;

    /// <summary>How late a reading may come and still be used: loggers and wires take their time [s].</summary>
    public const double LateS = 3;

    private const double GasShareInStream = 0.03;

    private readonly WatchModel watch;
    private readonly BoardHeatModel model;
    private readonly WatchSetup setup;
    private readonly LiveFilter filter;
    private readonly HeaterTrack gas;
    private readonly HeaterTrack preheater;
    private readonly ProbeState[] probes;
    private readonly LiveReader reader;
    private double nowS;
    private bool lost;
    private bool broken;

    /// <summary>Starts at time 0 with everything at room temperature.</summary>
    /// <param name="watch">Model and probes.</param>
    public LiveEstimator(WatchModel watch)
        : this(watch, LiveSpreads.Usual) { }

    internal LiveEstimator(WatchModel watch, LiveSpreads spreads)
    {
        ArgumentNullException.ThrowIfNull(watch);
        this.watch = watch;
        setup = watch.Setup;
        model = setup.Model;
        filter = new LiveFilter(
            watch.Reduced,
            StepS,
            setup.Factors,
            spreads,
            [.. setup.Probes.Select(probe => probe.BiasDeltaK)]
        );
        (gas, preheater) = HeaterTrack.Both(setup);
        probes = [.. setup.Probes.Select((probe, p) => new ProbeState(probe, watch.RowOf(p), InStream(probe)))];
        reader = new LiveReader(watch, filter);
    }

    /// <summary>The filter, for a review that reads every place.</summary>
    internal LiveFilter Filter => filter;

    /// <summary>End of the last step [s].</summary>
    public double NowS => nowS;

    /// <summary>The present state.</summary>
    public LiveEstimate Estimate => reader.Read(nowS, probes, gas.NowC, preheater.NowC, (lost, broken));

    /// <summary>Says what the person has set, now or in a moment; from then on it counts instead of the plan.</summary>
    /// <param name="timeS">When [s]; a time that is past counts as now.</param>
    /// <param name="gasC">Gas [°C]; null where it was left.</param>
    /// <param name="preheaterC">Bottom heater [°C]; null where it was left.</param>
    public void Set(double timeS, double? gasC, double? preheaterC)
    {
        Require.Within(timeS, 0, 1e9);
        if (gasC is double g)
        {
            Require.Within(g, -60, 700, nameof(gasC));
            gas.Set(timeS, g);
        }
        if (preheaterC is double p)
        {
            Require.Within(p, -60, 700, nameof(preheaterC));
            preheater.Set(timeS, p);
        }
    }

    /// <summary>Takes a reading that counts. It is used when its step is made.</summary>
    /// <param name="reading">Reading; an open one and one of an unknown channel say nothing.</param>
    /// <returns>False where it was not used: unknown channel, open, no number, more than <see cref="LateS"/> late, or too far ahead.</returns>
    public bool Add(ProbeReading reading)
    {
        ArgumentNullException.ThrowIfNull(reading);
        int p = Array.FindIndex(probes, one => one.Probe.Channel == reading.Channel);
        bool sane =
            p >= 0
            && reading.TemperatureC is double read
            && double.IsFinite(read)
            && reading.TimeS >= nowS - LateS
            && reading.TimeS <= nowS + LongestGapS;
        if (!sane)
        {
            return false;
        }
        return probes[p].Take(reading.TimeS, reading.TemperatureC!.Value, nowS + StepS);
    }

    /// <summary>Leaves a probe out or takes it in again.</summary>
    /// <param name="channel">Its channel.</param>
    /// <param name="leftOut">True to leave it out.</param>
    public void LeaveOut(string channel, bool leftOut)
    {
        ProbeState? probe = Array.Find(probes, one => one.Probe.Channel == channel);
        if (probe is not null && probe.LeftOut != leftOut)
        {
            probe.LeftOut = leftOut;
            probe.Innovations.Clear();
            probe.Trend.Clear();
            probe.DropPending();
        }
    }

    /// <summary>Makes all steps that end at or before a time.</summary>
    /// <param name="timeS">Time [s]; a time before the last step changes nothing.</param>
    /// <returns>The state then.</returns>
    public LiveEstimate AdvanceTo(double timeS)
    {
        if (!double.IsFinite(timeS))
        {
            throw new ArgumentOutOfRangeException(nameof(timeS), timeS, "Must be a finite number.");
        }
        if (timeS - nowS > LongestGapS)
        {
            // The board may be anywhere by now, and the steps would take their time.
            lost = true;
            nowS = Math.Floor(timeS);
        }
        while (!lost && !broken && nowS + StepS <= timeS)
        {
            StepOnce();
        }
        if (lost || broken)
        {
            nowS = Math.Max(nowS, Math.Floor(timeS));
        }
        return Estimate;
    }

    /// <summary>Looks ahead from the present state.</summary>
    /// <param name="hold">True with present set points held, false as planned (or as set by hand since).</param>
    /// <param name="reachS">How far [s].</param>
    /// <returns>When joints melt and limits are reached; nothing of either where there is no estimate.</returns>
    public WatchAhead Ahead(bool hold, double reachS = 240)
    {
        Require.Within(reachS, 1, 3600);
        return lost || broken
            ? new WatchAhead(hold, reachS, null, null, null, [])
            : reader.Ahead(gas.Ahead(hold), preheater.Ahead(hold), nowS, hold, reachS);
    }

    private void StepOnce()
    {
        double endS = nowS + StepS;
        double firstS = nowS + LiveStep.FirstStageFraction * StepS;
        LiveDrive first = HeaterTrack.Drive(setup, gas, preheater, firstS);
        LiveDrive end = HeaterTrack.Drive(setup, gas, preheater, endS);
        broken |= !filter.Predict(first, end);
        for (int p = 0; p < probes.Length && !broken; p++)
        {
            Measure(p, endS, end);
        }
        nowS = endS;
        broken |= !double.IsFinite(filter.TemperatureC(0)) || !double.IsFinite(filter.SpreadDeltaK(0));
    }

    private void Measure(int p, double endS, LiveDrive drive)
    {
        ProbeState probe = probes[p];
        int row = probe.Row;
        double hereC = filter.TemperatureC(row);
        double fromGas = probe.GasShare * (drive.GasC - hereC);
        double slopeX = filter.TemperatureC(row + 2) - filter.TemperatureC(row + 1);
        double slopeY = filter.TemperatureC(row + 4) - filter.TemperatureC(row + 3);
        double perMm = Math.Sqrt(slopeX * slopeX + slopeY * slopeY) / (2 * WatchModel.AroundMm);
        // A probe that is not where it is said to be is off by more the steeper the field gets; half its share of the gas
        // is taken for doubtful.
        double placed = perMm * probe.Probe.PlacedWithinMm;
        filter.Loosen(p, probe.Loosened(placed * placed + 0.25 * fromGas * fromGas));
        (double Mean, double MeanS)? read = probe.Close(endS);
        if (read is not { } one || probe.LeftOut)
        {
            probe.Innovations.Add(double.NaN);
            return;
        }
        // Brought to the end of the step by the probe's own slope: the model's would feed corrections back into themselves.
        double behindS = endS - one.MeanS + probe.Probe.LagS;
        double readC = one.Mean + probe.Trend.SlopePerS(one.MeanS, one.Mean) * behindS;
        double innovation = readC - filter.ExpectedC(row, p) - fromGas;
        probe.Innovations.Add(innovation);
        probe.LastS = endS;
        probe.LastReadC = one.Mean;
        filter.Update(row, p, innovation, ProbeState.NoiseVariance);
    }

    private double InStream(WatchProbe probe)
    {
        HeatPlace at = probe.Place;
        bool stream = at.ZMm > -0.05 && model.Nozzle.Contains(at.XMm, at.YMm) && !UnderChip(at);
        return probe.GasShareFraction ?? (stream ? GasShareInStream : 0);
    }

    // Between board and body, where no gas blows.
    private bool UnderChip(HeatPlace at) =>
        model.Chip.Contains(at.XMm, at.YMm)
        && at.ZMm
            < model
                .Places.Where(place => place.Kind == HeatPlaceKind.BodyTop)
                .Select(place => place.ZMm)
                .FirstOrDefault() - 0.3;
}
