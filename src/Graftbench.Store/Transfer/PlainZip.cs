using System.Buffers.Binary;

namespace Graftbench.Store.Transfer;

/// <summary>One file in a zip.</summary>
/// <param name="Name">Name with forward slashes.</param>
/// <param name="Length">Length [bytes]; nothing is compressed.</param>
/// <param name="Crc">CRC-32 of the content.</param>
/// <param name="Offset">Where its local header begins.</param>
internal sealed record ZipEntry(string Name, long Length, uint Crc, long Offset)
{
    /// <summary>Where its content begins.</summary>
    public long ContentOffset => Offset + PlainZip.LocalHeaderBytes + PlainZip.NameBytes(Name).Length;
}

/// <summary>
/// The subset of the zip format that exports use: no compression, no dates, no comments, no extra fields. So the same
/// record gives the same bytes on every computer, any zip program opens it, and nothing can unfold to more than it is.
/// </summary>
internal static class PlainZip
{
    public const int LocalHeaderBytes = 30;
    public const int DirectoryEntryBytes = 46;
    public const int EndBytes = 22;
    public const int MostEntries = ushort.MaxValue - 1;
    public const long MostBytes = uint.MaxValue - 1L;
    public const uint LocalSignature = 0x04034b50;
    public const uint DirectorySignature = 0x02014b50;
    public const uint EndSignature = 0x06054b50;

    private const ushort VersionNeeded = 10;
    private const ushort VersionMadeBy = 20;
    private const ushort NamesAreUtf8 = 0x0800;
    private const ushort FirstOfJanuary1980 = 0x0021;

    public static byte[] NameBytes(string name) => EvidenceChain.Utf8.GetBytes(name);

    public static byte[] LocalHeader(ZipEntry entry)
    {
        byte[] name = NameBytes(entry.Name);
        byte[] header = new byte[LocalHeaderBytes + name.Length];
        BinaryPrimitives.WriteUInt32LittleEndian(header, LocalSignature);
        WriteCommonFields(header.AsSpan(4), entry, name.Length);
        name.CopyTo(header, LocalHeaderBytes);
        return header;
    }

    public static byte[] DirectoryEntry(ZipEntry entry)
    {
        byte[] name = NameBytes(entry.Name);
        byte[] header = new byte[DirectoryEntryBytes + name.Length];
        BinaryPrimitives.WriteUInt32LittleEndian(header, DirectorySignature);
        BinaryPrimitives.WriteUInt16LittleEndian(header.AsSpan(4), VersionMadeBy);
        WriteCommonFields(header.AsSpan(6), entry, name.Length);
        BinaryPrimitives.WriteUInt32LittleEndian(header.AsSpan(42), (uint)entry.Offset);
        name.CopyTo(header, DirectoryEntryBytes);
        return header;
    }

    public static byte[] End(int entries, long directoryBytes, long directoryOffset)
    {
        byte[] end = new byte[EndBytes];
        BinaryPrimitives.WriteUInt32LittleEndian(end, EndSignature);
        BinaryPrimitives.WriteUInt16LittleEndian(end.AsSpan(8), (ushort)entries);
        BinaryPrimitives.WriteUInt16LittleEndian(end.AsSpan(10), (ushort)entries);
        BinaryPrimitives.WriteUInt32LittleEndian(end.AsSpan(12), (uint)directoryBytes);
        BinaryPrimitives.WriteUInt32LittleEndian(end.AsSpan(16), (uint)directoryOffset);
        return end;
    }

    private static void WriteCommonFields(Span<byte> fields, ZipEntry entry, int nameLength)
    {
        BinaryPrimitives.WriteUInt16LittleEndian(fields, VersionNeeded);
        BinaryPrimitives.WriteUInt16LittleEndian(fields[2..], NamesAreUtf8);
        BinaryPrimitives.WriteUInt16LittleEndian(fields[8..], FirstOfJanuary1980);
        BinaryPrimitives.WriteUInt32LittleEndian(fields[10..], entry.Crc);
        BinaryPrimitives.WriteUInt32LittleEndian(fields[14..], (uint)entry.Length);
        BinaryPrimitives.WriteUInt32LittleEndian(fields[18..], (uint)entry.Length);
        BinaryPrimitives.WriteUInt16LittleEndian(fields[22..], (ushort)nameLength);
    }
}
