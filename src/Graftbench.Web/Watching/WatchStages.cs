using Graftbench.Core.Heating;
using Graftbench.Sheets;

namespace Graftbench.Web.Watching;

/// <summary>The plan's stages beside the clock.</summary>
internal static class WatchStages
{
    /// <summary>The stage that runs by the plan, and what comes next.</summary>
    public static string Of(IReadOnlyList<HeatStage> stages, double timeS)
    {
        HeatStage? now = stages.LastOrDefault(stage => stage.StartS <= timeS);
        HeatStage? next = stages.FirstOrDefault(stage => stage.StartS > timeS);
        string here = now is null ? "" : $"By the plan: {now.Title}, {Settings(now)}.";
        string then = next is null
            ? ""
            : $" Next at {QuantityText.Clock(next.StartS)}: {next.Title}, {Settings(next)}.";
        return here + then;
    }

    private static string Settings(HeatStage stage) =>
        $"gas {Set(stage.GasC)}, bottom heater {Set(stage.PreheaterC)}{(stage.Jump ? "" : " at its end")}";

    private static string Set(double? setC) =>
        setC is double value ? FormattableString.Invariant($"{value:0} °C") : "off";
}
