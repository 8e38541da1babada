using static Graftbench.Tests.Shared.Firmware.Bytes;

namespace Graftbench.Tests.Shared.Firmware;

/// <summary>Builds firmware volumes, files and sections.</summary>
internal static class VolumeBuilder
{
    public const string SmallFiles = "8C8CE578-8A3D-4F1C-9935-896185C32DD3";
    public const string LargeFiles = "5473C07A-3DCB-4DCA-BD6F-1E9689E7349A";
    public const string VariableData = "FFF12B8D-7696-4C8B-A985-2747075B4F50";
    public const string VolumeTop = "1BA0062E-C779-4582-8566-336AE8F78F09";
    public const string Lzma = "EE4E5898-3914-4259-9D6E-DC7BD79403CF";
    public const string LzmaX86 = "D42AE6BD-1352-4BFB-909A-CA72A6EAE889";
    public const string Brotli = "3D532050-5CDA-4FD0-879E-0F7F630D5AFB";
    public const string Standard = "A31280AD-481E-41B6-95E8-127F4C984779";
    public const string Crc = "FC1BCDB0-7D31-49AA-936A-A4600D9DD083";

    public const int HeaderBytes = 0x48;

    /// <summary>Header of a volume with one entry in its block map, sum included.</summary>
    public static byte[] Header(
        string fileSystem,
        int length,
        byte erased = 0xFF,
        int extended = 0,
        ulong? declared = null
    )
    {
        byte[] header = new byte[HeaderBytes];
        PutGuid(header, 0x10, fileSystem);
        Put64(header, 0x20, declared ?? (ulong)length);
        Ascii("_FVH").CopyTo(header, 0x28);
        Put32(header, 0x2C, erased == 0xFF ? 0x0004FEFFu : 0x0004F6FFu);
        Put16(header, 0x30, HeaderBytes);
        Put16(header, 0x34, extended);
        header[0x37] = 2;
        Put32(header, 0x38, (uint)((declared ?? (ulong)length) / 0x800));
        Put32(header, 0x3C, 0x800);
        Resum(header);
        return header;
    }

    /// <summary>Makes the words of a volume header sum to 0.</summary>
    public static void Resum(Span<byte> header)
    {
        Put16(header, 0x32, 0);
        Put16(header, 0x32, -Sum16(header[..HeaderBytes]));
    }

    /// <summary>A volume with files from the bottom up and free space behind them.</summary>
    public static byte[] Volume(string fileSystem, int length, params ReadOnlySpan<byte[]> files)
    {
        byte[] volume = Filled(length, 0xFF);
        Header(fileSystem, length).CopyTo(volume, 0);
        int at = HeaderBytes;
        foreach (byte[] file in files)
        {
            file.CopyTo(volume, at);
            at = (at + file.Length + 7) & ~7;
        }
        return volume;
    }

    /// <summary>A file, header sum included.</summary>
    public static byte[] File(
        string name,
        byte type,
        byte[] body,
        bool sumBody = false,
        bool large = false,
        byte state = 0xF8
    )
    {
        int headerBytes = large ? 0x20 : 0x18;
        byte[] file = new byte[headerBytes + body.Length];
        PutGuid(file, 0, name);
        file[0x12] = type;
        file[0x13] = (byte)((large ? 1 : 0) | (sumBody ? 0x40 : 0));
        if (large)
        {
            Put64(file, 0x18, (ulong)file.Length);
        }
        else
        {
            Put24(file, 0x14, file.Length);
        }
        body.CopyTo(file, headerBytes);
        // Sum over the header with state and body byte taken as 0.
        file[0x10] = (byte)-Sum8(file.AsSpan(0, headerBytes));
        file[0x11] = sumBody ? (byte)-Sum8(body) : (byte)0xAA;
        file[0x17] = state;
        return file;
    }

    public static byte[] PadFile(byte[] body) => File("FFFFFFFF-FFFF-FFFF-FFFF-FFFFFFFFFFFF", 0xF0, body);

    /// <summary>The file at the top of a volume that ends with a far jump, and the pad file that brings it there.</summary>
    /// <param name="room">Bytes from the end of the other files to the end of the volume, a multiple of 8.</param>
    public static byte[] Top(int room)
    {
        byte[] body = Filled(0x100, 0x90);
        new byte[] { 0xEA, 0x5B, 0xE0, 0x00, 0xF0 }.CopyTo(body, body.Length - 16);
        Ascii("11/24/26").CopyTo(body, body.Length - 11);
        body[^2] = 0xFC;
        byte[] file = File(VolumeTop, 0x01, body);
        return Join(PadFile(Filled(room - file.Length - 0x18, 0xFF)), file);
    }

    public static byte[] Section(byte type, byte[] body, bool longSize = false)
    {
        int headerBytes = longSize ? 8 : 4;
        byte[] section = new byte[headerBytes + body.Length];
        Put24(section, 0, longSize ? 0xFFFFFF : section.Length);
        section[3] = type;
        if (longSize)
        {
            Put32(section, 4, (uint)section.Length);
        }
        body.CopyTo(section, headerBytes);
        return section;
    }

    public static byte[] GuidSection(string definedBy, int attributes, byte[] body, byte[]? moreHeader = null)
    {
        byte[] more = moreHeader ?? [];
        byte[] head = new byte[20];
        PutGuid(head, 0, definedBy);
        Put16(head, 16, 24 + more.Length);
        Put16(head, 18, attributes);
        return Section(0x02, Join(head, more, body));
    }

    public static byte[] CrcSection(byte[] body)
    {
        byte[] sum = new byte[4];
        Put32(sum, 0, Crc32(body));
        return GuidSection(Crc, 0, body, sum);
    }

    /// <summary>Sections one after the other, each on its boundary of four bytes.</summary>
    public static byte[] Stream(params ReadOnlySpan<byte[]> sections)
    {
        byte[] all = [];
        foreach (byte[] section in sections)
        {
            all = Join(PaddedTo(all, 4, 0), section);
        }
        return all;
    }
}
