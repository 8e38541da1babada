using System.Buffers.Binary;
using System.Text;

namespace Graftbench.Tests.Shared.Firmware;

/// <summary>Little things that the builders of images share. Written from the layouts, not from the reader.</summary>
internal static class Bytes
{
    public static byte[] Filled(int length, byte value)
    {
        byte[] bytes = new byte[length];
        bytes.AsSpan().Fill(value);
        return bytes;
    }

    /// <summary>Bytes that look random, the same for the same seed.</summary>
    public static byte[] Noise(int length, int seed)
    {
        byte[] bytes = new byte[length];
        new Random(seed).NextBytes(bytes);
        return bytes;
    }

    public static byte[] Ascii(string text) => Encoding.ASCII.GetBytes(text);

    public static byte[] Wide(string text) => Encoding.Unicode.GetBytes(text);

    public static byte[] Join(params ReadOnlySpan<byte[]> parts)
    {
        List<byte> all = [];
        foreach (byte[] part in parts)
        {
            all.AddRange(part);
        }
        return [.. all];
    }

    public static byte[] PaddedTo(byte[] bytes, int alignment, byte fill) =>
        Join(bytes, Filled((alignment - bytes.Length % alignment) % alignment, fill));

    public static void Put16(Span<byte> bytes, int at, int value) =>
        BinaryPrimitives.WriteUInt16LittleEndian(bytes[at..], (ushort)value);

    public static void Put24(Span<byte> bytes, int at, int value)
    {
        bytes[at] = (byte)value;
        bytes[at + 1] = (byte)(value >> 8);
        bytes[at + 2] = (byte)(value >> 16);
    }

    public static void Put32(Span<byte> bytes, int at, uint value) =>
        BinaryPrimitives.WriteUInt32LittleEndian(bytes[at..], value);

    public static void Put64(Span<byte> bytes, int at, ulong value) =>
        BinaryPrimitives.WriteUInt64LittleEndian(bytes[at..], value);

    public static void PutGuid(Span<byte> bytes, int at, string definedBy) =>
        new Guid(definedBy).TryWriteBytes(bytes[at..]);

    public static byte Sum8(ReadOnlySpan<byte> bytes)
    {
        byte sum = 0;
        foreach (byte value in bytes)
        {
            sum += value;
        }
        return sum;
    }

    public static ushort Sum16(ReadOnlySpan<byte> bytes)
    {
        ushort sum = 0;
        for (int at = 0; at + 2 <= bytes.Length; at += 2)
        {
            sum += BinaryPrimitives.ReadUInt16LittleEndian(bytes[at..]);
        }
        return sum;
    }

    public static uint Sum32(ReadOnlySpan<byte> bytes)
    {
        uint sum = 0;
        for (int at = 0; at + 4 <= bytes.Length; at += 4)
        {
            sum += BinaryPrimitives.ReadUInt32LittleEndian(bytes[at..]);
        }
        return sum;
    }

    /// <summary>CRC-32 bit by bit.</summary>
    public static uint Crc32(ReadOnlySpan<byte> bytes)
    {
        uint crc = uint.MaxValue;
        foreach (byte value in bytes)
        {
            crc ^= value;
            for (int bit = 0; bit < 8; bit++)
            {
                crc = (crc & 1) != 0 ? 0xEDB88320 ^ (crc >> 1) : crc >> 1;
            }
        }
        return ~crc;
    }
}
