using Graftbench.Core.Findings;
using Graftbench.Firmware.Reading;
using Graftbench.Firmware.Scanning;
using Graftbench.Firmware.Tree;

namespace Graftbench.Firmware.Network;

/// <summary>Reads the settings of a network controller (public information guide of the controller's maker).</summary>
internal static class NetworkReader
{
    private const int AddressBytes = 6;
    private const int ChecksumAt = 0x7E;
    private const int SignatureAt = 0x26;

    // Addresses of reference images and examples; from memory, unconfirmed.
    private static readonly string[] Samples =
    [
        "88:88:88:88:87:88",
        "88:88:88:88:88:88",
        "00:11:22:33:44:55",
        "12:34:56:78:9A:BC",
    ];

    /// <summary>The two copies of a region, or one where there is no room for two.</summary>
    public static IReadOnlyList<Segment> Read(ReadContext context, ByteSpace space, ByteRange range, Notes notes)
    {
        Tiles tiles = new(context, space, range);
        int half = range.Length / 2;
        List<NetworkBlock> blocks = [];
        int[] starts = half >= NetworkBlock.SummedBytes ? [range.Start, range.Start + half] : [range.Start];
        for (int number = 0; number < starts.Length; number++)
        {
            int end = number + 1 < starts.Length ? starts[number + 1] : range.End;
            if (end - starts[number] >= NetworkBlock.SummedBytes)
            {
                blocks.Add(Add(context, space, tiles, ByteRange.Between(starts[number], end), number));
            }
        }
        CheckCopies(space, blocks, notes, range);
        return tiles.Finish();
    }

    private static NetworkBlock Add(ReadContext context, ByteSpace space, Tiles tiles, ByteRange range, int number)
    {
        ReadOnlySpan<byte> bytes = space.Bytes.Slice(range.Start, range.Length);
        ReadOnlySpan<byte> words = bytes[..NetworkBlock.SummedBytes];
        ReadOnlySpan<byte> address = bytes[..AddressBytes];
        string text = Text(address);
        NetworkBlock block = new(
            range,
            number,
            new ByteRange(range.Start, AddressBytes),
            new ByteRange(range.Start + ChecksumAt, 2),
            Sums.Words(words),
            bytes.U16(SignatureAt) >> 14 == 2,
            words.IsAll(0xFF)
        )
        {
            Address = text,
            AddressFault = Fault(address, text),
        };
        Notes notes = new(context, space);
        if (!block.IsErased && !block.ChecksumOk)
        {
            bool leftToDriver = bytes.U16(ChecksumAt) == 0;
            notes.Add(
                block.HasSignature && !leftToDriver ? Verdict.FixFirst : Verdict.Warning,
                "network.checksum",
                block.ChecksumRange.Start,
                leftToDriver
                    ? "The checksum of the network settings is 0: reference images leave it to the driver."
                    : "The words of the network settings do not sum to BABAh.",
                FormattableString.Invariant($"sum {block.Checksum:X4}h"),
                FormattableString.Invariant($"sum {NetworkBlock.WantedSum:X4}h"),
                Sources.Network
            );
        }
        if (!block.IsErased && block.AddressFault is { } fault)
        {
            notes.Add(
                Verdict.Warning,
                "network.address",
                range.Start,
                $"The network address was not given to a machine: {fault}.",
                text,
                source: Sources.Network
            );
        }
        Segment segment = context.Segment(
            space,
            range,
            SegmentKind.NetworkBlock,
            number == 0 ? "network settings, first copy" : "network settings, second copy",
            detail: block,
            notes: notes
        );
        block.Segment = segment;
        context.NetworkBlocks.Add(block);
        tiles.Add(segment);
        return block;
    }

    private static void CheckCopies(ByteSpace space, List<NetworkBlock> blocks, Notes notes, ByteRange range)
    {
        if (blocks.Count == 0 || blocks.TrueForAll(block => block.IsErased))
        {
            notes.Add(
                Verdict.Warning,
                "network.empty",
                range.Start,
                "The network region is erased, or too short for the settings of a controller.",
                source: Sources.Network
            );
            return;
        }
        if (!blocks.Exists(block => block.HasSignature))
        {
            notes.Add(
                Verdict.Warning,
                "network.no-valid-copy",
                range.Start,
                "No copy of the network settings is marked valid for the controller.",
                source: Sources.Network
            );
        }
        if (
            blocks.Count == 2
            && !blocks[0].IsErased
            && !blocks[1].IsErased
            && !Settings(space, blocks[0]).SequenceEqual(Settings(space, blocks[1]))
        )
        {
            notes.Add(
                Verdict.Warning,
                "network.copies-differ",
                range.Start,
                "The two copies of the network settings differ; the one that is marked valid counts.",
                source: Sources.Network
            );
        }
    }

    private static ReadOnlySpan<byte> Settings(ByteSpace space, NetworkBlock block) =>
        space.Bytes.Slice(block.Range.Start, NetworkBlock.SummedBytes);

    private static string Text(ReadOnlySpan<byte> address)
    {
        string digits = Convert.ToHexString(address);
        return string.Join(':', Enumerable.Range(0, AddressBytes).Select(i => digits.Substring(2 * i, 2)));
    }

    private static string? Fault(ReadOnlySpan<byte> address, string text) =>
        address.IsAll(0xFF) || address.IsAll(0) ? "blank"
        : (address[0] & 1) != 0 ? "a group address"
        : Samples.Contains(text) ? "a sample address"
        : null;
}
