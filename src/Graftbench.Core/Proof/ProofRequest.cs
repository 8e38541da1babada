using Graftbench.Core.Findings;
using Graftbench.Core.Fit.Maps;
using Graftbench.Core.Jobs;

namespace Graftbench.Core.Proof;

/// <summary>A rail or net that a person lets pass, and why.</summary>
/// <param name="Net">Its name.</param>
/// <param name="Why">The reason; an empty one counts for nothing.</param>
/// <param name="Code">Code of the finding that it sets aside; null for all that stands against this net.</param>
public sealed record ProofWaiver(string Net, string Why, string? Code = null)
{
    /// <summary>The waivers of a job that set findings of the proof aside: each its own code at its own place.</summary>
    public static IReadOnlyList<ProofWaiver> Of(Job job)
    {
        ArgumentNullException.ThrowIfNull(job);
        return
        [
            .. job
                .Evidence.Where(entry =>
                    entry is { Kind: EvidenceKind.Waiver, Waives: not null, WaivesWhere: not null }
                    && entry.Waives.StartsWith("proof.", StringComparison.Ordinal)
                )
                .Select(entry => new ProofWaiver(entry.WaivesWhere!, entry.Note ?? "", entry.Waives)),
        ];
    }

    internal bool Covers(string net, Finding finding) =>
        NetNames.Same(Net, net)
        && !string.IsNullOrWhiteSpace(Why)
        && (Code is null || string.Equals(Code, finding.Code, StringComparison.Ordinal));
}

/// <summary>What the proof before power is asked with.</summary>
/// <param name="Readings">All readings of the job and of the boards it is compared with.</param>
public sealed record ProofRequest(IReadOnlyList<Reading> Readings)
{
    /// <summary>Rails that a person named; those of <see cref="Map"/> and of the readings come besides.</summary>
    public IReadOnlyList<ProofRail> Rails { get; init; } = [];

    /// <summary>Ball list of the chip; null where there is none.</summary>
    public BallMap? Map { get; init; }

    /// <summary>Limits.</summary>
    public ProofThresholds Thresholds { get; init; } = ProofThresholds.Standard;

    /// <summary>The state that is judged.</summary>
    public ReadingState Now { get; init; } = ReadingState.AfterPlacing;

    /// <summary>Revision of the host board; null where unknown.</summary>
    public string? HostRevision { get; init; }

    /// <summary>Whether the chip came from a donor board; null where that is not known.</summary>
    public bool? FromDonor { get; init; }

    /// <summary>What is let pass, by name.</summary>
    public IReadOnlyList<ProofWaiver> Waivers { get; init; } = [];
}
