using Graftbench.Core.Findings;
using Graftbench.Core.Planning;
using Graftbench.Firmware.Answering;
using Graftbench.Firmware.Combining;
using Graftbench.Firmware.Dumps;
using Graftbench.Firmware.Identity;
using Graftbench.Firmware.Scanning;
using Graftbench.Firmware.Showing;
using Graftbench.Firmware.Tree;
using Graftbench.Firmware.Updates;
using Graftbench.Store;

namespace Graftbench.Web.Imaging;

/// <summary>A part of the screen of the firmware.</summary>
/// <param name="Id">Its name in the address.</param>
/// <param name="Words">Its name on the screen.</param>
public sealed record FirmwareTab(string Id, string Words)
{
    /// <summary>All parts in the order of the work.</summary>
    public static IReadOnlyList<FirmwareTab> All { get; } =
    [
        new("images", "Images"),
        new("trust", "Trust"),
        new("map", "What is where"),
        new("compare", "Side by side"),
        new("knows", "Processor"),
        new("identity", "Identity"),
        new("combined", "Combined"),
        new("read-back", "Read-back"),
    ];
}

/// <summary>An image with what is picked on it.</summary>
/// <param name="Image">The image.</param>
/// <param name="Tree">What was read from it.</param>
/// <param name="Parts">Its coarse parts.</param>
/// <param name="Place">The place that was picked; null for none.</param>
/// <param name="Rows">Bytes of that place.</param>
/// <param name="Hits">What a search found; null where nobody searched.</param>
/// <param name="Asked">What was typed.</param>
public sealed record ImageLook(
    JobImage Image,
    ImageTree Tree,
    IReadOnlyList<ImagePart> Parts,
    PlaceInImage? Place,
    IReadOnlyList<HexRow> Rows,
    IReadOnlyList<SearchHit>? Hits,
    LookRequest Asked
);

/// <summary>What is asked of an image, as it was typed.</summary>
/// <param name="At">Offset.</param>
/// <param name="Space">Number of the unpacked contents that the offset counts in.</param>
/// <param name="Find">Bytes to look for.</param>
/// <param name="Text">Text to look for.</param>
public sealed record LookRequest(string? At, int Space, string? Find, string? Text);

/// <summary>Two images side by side.</summary>
/// <param name="First">The first.</param>
/// <param name="Second">The second.</param>
/// <param name="FirstTree">What was read from the first.</param>
/// <param name="Layout">How they lie over each other.</param>
/// <param name="Differences">What differs.</param>
/// <param name="At">Offset in the first that is looked at.</param>
/// <param name="FirstRows">Bytes of the first there.</param>
/// <param name="SecondRows">Bytes of the second in the corresponding place.</param>
public sealed record PairLook(
    JobImage First,
    JobImage Second,
    ImageTree FirstTree,
    string Layout,
    ImageDifferences Differences,
    int At,
    IReadOnlyList<HexRow> FirstRows,
    IReadOnlyList<HexRow> SecondRows
);

/// <summary>What the label of the machine says, as it was typed.</summary>
/// <param name="Serial">Serial numbers.</param>
/// <param name="Uuid">UUIDs.</param>
/// <param name="Mac">Network addresses.</param>
public sealed record LabelText(string Serial, string Uuid, string Mac);

/// <summary>What is asked before images are combined.</summary>
/// <param name="Answer">What is proposed; null where an image is missing.</param>
/// <param name="Label">What was typed.</param>
/// <param name="Problems">What is wrong with it.</param>
/// <param name="Taken">Ids that are ticked.</param>
/// <param name="LeftKnowingly">Ids of what cannot be carried and is left knowingly.</param>
/// <param name="Authority">What was typed as authority.</param>
/// <param name="Refusal">A combination that was refused; null for none.</param>
public sealed record IdentityLook(
    IdentityAnswer? Answer,
    LabelText Label,
    IReadOnlyList<string> Problems,
    IReadOnlySet<string> Taken,
    IReadOnlySet<string> LeftKnowingly,
    string Authority,
    CombineAnswer? Refusal
)
{
    /// <summary>Whether a proposal stays with the board whatever is ticked.</summary>
    public bool Stays(IdentityProposal one)
    {
        ArgumentNullException.ThrowIfNull(one);
        return one.Always || (one.Kind == ProposalKind.Region && Answer?.Layout.Kind == LayoutKind.SameRegions);
    }
}

