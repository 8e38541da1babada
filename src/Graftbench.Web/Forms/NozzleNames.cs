using System.Text.Json.Nodes;

namespace Graftbench.Web.Forms;

/// <summary>Nozzles that nobody has named are called by their opening.</summary>
internal static class NozzleNames
{
    /// <summary>Where a job document holds its nozzles.</summary>
    public const string List = "bench.heat.gas.nozzles";

    /// <summary>Names those that have a length and no name.</summary>
    /// <param name="document">The job document.</param>
    public static void Fill(JsonObject document)
    {
        foreach (JsonObject nozzle in (JobPath.Find(document, List) as JsonArray)?.OfType<JsonObject>() ?? [])
        {
            if (nozzle["name"] is null && nozzle["lengthMm"] is { } length)
            {
                string shape =
                    nozzle["round"]?.ToString() == "true" ? " mm round"
                    : nozzle["widthMm"] is { } width && width.ToString() != length.ToString() ? $" × {width} mm"
                    : " mm square";
                nozzle["name"] = length + shape;
            }
        }
    }
}
