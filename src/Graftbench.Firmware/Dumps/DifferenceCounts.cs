using System.Numerics;
using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;

namespace Graftbench.Firmware.Dumps;

/// <summary>Counts of what differs between two reads: bytes, bits by data line and direction, bytes by address bit.</summary>
public sealed class DifferenceCounts
{
    /// <summary>Address bits that are counted: enough for 4 GiB.</summary>
    public const int AddressBits = 32;

    private const int Lines = 8;

    // Bytes of a vector at odd addresses, at addresses with bit 1 set, and so on.
    private static readonly uint[] LowAddress = [0xAAAAAAAA, 0xCCCCCCCC, 0xF0F0F0F0, 0xFF00FF00, 0xFFFF0000];

    private readonly long[] setInFirst = new long[Lines];
    private readonly long[] setInSecond = new long[Lines];
    private readonly long[] address = new long[AddressBits];

    /// <summary>Bytes that differ.</summary>
    public long Bytes { get; private set; }

    /// <summary>Bytes that differ in exactly one bit.</summary>
    public long SingleBitBytes { get; private set; }

    /// <summary>Bits that differ.</summary>
    public long Bits => setInFirst.Sum() + setInSecond.Sum();

    /// <summary>Differing bits by data line (0 to 7) that are 1 in the first read and 0 in the second.</summary>
    public IReadOnlyList<long> SetInFirst => setInFirst;

    /// <summary>Differing bits by data line (0 to 7) that are 1 in the second read and 0 in the first.</summary>
    public IReadOnlyList<long> SetInSecond => setInSecond;

    /// <summary>Differing bytes at addresses that have the bit set, by address bit.</summary>
    public IReadOnlyList<long> AtAddressBit => address;

    /// <summary>Differing bits on one data line, either way.</summary>
    /// <param name="line">0 to 7.</param>
    public long OnLine(int line) => setInFirst[line] + setInSecond[line];

    /// <summary>Adds other counts.</summary>
    public void Add(DifferenceCounts other)
    {
        ArgumentNullException.ThrowIfNull(other);
        Bytes += other.Bytes;
        SingleBitBytes += other.SingleBitBytes;
        for (int line = 0; line < Lines; line++)
        {
            setInFirst[line] += other.setInFirst[line];
            setInSecond[line] += other.setInSecond[line];
        }
        for (int bit = 0; bit < AddressBits; bit++)
        {
            address[bit] += other.address[bit];
        }
    }

    /// <summary>Compares two stretches and adds what differs.</summary>
    /// <param name="first">Stretch of the first read.</param>
    /// <param name="second">The same stretch of the second; as long.</param>
    /// <param name="offset">Where the stretch starts in both reads; a multiple of 32.</param>
    /// <exception cref="ArgumentException">The lengths differ or the offset is not a multiple of 32.</exception>
    public void Add(ReadOnlySpan<byte> first, ReadOnlySpan<byte> second, long offset)
    {
        if (first.Length != second.Length)
        {
            throw new ArgumentException("Must be as long as the first.", nameof(second));
        }
        if (offset < 0 || offset % Vector256<byte>.Count != 0)
        {
            throw new ArgumentException("Must be a multiple of 32.", nameof(offset));
        }
        int whole = first.Length - (first.Length % Vector256<byte>.Count);
        for (int i = 0; i < whole; i += Vector256<byte>.Count)
        {
            Vector256<byte> a = Vector256.LoadUnsafe(ref MemoryMarshal.GetReference(first), (nuint)i);
            Vector256<byte> b = Vector256.LoadUnsafe(ref MemoryMarshal.GetReference(second), (nuint)i);
            Vector256<byte> differ = a ^ b;
            if (differ != Vector256<byte>.Zero)
            {
                AddVector(a, b, differ, offset + i);
            }
        }
        if (whole < first.Length)
        {
            // The rest of the vector is equal in both, so it counts nothing.
            Span<byte> a = stackalloc byte[Vector256<byte>.Count];
            Span<byte> b = stackalloc byte[Vector256<byte>.Count];
            a.Clear();
            b.Clear();
            first[whole..].CopyTo(a);
            second[whole..].CopyTo(b);
            Vector256<byte> x = Vector256.Create<byte>(a);
            Vector256<byte> y = Vector256.Create<byte>(b);
            AddVector(x, y, x ^ y, offset + whole);
        }
    }

    private void AddVector(Vector256<byte> a, Vector256<byte> b, Vector256<byte> differ, long at)
    {
        uint differing = ~Vector256.Equals(differ, Vector256<byte>.Zero).ExtractMostSignificantBits();
        // x & (x - 1) clears the lowest set bit: what is left 0 had only one.
        Vector256<byte> more = differ & (differ - Vector256<byte>.One);
        uint single = Vector256.Equals(more, Vector256<byte>.Zero).ExtractMostSignificantBits() & differing;
        int count = BitOperations.PopCount(differing);
        Bytes += count;
        SingleBitBytes += BitOperations.PopCount(single);
        for (int bit = 0; bit < LowAddress.Length; bit++)
        {
            address[bit] += BitOperations.PopCount(differing & LowAddress[bit]);
        }
        for (long high = at >> LowAddress.Length; high != 0; high &= high - 1)
        {
            int bit = BitOperations.TrailingZeroCount(high) + LowAddress.Length;
            if (bit < AddressBits)
            {
                address[bit] += count;
            }
        }
        Vector256<ushort> first = (differ & a).AsUInt16();
        Vector256<ushort> second = (differ & b).AsUInt16();
        for (int line = 0; line < Lines; line++)
        {
            // A shift of pairs brings the line's bit to the top of each byte; what crosses lands below the top.
            int up = Lines - 1 - line;
            setInFirst[line] += BitOperations.PopCount((first << up).AsByte().ExtractMostSignificantBits());
            setInSecond[line] += BitOperations.PopCount((second << up).AsByte().ExtractMostSignificantBits());
        }
    }
}