/// <summary>Everything that the screen of the firmware shows.</summary>
/// <param name="Stored">The job as stored.</param>
/// <param name="Record">What its evidence says about the firmware.</param>
/// <param name="Answer">The answer to the question.</param>
/// <param name="Tab">The part that is open.</param>
public sealed record FirmwareView(StoredJob Stored, FirmwareRecord Record, FirmwareAnswer Answer, FirmwareTab Tab)
{
    /// <summary>Number of the question.</summary>
    public const int Question = 8;

    /// <summary>Whether the reads can be trusted.</summary>
    public DumpAnswer? Trust { get; init; }

    /// <summary>The image that is looked at.</summary>
    public ImageLook? Look { get; init; }

    /// <summary>Two images side by side.</summary>
    public PairLook? Pair { get; init; }

    /// <summary>Whether the own image knows the processor.</summary>
    public ChipSupport? OwnKnows { get; init; }

    /// <summary>Whether the newer image does.</summary>
    public ChipSupport? NewerKnows { get; init; }

    /// <summary>What was typed as signature.</summary>
    public string Signature { get; init; } = "";

    /// <summary>What belongs to the machine.</summary>
    public IdentityLook? Identity { get; init; }

    /// <summary>The combined image that is looked at.</summary>
    public JobImage? CombinedImage { get; init; }

    /// <summary>Its whole answer.</summary>
    public CombineAnswerView? Combined { get; init; }

    /// <summary>What was meant to be written, for the read-back.</summary>
    public JobImage? Intended { get; init; }

    /// <summary>What was read back.</summary>
    public JobImage? ReadBackImage { get; init; }

    /// <summary>What the comparison says.</summary>
    public ReadBackAnswer? ReadBack { get; init; }

    /// <summary>What is wrong with what was sent or typed.</summary>
    public IReadOnlyList<string> Problems { get; init; } = [];

    /// <summary>What was just done; null for nothing.</summary>
    public string? Done { get; init; }

    /// <summary>Address of the job page.</summary>
    public string JobAddress => $"/jobs/{Stored.Job.Id}";

    /// <summary>Address of this screen.</summary>
    public string Address => $"/jobs/{Stored.Job.Id}/firmware";

    /// <summary>Address of a part of it.</summary>
    /// <param name="tab">Name of the part.</param>
    public string At(string tab) => $"{Address}?step={tab}";

    /// <summary>Address of a place in an image.</summary>
    /// <param name="image">The image.</param>
    /// <param name="at">Offset.</param>
    /// <param name="space">Number of the space that it counts in.</param>
    public string Place(JobImage image, long at, int space = 0)
    {
        ArgumentNullException.ThrowIfNull(image);
        return FormattableString.Invariant($"{Address}?step=map&image={image.Line}&at={at:X}")
            + (space == 0 ? "" : FormattableString.Invariant($"&space={space}"))
            + "#place";
    }

    /// <summary>A size as a technician reads it.</summary>
    public static string Size(long bytes) =>
        bytes >= 1 << 20 && bytes % (1 << 20) == 0 ? FormattableString.Invariant($"{bytes >> 20} MiB")
        : bytes >= 1 << 10 && bytes % (1 << 10) == 0 ? FormattableString.Invariant($"{bytes >> 10} KiB")
        : FormattableString.Invariant($"{bytes} bytes");

    /// <summary>A role in words.</summary>
    public static string Words(ImageRole role) =>
        role switch
        {
            ImageRole.Read => "read of this board's chip",
            ImageRole.Newer => "newer image",
            ImageRole.SameModel => "another machine of the model",
            ImageRole.ReadBack => "read-back after writing",
            ImageRole.Combined => "combined here",
            _ => "set aside",
        };

    /// <summary>The verdict of a yes or no about the processor.</summary>
    public static Verdict Of(Knows knows) =>
        knows switch
        {
            Knows.Yes => Verdict.Ok,
            Knows.No => Verdict.FixFirst,
            _ => Verdict.Unknown,
        };
}
