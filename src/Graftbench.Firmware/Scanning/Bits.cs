using System.Buffers.Binary;

namespace Graftbench.Firmware.Scanning;

/// <summary>Little-endian numbers out of a span; the caller has checked that they lie inside.</summary>
internal static class Bits
{
    public static ushort U16(this ReadOnlySpan<byte> bytes, int at) =>
        BinaryPrimitives.ReadUInt16LittleEndian(bytes[at..]);

    public static int U24(this ReadOnlySpan<byte> bytes, int at) =>
        bytes[at] | bytes[at + 1] << 8 | bytes[at + 2] << 16;

    public static uint U32(this ReadOnlySpan<byte> bytes, int at) =>
        BinaryPrimitives.ReadUInt32LittleEndian(bytes[at..]);

    public static ulong U64(this ReadOnlySpan<byte> bytes, int at) =>
        BinaryPrimitives.ReadUInt64LittleEndian(bytes[at..]);

    public static Guid Guid(this ReadOnlySpan<byte> bytes, int at) => new(bytes.Slice(at, 16));

    /// <summary>Whether all bytes have one value.</summary>
    public static bool IsAll(this ReadOnlySpan<byte> bytes, byte value) => !bytes.ContainsAnyExcept(value);

    /// <summary>The next multiple of a power of two, counted from a base.</summary>
    public static long AlignUp(long offset, long from, int alignment) =>
        from + ((offset - from + alignment - 1) & -alignment);
}
