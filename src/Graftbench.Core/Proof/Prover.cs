using Graftbench.Core.Findings;
using Graftbench.Core.Fit.Maps;
using static System.FormattableString;

namespace Graftbench.Core.Proof;

/// <summary>Holds readings against baseline and healthy board: is it safe to power?</summary>
public static class Prover
{
    private const int Named = 8;

    /// <summary>The proof.</summary>
    public static ProofAnswer Answer(ProofRequest request)
    {
        ArgumentNullException.ThrowIfNull(request);
        ReadingSet set = ReadingSet.Newest(request.Readings);
        ProofNames names = new(request, set);
        RailProof rails = new(request, set);
        SignalProof signals = new(request, set, names);
        PairProof pairs = new(request, set, names);
        List<NetProof> nets =
        [
            .. names.Rails.Select(rail => rails.Of(rail, names)),
            .. names.Signals.Select(signals.Of),
            .. pairs.All(),
        ];
        IEnumerable<NetProof> waived = nets.Select(net => net with { Waived = Waived(net, request.Waivers) });
        return new ProofAnswer(
            [
                .. waived
                    .OrderBy(net => net.Waived is not null)
                    .ThenBy(net => net.Verdict)
                    .ThenBy(net => net.Rail is null),
            ],
            signals.Shifts,
            [rails.Repeat, .. signals.Repeats],
            Finding.WorstFirst(General(request, set, names, signals)),
            request,
            set
        );
    }

    // The reasons, where each finding that forbids power is set aside; null where one is left, or none stands.
    private static string? Waived(NetProof net, IReadOnlyList<ProofWaiver> waivers)
    {
        List<string> reasons = [];
        foreach (Finding finding in net.Barring)
        {
            if (waivers.FirstOrDefault(waiver => waiver.Covers(net.Net, finding)) is not { } waiver)
            {
                return null;
            }
            reasons.Add(waiver.Why.Trim());
        }
        return reasons.Count == 0 ? null : string.Join("; ", reasons.Distinct(StringComparer.Ordinal));
    }

    private static IEnumerable<Finding> General(
        ProofRequest request,
        ReadingSet set,
        ProofNames names,
        SignalProof signals
    )
    {
        if (names.Rails.Count == 0)
        {
            yield return new Finding(
                Verdict.Unknown,
                "proof.no-rails",
                "rails",
                "No rail is named and none was measured, so nothing is known of shorts.",
                Source: "common-practice",
                Todo: "Measure every rail to ground before and after, or give the chip's ball list: it names the chip's rails."
            );
        }
        if (set.Replaced > 0)
        {
            yield return new Finding(
                Verdict.Ok,
                "proof.replaced",
                "readings",
                Invariant($"{set.Replaced} readings were replaced by a later sitting and do not count."),
                Source: "graftbench-estimate"
            );
        }
        foreach (
            IGrouping<string?, Reading> other in set
                .Readings.Where(one => one.State == ReadingState.Healthy)
                .GroupBy(one => one.Revision?.Trim(), StringComparer.OrdinalIgnoreCase)
        )
        {
            if (request.HostRevision is null || other.Key is null || !NetNames.Same(other.Key, request.HostRevision))
            {
                bool known = request.HostRevision is not null && other.Key is not null;
                yield return new Finding(
                    Verdict.Warning,
                    "proof.healthy-revision",
                    "healthy board",
                    known
                        ? "The healthy board is of another revision: its rails may differ by design, so it only warns."
                        : "Whether the healthy board is of the host's revision is not told, so it only warns.",
                    other.Key ?? "not told",
                    request.HostRevision ?? "not told",
                    "graftbench-estimate",
                    "Read the revision off both boards and enter it."
                );
            }
        }
        foreach (
            ProofRail rail in names.Rails.Where(rail =>
                rail is { Basis: ClassBasis.ByName, Class: not RailClass.Other }
            )
        )
        {
            yield return new Finding(
                Verdict.Warning,
                "proof.rail-class",
                rail.Name,
                "What the rail feeds was taken from its name.",
                ProofWords.Of(rail.Class),
                null,
                "common-practice",
                "Confirm it, or name the right class."
            );
        }
        if (names.NotListed.Count > 0)
        {
            yield return new Finding(
                Verdict.Warning,
                "proof.not-listed",
                "ball list",
                Invariant(
                    $"{names.NotListed.Count} of {names.Signals.Count} signals that were read are not in the ball list under that name: they prove no ball of it."
                ),
                string.Join(", ", names.NotListed.Take(Named))
                    + (names.NotListed.Count > Named ? Invariant($" and {names.NotListed.Count - Named} more") : ""),
                null,
                "common-practice",
                "Write them as the list does, or enter beside the reading which ball the net leads to."
            );
        }
        foreach (Finding finding in signals.General())
        {
            yield return finding;
        }
        foreach (ProofWaiver waiver in request.Waivers)
        {
            if (string.IsNullOrWhiteSpace(waiver.Why))
            {
                yield return new Finding(
                    Verdict.Warning,
                    "proof.waiver-empty",
                    waiver.Net,
                    "It was set aside without a reason, which counts for nothing.",
                    Source: "common-practice",
                    Todo: "Write why."
                );
            }
            else if (!names.Has(waiver.Net))
            {
                yield return new Finding(
                    Verdict.Warning,
                    "proof.waiver-unknown",
                    waiver.Net,
                    "It was set aside, but there is no such rail or net.",
                    Source: "common-practice",
                    Todo: "Correct the name."
                );
            }
        }
    }
}
