using System.Security.Cryptography;
using System.Text;
using System.Text.Json;
using System.Text.Json.Serialization;
using Graftbench.Core.Watching.Lines;
using Graftbench.Store;
using Graftbench.Web.Hosting;

namespace Graftbench.Web.Watching;

/// <summary>Formats that a person may confirm: the one kept with the bench for this source where it reads the lines, and those that were learned.</summary>
internal static class PreparedFormats
{
    private const double LeastReadShare = 0.7;

    private static readonly JsonSerializerOptions Json = new(JsonSerializerDefaults.Web)
    {
        Converters = { new JsonStringEnumConverter(JsonNamingPolicy.KebabCaseLower) },
    };

    private sealed record Kept(string Source, ProbeFormat Format);

    /// <summary>Formats to choose from, the likeliest first.</summary>
    public static IReadOnlyList<ProbeFormat> Of(WatchPreparation preparation, StoredJob stored, BenchStore store)
    {
        List<ProbeFormat> formats = [];
        if (KeptFor(preparation, stored, store) is { } kept)
        {
            formats.Add(kept);
        }
        formats.AddRange(preparation.Formats.Select(learned => learned.Format));
        if (formats.Count == 0 && preparation.Format is { } confirmed)
        {
            formats.Add(confirmed);
        }
        return [.. formats.DistinctBy(KeyOf)];
    }

    /// <summary>The format that is kept with the bench for this source; null where there is none or it does not read what comes.</summary>
    public static ProbeFormat? KeptFor(WatchPreparation preparation, StoredJob stored, BenchStore store)
    {
        string source = SourceOf(preparation);
        IReadOnlyList<string> lines = preparation.Listener?.Newest ?? [];
        foreach (BenchFact fact in store.BenchFacts(stored.Job.Bench.Name, BenchFactRules.ProbeFormat))
        {
            if (Read(fact.Json) is { } kept && kept.Source == source)
            {
                int read = lines.Count(line => ProbeLine.Read(line, kept.Format).Problem is null);
                return lines.Count > 0 && read >= LeastReadShare * lines.Count ? kept.Format : null;
            }
        }
        return null;
    }

    /// <summary>Keeps a confirmed format with the bench, unless it is kept already.</summary>
    public static void Keep(WatchPreparation preparation, ProbeFormat format, StoredJob stored, BenchStore store)
    {
        string json = JsonSerializer.Serialize(new Kept(SourceOf(preparation), format), Json);
        string? bench = stored.Job.Bench.Name;
        BenchFact? newest = store
            .BenchFacts(bench, BenchFactRules.ProbeFormat)
            .FirstOrDefault(fact => Read(fact.Json) is { } kept && kept.Source == SourceOf(preparation));
        if (newest is null || newest.Json != json)
        {
            store.AddBenchFact(bench ?? "", BenchFactRules.ProbeFormat, json, Saving.Who(stored.Job));
        }
    }

    /// <summary>What a form calls a format.</summary>
    public static string KeyOf(ProbeFormat format) =>
        Convert.ToHexStringLower(SHA256.HashData(Encoding.UTF8.GetBytes(JsonSerializer.Serialize(format, Json))))[..12];

    private static string SourceOf(WatchPreparation preparation) =>
        $"{preparation.Source.Kind.ToString().ToLowerInvariant()}:{preparation.Source.Address}";

    private static Kept? Read(string json)
    {
        try
        {
            Kept? kept = JsonSerializer.Deserialize<Kept>(json, Json);
            return kept is { Source: not null, Format.Columns.Count: > 0 and <= ProbeFormat.MostColumns } ? kept : null;
        }
        catch (Exception error) when (error is JsonException or NotSupportedException)
        {
            return null;
        }
    }
}
