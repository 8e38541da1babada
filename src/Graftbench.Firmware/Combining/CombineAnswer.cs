using Graftbench.Core.Findings;
using Graftbench.Firmware.Dumps;
using Graftbench.Firmware.Identity;

namespace Graftbench.Firmware.Combining;

/// <summary>What is to be combined.</summary>
/// <param name="Own">Reads of the board's own chip, the first one first.</param>
/// <param name="Newer">The newer image, as its maker gives it.</param>
/// <param name="Others">Dumps of other boards of the model.</param>
/// <param name="Known">Values that a person gave.</param>
/// <param name="Authority">Who asked for it and by what right: the owner's word.</param>
/// <param name="AcceptProposals">Whether proposals from <see cref="IdentityAnswer.AcceptFraction"/> on are taken without a person.</param>
/// <param name="Take">Proposals that a person takes, by id.</param>
/// <param name="Leave">Proposals that a person leaves, by id.</param>
/// <param name="ChipBytes">Capacity of the chip that the result is written to; null: as long as the board's own dump.</param>
public sealed record CombineRequest(
    IReadOnlyList<DumpRead> Own,
    DumpRead Newer,
    IReadOnlyList<DumpRead> Others,
    KnownIdentity Known,
    string Authority,
    bool AcceptProposals,
    IReadOnlyList<string> Take,
    IReadOnlyList<string> Leave,
    long? ChipBytes = null
);

/// <summary>How a combination ended.</summary>
public enum CombineState
{
    /// <summary>Made; nothing needs a person.</summary>
    Made,

    /// <summary>Made; a person must look at findings before it is written to a chip.</summary>
    NeedsPerson,

    /// <summary>Not made: something does not fit or must not be.</summary>
    Refused,
}

/// <summary>One check of the result.</summary>
/// <param name="Name">What was checked.</param>
/// <param name="Passed">Whether it holds.</param>
/// <param name="Words">What was found.</param>
public sealed record ResultCheck(string Name, bool Passed, string Words);

/// <summary>SHA-256 of a file that took part.</summary>
/// <param name="What">What it is.</param>
/// <param name="Name">Its name; null for the result.</param>
/// <param name="Bytes">Its length [bytes].</param>
/// <param name="Sha256">Its SHA-256.</param>
public sealed record FileHash(string What, string? Name, long Bytes, string Sha256);

/// <summary>A combined image with everything that is to be known of it.</summary>
public sealed record CombineAnswer
{
    /// <summary>How it ended.</summary>
    public required CombineState State { get; init; }

    /// <summary>The answer in one sentence.</summary>
    public required string Summary { get; init; }

    /// <summary>Who asked for it and by what right.</summary>
    public required string Authority { get; init; }

    /// <summary>The image; null where it was refused.</summary>
    public required ReadOnlyMemory<byte>? Image { get; init; }

    /// <summary>Where every byte comes from; null where it was refused.</summary>
    public required OriginMap? Origin { get; init; }

    /// <summary>What was proposed, and what not.</summary>
    public required IdentityAnswer Identity { get; init; }

    /// <summary>Proposals that were carried, by id.</summary>
    public required IReadOnlyList<string> Taken { get; init; }

    /// <summary>What differs between the newer image and the result, in words.</summary>
    public required IReadOnlyList<string> Differences { get; init; }

    /// <summary>Checks of the result.</summary>
    public required IReadOnlyList<ResultCheck> Checks { get; init; }

    /// <summary>SHA-256 of all files.</summary>
    public required IReadOnlyList<FileHash> Hashes { get; init; }

    /// <summary>What to do and look at, up to and after the first start.</summary>
    public required IReadOnlyList<string> AfterStart { get; init; }

    /// <summary>Everything that was found, worst first.</summary>
    public required IReadOnlyList<Finding> Findings { get; init; }
}
