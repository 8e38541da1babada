namespace Graftbench.Core.Facts;

/// <summary>How far a fact can be trusted.</summary>
public enum Confidence
{
    /// <summary>Seen on a public page or in an abstract that the source table names.</summary>
    Seen,

    /// <summary>From memory, unconfirmed.</summary>
    FromMemory,

    /// <summary>Computed here from stated inputs.</summary>
    Computed,

    /// <summary>Common practice, no source.</summary>
    CommonPractice,

    /// <summary>Our own estimate, meant to be replaced by the shop's own outcomes.</summary>
    Estimate,
}

/// <summary>Where a fact comes from.</summary>
/// <param name="Id">Short name, as used in the tables.</param>
/// <param name="Title">Title of the page, paper, standard or book.</param>
/// <param name="Note">How it was seen, and what it does not cover.</param>
public sealed record SourceRow(string Id, string Title, string Note);
