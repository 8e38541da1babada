namespace Graftbench.Firmware.Dumps;

/// <summary>Finds a burst in which one read equals the other moved by bits or bytes: a clock lost or one too many.</summary>
/// <remarks>Serial flash sends the top bit of a byte first; a lost clock makes the read run ahead of the chip by one bit.</remarks>
internal static class MovedCopy
{
    private const int WindowBytes = 64;

    // Of the 64 bytes of a window: so many may miss the moved copy, and so many must not fit the unmoved one.
    private const int MostMisfits = 3;
    private const int FewestDiffering = 16;

    // A burst begins with the first bytes that differ; noise in front of it may take some of the tries.
    private const int MostTries = 4;

    private static readonly int[] Shifts =
    [
        .. Enumerable.Range(1, 7).SelectMany(bits => new[] { bits, -bits }),
        .. Enumerable.Range(1, 8).SelectMany(bytes => new[] { 8 * bytes, -8 * bytes }),
    ];

    /// <summary>A burst that starts in the stretch.</summary>
    /// <param name="first">The first read.</param>
    /// <param name="second">The second read, as long.</param>
    /// <param name="start">Where to look from.</param>
    /// <param name="end">Where a burst must have started.</param>
    /// <returns>End of the burst and the bits that the first read is ahead; null where there is none.</returns>
    public static (int End, int ShiftBits)? Find(
        ReadOnlySpan<byte> first,
        ReadOnlySpan<byte> second,
        int start,
        int end
    )
    {
        int at = start;
        for (int tries = 0; tries < MostTries && at < end; tries++)
        {
            int same = first[at..end].CommonPrefixLength(second[at..end]);
            at += same;
            if (at >= end)
            {
                return null;
            }
            if (DiffersEnough(first, second, at))
            {
                foreach (int shift in Shifts)
                {
                    if (Fits(first, second, at, shift))
                    {
                        return (EndOf(first, second, at, shift), shift);
                    }
                }
            }
            at += WindowBytes;
        }
        return null;
    }

    private static bool DiffersEnough(ReadOnlySpan<byte> first, ReadOnlySpan<byte> second, int at)
    {
        int length = Math.Min(WindowBytes, first.Length - at);
        int differing = 0;
        for (int i = at; i < at + length; i++)
        {
            differing += first[i] == second[i] ? 0 : 1;
        }
        return differing >= FewestDiffering;
    }

    private static bool Fits(ReadOnlySpan<byte> first, ReadOnlySpan<byte> second, int at, int shift)
    {
        if (at + WindowBytes > first.Length)
        {
            return false;
        }
        int misfits = 0;
        for (int i = at; i < at + WindowBytes && misfits <= MostMisfits; i++)
        {
            misfits += Moved(second, i, shift) == first[i] ? 0 : 1;
        }
        return misfits <= MostMisfits;
    }

    // On to where the copy stops fitting for good: three misses among the next eight bytes.
    private static int EndOf(ReadOnlySpan<byte> first, ReadOnlySpan<byte> second, int at, int shift)
    {
        int last = at;
        int misses = 0;
        for (int i = at; i < first.Length; i++)
        {
            if (Moved(second, i, shift) == first[i])
            {
                // Bytes that fit both ways do not tell that the burst goes on.
                last = first[i] == second[i] ? last : i;
                misses = Math.Max(0, misses - 1);
            }
            else if ((misses += 3) >= 9)
            {
                break;
            }
        }
        return last + 1;
    }

    // The byte that starts so many bits behind the place; -1 where it lies outside.
    private static int Moved(ReadOnlySpan<byte> read, int at, int shift)
    {
        long bit = (8L * at) + shift;
        long index = bit >> 3;
        int part = (int)(bit & 7);
        if (index < 0 || index + (part == 0 ? 0 : 1) >= read.Length)
        {
            return -1;
        }
        return part == 0
            ? read[(int)index]
            : ((read[(int)index] << part) | (read[(int)index + 1] >> (8 - part))) & 0xFF;
    }
}
