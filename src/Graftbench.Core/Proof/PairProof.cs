using Graftbench.Core.Findings;

namespace Graftbench.Core.Proof;

/// <summary>Pairs of nets that lie side by side: are they joined where the ball list keeps them apart?</summary>
internal sealed class PairProof(ProofRequest request, ReadingSet set, ProofNames names)
{
    private readonly ProofThresholds limits = request.Thresholds;

    /// <summary>Name of a pair.</summary>
    public static string NameOf(ReadingGroup pair) => $"{pair.Net} to {pair.To}";

    /// <summary>The proof of each pair that was measured in this state.</summary>
    public IEnumerable<NetProof> All() =>
        set
            .Groups.Where(group =>
                group is { Kind: ReadingKind.Resistance, To: not null } && group.State == request.Now
            )
            .Select(Of);

    private NetProof Of(ReadingGroup pair)
    {
        ReadingGroup? before = set.Groups.FirstOrDefault(group =>
            group.Kind == ReadingKind.Resistance
            && group.State is ReadingState.Baseline or ReadingState.DonorBaseline
            && (
                (NetNames.Same(group.Net, pair.Net) && NetNames.Same(group.To, pair.To))
                || (NetNames.Same(group.Net, pair.To) && NetNames.Same(group.To, pair.Net))
            )
        );
        return new NetProof(NameOf(pair), null, [Judge(pair, before)])
        {
            Kind = ReadingKind.Resistance,
            Now = pair.Value,
            Baseline = before?.Value,
            BaselineState = before?.State,
            Repeats = pair.Count,
        };
    }

    private Finding Judge(ReadingGroup pair, ReadingGroup? before)
    {
        Threshold limit = limits.Of("pair");
        string value = pair.Value is { } read ? ReadingText.Of(ReadingKind.Resistance, read) : "some numbers, some OL";
        string atLeast = ReadingText.Of(ReadingKind.Resistance, limit.Value);
        Finding Make(Verdict verdict, string code, string what, string? todo) =>
            new(verdict, code, NameOf(pair), what, value, atLeast, limit.Source, todo);
        if (pair.Value is null)
        {
            return Make(
                Verdict.Unknown,
                "proof.contradiction",
                "Repeats contradict each other.",
                "Clean the places and read the pair again."
            );
        }
        if (pair.MeanNumber is not { } ohm || ohm >= limit.Value)
        {
            return Make(Verdict.Ok, "proof.pair-apart", "The two are apart.", null);
        }
        if (names.RailKey(pair.Net) == names.RailKey(pair.To!))
        {
            return Make(Verdict.Ok, "proof.pair-one-net", "The two are one net by the ball list.", null);
        }
        return before?.MeanNumber < limit.Value
            ? Make(
                Verdict.Warning,
                "proof.pair-joined-before",
                "The two are joined, and were before: by a part on the board, it seems.",
                "Find the part that joins them in the board's documents."
            )
            : Make(
                Verdict.Blocker,
                "proof.pair-bridge",
                "The two are joined, and the ball list keeps them apart: a bridge.",
                "No power. Look between these balls by X-ray or from the side."
            );
    }
}
