using Graftbench.Core.Fit.Maps;

namespace Graftbench.Core.Proof;

/// <summary>A rail or net that a person lets pass, and why.</summary>
/// <param name="Net">Its name.</param>
/// <param name="Why">The reason; an empty one counts for nothing.</param>
/// <param name="Who">Who said so; null where nobody did.</param>
public sealed record ProofWaiver(string Net, string Why, string? Who = null);

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

    /// <summary>What is let pass, by name.</summary>
    public IReadOnlyList<ProofWaiver> Waivers { get; init; } = [];
}
