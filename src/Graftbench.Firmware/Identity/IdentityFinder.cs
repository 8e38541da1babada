using Graftbench.Core.Findings;
using Graftbench.Firmware.Tree;

namespace Graftbench.Firmware.Identity;

/// <summary>The images that identity is looked for in.</summary>
/// <param name="Own">The board's own dump.</param>
/// <param name="Newer">The newer image.</param>
/// <param name="OwnReads">Further reads of the same chip; what differs between them is not proposed.</param>
/// <param name="Others">Dumps of other boards of the model; what they share with this one is no identity.</param>
/// <param name="Known">Values that a person gave.</param>
public sealed record IdentitySearch(
    ImageTree Own,
    ImageTree Newer,
    IReadOnlyList<ReadOnlyMemory<byte>> OwnReads,
    IReadOnlyList<ImageTree> Others,
    KnownIdentity Known
);

/// <summary>Proposes what belongs to a machine.</summary>
/// <remarks>
/// Evidence, strongest first: a value that a person gave is found; the kind of region; bytes differ between the board's dump
/// and the newer image, are equal in all reads of the board and lie outside of code; the name of a variable; the shape of a
/// value. The confidences are ranks set by common practice, no measured chances. Never proposed: code volumes, engine regions,
/// the descriptor, firmware of other controllers, keys of verified boot and other authenticated variables, deleted records.
/// </remarks>
public static partial class IdentityFinder
{
    private const string Practice = "identity-practice";
    private const string Records = "edk-variables";

    // A person's own word, checked by the bytes.
    private const double GivenFraction = 0.98;
    private const double RegionFraction = 0.95;

    /// <summary>Looks for identity.</summary>
    public static IdentityAnswer Find(IdentitySearch search)
    {
        ArgumentNullException.ThrowIfNull(search);
        Search found = new(search, ImageLayout.Of(search.Own, search.Newer));
        if (found.Layout.Kind == LayoutKind.Conflict)
        {
            found.Findings.Add(
                new Finding(
                    Verdict.Blocker,
                    "identity.layout",
                    "both images",
                    $"The images do not belong together: {found.Layout.Words}.",
                    Source: "flash-descriptor",
                    Todo: "Take an image of this very board variant: the whole chip, or its firmware region alone."
                )
            );
        }
        FindRegions(found);
        FindVariables(found);
        FindGiven(found);
        FindTables(found);
        FindRanges(found);
        FindForeign(found);
        CheckGiven(found);
        List<IdentityProposal> proposals = [.. found.Proposals.OrderByDescending(one => one.ConfidenceFraction)];
        return new IdentityAnswer(
            proposals,
            found.NotProposed,
            found.Stale,
            found.Layout,
            Finding.WorstFirst(found.Findings)
        );
    }

    /// <summary>What was found so far.</summary>
    private sealed class Search
    {
        private readonly HashSet<string> ids = new(StringComparer.Ordinal);

        public Search(IdentitySearch given, ImageLayout layout)
        {
            Given = given;
            Layout = layout;
            OwnAreas = new ImageAreas(given.Own);
            NewerAreas = new ImageAreas(given.Newer);
        }

        public IdentitySearch Given { get; }

        public ImageLayout Layout { get; }

        public ImageAreas OwnAreas { get; }

        public ImageAreas NewerAreas { get; }

        public List<IdentityProposal> Proposals { get; } = [];

        public List<NotProposed> NotProposed { get; } = [];

        public List<NotProposed> Stale { get; } = [];

        public List<Finding> Findings { get; } = [];

        /// <summary>Values of the machine that are sure: given by a person, or of its network block. Bytes as they stand in flash.</summary>
        public List<byte[]> SureAddresses { get; } = [];

        /// <summary>Values of this shape that the newer image has in the place of the board's own.</summary>
        public List<(string What, string Own, string Newer)> Foreign { get; } = [];

        public ReadOnlySpan<byte> OwnBytes => Given.Own.File.Bytes;

        public ReadOnlySpan<byte> NewerBytes => Given.Newer.File.Bytes;

        /// <summary>An id that no other proposal has.</summary>
        public string Id(string wanted)
        {
            string id = wanted;
            for (int i = 2; !ids.Add(id); i++)
            {
                id = $"{wanted}-{i}";
            }
            return id;
        }

        /// <summary>The place in the newer image that corresponds; null where none does.</summary>
        public ByteRange? Target(ByteRange own)
        {
            if (Layout.Shift is not { } shift)
            {
                return null;
            }
            ByteRange range = new(own.Start - shift, own.Length);
            return range.Start >= 0 && range.End <= NewerBytes.Length ? range : null;
        }

        /// <summary>Whether every further read of the chip has the same bytes there.</summary>
        public bool ReadsAgree(ByteRange own)
        {
            ReadOnlySpan<byte> here = OwnBytes.Slice(own.Start, own.Length);
            foreach (ReadOnlyMemory<byte> read in Given.OwnReads)
            {
                if (own.End > read.Length || !here.SequenceEqual(read.Span.Slice(own.Start, own.Length)))
                {
                    return false;
                }
            }
            return true;
        }

        /// <summary>Whether another board of the model has the very same bytes at that place.</summary>
        public bool SharedByOthers(ByteRange own)
        {
            ReadOnlySpan<byte> here = OwnBytes.Slice(own.Start, own.Length);
            foreach (ImageTree other in Given.Others)
            {
                ReadOnlySpan<byte> bytes = other.File.Bytes;
                if (bytes.Length == OwnBytes.Length && here.SequenceEqual(bytes.Slice(own.Start, own.Length)))
                {
                    return true;
                }
            }
            return false;
        }

        public bool IsTaken(ByteRange own) =>
            Proposals.Exists(one => one.Kind != ProposalKind.Variable && one.OwnRange.Overlaps(own));
    }
}
