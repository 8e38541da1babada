using System.Buffers.Binary;
using Graftbench.Firmware.Dumps;

namespace Graftbench.Firmware.Tests.Dumps;

/// <summary>Invented dumps: code-like bytes, erased stretches, a variable volume with a header that sums to zero.</summary>
internal static class MadeDump
{
    public const int Size = 1 << 20;
    public const int VariablesAt = 0x40000;
    public const int VariablesBytes = 0x20000;

    /// <summary>A dump of 1 MiB, the same for the same seed.</summary>
    public static byte[] Image(int seed = 1, int size = Size)
    {
        byte[] bytes = new byte[size];
        Random random = new(seed);
        random.NextBytes(bytes);
        // A third is erased, as in any real chip.
        bytes.AsSpan(size / 2, size / 3).Fill(0xFF);
        Volume(bytes, 0, size / 4, "8C8CE578-8A3D-4F1C-9935-896185C32DD3");
        if (size >= VariablesAt + VariablesBytes)
        {
            bytes.AsSpan(VariablesAt, VariablesBytes).Fill(0xFF);
            Volume(bytes, VariablesAt, VariablesBytes, "FFF12B8D-7696-4C8B-A985-2747075B4F50");
            random.NextBytes(bytes.AsSpan(VariablesAt + 0x64, 0x3000));
        }
        return bytes;
    }

    public static DumpRead Read(byte[] bytes, string name = "a.bin") => new(name, bytes);

    /// <summary>Flips lone bits at random places.</summary>
    public static byte[] Noisy(byte[] bytes, int flips, int seed)
    {
        byte[] noisy = [.. bytes];
        Random random = new(seed);
        HashSet<int> taken = [];
        while (taken.Count < flips)
        {
            int at = random.Next(bytes.Length);
            if (taken.Add(at))
            {
                noisy[at] ^= (byte)(1 << random.Next(8));
            }
        }
        return noisy;
    }

    /// <summary>What a reader sees that loses clocks at a place, until it is in step again.</summary>
    public static byte[] Moved(byte[] bytes, int start, int end, int bits)
    {
        byte[] moved = [.. bytes];
        for (int i = start; i < end; i++)
        {
            long bit = (8L * i) + bits;
            int value = 0;
            for (int k = 0; k < 8; k++)
            {
                long at = bit + k;
                int set = at / 8 < bytes.Length ? bytes[at / 8] >> (int)(7 - (at % 8)) & 1 : 1;
                value = (value << 1) | set;
            }
            moved[i] = (byte)value;
        }
        return moved;
    }

    private static void Volume(Span<byte> image, int at, int length, string fileSystem)
    {
        Span<byte> head = image.Slice(at, 0x48);
        head.Clear();
        new Guid(fileSystem).TryWriteBytes(head[16..]);
        BinaryPrimitives.WriteUInt64LittleEndian(head[0x20..], (ulong)length);
        "_FVH"u8.CopyTo(head[0x28..]);
        BinaryPrimitives.WriteUInt32LittleEndian(head[0x2C..], 0x4FEFF);
        BinaryPrimitives.WriteUInt16LittleEndian(head[0x30..], 0x48);
        head[0x37] = 2;
        BinaryPrimitives.WriteUInt32LittleEndian(head[0x38..], (uint)(length / 4096));
        BinaryPrimitives.WriteUInt32LittleEndian(head[0x3C..], 4096);
        ushort sum = 0;
        for (int i = 0; i < head.Length; i += 2)
        {
            sum += BinaryPrimitives.ReadUInt16LittleEndian(head[i..]);
        }
        BinaryPrimitives.WriteUInt16LittleEndian(head[0x32..], (ushort)-sum);
    }
}
