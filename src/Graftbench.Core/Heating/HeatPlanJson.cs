using System.Text.Json;
using Graftbench.Core.Planning;

namespace Graftbench.Core.Heating;

/// <summary>A heat plan as JSON, for other programs, spelled like every other plan.</summary>
public static class HeatPlanJson
{
    /// <summary>Writes a heat plan.</summary>
    public static string Write(HeatPlan plan) => JsonSerializer.Serialize(plan, PlanJson.Options);

    /// <summary>Writes a forecast.</summary>
    public static string Write(CaseForecast forecast) => JsonSerializer.Serialize(forecast, PlanJson.Options);
}
