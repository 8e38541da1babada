using System.Buffers;
using System.Data.Common;
using System.Text.Encodings.Web;
using System.Text.Json;

namespace Graftbench.Store;

public sealed partial class BenchStore
{
    private const string FactColumns = "sequence, bench, kind, at, who, fact";

    /// <summary>Adds a fact of a bench; on return it is on disk. It also becomes evidence of <see cref="ShopRecord"/>.</summary>
    /// <param name="bench">Name of the bench; blanks around it are taken off. Empty for the bench without a name.</param>
    /// <param name="kind">Sort of fact, such as <see cref="BenchFactRules.ProbeFormat"/>.</param>
    /// <param name="json">The fact, a JSON object; kept to the letter.</param>
    /// <param name="who">Who adds it.</param>
    /// <param name="file">File that it rests on, such as the log of a trial; null where there is none.</param>
    /// <exception cref="ArgumentException">A text breaks <see cref="BenchFactRules"/>, or the fact is no JSON object.</exception>
    public BenchFact AddBenchFact(string bench, string kind, string json, string who, StoredFile? file = null)
    {
        ArgumentNullException.ThrowIfNull(bench);
        ArgumentNullException.ThrowIfNull(kind);
        ArgumentNullException.ThrowIfNull(json);
        BenchFact fact = new(0, bench.Trim(), kind, json.Trim(), default, who);
        foreach ((string field, string words) in BenchFactRules.Problems(fact.Bench, kind))
        {
            throw new ArgumentException($"The {field} {words}.", field);
        }
        EvidenceDraft draft = new(who, EvidenceRules.BenchFactAdded, FactPayload(fact), file);
        return _connections.Write(
            ShopRecord,
            connection =>
            {
                EvidenceLine line = AddLine(connection, ShopRecord, draft, mayBeNew: true);
                BenchFact added = fact with { Sequence = line.Sequence, At = line.At };
                WriteBenchFact(connection, added);
                return added;
            }
        );
    }

    /// <summary>Facts of a bench of one kind, the newest first.</summary>
    /// <param name="bench">Name of the bench; blanks around it and the size of letters do not count.</param>
    /// <param name="kind">Sort of fact.</param>
    public IReadOnlyList<BenchFact> BenchFacts(string? bench, string kind) =>
        _connections.Read(connection =>
            connection.All(
                $"""
                SELECT {FactColumns} FROM bench_fact WHERE bench_key = @bench AND kind = @kind ORDER BY sequence DESC
                """,
                ReadBenchFact,
                ("@bench", BenchFactRules.KeyOf(bench)),
                ("@kind", kind)
            )
        );

    /// <summary>All facts of all benches, the newest first.</summary>
    public IReadOnlyList<BenchFact> BenchFacts() =>
        _connections.Read(connection =>
            connection.All($"SELECT {FactColumns} FROM bench_fact ORDER BY sequence DESC", ReadBenchFact)
        );

    /// <summary>The newest fact of a bench of one kind; null where there is none.</summary>
    /// <param name="bench">Name of the bench; blanks around it and the size of letters do not count.</param>
    /// <param name="kind">Sort of fact.</param>
    public BenchFact? NewestBenchFact(string? bench, string kind) =>
        _connections.Read(connection =>
            connection
                .All(
                    $"""
                    SELECT {FactColumns} FROM bench_fact WHERE bench_key = @bench AND kind = @kind
                    ORDER BY sequence DESC LIMIT 1
                    """,
                    ReadBenchFact,
                    ("@bench", BenchFactRules.KeyOf(bench)),
                    ("@kind", kind)
                )
                .FirstOrDefault()
        );

    /// <summary>Writes the payload of a <c>bench-fact</c> line; the fact keeps its very text.</summary>
    private static string FactPayload(BenchFact fact)
    {
        ArrayBufferWriter<byte> buffer = new();
        using (
            Utf8JsonWriter writer = new(
                buffer,
                new JsonWriterOptions { Encoder = JavaScriptEncoder.UnsafeRelaxedJsonEscaping }
            )
        )
        {
            writer.WriteStartObject();
            writer.WriteString("bench", fact.Bench);
            writer.WriteString("kind", fact.Kind);
            writer.WritePropertyName("fact");
            if (!fact.Json.StartsWith('{'))
            {
                throw new ArgumentException("is no JSON object", nameof(fact));
            }
            try
            {
                writer.WriteRawValue(fact.Json);
            }
            catch (JsonException problem)
            {
                throw new ArgumentException("is no valid JSON: " + problem.Message, nameof(fact), problem);
            }
            writer.WriteEndObject();
        }
        return EvidenceChain.Utf8.GetString(buffer.WrittenSpan);
    }

    /// <summary>Reads the payload of a <c>bench-fact</c> line back; null where it is not one.</summary>
    internal static BenchFact? ReadFactPayload(string payload, long sequence, DateTimeOffset at, string who)
    {
        try
        {
            using JsonDocument json = JsonDocument.Parse(payload);
            JsonElement root = json.RootElement;
            JsonElement fact = root.GetProperty("fact");
            return fact.ValueKind != JsonValueKind.Object ? null
                : new BenchFact(
                    sequence,
                    root.GetProperty("bench").GetString()!,
                    root.GetProperty("kind").GetString()!,
                    fact.GetRawText(),
                    at,
                    who
                )
                    is { Bench: not null, Kind: not null } read
                    ? read
                : null;
        }
        catch (Exception problem) when (EvidenceChain.IsNotSuchPayload(problem))
        {
            return null;
        }
    }

    private static void WriteBenchFact(DbConnection connection, BenchFact fact) =>
        connection.Run(
            """
            INSERT INTO bench_fact (sequence, bench_key, bench, kind, at, who, fact)
            VALUES (@sequence, @key, @bench, @kind, @at, @who, @fact)
            """,
            ("@sequence", fact.Sequence),
            ("@key", BenchFactRules.KeyOf(fact.Bench)),
            ("@bench", fact.Bench),
            ("@kind", fact.Kind),
            ("@at", StoreTime.Write(fact.At)),
            ("@who", fact.Who),
            ("@fact", fact.Json)
        );

    internal static BenchFact ReadBenchFact(DbDataReader row) =>
        new(
            row.GetInt64(0),
            row.GetString(1),
            row.GetString(2),
            row.GetString(5),
            ReadTime(row.GetString(3), ShopRecord),
            row.GetString(4)
        );
}
