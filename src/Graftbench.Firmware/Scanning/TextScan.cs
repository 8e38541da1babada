using System.Numerics;
using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;
using Graftbench.Firmware.Tree;

namespace Graftbench.Firmware.Scanning;

/// <summary>Finds readable runs: printable ASCII, and the same characters in UTF-16.</summary>
internal static class TextScan
{
    /// <summary>Shortest run that counts [characters]; serial numbers have six and more.</summary>
    public const int ShortestRun = 6;

    private const int Block = 64;

    /// <summary>Adds all runs of a space in rising order of their ends, ASCII and UTF-16 mixed.</summary>
    /// <returns>False when there were more than <paramref name="most"/>.</returns>
    public static bool Find(ByteSpace space, List<TextRun> runs, int most)
    {
        ReadOnlySpan<byte> bytes = space.Bytes;
        int open = -1;
        // Up to where wide characters on even and on odd offsets were looked at.
        int wideEven = 0;
        int wideOdd = 0;
        int i = 0;
        for (; i < bytes.Length; i += Block)
        {
            ulong printable;
            ulong zero;
            int count = Math.Min(Block, bytes.Length - i);
            if (count == Block)
            {
                Masks(ref MemoryMarshal.GetReference(bytes[i..]), out printable, out zero);
            }
            else
            {
                SlowMasks(bytes[i..], out printable, out zero);
            }
            if (printable == 0)
            {
                if (open >= 0)
                {
                    Close(open, i);
                    open = -1;
                }
            }
            else if (printable == ulong.MaxValue)
            {
                open = open < 0 ? i : open;
            }
            else
            {
                Narrow(printable, i, count);
            }
            ulong zeroBehind = zero >> 1 | (i + Block < bytes.Length && bytes[i + Block] == 0 ? 1UL << 63 : 0);
            ulong wide = printable & zeroBehind;
            // A run of six takes twelve bytes: wherever two blocks meet in it, one of them has three in a row.
            wide &= wide >> 2 & wide >> 4;
            while (wide != 0)
            {
                int at = i + BitOperations.TrailingZeroCount(wide);
                wide &= wide - 1;
                ref int done = ref (at & 1) == 0 ? ref wideEven : ref wideOdd;
                if (at >= done)
                {
                    Wide(bytes, at, ref done);
                }
            }
            if (runs.Count > most)
            {
                runs.RemoveRange(most, runs.Count - most);
                return false;
            }
        }
        if (open >= 0)
        {
            Close(open, bytes.Length);
        }
        return true;

        void Wide(ReadOnlySpan<byte> all, int at, ref int done)
        {
            int start = at;
            while (start - 2 >= done && IsPrintable(all[start - 2]) && all[start - 1] == 0)
            {
                start -= 2;
            }
            int end = at + 2;
            while (end + 1 < all.Length && IsPrintable(all[end]) && all[end + 1] == 0)
            {
                end += 2;
            }
            done = end;
            if ((end - start) / 2 >= ShortestRun)
            {
                runs.Add(new TextRun(space, start, (end - start) / 2, IsWide: true));
            }
        }

        void Close(int start, int end)
        {
            if (end - start >= ShortestRun)
            {
                runs.Add(new TextRun(space, start, end - start, IsWide: false));
            }
        }

        void Narrow(ulong printable, int start, int count)
        {
            // The run that comes in from the block before.
            if (open >= 0)
            {
                int length = BitOperations.TrailingZeroCount(~printable);
                Close(open, start + length);
                open = -1;
                printable &= length == 64 ? 0 : ulong.MaxValue << length;
            }
            // The run that goes on into the next one.
            if (count == Block && (long)printable < 0)
            {
                int length = BitOperations.LeadingZeroCount(~printable);
                open = start + Block - length;
                printable &= length == 64 ? 0 : ulong.MaxValue >> length;
            }
            ulong long6 = printable & printable >> 1;
            long6 &= long6 >> 2;
            long6 &= printable >> 4 & printable >> 5;
            while (long6 != 0)
            {
                int first = BitOperations.TrailingZeroCount(long6);
                int length = BitOperations.TrailingZeroCount(~(printable >> first));
                Close(start + first, start + first + length);
                long6 &= first + length >= 64 ? 0 : ulong.MaxValue << (first + length);
            }
        }
    }

    private static bool IsPrintable(byte value) => value is >= 0x20 and <= 0x7E;

    private static void Masks(ref byte first, out ulong printable, out ulong zero)
    {
        printable = 0;
        zero = 0;
        Vector256<byte> space = Vector256.Create((byte)0x20);
        Vector256<byte> width = Vector256.Create((byte)(0x7E - 0x20));
        for (int part = 0; part < 2; part++)
        {
            Vector256<byte> v = Vector256.LoadUnsafe(ref first, (nuint)(part * 32));
            Vector256<byte> shifted = v - space;
            ulong p = Vector256.Equals(Vector256.Min(shifted, width), shifted).ExtractMostSignificantBits();
            ulong z = Vector256.Equals(v, Vector256<byte>.Zero).ExtractMostSignificantBits();
            printable |= p << (32 * part);
            zero |= z << (32 * part);
        }
    }

    private static void SlowMasks(ReadOnlySpan<byte> bytes, out ulong printable, out ulong zero)
    {
        printable = 0;
        zero = 0;
        for (int k = 0; k < bytes.Length; k++)
        {
            printable |= IsPrintable(bytes[k]) ? 1UL << k : 0;
            zero |= bytes[k] == 0 ? 1UL << k : 0;
        }
    }
}
