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
