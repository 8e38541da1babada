using Graftbench.Core.Heating;
using Graftbench.Core.Physics.Heat;

namespace Graftbench.Core.Watching;

/// <summary>
/// A simulated bench that takes settings by hand while it runs: readings are handed out up to a time, at whatever speed the
/// caller's clock goes. What was handed out stays as it was when a setting changes what comes. Everything it gives is a
/// simulation and has to be called so wherever it is shown.
/// </summary>
public sealed class SimulatedLogger
{
    private readonly WatchSetup setup;
    private readonly BenchTruth truth;
    private readonly bool rough;
    private HeatSchedule schedule;
    private SimulatedHeat heat;
    private int next;

    /// <summary>Runs the whole schedule once, about a second.</summary>
    /// <param name="setup">What is watched: model and probes.</param>
    /// <param name="schedule">Set points, and how long the run can last at most.</param>
    /// <param name="truth">What is really there.</param>
    /// <param name="rough">On a wider grid: faster.</param>
    /// <exception cref="HeatModelException">The full model could not be solved.</exception>
    public SimulatedLogger(WatchSetup setup, HeatSchedule schedule, BenchTruth truth, bool rough = false)
    {
        this.setup = setup;
        this.truth = truth;
        this.rough = rough;
        this.schedule = schedule;
        heat = SimulatedBench.Run(setup, schedule, truth, rough);
    }

    /// <summary>The heat as it is and, with present settings, will be.</summary>
    public SimulatedHeat Heat => heat;

    /// <summary>Set points, with what was set by hand.</summary>
    public HeatSchedule Schedule => schedule;

    /// <summary>Readings since the last call.</summary>
    /// <param name="timeS">Up to this time [s]; what comes after the end of the run is never there.</param>
    public IReadOnlyList<ProbeReading> ReadTo(double timeS)
    {
        int from = next;
        while (next < heat.Readings.Count && heat.Readings[next].TimeS <= timeS)
        {
            next++;
        }
        return [.. heat.Readings.Skip(from).Take(next - from)];
    }

    /// <summary>Sets a heater by hand from a moment on; the run is computed anew from there, about a second.</summary>
    /// <param name="timeS">When, not before readings that were handed out [s].</param>
    /// <param name="gasC">Gas [°C]; null where it is left.</param>
    /// <param name="preheaterC">Bottom heater [°C]; null where it is left.</param>
    /// <exception cref="HeatModelException">The full model could not be solved.</exception>
    public void Set(double timeS, double? gasC, double? preheaterC)
    {
        double lastS = next > 0 ? heat.Readings[next - 1].TimeS : 0;
        double fromS = Math.Max(timeS, lastS);
        schedule = schedule with
        {
            Gas = gasC is double gas ? Stepped(schedule.Gas, fromS, Math.Max(gas, setup.Model.RoomC)) : schedule.Gas,
            Preheater = preheaterC is double preheater
                ? Stepped(schedule.Preheater, fromS, Math.Max(preheater, setup.Model.RoomC))
                : schedule.Preheater,
        };
        // The full model goes step by step and the noise likewise, so that all up to then comes out the same again.
        heat = SimulatedBench.Run(setup, schedule, truth, rough);
    }

    private static IReadOnlyList<SignalPoint> Stepped(IReadOnlyList<SignalPoint> points, double timeS, double setC) =>
        [
            .. points.Where(point => point.TimeS < timeS),
            new SignalPoint(timeS, SetPoints.AtC(points, timeS)),
            new SignalPoint(timeS, setC),
        ];
}
