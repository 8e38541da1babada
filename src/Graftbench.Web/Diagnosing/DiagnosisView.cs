using System.Globalization;
using Graftbench.Core.Diagnosis;
using Graftbench.Core.Ledger;
using Graftbench.Store;

namespace Graftbench.Web.Diagnosing;

/// <summary>Everything that the screen of the diagnosis shows.</summary>
/// <param name="Stored">The job as stored.</param>
/// <param name="Record">What its record says.</param>
/// <param name="Answer">The answer.</param>
/// <param name="Table">The table of the shop.</param>
public sealed record DiagnosisView(StoredJob Stored, DiagnosisRecord Record, DiagnosisAnswer Answer, CauseTable Table)
{
    /// <summary>Number of the question.</summary>
    public const int Question = 9;

    /// <summary>Outcomes that other evidence suggests and nobody confirmed.</summary>
    public IReadOnlyList<SuggestedOutcome> Suggested { get; init; } = [];

    /// <summary>Rows that the shop edited, oldest first.</summary>
    public IReadOnlyList<(EvidenceLine Line, TableEdit Edit, string? Why)> Edits { get; init; } = [];

    /// <summary>The table before the shop's closed cases: what an edit changes.</summary>
    public CauseTable Before { get; init; } = CauseTable.Standard;

    /// <summary>The heats that a further one is weighed by; null where there is no account.</summary>
    public HeatAccount? Account { get; init; }

    /// <summary>The test whose rows are shown; null for the shares of the causes.</summary>
    public string? ShownTest { get; init; }

    /// <summary>The cause whose row is edited; null for none.</summary>
    public string? EditedCause { get; init; }

    /// <summary>Whether the part with the table is unfolded.</summary>
    public bool TableOpen { get; init; }

    /// <summary>What is wrong with what was sent.</summary>
    public IReadOnlyList<string> Problems { get; init; } = [];

    /// <summary>What was sent and refused, by field: it stands in the form again.</summary>
    public IReadOnlyDictionary<string, string> Typed { get; init; } = new Dictionary<string, string>();

    /// <summary>What was just done; null for nothing.</summary>
    public string? Done { get; init; }

    /// <summary>Address of the job page.</summary>
    public string JobAddress => $"/jobs/{Stored.Job.Id}";

    /// <summary>Address of this screen.</summary>
    public string Address => $"/jobs/{Stored.Job.Id}/diagnosis";

    /// <summary>What stands in a field: what was typed and refused, else what is usual.</summary>
    public string In(string field, string usual = "") => Typed.GetValueOrDefault(field, usual);

    /// <summary>A chance as a person reads it: how many of 100.</summary>
    public static string Of100(double fraction) =>
        fraction is > 0 and < 0.0005
            ? "under 0.1"
            : (100 * fraction).ToString(fraction < 0.1 ? "0.0" : "0", CultureInfo.InvariantCulture);

    /// <summary>A part of the causes in words.</summary>
    public static string Words(CausePart part) =>
        part switch
        {
            CausePart.Joints => "joints",
            CausePart.Chip => "chip",
            CausePart.Board => "board",
            CausePart.Firmware => "firmware",
            CausePart.Assembly => "assembly",
            _ => "other",
        };
}
