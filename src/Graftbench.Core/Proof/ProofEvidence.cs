using Graftbench.Core.Diagnosis;

namespace Graftbench.Core.Proof;

/// <summary>What readings and traces tell the diagnosis: outcomes of its tests <c>rail</c>, <c>diode</c> and <c>current</c>.</summary>
public static class ProofEvidence
{
    /// <summary>Outcomes that the proof and a trace amount to; a test that was not done in full has none, unless it failed.</summary>
    /// <param name="proof">The proof.</param>
    /// <param name="trace">What a trace says; null without one.</param>
    public static IReadOnlyList<TestSeen> Of(ProofAnswer proof, TraceAnswer? trace = null)
    {
        ArgumentNullException.ThrowIfNull(proof);
        bool Any(params string[] codes) => proof.Nets.Any(net => net.Findings.Any(one => codes.Contains(one.Code)));
        bool AllCompared(IEnumerable<NetProof> nets) => nets.Any() && nets.All(net => net.Compared);
        List<TestSeen> seen = [];
        if (Any("proof.rail-low", "proof.input-short"))
        {
            seen.Add(new TestSeen("rail", "low"));
        }
        else if (AllCompared(proof.Nets.Where(net => net.Rail is not null)))
        {
            seen.Add(new TestSeen("rail", "none"));
        }
        if (Any("proof.signal-short", "proof.signal-tied", "proof.pair-bridge"))
        {
            seen.Add(new TestSeen("diode", "tied"));
        }
        else if (Any("proof.signal-open"))
        {
            seen.Add(new TestSeen("diode", "open"));
        }
        else if (
            AllCompared(proof.Nets.Where(net => net is { Rail: null, Kind: ReadingKind.Diode }))
            && !Any("proof.signal-moved")
        )
        {
            seen.Add(new TestSeen("diode", "none"));
        }
        if (trace?.OutcomeId is { } outcome)
        {
            seen.Add(new TestSeen("current", outcome));
        }
        return seen;
    }
}
