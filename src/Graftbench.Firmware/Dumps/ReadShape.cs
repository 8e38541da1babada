using System.Buffers.Binary;
using System.Numerics;
using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;

namespace Graftbench.Firmware.Dumps;

/// <summary>What one read shows by itself: blank, repeated, stuck lines, a late start.</summary>
public sealed record ReadShape
{
    // Below this a text or a small table could leave a data line unused.
    private const int FewestBytesForLines = 65536;
    private const int LowestAddressBit = 12;
    private const int MostParts = 64;

    /// <summary>Length [bytes].</summary>
    public required long Bytes { get; init; }

    /// <summary>The one value that every byte has; null where there are several.</summary>
    public byte? OneValue { get; init; }

    /// <summary>Into how many equal parts the read falls that are all the same (2, 4, 8 …); 1 where they are not.</summary>
    public int EqualParts { get; init; } = 1;

    /// <summary>Address bits (12 and up) that make no difference, although the blocks hold data.</summary>
    public IReadOnlyList<int> DeadAddressBits { get; init; } = [];

    /// <summary>Data lines that are never 1.</summary>
    public IReadOnlyList<int> NeverSet { get; init; } = [];

    /// <summary>Data lines that are never 0.</summary>
    public IReadOnlyList<int> NeverClear { get; init; } = [];

    /// <summary>Structures of a boot image that were found.</summary>
    public required ImageMarks Marks { get; init; }

    /// <summary>Looks at one read.</summary>
    public static ReadShape Of(ReadOnlySpan<byte> read)
    {
        if (read.IsEmpty)
        {
            return new ReadShape { Bytes = 0, Marks = ImageMarks.None };
        }
        bool one = !read.ContainsAnyExcept(read[0]);
        if (one)
        {
            return new ReadShape
            {
                Bytes = read.Length,
                OneValue = read[0],
                Marks = ImageMarks.None,
            };
        }
        (byte ever, byte always) = Lines(read);
        bool enough = read.Length >= FewestBytesForLines;
        int parts = Parts(read);
        return new ReadShape
        {
            Bytes = read.Length,
            EqualParts = parts,
            DeadAddressBits = DeadBits(read, parts),
            NeverSet = enough ? [.. Enumerable.Range(0, 8).Where(line => (ever >> line & 1) == 0)] : [],
            NeverClear = enough ? [.. Enumerable.Range(0, 8).Where(line => (always >> line & 1) == 1)] : [],
            Marks = ImageMarks.Of(read),
        };
    }

    // Every line that is ever 1, and every line that always is.
    private static (byte Ever, byte Always) Lines(ReadOnlySpan<byte> read)
    {
        Vector256<byte> or = Vector256<byte>.Zero;
        Vector256<byte> and = Vector256<byte>.AllBitsSet;
        int whole = read.Length - (read.Length % Vector256<byte>.Count);
        ref byte start = ref MemoryMarshal.GetReference(read);
        for (int i = 0; i < whole; i += Vector256<byte>.Count)
        {
            Vector256<byte> bytes = Vector256.LoadUnsafe(ref start, (nuint)i);
            or |= bytes;
            and &= bytes;
        }
        byte ever = 0;
        byte always = 0xFF;
        for (int i = 0; i < Vector256<byte>.Count; i++)
        {
            ever |= or[i];
            always &= and[i];
        }
        foreach (byte one in read[whole..])
        {
            ever |= one;
            always &= one;
        }
        return (ever, always);
    }

    // The largest number of equal parts: all of one value is told apart before.
    private static int Parts(ReadOnlySpan<byte> read)
    {
        int parts = 1;
        while (parts < MostParts && read.Length % (2 * parts) == 0)
        {
            int half = read.Length / (2 * parts);
            if (!read[..half].SequenceEqual(read.Slice(half, half)))
            {
                break;
            }
            parts *= 2;
        }
        return parts;
    }

    private static List<int> DeadBits(ReadOnlySpan<byte> read, int parts)
    {
        // Pairs exist for every address only in a whole power of two; equal parts are said once, as parts.
        if (!BitOperations.IsPow2(read.Length))
        {
            return [];
        }
        List<int> dead = [];
        int highest = BitOperations.Log2((uint)(read.Length / parts));
        for (int bit = LowestAddressBit; bit < highest; bit++)
        {
            if (IsDead(read, bit))
            {
                dead.Add(bit);
            }
        }
        return dead;
    }

    private static bool IsDead(ReadOnlySpan<byte> read, int bit)
    {
        int step = 1 << bit;
        bool seen = false;
        for (int at = 0; at < read.Length; at += 2 * step)
        {
            ReadOnlySpan<byte> low = read.Slice(at, step);
            if (!low.SequenceEqual(read.Slice(at + step, step)))
            {
                return false;
            }
            seen |= low.ContainsAnyExcept(low[0]);
        }
        return seen;
    }
}

