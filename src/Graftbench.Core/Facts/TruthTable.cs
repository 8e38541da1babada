using System.Globalization;

namespace Graftbench.Core.Facts;

/// <summary>What an answer was held against.</summary>
public enum TruthEvidence
{
    /// <summary>A printed value, an exact solution, a law of conservation, or a program that shares no code with this one.</summary>
    Outside,

    /// <summary>The project's own simulation, made pictures or made readings only.</summary>
    Simulated,

    /// <summary>Nothing: no such thing was found.</summary>
    Nothing,
}

/// <summary>How far off one answer was found, in plain words.</summary>
/// <param name="Id">Id of the row.</param>
/// <param name="QuestionNumber">Question of the job, from 1.</param>
/// <param name="What">What is answered.</param>
/// <param name="Off">How far off it was found.</param>
/// <param name="Against">What it was held against.</param>
/// <param name="NotFor">What it must not be used for.</param>
/// <param name="Evidence">Sort of what it was held against.</param>
/// <param name="Source">Id of its source.</param>
public sealed record TruthRow(
    string Id,
    int QuestionNumber,
    string What,
    string Off,
    string Against,
    string NotFor,
    TruthEvidence Evidence,
    string Source
)
{
    /// <summary>The sort of evidence in words.</summary>
    public string EvidenceWords =>
        Evidence switch
        {
            TruthEvidence.Outside => "Checked from outside",
            TruthEvidence.Simulated => "Only simulated, not a real board",
            _ => "Checked against nothing",
        };
}

/// <summary>What each answer was held against (<c>data/truth.csv</c>), for the page docs/truth.md and the reference screen.</summary>
public static class TruthTable
{
    /// <summary>Name of the table in <c>data/</c>.</summary>
    public const string Name = "truth";

    private static readonly Lazy<IReadOnlyList<TruthRow>> Loaded = new(() =>
        [.. CsvTable.Load(Name).Rows.Select(Read)]
    );

    /// <summary>All rows, in the order of the questions.</summary>
    public static IReadOnlyList<TruthRow> Rows => Loaded.Value;

    /// <summary>Finds a row.</summary>
    /// <param name="id">Its id.</param>
    /// <returns>The row, or null for an unknown id.</returns>
    public static TruthRow? Find(string id) => Rows.FirstOrDefault(row => row.Id == id);

    /// <summary>How many answers were held against what, in one sentence.</summary>
    public static string Summary
    {
        get
        {
            int Of(TruthEvidence evidence) => Rows.Count(row => row.Evidence == evidence);
            return string.Create(
                CultureInfo.InvariantCulture,
                $"Of {Rows.Count} answers {Of(TruthEvidence.Outside)} were checked against something from outside, {Of(TruthEvidence.Simulated)} on simulations, made pictures or made readings only, and {Of(TruthEvidence.Nothing)} against nothing."
            );
        }
    }

    /// <summary>Reads one row.</summary>
    /// <exception cref="InvalidDataException">It names no known sort of evidence.</exception>
    internal static TruthRow Read(CsvRow row)
    {
        TruthEvidence evidence = row["evidence"] switch
        {
            "outside" => TruthEvidence.Outside,
            "simulated" => TruthEvidence.Simulated,
            "nothing" => TruthEvidence.Nothing,
            string other => throw new InvalidDataException($"{row}: evidence '{other}'."),
        };
        string off =
            evidence == TruthEvidence.Nothing
                ? "not known: nothing from outside was found to hold it against"
                : row["found"]
                    .Replace("{error}", Plain(row["error"]), StringComparison.Ordinal)
                    .Replace("{cases}", row["cases"], StringComparison.Ordinal);
        return new TruthRow(
            row["id"],
            (int)row.Number("question"),
            row["what"],
            off,
            row["against"],
            row["notFor"],
            evidence,
            row["source"]
        );
    }

    // 3.5e-5 as 0.000035.
    private static string Plain(string number) =>
        decimal.Parse(number, NumberStyles.Float, CultureInfo.InvariantCulture).ToString(CultureInfo.InvariantCulture);
}
