using Graftbench.Core.Heating;
using Graftbench.Core.Physics.Heat;

namespace Graftbench.Core.Calibrating;

/// <summary>A trial run that teaches much: steps of each heater at two levels, and cooling, in ten minutes.</summary>
public static class TrialPlan
{
    /// <summary>How long it lasts [s].</summary>
    public const double DurationS = 600;

    /// <summary>Set points of the proposed trial.</summary>
    /// <param name="roomC">Temperature of the room [°C].</param>
    /// <param name="gasMaxC">Hottest gas that the bench can set; null where it does not say [°C].</param>
    /// <param name="preheaterMaxC">Hottest bottom heater; null where it does not say [°C].</param>
    public static HeatSchedule Proposed(double roomC, double? gasMaxC, double? preheaterMaxC)
    {
        double gas = Math.Min(gasMaxC ?? 300, 300);
        double below = Math.Min(preheaterMaxC ?? 180, 180);
        return new HeatSchedule(
            [
                new(0, roomC),
                new(120, roomC),
                new(120, 0.73 * gas),
                new(240, 0.73 * gas),
                new(240, 0.5 * gas),
                new(320, 0.5 * gas),
                new(320, gas),
                new(460, gas),
                new(460, roomC),
            ],
            [
                new(0, roomC),
                new(0, 0.75 * below),
                new(200, 0.75 * below),
                new(200, below),
                new(460, below),
                new(460, roomC),
            ],
            DurationS
        );
    }
}
