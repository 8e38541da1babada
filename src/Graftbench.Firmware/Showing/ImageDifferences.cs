using Graftbench.Firmware.Dumps;
using Graftbench.Firmware.Tree;

namespace Graftbench.Firmware.Showing;

/// <summary>What differs between two images that lie side by side.</summary>
/// <param name="Shift">Offset in the first minus offset in the second.</param>
/// <param name="Common">The part of the first that has its like in the second.</param>
/// <param name="Ranges">Stretches of the first that differ, in rising order; only the first ones of very many.</param>
/// <param name="RangesInAll">How many stretches there are.</param>
/// <param name="DifferingBytes">Bytes of all stretches that differ, those between them left out.</param>
/// <param name="Signs">One sign for each block of 4 KiB of the first: <c>=</c> equal, <c>d</c> different, <c>-</c> only in the first.</param>
public sealed record ImageDifferences(
    int Shift,
    ByteRange Common,
    IReadOnlyList<ByteRange> Ranges,
    int RangesInAll,
    long DifferingBytes,
    string Signs
)
{
    // Equal bytes up to this many do not part a stretch.
    private const int LargestGap = 8;

    /// <summary>Compares two images.</summary>
    /// <param name="first">The first.</param>
    /// <param name="second">The second.</param>
    /// <param name="shift">Offset in the first minus offset in the second, 0 or more.</param>
    /// <param name="most">Most stretches that are listed.</param>
    public static ImageDifferences Of(
        ReadOnlySpan<byte> first,
        ReadOnlySpan<byte> second,
        int shift = 0,
        int most = 400
    )
    {
        ArgumentOutOfRangeException.ThrowIfNegative(shift);
        int start = Math.Min(shift, first.Length);
        int length = Math.Min(first.Length - start, second.Length);
        ReadOnlySpan<byte> a = first.Slice(start, length);
        ReadOnlySpan<byte> b = second[..length];
        const int Block = PairComparison.BlockBytes;
        char[] signs = new char[(first.Length + Block - 1) / Block];
        for (int block = 0; block < signs.Length; block++)
        {
            int from = block * Block;
            int to = Math.Min(from + Block, first.Length);
            signs[block] = from >= start && to <= start + length ? '=' : '-';
        }
        List<ByteRange> ranges = [];
        int inAll = 0;
        long differing = 0;
        int at = a.CommonPrefixLength(b);
        while (at < length)
        {
            int last = at;
            differing++;
            for (int i = at + 1; i < length && i - last <= LargestGap; i++)
            {
                if (a[i] != b[i])
                {
                    differing++;
                    last = i;
                }
            }
            inAll++;
            if (ranges.Count < most)
            {
                ranges.Add(ByteRange.Between(start + at, start + last + 1));
            }
            for (int block = (start + at) / Block; block <= (start + last) / Block; block++)
            {
                signs[block] = 'd';
            }
            at = last + 1;
            at += a[at..].CommonPrefixLength(b[at..]);
        }
        return new ImageDifferences(shift, new ByteRange(start, length), ranges, inAll, differing, new string(signs));
    }
}
