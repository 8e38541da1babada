using System.Globalization;
using System.Text;
using System.Text.RegularExpressions;

namespace Graftbench.Web.Forms;

/// <summary>Which board or entry a field belongs to, where its label alone does not tell.</summary>
internal static partial class PlaceWords
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

    /// <summary>A path as words, where the page has no field of it: <c>Stay 2, break 1: from</c>.</summary>
    /// <param name="path">Path in the job document.</param>
    public static string Spoken(string path) =>
        AnyPath().Match(path) is { Success: true } match && match.Length == path.Length
            ? Words(match) is var words && words.Length > 0
                ? char.ToUpperInvariant(words[0]) + words[1..]
                : path
            : path;

    /// <summary>A text with its paths as words: <c>stay 2 has no end</c>.</summary>
    /// <param name="text">A text that may name entries of the document by their paths.</param>
    public static string InText(string text) => AnyPath().Replace(text, Words);

    private static string Words(Match match)
    {
        string list = match.Groups["list"].Value + "[";
        string? words = Lists.FirstOrDefault(one => one.Start == list).Words;
        if (words is null)
        {
            return match.Value;
        }
        StringBuilder said = new(char.ToLowerInvariant(words[0]) + words[1..] + " " + Number(match.Groups["at"].Value));
        CaptureCollection parts = match.Groups["part"].Captures;
        for (int i = 0; i < parts.Count; i++)
        {
            string part = parts[i].Value;
            int open = part.IndexOf('[', StringComparison.Ordinal);
            string name = Apart().Replace(open < 0 ? part : part[..open], " $0").ToLowerInvariant();
            said.Append(open < 0 ? $": {name}" : $", {name.TrimEnd('s')} {Number(part[(open + 1)..^1])}");
        }
        return said.ToString();
    }

    private static string Number(string index) =>
        (int.Parse(index, CultureInfo.InvariantCulture) + 1).ToString(CultureInfo.InvariantCulture);

    [GeneratedRegex(
        @"\b(?<list>(history|host|donor|bench|chips|work)(\.[A-Za-z]+)*)\[(?<at>[0-9]{1,5})\](\.(?<part>[A-Za-z]+(\[[0-9]{1,5}\])?))*",
        RegexOptions.ExplicitCapture,
        matchTimeoutMilliseconds: 1000
    )]
    private static partial Regex AnyPath();

    [GeneratedRegex("[A-Z]", RegexOptions.None, matchTimeoutMilliseconds: 1000)]
    private static partial Regex Apart();
}
