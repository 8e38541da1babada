using Graftbench.Core.Heating;
using Graftbench.Core.Physics.Heat;

namespace Graftbench.Core.Watching;

/// <summary>Temperature of one heater as time goes on: a planned set point, or what the person has set since, behind a lag.</summary>
internal sealed class HeaterTrack
{
    private const int MostPending = 32;

    private readonly IReadOnlyList<SignalPoint> plan;
    private readonly double lagS;
    private readonly double offC;
    private readonly List<(double TimeS, double SetC)> pending = [];
    private double? heldC;
    private double timeS;
    private double nowC;

    /// <summary>Starts at time 0.</summary>
    /// <param name="plan">Planned set points; one point holds it.</param>
    /// <param name="lagS">First-order lag [s]; 0 for none.</param>
    /// <param name="startC">Where the heater starts, and where it goes when it is off: the room [°C].</param>
    public HeaterTrack(IReadOnlyList<SignalPoint> plan, double lagS, double startC)
    {
        this.plan = plan;
        this.lagS = lagS;
        offC = startC;
        nowC = startC;
    }

    private HeaterTrack(HeaterTrack other)
    {
        plan = other.plan;
        lagS = other.lagS;
        offC = other.offC;
        pending = [.. other.pending];
        heldC = other.heldC;
        timeS = other.timeS;
        nowC = other.nowC;
    }

    /// <summary>Gas and bottom heater of a watch at its start.</summary>
    public static (HeaterTrack Gas, HeaterTrack Preheater) Both(WatchSetup setup)
    {
        BoardHeatModel model = setup.Model;
        IReadOnlyList<SignalPoint> still = [new SignalPoint(0, model.RoomC)];
        double gasLagS = model.GasLagS * setup.Factors.GasLagFactor;
        double preheaterLagS = model.PreheaterLagS * setup.Factors.PreheaterLagFactor;
        return (
            new HeaterTrack(setup.Plan?.Gas ?? still, gasLagS, model.RoomC),
            new HeaterTrack(setup.Plan?.Preheater ?? still, preheaterLagS, model.RoomC)
        );
    }

    /// <summary>Goes on to a time and gives what drives then: heaters show their set points, what they deliver above the room carries their factor.</summary>
    public static LiveDrive Drive(WatchSetup setup, HeaterTrack gas, HeaterTrack preheater, double timeS)
    {
        double roomC = setup.Model.RoomC;
        return new LiveDrive(
            roomC + setup.Factors.GasExcessFactor * (gas.AdvanceC(timeS) - roomC),
            roomC + setup.Factors.PreheaterExcessFactor * (preheater.AdvanceC(timeS) - roomC),
            roomC
        );
    }

    /// <summary>Where the heater is [°C].</summary>
    public double NowC => nowC;

    /// <summary>Whether the person has set it by hand since the start.</summary>
    public bool ByHand => heldC is not null || pending.Count > 0;

    /// <summary>Set point at present [°C].</summary>
    public double SetC => heldC ?? SetPoints.AtC(plan, timeS);

    /// <summary>A copy that goes its own way.</summary>
    /// <param name="hold">True to hold the present set point, false to go on as planned.</param>
    public HeaterTrack Ahead(bool hold)
    {
        HeaterTrack copy = new(this);
        if (hold)
        {
            copy.heldC = copy.SetC;
        }
        return copy;
    }

    /// <summary>From then on the set point is this, whatever was planned.</summary>
    /// <param name="atS">When [s]; a time that is past counts as now.</param>
    /// <param name="setC">Set point [°C]; a heater cannot cool, so below the room it is off.</param>
    public void Set(double atS, double setC)
    {
        double from = Math.Max(atS, timeS);
        pending.RemoveAll(one => one.TimeS >= from);
        if (pending.Count == MostPending)
        {
            pending.RemoveAt(MostPending - 1);
        }
        pending.Add((from, Math.Max(setC, offC)));
    }

    /// <summary>Goes on to a later time.</summary>
    /// <param name="toS">Time [s]; not before the last one.</param>
    /// <returns>Temperature then [°C].</returns>
    public double AdvanceC(double toS)
    {
        while (timeS < toS)
        {
            while (pending.Count > 0 && pending[0].TimeS <= timeS)
            {
                heldC = pending[0].SetC;
                pending.RemoveAt(0);
            }
            double until = pending.Count > 0 ? Math.Min(toS, pending[0].TimeS) : toS;
            double from;
            double slope = 0;
            if (heldC is double held)
            {
                from = held;
            }
            else
            {
                foreach (SignalPoint point in plan)
                {
                    if (point.TimeS > timeS)
                    {
                        until = Math.Min(until, point.TimeS);
                        break;
                    }
                }
                from = SetPoints.AtC(plan, timeS);
                slope = (SetPoints.AtC(plan, (timeS + until) / 2) - from) * 2 / (until - timeS);
            }
            double t = until - timeS;
            nowC =
                lagS > 0
                    ? from + slope * (t - lagS) + (nowC - from + slope * lagS) * Math.Exp(-t / lagS)
                    : from + slope * t;
            timeS = until;
        }
        return nowC;
    }
}
