using Graftbench.Core.Facts;

namespace Graftbench.Core.Proof;

/// <summary>One limit with its unit and whose it is.</summary>
/// <param name="Id">Its name: <c>ratio-stop</c>.</param>
/// <param name="Title">What a person reads.</param>
/// <param name="Value">The limit, in <paramref name="Unit"/>.</param>
/// <param name="Unit">Its unit; a dash for a pure number.</param>
/// <param name="Note">What it holds for.</param>
/// <param name="Confidence">Confidence mark.</param>
/// <param name="Source">Source id.</param>
public sealed record Threshold(
    string Id,
    string Title,
    double Value,
    string Unit,
    string Note,
    Confidence Confidence,
    string Source
);

/// <summary>Limits of the proof before power, of first power and of returns (<c>data/proof-thresholds.csv</c>); each can be replaced.</summary>
public sealed class ProofThresholds
{
    /// <summary>Source of a limit that a person has typed.</summary>
    public const string TypedSource = "job-file";

    private static readonly Lazy<ProofThresholds> LazyStandard = new(() =>
        new(
            CsvTable
                .Load("proof-thresholds")
                .Rows.Select(row => new Threshold(
                    row["id"],
                    row["title"],
                    row.Number("value"),
                    row["unit"],
                    row["note"],
                    row.Confidence,
                    row["source"]
                ))
                .ToDictionary(row => row.Id, StringComparer.Ordinal)
        )
    );

    private readonly Dictionary<string, Threshold> byId;

    private ProofThresholds(Dictionary<string, Threshold> byId) => this.byId = byId;

    /// <summary>The limits that come with the program.</summary>
    public static ProofThresholds Standard => LazyStandard.Value;

    /// <summary>All limits, in the order of the table.</summary>
    public IReadOnlyCollection<Threshold> All => byId.Values;

    /// <summary>A limit.</summary>
    /// <exception cref="KeyNotFoundException">There is none of that name.</exception>
    public Threshold Of(string id) => byId[id];

    /// <summary>These limits with one replaced by a person's.</summary>
    /// <param name="id">Name of the limit.</param>
    /// <param name="value">Its new value, in the unit of the table, finite.</param>
    /// <exception cref="ArgumentException">There is no such limit, or the value is not finite or has another sign.</exception>
    public ProofThresholds With(string id, double value)
    {
        if (!byId.TryGetValue(id, out Threshold? old))
        {
            throw new ArgumentException(
                $"There is no limit '{id}'. There are {string.Join(", ", byId.Keys)}.",
                nameof(id)
            );
        }
        if (!double.IsFinite(value) || value == 0 || Math.Sign(value) != Math.Sign(old.Value))
        {
            throw new ArgumentException(
                $"{id}: {value} must be finite and of the sign of {old.Value} {old.Unit}.",
                nameof(value)
            );
        }
        Dictionary<string, Threshold> changed = new(byId, StringComparer.Ordinal)
        {
            [id] = old with { Value = value, Source = TypedSource, Note = $"Replaces {old.Value} {old.Unit}." },
        };
        return new ProofThresholds(changed);
    }

    internal double this[string id] => byId[id].Value;

    // Of a limit in percent.
    internal double Fraction(string id) => byId[id].Value / 100;
}
