using System.Numerics;
using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;
using System.Runtime.Intrinsics.X86;

namespace Graftbench.Firmware.Scanning;

/// <summary>Finds all signatures in one pass.</summary>
/// <remarks>
/// The signatures are dealt into eight buckets. Two tables for each of the first three bytes, one for each half of a byte, say
/// in which buckets a signature has that half there; the six answers and-ed leave the buckets that may start at a place. That
/// is sixteen or thirty-two places at once with table look-ups in registers; only what is left is compared in full.
/// </remarks>
internal static class SignatureScan
{
    private const int Prefix = 3;

    private static readonly Signatures.Signature[][] Buckets = Deal();
    private static readonly Vector128<byte>[] Low = Tables(low: true);
    private static readonly Vector128<byte>[] High = Tables(low: false);

    /// <summary>Adds the mark of every signature that stands in the bytes, in rising order of the signature.</summary>
    /// <returns>False when there were more than <paramref name="most"/>.</returns>
    public static bool Find(ReadOnlySpan<byte> bytes, List<Mark> marks, int most)
    {
        int i = 0;
        if (Avx2.IsSupported)
        {
            Vector256<byte> half = Vector256.Create((byte)0x0F);
            Vector256<byte> low0 = Vector256.Create(Low[0], Low[0]);
            Vector256<byte> low1 = Vector256.Create(Low[1], Low[1]);
            Vector256<byte> low2 = Vector256.Create(Low[2], Low[2]);
            Vector256<byte> high0 = Vector256.Create(High[0], High[0]);
            Vector256<byte> high1 = Vector256.Create(High[1], High[1]);
            Vector256<byte> high2 = Vector256.Create(High[2], High[2]);
            ref byte first = ref MemoryMarshal.GetReference(bytes);
            for (; i <= bytes.Length - Vector256<byte>.Count - Prefix; i += Vector256<byte>.Count)
            {
                Vector256<byte> v0 = Vector256.LoadUnsafe(ref first, (nuint)i);
                Vector256<byte> v1 = Vector256.LoadUnsafe(ref first, (nuint)i + 1);
                Vector256<byte> v2 = Vector256.LoadUnsafe(ref first, (nuint)i + 2);
                Vector256<byte> found =
                    Avx2.Shuffle(low0, v0 & half)
                    & Avx2.Shuffle(high0, (v0.AsUInt16() >>> 4).AsByte() & half)
                    & Avx2.Shuffle(low1, v1 & half)
                    & Avx2.Shuffle(high1, (v1.AsUInt16() >>> 4).AsByte() & half)
                    & Avx2.Shuffle(low2, v2 & half)
                    & Avx2.Shuffle(high2, (v2.AsUInt16() >>> 4).AsByte() & half);
                uint places = ~Vector256.Equals(found, Vector256<byte>.Zero).ExtractMostSignificantBits();
                while (places != 0)
                {
                    int lane = BitOperations.TrailingZeroCount(places);
                    places &= places - 1;
                    if (!Compare(bytes, i + lane, found[lane], marks, most))
                    {
                        return false;
                    }
                }
            }
        }
        for (; i <= bytes.Length - Vector128<byte>.Count - Prefix; i += Vector128<byte>.Count)
        {
            Vector128<byte> half = Vector128.Create((byte)0x0F);
            Vector128<byte> found = Vector128<byte>.AllBitsSet;
            for (int k = 0; k < Prefix; k++)
            {
                Vector128<byte> v = Vector128.Create(bytes.Slice(i + k, Vector128<byte>.Count));
                found &= Vector128.Shuffle(Low[k], v & half) & Vector128.Shuffle(High[k], (v >>> 4) & half);
            }
            uint places = ~Vector128.Equals(found, Vector128<byte>.Zero).ExtractMostSignificantBits() & 0xFFFF;
            while (places != 0)
            {
                int lane = BitOperations.TrailingZeroCount(places);
                places &= places - 1;
                if (!Compare(bytes, i + lane, found[lane], marks, most))
                {
                    return false;
                }
            }
        }
        for (; i < bytes.Length; i++)
        {
            if (!Compare(bytes, i, byte.MaxValue, marks, most))
            {
                return false;
            }
        }
        return true;
    }

    private static bool Compare(ReadOnlySpan<byte> bytes, int at, byte buckets, List<Mark> marks, int most)
    {
        ReadOnlySpan<byte> rest = bytes[at..];
        for (int bucket = 0; bucket < Buckets.Length; bucket++)
        {
            if ((buckets >> bucket & 1) == 0)
            {
                continue;
            }
            foreach (Signatures.Signature signature in Buckets[bucket])
            {
                if (at % signature.Alignment == 0 && at >= signature.Before && rest.StartsWith(signature.Text))
                {
                    if (marks.Count >= most)
                    {
                        return false;
                    }
                    marks.Add(new Mark(at - signature.Before, signature.Kind));
                }
            }
        }
        return true;
    }

    // Signatures with like beginnings share a bucket, so that the halves of one do not complete those of another.
    private static Signatures.Signature[][] Deal()
    {
        Signatures.Signature[] sorted = [.. Signatures.All.OrderBy(one => one.Text[0]).ThenBy(one => one.Text[1])];
        return
        [
            .. Enumerable
                .Range(0, 8)
                .Select(bucket => sorted[(bucket * sorted.Length / 8)..((bucket + 1) * sorted.Length / 8)]),
        ];
    }

    private static Vector128<byte>[] Tables(bool low)
    {
        Vector128<byte>[] tables = new Vector128<byte>[Prefix];
        for (int k = 0; k < Prefix; k++)
        {
            byte[] table = new byte[16];
            for (int bucket = 0; bucket < Buckets.Length; bucket++)
            {
                foreach (Signatures.Signature signature in Buckets[bucket])
                {
                    table[low ? signature.Text[k] & 0xF : signature.Text[k] >> 4] |= (byte)(1 << bucket);
                }
            }
            tables[k] = Vector128.Create(table);
        }
        return tables;
    }
}
