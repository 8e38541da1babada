using Graftbench.Core.Findings;
using Graftbench.Firmware.Descriptor;
using Graftbench.Firmware.Tree;
using Graftbench.Firmware.Variables;

namespace Graftbench.Firmware.Identity;

/// <summary>Values of this machine that a person read off its label or its running system.</summary>
/// <param name="Serials">Serial numbers and like marks, as printed.</param>
/// <param name="Uuids">UUIDs.</param>
/// <param name="Addresses">Network addresses, six bytes each.</param>
public sealed record KnownIdentity(
    IReadOnlyList<string> Serials,
    IReadOnlyList<Guid> Uuids,
    IReadOnlyList<ReadOnlyMemory<byte>> Addresses
)
{
    /// <summary>Nothing known.</summary>
    public static KnownIdentity None { get; } = new([], [], []);
}

/// <summary>How a proposal is carried out.</summary>
public enum ProposalKind
{
    /// <summary>Bytes at a place outside of code: copied.</summary>
    Range,

    /// <summary>A variable: written as a new record of the newer image's own store.</summary>
    Variable,

    /// <summary>A whole region of the flash descriptor: kept from the board's own dump.</summary>
    Region,
}

/// <summary>Something that belongs to this machine, for a person to tick.</summary>
/// <param name="Id">Name by which it is taken or left.</param>
/// <param name="Kind">How it is carried out.</param>
/// <param name="Title">What it is, in words.</param>
/// <param name="OwnRange">Where it stands in the board's own dump.</param>
/// <param name="Target">Where it goes in the newer image; null for a variable, and where there is no such place.</param>
/// <param name="Shape">What it looks like.</param>
/// <param name="Looks">The value, fit to be shown.</param>
/// <param name="Reason">Why it is proposed.</param>
/// <param name="ConfidenceFraction">How sure it is, 0 to 1. A rank, no measured chance.</param>
public sealed record IdentityProposal(
    string Id,
    ProposalKind Kind,
    string Title,
    ByteRange OwnRange,
    ByteRange? Target,
    IdentityShape Shape,
    string Looks,
    string Reason,
    double ConfidenceFraction
)
{
    /// <summary>The record, for a variable.</summary>
    public VariableRecord? Variable { get; init; }

    /// <summary>The region, for a region.</summary>
    public RegionKind? Region { get; init; }

    /// <summary>Whether it stays with the board whatever is ticked: a mark of ownership or a password is neither sought nor removed.</summary>
    public bool Always { get; init; }

    /// <summary>What stands in its place in the newer image, fit to be shown; null where that is blank.</summary>
    public string? Instead { get; init; }

    /// <summary>Why it cannot be carried; null where it can.</summary>
    public string? Obstacle { get; init; }
}

/// <summary>Something that is not proposed, and why.</summary>
/// <param name="What">What it is.</param>
/// <param name="Range">Where it stands in the board's own dump.</param>
/// <param name="Why">The reason.</param>
public sealed record NotProposed(string What, ByteRange Range, string Why);

/// <summary>What belongs to this machine, as far as two images can tell.</summary>
/// <param name="Proposals">Proposals, surest first.</param>
/// <param name="NotProposed">What must not or need not move, and why.</param>
/// <param name="Stale">Deleted and out-of-reach records of the board's own dump: reported, never carried.</param>
/// <param name="Layout">How the images lie over each other.</param>
/// <param name="Findings">Findings, worst first.</param>
public sealed record IdentityAnswer(
    IReadOnlyList<IdentityProposal> Proposals,
    IReadOnlyList<NotProposed> NotProposed,
    IReadOnlyList<NotProposed> Stale,
    ImageLayout Layout,
    IReadOnlyList<Finding> Findings
)
{
    /// <summary>From this confidence on a proposal is taken without a person.</summary>
    public const double AcceptFraction = 0.8;

    /// <summary>Below this confidence nothing is proposed.</summary>
    public const double ProposeFraction = 0.5;
}
