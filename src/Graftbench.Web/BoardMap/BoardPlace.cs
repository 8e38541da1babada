using System.Globalization;
using System.Text.Json.Nodes;
using System.Text.RegularExpressions;
using Graftbench.Core.Jobs;

namespace Graftbench.Web.BoardMap;

/// <summary>Which of a job's two boards is drawn, under the name that it has in the job document.</summary>
internal enum BoardPlace
{
    Host,
    Donor,
}

/// <summary>What belongs to a board of a job.</summary>
internal static class BoardPlaces
{
    /// <summary>Name in addresses and in the job document.</summary>
    public static string Name(this BoardPlace place) => place == BoardPlace.Host ? "host" : "donor";

    /// <summary>The place of a name; null for any other text.</summary>
    public static BoardPlace? Find(string name) =>
        name switch
        {
            "host" => BoardPlace.Host,
            "donor" => BoardPlace.Donor,
            _ => null,
        };

    /// <summary>The board; null where the job has none there.</summary>
    public static Board? BoardOf(this BoardPlace place, Job job) => place == BoardPlace.Host ? job.Host : job.Donor;

    /// <summary>Chips whose position belongs to the board.</summary>
    public static IReadOnlyList<Chip> ChipsOn(this BoardPlace place, Job job) => ChipSites.On(job, PlaceOf(place));

    /// <summary>Chips that go to the board and are drawn on the other one.</summary>
    public static IReadOnlyList<Chip> ChipsComingTo(this BoardPlace place, Job job) =>
        [.. job.Chips.Where(chip => chip.To == PlaceOf(place) && ChipSites.Of(job, chip) != PlaceOf(place))];

    /// <summary>Where a chip sits on the board once it has come, or before it leaves; null where that is not known.</summary>
    public static ChipSite? SiteOf(this BoardPlace place, Job job, Chip chip) =>
        ChipSites.At(job, chip, PlaceOf(place));

    private static ChipPlace PlaceOf(BoardPlace place) => place == BoardPlace.Host ? ChipPlace.Host : ChipPlace.Donor;
}

/// <summary>Something that keeps a drawing from being saved, and the drawn object it is about.</summary>
/// <param name="Object"><c>part:3</c>, <c>region:0</c>, <c>chip:U1</c>, <c>outline</c>, <c>board</c>; null where it is about another part of the job.</param>
/// <param name="Field">Field of the object in the job document; null where it is about the whole object.</param>
/// <param name="Where">The object as a person calls it.</param>
/// <param name="Problem">What is wrong.</param>
internal sealed partial record DrawingProblem(string? Object, string? Field, string Where, JobProblem Problem)
{
    /// <summary>Finds the drawn object that a problem is about.</summary>
    /// <param name="problem">Problem of the job document.</param>
    /// <param name="place">The board that was drawn.</param>
    /// <param name="document">The document that was read.</param>
    public static DrawingProblem Of(JobProblem problem, BoardPlace place, JsonObject document)
    {
        Match chip = ChipPath().Match(problem.Path);
        if (chip.Success && Entry(document["chips"], chip) is { } drawnChip)
        {
            string id = Text(drawnChip["id"]);
            return new DrawingProblem($"chip:{id}", FieldOf(chip), $"Chip {id}", problem);
        }
        string own = place.Name();
        if (problem.Path != own && !problem.Path.StartsWith(own + ".", StringComparison.Ordinal))
        {
            return new DrawingProblem(null, null, problem.Path.Length == 0 ? "The job" : problem.Path, problem);
        }
        Match part = PartPath().Match(problem.Path);
        if (part.Success && Entry(document[own]?["parts"], part) is { } drawnPart)
        {
            return new DrawingProblem(
                $"part:{part.Groups["index"].Value}",
                FieldOf(part),
                $"Part {Text(drawnPart["ref"])}",
                problem
            );
        }
        Match region = RegionPath().Match(problem.Path);
        if (region.Success)
        {
            string index = region.Groups["index"].Value;
            return new DrawingProblem(
                $"region:{index}",
                FieldOf(region),
                $"Copper region {int.Parse(index, CultureInfo.InvariantCulture) + 1}",
                problem
            );
        }
        return problem.Path.StartsWith(own + ".outline", StringComparison.Ordinal)
            ? new DrawingProblem("outline", null, "Outline", problem)
            : new DrawingProblem(
                "board",
                problem.Path.Length > own.Length ? problem.Path[(own.Length + 1)..] : null,
                "Board",
                problem
            );
    }

    private static JsonObject? Entry(JsonNode? list, Match match) =>
        list is JsonArray entries && int.TryParse(match.Groups["index"].Value, out int index) && index < entries.Count
            ? entries[index] as JsonObject
            : null;

    private static string? FieldOf(Match match) =>
        match.Groups["field"] is { Success: true, Value: var field } ? field : null;

    private static string Text(JsonNode? node) =>
        node is JsonValue value && value.TryGetValue(out string? text) ? text : "without a name";

    [GeneratedRegex(
        @"^chips\[(?<index>[0-9]{1,6})\](\.(?<field>\w+))?$",
        RegexOptions.ExplicitCapture | RegexOptions.NonBacktracking
    )]
    private static partial Regex ChipPath();

    [GeneratedRegex(
        @"^\w+\.parts\[(?<index>[0-9]{1,6})\](\.(?<field>\w+))?$",
        RegexOptions.ExplicitCapture | RegexOptions.NonBacktracking
    )]
    private static partial Regex PartPath();

    [GeneratedRegex(
        @"^\w+\.copperRegions\[(?<index>[0-9]{1,6})\](\.(?<field>\w+))?$",
        RegexOptions.ExplicitCapture | RegexOptions.NonBacktracking
    )]
    private static partial Regex RegionPath();
}
