namespace Graftbench.Core.Findings;

/// <summary>How much a finding weighs, worst first. Unknown never counts as ok.</summary>
public enum Verdict
{
    /// <summary>The work must not go on.</summary>
    Blocker,

    /// <summary>Something must be put right before the next step.</summary>
    FixFirst,

    /// <summary>The work may go on; the technician must know.</summary>
    Warning,

    /// <summary>Could not be checked, and says why.</summary>
    Unknown,

    /// <summary>Checked against a limit and inside it.</summary>
    Ok,
}

/// <summary>The unit of every answer: what was found, against whose limit, and what to do.</summary>
/// <param name="Verdict">How much it weighs.</param>
/// <param name="Code">Stable name for scripts, lower case with dots: <c>drying.cell-on-board</c>.</param>
/// <param name="Where">The thing it is about: <c>host board</c>, <c>host board, C12</c>, <c>chip U1</c>.</param>
/// <param name="What">One plain sentence.</param>
/// <param name="Value">The value found, with its unit; null where there is none.</param>
/// <param name="Limit">The limit it was held against, with its unit; null where there is none.</param>
/// <param name="Source">Id of the row in the source table that sets the limit.</param>
/// <param name="Todo">What the technician does next; null where nothing is to be done.</param>
public sealed record Finding(
    Verdict Verdict,
    string Code,
    string Where,
    string What,
    string? Value = null,
    string? Limit = null,
    string? Source = null,
    string? Todo = null
)
{
    /// <summary>Orders findings worst first and keeps the given order among equals.</summary>
    public static IReadOnlyList<Finding> WorstFirst(IEnumerable<Finding> findings) =>
        findings.OrderBy(finding => finding.Verdict).ToList();

    /// <summary>The worst verdict of a set; <see cref="Verdict.Unknown"/> for an empty one, since nothing was checked.</summary>
    public static Verdict Worst(IEnumerable<Finding> findings) =>
        findings.Select(finding => finding.Verdict).DefaultIfEmpty(Verdict.Unknown).Min();
}
