using System.Globalization;

namespace Graftbench.Web.Forms;

/// <summary>Which board or entry a field belongs to, where its label alone does not tell.</summary>
internal static class PlaceWords
{
    private static readonly (string Start, string Words)[] Lists =
    [
        ("host.parts[", "Host board, part"),
        ("donor.parts[", "Donor board, part"),
        ("host.copperRegions[", "Host board, copper region"),
        ("donor.copperRegions[", "Donor board, copper region"),
        ("chips[", "Chip"),
        ("bench.heat.gas.nozzles[", "Nozzle"),
        ("bench.heat.gas.flowSteps[", "Airflow step"),
        ("bench.heat.preheater.zones[", "Zone"),
        ("history.exposures[", "Stay"),
        ("history.heats[", "Heat"),
        ("history.weighings[", "Weighing"),
        ("work[", "Time and cost, entry"),
    ];

    /// <summary>The label with its place: <c>Donor board, length</c>.</summary>
    /// <param name="path">Path of the field.</param>
    /// <param name="label">Its label on the page.</param>
    public static string Of(string path, string label)
    {
        foreach ((string start, string words) in Lists)
        {
            if (
                path.StartsWith(start, StringComparison.Ordinal)
                && path.IndexOf(']', start.Length) is > 0 and var end
                && int.TryParse(
                    path.AsSpan(start.Length, end - start.Length),
                    CultureInfo.InvariantCulture,
                    out int index
                )
            )
            {
                return string.Create(CultureInfo.InvariantCulture, $"{words} {index + 1}: {label}");
            }
        }
        return path.StartsWith("host.", StringComparison.Ordinal) ? $"Host board: {label}"
            : path.StartsWith("donor.", StringComparison.Ordinal) ? $"Donor board: {label}"
            : label;
    }
}
