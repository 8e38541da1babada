using Graftbench.Firmware.Tree;

namespace Graftbench.Firmware.Showing;

/// <summary>One row of a hex dump.</summary>
/// <param name="Start">Offset of its first byte.</param>
/// <param name="Hex">Two digits for each byte.</param>
/// <param name="Text">The bytes as text; a full stop for what cannot be printed.</param>
public sealed record HexRow(int Start, IReadOnlyList<string> Hex, string Text);

/// <summary>Bytes as rows of hexadecimal digits.</summary>
public static class HexDump
{
    /// <summary>Bytes of a row.</summary>
    public const int RowBytes = 16;

    /// <summary>Rows from the one that holds an offset.</summary>
    /// <param name="bytes">All bytes.</param>
    /// <param name="at">The offset.</param>
    /// <param name="count">Bytes to show.</param>
    public static IReadOnlyList<HexRow> Rows(ReadOnlySpan<byte> bytes, int at, int count = 256)
    {
        List<HexRow> rows = [];
        int first = Math.Max(0, at) / RowBytes * RowBytes;
        for (int start = first; start < bytes.Length && start < first + count; start += RowBytes)
        {
            ReadOnlySpan<byte> row = bytes.Slice(start, Math.Min(RowBytes, bytes.Length - start));
            string[] hex = new string[row.Length];
            char[] text = new char[row.Length];
            for (int i = 0; i < row.Length; i++)
            {
                hex[i] = row[i].ToString("X2", System.Globalization.CultureInfo.InvariantCulture);
                text[i] = row[i] is >= 0x20 and < 0x7F ? (char)row[i] : '.';
            }
            rows.Add(new HexRow(start, hex, new string(text)));
        }
        return rows;
    }
}

/// <summary>A place in an image: what it lies in, from the outside to the inside, and what of that is summed.</summary>
/// <param name="Space">The bytes that the offset counts in.</param>
/// <param name="At">The offset.</param>
/// <param name="Path">Segments from the file down; where the place is in unpacked contents, the packed segment's path comes first.</param>
/// <param name="Sums">Checksums along the path: the segment and what it says.</param>
public sealed record PlaceInImage(
    ByteSpace Space,
    int At,
    IReadOnlyList<Segment> Path,
    IReadOnlyList<(Segment Segment, SegmentFact Fact)> Sums
)
{
    /// <summary>Looks a place up.</summary>
    /// <param name="image">The image.</param>
    /// <param name="space">Number of the space.</param>
    /// <param name="at">Offset in it.</param>
    /// <returns>The place; null where the image has none like it.</returns>
    public static PlaceInImage? Of(ImageTree image, int space, int at)
    {
        ArgumentNullException.ThrowIfNull(image);
        if (space < 0 || space >= image.Spaces.Count || at < 0 || at >= image.Spaces[space].Bytes.Length)
        {
            return null;
        }
        ByteSpace bytes = image.Spaces[space];
        List<Segment> path = [.. bytes.Root.LeafAt(at).Path()];
        for (Segment? packed = bytes.Origin; packed is not null; packed = packed.Space.Origin)
        {
            path.InsertRange(0, packed.Path());
        }
        return new PlaceInImage(
            bytes,
            at,
            path,
            [
                .. path.SelectMany(segment =>
                    (segment.Detail?.Facts() ?? [])
                        .Where(fact => fact.Name.Contains("sum", StringComparison.OrdinalIgnoreCase))
                        .Select(fact => (segment, fact))
                ),
            ]
        );
    }
}
