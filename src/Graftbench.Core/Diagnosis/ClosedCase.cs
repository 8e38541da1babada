namespace Graftbench.Core.Diagnosis;

/// <summary>What a test has shown.</summary>
/// <param name="TestId">The test.</param>
/// <param name="OutcomeId">What it showed.</param>
/// <param name="TrialsNumber">How often it was tried; for a fault that comes and goes, the first outcome stands for "at least once".</param>
/// <param name="PerTrialFraction">Chance that a fault of this kind shows in a single trial, above 0 and at most 1.</param>
/// <param name="Note">What the person wrote beside it; null for nothing.</param>
public sealed record TestSeen(
    string TestId,
    string OutcomeId,
    int TrialsNumber = 1,
    double PerTrialFraction = 1,
    string? Note = null
);

/// <summary>A case whose cause is proven: one action undid the fault, or it was seen in a section.</summary>
/// <param name="CauseId">The cause.</param>
/// <param name="Seen">What its tests had shown.</param>
public sealed record ClosedCase(string CauseId, IReadOnlyList<TestSeen> Seen);

/// <summary>How the cause of a closed case was proven.</summary>
public enum CaseProof
{
    /// <summary>One action, and nothing else, undid the fault.</summary>
    OneAction,

    /// <summary>Seen in a section of the joint or the board.</summary>
    Section,

    /// <summary>Seen with dye under the lifted chip.</summary>
    Dye,

    /// <summary>Not proven: several things were done at once, or the work was given up. Such a case teaches nothing.</summary>
    None,
}

/// <summary>How a case was closed.</summary>
/// <param name="CauseId">The cause; null where none was found.</param>
/// <param name="Proof">How it was proven.</param>
/// <param name="Note">What the person wrote beside it; null for nothing.</param>
public sealed record CaseClosing(string? CauseId, CaseProof Proof, string? Note)
{
    /// <summary>Whether the table may learn from it.</summary>
    public bool Teaches => CauseId is not null && Proof != CaseProof.None;

    /// <summary>The proof in words.</summary>
    public static string Words(CaseProof proof) =>
        proof switch
        {
            CaseProof.OneAction => "one action alone undid it",
            CaseProof.Section => "seen in a section",
            CaseProof.Dye => "seen with dye",
            _ => "not proven",
        };
}
