using System.Text.Json;
using System.Text.Json.Serialization;
using Graftbench.Core.Watching.Lines;
using Graftbench.Store;

namespace Graftbench.Watch;

/// <summary>Formats of loggers that were confirmed, kept with their bench.</summary>
public static class KeptFormats
{
    private const double LeastReadShare = 0.7;

    private static readonly JsonSerializerOptions Json = new(JsonSerializerDefaults.Web)
    {
        Converters = { new JsonStringEnumConverter(JsonNamingPolicy.KebabCaseLower) },
    };

    private sealed record Kept(string Source, ProbeFormat Format);

    /// <summary>The format that is kept for a source; null where there is none or it does not read what comes.</summary>
    /// <param name="store">The store.</param>
    /// <param name="bench">Name of the bench.</param>
    /// <param name="source">The source.</param>
    /// <param name="lines">Newest lines.</param>
    public static ProbeFormat? For(BenchStore store, string? bench, RunSource source, IReadOnlyList<string> lines)
    {
        ArgumentNullException.ThrowIfNull(source);
        ArgumentNullException.ThrowIfNull(lines);
        ProbeFormat? kept = Newest(store, bench, source)?.Format;
        if (kept is null || lines.Count == 0)
        {
            return null;
        }
        int read = lines.Count(line => ProbeLine.Read(line, kept).Problem is null);
        return read >= LeastReadShare * lines.Count ? kept : null;
    }

    /// <summary>Keeps a confirmed format, unless it is the one kept already.</summary>
    /// <param name="store">The store.</param>
    /// <param name="bench">Name of the bench.</param>
    /// <param name="source">The source.</param>
    /// <param name="format">The format.</param>
    /// <param name="who">Who confirmed it.</param>
    public static void Keep(BenchStore store, string? bench, RunSource source, ProbeFormat format, string who)
    {
        ArgumentNullException.ThrowIfNull(store);
        ArgumentNullException.ThrowIfNull(source);
        string json = JsonSerializer.Serialize(new Kept(KeyOf(source), format), Json);
        Kept? newest = Newest(store, bench, source);
        if (newest is null || JsonSerializer.Serialize(newest, Json) != json)
        {
            store.AddBenchFact(bench ?? "", BenchFactRules.ProbeFormat, json, who);
        }
    }

    /// <summary>A format as text: two that read alike have the same.</summary>
    /// <param name="format">The format.</param>
    public static string TextOf(ProbeFormat format) => JsonSerializer.Serialize(format, Json);

    private static Kept? Newest(BenchStore store, string? bench, RunSource source)
    {
        ArgumentNullException.ThrowIfNull(store);
        return store
            .BenchFacts(bench, BenchFactRules.ProbeFormat)
            .Select(fact => Read(fact.Json))
            .FirstOrDefault(kept => kept?.Source == KeyOf(source));
    }

    private static string KeyOf(RunSource source) => $"{RunOrder.Word(source.Kind)}:{source.Address}";

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
