using System.Globalization;
using System.Text.Json;
using System.Text.Json.Nodes;
using Graftbench.Core.Jobs;
using Graftbench.Store;
using Graftbench.Web.Forms;

namespace Graftbench.Web.JobScreen;

/// <summary>What an evidence line says, for reading.</summary>
internal static class EvidenceText
{
    private const string JobSaved = "job-saved";

    /// <summary>Most saved revisions that are compared for one page: every one is a whole document.</summary>
    public const int MostCompared = 40;

    /// <summary>The line in a few words; empty where its kind says it all.</summary>
    /// <param name="line">The line.</param>
    /// <param name="change">What changed with it, where it saved the job; null where that was not looked at.</param>
    public static string Of(EvidenceLine line, string? change) =>
        line.Kind == EvidenceRules.PersonalDataRemoved && RemovalNote.Read(line.PayloadJson) is { } removal
            ? removal.Words()
            : Field(line, "note") ?? Field(line, "says") ?? (line.Kind == JobSaved ? change ?? "saved" : "");

    /// <summary>Name of the attached file; null where the line does not say it.</summary>
    public static string? FileName(EvidenceLine line) => Field(line, "file");

    /// <summary>For the newest saved revisions, what changed against the one before, by sequence of the line.</summary>
    public static Dictionary<long, string> Changes(IReadOnlyList<EvidenceLine> lines)
    {
        Dictionary<long, string> changes = [];
        List<EvidenceLine> saved = lines.Where(line => line.Kind == JobSaved).ToList();
        int first = Math.Max(0, saved.Count - MostCompared);
        JsonObject? before = first > 0 ? Document(saved[first - 1]) : null;
        for (int i = first; i < saved.Count; i++)
        {
            JsonObject? after = Document(saved[i]);
            string revision = string.Create(CultureInfo.InvariantCulture, $"revision {i + 1}");
            changes[saved[i].Sequence] =
                i == 0 ? $"{revision}: taken in"
                : before is null || after is null ? revision
                : $"{revision}: {Change(before, after)}";
            before = after;
        }
        return changes;
    }

    private static string Change(JsonObject before, JsonObject after)
    {
        List<FieldChange> changes = FieldChange.Between(before, after).ToList();
        JsonObject? weighing = Added(before, after, "weighings");
        JsonObject? heat = Added(before, after, "heats");
        if (weighing is not null && changes.TrueForAll(change => In(change, "history.weighings")))
        {
            return $"weighing of {weighing["of"]} {weighing["weightG"]} g";
        }
        if (heat is not null && changes.TrueForAll(change => In(change, "history.heats")))
        {
            return $"heat {heat["kind"]} {heat["of"]}";
        }
        if (changes.Count == 0)
        {
            return "nothing that is shown";
        }
        return string.Join(", ", changes.Select(Part).Distinct(StringComparer.Ordinal));
    }

    private static bool In(FieldChange change, string list) =>
        change.Path.StartsWith(list + "[", StringComparison.Ordinal);

    /// <summary>The entry that a list of the history has more than before, at its end; null where it is not exactly one.</summary>
    private static JsonObject? Added(JsonObject before, JsonObject after, string list)
    {
        int count = (JobPath.Find(before, "history." + list) as JsonArray)?.Count ?? 0;
        return JobPath.Find(after, "history." + list) is JsonArray now && now.Count == count + 1
            ? now[count] as JsonObject
            : null;
    }

    /// <summary>The part of the document that a change is in: <c>chips</c>, <c>dryer</c>, <c>exposures</c>.</summary>
    private static string Part(FieldChange change)
    {
        string path = JobPath.Pattern(change.Path).Replace("[]", "", StringComparison.Ordinal);
        string[] steps = path.Split('.');
        bool inner = steps.Length > 1 && steps[0] is "history" || steps.Length > 2 && steps[1] == "parts";
        return inner
            ? steps[0] == "history"
                ? steps[1]
                : $"{steps[0]} parts"
            : steps[0];
    }

    private static JsonObject? Document(EvidenceLine line)
    {
        try
        {
            return JsonNode.Parse(
                    line.PayloadJson,
                    documentOptions: new JsonDocumentOptions { MaxDepth = JobFormat.MaxDepth }
                ) as JsonObject;
        }
        catch (JsonException)
        {
            return null;
        }
    }

    private static string? Field(EvidenceLine line, string name)
    {
        try
        {
            using JsonDocument payload = JsonDocument.Parse(line.PayloadJson);
            return
                payload.RootElement.ValueKind == JsonValueKind.Object
                && payload.RootElement.TryGetProperty(name, out JsonElement value)
                ? value.ToString()
                : null;
        }
        catch (Exception problem) when (problem is JsonException or InvalidOperationException or ArgumentException)
        {
            return null;
        }
    }
}
