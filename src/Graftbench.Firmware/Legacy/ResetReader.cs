using System.Text;
using Graftbench.Firmware.Reading;
using Graftbench.Firmware.Tree;

namespace Graftbench.Firmware.Legacy;

/// <summary>Reads the last sixteen bytes of an image, where a PC processor starts.</summary>
internal static class ResetReader
{
    public const int Length = 16;
    private const int DateAt = 5;
    private const int DateLength = 8;
    private const int ModelAt = 14;

    // Switches caches or protected mode before the jump, as EFI firmware does.
    private static readonly byte[][] Openings =
    [
        [0x0F, 0x20, 0xC0, 0xA8, 0x01, 0x74, 0x05],
        [0x0F, 0x09],
        [0x90, 0x90],
        [0x90],
        [],
    ];

    public static ResetVector Read(ReadOnlySpan<byte> image)
    {
        if (image.Length < Length)
        {
            return new ResetVector(new ByteRange(image.Length, 0), ResetKind.None, null, null);
        }
        ByteRange range = new(image.Length - Length, Length);
        ReadOnlySpan<byte> bytes = image[^Length..];
        string? date = Date(bytes.Slice(DateAt, DateLength));
        ResetKind kind =
            !bytes.ContainsAnyExcept((byte)0xFF) || !bytes.ContainsAnyExcept((byte)0) ? ResetKind.Blank
            : bytes[0] == 0xEA ? ResetKind.FarJump
            : IsNearJump(bytes) ? ResetKind.NearJump
            : ResetKind.Unknown;
        return new ResetVector(range, kind, date, date is null ? null : bytes[ModelAt]);
    }

    /// <summary>A segment of its own for images in which nothing else covers those bytes.</summary>
    public static Segment? Segment(ReadContext context, ByteSpace space)
    {
        ResetVector reset = Read(space.Bytes);
        return reset.Starts
            ? context.Segment(
                space,
                reset.Range,
                SegmentKind.ResetVector,
                Words.Of(SegmentKind.ResetVector),
                detail: reset
            )
            : null;
    }

    private static bool IsNearJump(ReadOnlySpan<byte> bytes)
    {
        foreach (byte[] opening in Openings)
        {
            if (bytes.StartsWith(opening) && bytes[opening.Length] is 0xE9 or 0xEB)
            {
                return true;
            }
        }
        return false;
    }

    private static string? Date(ReadOnlySpan<byte> text)
    {
        for (int i = 0; i < text.Length; i++)
        {
            bool fits = i is 2 or 5 ? text[i] == '/' : text[i] is >= (byte)'0' and <= (byte)'9';
            if (!fits)
            {
                return null;
            }
        }
        return Encoding.ASCII.GetString(text);
    }
}