/// <summary>Marks of a boot image that tell where a read starts.</summary>
/// <param name="Volumes">Starts of firmware volumes whose header sum holds.</param>
/// <param name="BrokenVolumes">Starts of headers that look like one and whose sum does not hold.</param>
/// <param name="VariableAreas">Volumes for variables, [start, end).</param>
/// <param name="DescriptorAt">Offset of the flash descriptor's signature; null where there is none.</param>
/// <param name="LostBits">Bits that are missing at the start by these marks (too many: below 0); 0 where it starts right.</param>
/// <param name="AreMovedByBits">Marks are found only when the read is moved by this many bits (1 to 7); 0 otherwise.</param>
public sealed record ImageMarks(
    IReadOnlyList<long> Volumes,
    IReadOnlyList<long> BrokenVolumes,
    IReadOnlyList<(long Start, long End)> VariableAreas,
    long? DescriptorAt,
    long LostBits,
    int AreMovedByBits
)
{
    private const int SignatureAt = 0x28;
    private const int SmallestHeader = 0x48;
    private const int LargestHeader = 0x1000;
    private const int MostVolumes = 4096;
    private const int DescriptorSearchBytes = 65536;
    private const int NewDescriptorAt = 0x10;

    // PI specification, volume 3: the file system GUID of variable volumes, as it lies in flash.
    private static readonly byte[] VariableVolume = new Guid("FFF12B8D-7696-4C8B-A985-2747075B4F50").ToByteArray();

    /// <summary>No marks.</summary>
    public static ImageMarks None { get; } = new([], [], [], null, 0, 0);

    private static ReadOnlySpan<byte> VolumeSignature => "_FVH"u8;

    private static ReadOnlySpan<byte> DescriptorSignature => [0x5A, 0xA5, 0xF0, 0x0F];

    /// <summary>Whether any mark was found.</summary>
    public bool Any => Volumes.Count > 0 || DescriptorAt is not null || AreMovedByBits != 0;

    /// <summary>Looks for marks.</summary>
    public static ImageMarks Of(ReadOnlySpan<byte> read)
    {
        List<long> good = [];
        List<long> broken = [];
        List<(long, long)> areas = [];
        int from = 0;
        while (good.Count + broken.Count < MostVolumes && from < read.Length)
        {
            int found = read[from..].IndexOf(VolumeSignature);
            if (found < 0)
            {
                break;
            }
            int start = from + found - SignatureAt;
            from += found + VolumeSignature.Length;
            if (start < 0 || Header(read, start) is not { } header)
            {
                continue;
            }
            (header.SumHolds ? good : broken).Add(start);
            if (header.SumHolds && read.Slice(start + 16, 16).SequenceEqual(VariableVolume))
            {
                areas.Add((start, Math.Min(read.Length, start + header.Length)));
            }
        }
        long? descriptor = Descriptor(read);
        if (good.Count == 0 && descriptor is null)
        {
            return new ImageMarks(good, broken, areas, null, 0, MovedBits(read));
        }
        return new ImageMarks(good, broken, areas, descriptor, Lost(good, descriptor) * 8, 0);
    }

    // Volumes start on 8 bytes at least, in practice on 4 KiB: one common odd start says that all are moved.
    private static long Lost(List<long> volumes, long? descriptor)
    {
        if (descriptor is { } at)
        {
            return at is 0 or NewDescriptorAt ? 0 : NewDescriptorAt - at;
        }
        const int Block = PairComparison.BlockBytes;
        long phase = volumes[0] % Block;
        bool common = volumes.TrueForAll(start => start % Block == phase);
        return phase % 16 == 0 || !common ? 0
            : phase < Block / 2 ? -phase
            : Block - phase;
    }

    // The signature with a region map that can be one: on its place, or within the first 64 KiB.
    private static long? Descriptor(ReadOnlySpan<byte> read)
    {
        int from = 0;
        ReadOnlySpan<byte> head = read[..Math.Min(read.Length, DescriptorSearchBytes)];
        while (from < head.Length && head[from..].IndexOf(DescriptorSignature) is int found and >= 0)
        {
            int at = from + found;
            if (at + 16 <= head.Length)
            {
                int regions = head[at + 6];
                int components = head[at + 4];
                // Both parts lie behind the map and inside 4 KiB, and are not the same.
                if (regions is > 0 and < 0xFF && components is > 0 and < 0xFF && regions != components)
                {
                    return at;
                }
            }
            from = at + 1;
        }
        return null;
    }

    private static (long Length, bool SumHolds)? Header(ReadOnlySpan<byte> read, int start)
    {
        if (start + SmallestHeader > read.Length)
        {
            return null;
        }
        ReadOnlySpan<byte> head = read[start..];
        ulong length = BinaryPrimitives.ReadUInt64LittleEndian(head[0x20..]);
        int size = BinaryPrimitives.ReadUInt16LittleEndian(head[0x30..]);
        byte revision = head[0x37];
        if (
            size < SmallestHeader
            || size > LargestHeader
            || size % 2 != 0
            || (ulong)size > length
            || length > int.MaxValue
            || start + size > read.Length
            || revision is not (1 or 2)
        )
        {
            return null;
        }
        ushort sum = 0;
        for (int i = 0; i < size; i += 2)
        {
            sum += BinaryPrimitives.ReadUInt16LittleEndian(head[i..]);
        }
        return ((long)length, sum == 0);
    }

    // A read that lost part of a byte's clocks: the signature is there, across byte borders.
    private static int MovedBits(ReadOnlySpan<byte> read)
    {
        Span<byte> middle = stackalloc byte[3];
        Span<byte> header = stackalloc byte[LargestHeader];
        for (int bits = 1; bits < 8; bits++)
        {
            ReadOnlySpan<byte> text = VolumeSignature;
            for (int i = 0; i < middle.Length; i++)
            {
                middle[i] = (byte)((text[i] << bits) | (text[i + 1] >> (8 - bits)));
            }
            int from = 0;
            while (from < read.Length && read[from..].IndexOf(middle) is int found and >= 0)
            {
                int start = from + found - SignatureAt;
                from += found + 1;
                int size = Math.Min(header.Length, read.Length - start - 1);
                if (start < 1 || size < SmallestHeader)
                {
                    continue;
                }
                // The byte before holds the first bits where the read ran ahead by less than a byte.
                for (int i = 0; i < size; i++)
                {
                    header[i] = (byte)((read[start + i - 1] << (8 - bits)) | (read[start + i] >> bits));
                }
                if (Header(header[..size], 0) is { SumHolds: true })
                {
                    return bits;
                }
            }
        }
        return 0;
    }
}
