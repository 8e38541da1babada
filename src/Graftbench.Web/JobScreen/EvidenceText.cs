using System.Text.Json;
using Graftbench.Store;

namespace Graftbench.Web.JobScreen;

/// <summary>What an evidence line says, for reading.</summary>
internal static class EvidenceText
{
    /// <summary>The line in a few words; empty where its kind says it all.</summary>
    public static string Of(EvidenceLine line) =>
        Field(line, "note")
        ?? Field(line, "says")
        ?? (line.Kind == "job-saved" ? $"revision {Field(line, "revision") ?? "saved"}" : "");

    /// <summary>Name of the attached file; null where the line does not say it.</summary>
    public static string? FileName(EvidenceLine line) => Field(line, "file");

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
        catch (JsonException)
        {
            return null;
        }
    }
}
