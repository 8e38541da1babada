using System.Globalization;
using Graftbench.Core.Drying;
using Graftbench.Core.Findings;
using Graftbench.Sheets;

namespace Graftbench.Cli;

/// <summary>Numbers, moments and verdicts as a person reads them.</summary>
internal static class Say
{
    /// <summary>A moment with its weekday, on the same clock as another one.</summary>
    public static string Moment(DateTimeOffset moment, DateTimeOffset clock) =>
        moment.ToOffset(clock.Offset).ToString("ddd yyyy-MM-dd HH:mm zzz", CultureInfo.InvariantCulture);

    /// <summary>Hours that must not be cut short: rounded up, with days from two of them on.</summary>
    public static string Hours(double durationH) => QuantityText.HoursAndDays(durationH);

    /// <summary>Hours that are left: rounded down.</summary>
    public static string HoursLeft(double durationH) => QuantityText.HoursAtMost(durationH);

    /// <summary>A temperature.</summary>
    public static string Celsius(double temperatureC) => $"{temperatureC:0.#} °C";

    /// <summary>A verdict in words.</summary>
    public static string Verdict(Verdict verdict) =>
        verdict == Core.Findings.Verdict.FixFirst ? "fix first" : verdict.ToString().ToLowerInvariant();

    /// <summary>How a subject's drying stands.</summary>
    public static string State(DryingState state) =>
        state switch
        {
            DryingState.NoBakeNeeded => "no bake needed",
            DryingState.ToDry => "to dry",
            DryingState.InDryer => "in the dryer",
            DryingState.Dried => "dried",
            DryingState.NoHeatLeft => "no heat left",
            _ => "no answer",
        };
}
