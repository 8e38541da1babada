using static Graftbench.Tests.Shared.Firmware.Bytes;

namespace Graftbench.Tests.Shared.Firmware;

/// <summary>Builds what lies around the firmware: flash descriptor, network settings, tables, option ROMs. All values are invented.</summary>
internal static class BoardBuilder
{
    public static readonly byte[] Address = [0x02, 0x00, 0x5E, 0x10, 0x20, 0x30];

    /// <summary>A descriptor of one chip.</summary>
    /// <param name="chipBytes">Size of the chip: 512 KiB times a power of two.</param>
    /// <param name="regions">Number, first and last byte of each region.</param>
    /// <param name="signatureAt">10h, or 0 for the first family.</param>
    public static byte[] Descriptor(
        long chipBytes,
        IReadOnlyList<(int Number, long First, long Last)> regions,
        int signatureAt = 0x10
    )
    {
        byte[] bytes = Filled(0x1000, 0xFF);
        Put32(bytes, signatureAt, 0x0FF0A55A);
        // Components at 30h, regions at 40h, masters at 80h, straps at 100h.
        Put32(bytes, signatureAt + 4, 0x03 | (0x04u << 16) | (7u << 24));
        Put32(bytes, signatureAt + 8, 0x08 | (0x10u << 16));
        int code = 0;
        while (512L * 1024 << code < chipBytes)
        {
            code++;
        }
        Put32(bytes, 0x30, (uint)code);
        for (int number = 0; number < 16; number++)
        {
            Put32(bytes, 0x40 + 4 * number, 0x00007FFF);
        }
        foreach ((int number, long first, long last) in regions)
        {
            Put32(bytes, 0x40 + 4 * number, (uint)(first / 0x1000) | ((uint)(last / 0x1000) << 16));
        }
        return bytes;
    }

    /// <summary>8 KiB of network settings: two equal copies that are marked valid and sum up.</summary>
    public static byte[] Network(byte[] address)
    {
        byte[] copy = Filled(0x1000, 0xFF);
        address.CopyTo(copy, 0);
        for (int word = 3; word < 0x3F; word++)
        {
            Put16(copy, 2 * word, 0x0100 + word);
        }
        Put16(copy, 2 * 0x13, 0x8000 | 0x0123);
        Put16(copy, 0x7E, 0xBABA - Sum16(copy.AsSpan(0, 0x7E)));
        return Join(copy, copy);
    }

    /// <summary>An entry point of the system management BIOS, version 2 or 3, sums included.</summary>
    public static byte[] SmbiosEntry(bool version3)
    {
        if (version3)
        {
            byte[] entry = new byte[0x18];
            Ascii("_SM3_").CopyTo(entry, 0);
            entry[6] = 0x18;
            entry[7] = 3;
            entry[8] = 4;
            Put32(entry, 0x0C, 0x800);
            Put64(entry, 0x10, 0xF0000);
            entry[5] = (byte)-Sum8(entry);
            return entry;
        }
        byte[] old = new byte[0x1F];
        Ascii("_SM_").CopyTo(old, 0);
        old[5] = 0x1F;
        old[6] = 2;
        old[7] = 8;
        Put16(old, 8, 0x100);
        Ascii("_DMI_").CopyTo(old, 0x10);
        Put16(old, 0x16, 0x800);
        Put32(old, 0x18, 0xF0000);
        Put16(old, 0x1C, 12);
        old[0x15] = (byte)-Sum8(old.AsSpan(0x10));
        old[4] = (byte)-Sum8(old);
        return old;
    }

    /// <summary>An ACPI table with a sum that holds.</summary>
    public static byte[] AcpiTable(string signature, byte[] body)
    {
        byte[] table = new byte[36 + body.Length];
        Ascii(signature).CopyTo(table, 0);
        Put32(table, 4, (uint)table.Length);
        table[8] = 1;
        Ascii("BENCH1").CopyTo(table, 10);
        Ascii("PLATFORM").CopyTo(table, 16);
        body.CopyTo(table, 36);
        table[9] = (byte)-Sum8(table);
        return table;
    }

    public static byte[] RootPointer()
    {
        byte[] root = new byte[36];
        Ascii("RSD PTR ").CopyTo(root, 0);
        Ascii("BENCH1").CopyTo(root, 9);
        root[15] = 2;
        Put32(root, 20, 36);
        root[8] = (byte)-Sum8(root.AsSpan(0, 20));
        root[32] = (byte)-Sum8(root);
        return root;
    }

    /// <summary>A legacy anchor whose bytes sum to 0.</summary>
    public static byte[] Anchor(string signature)
    {
        (int length, int checksumAt) = signature switch
        {
            "$PnP" => (0x21, 8),
            "_32_" => (16, 0x0A),
            "_MP_" => (16, 0x0A),
            _ => (48, 31),
        };
        byte[] anchor = new byte[length];
        Ascii(signature).CopyTo(anchor, 0);
        switch (signature)
        {
            case "$PnP":
                anchor[5] = (byte)length;
                break;
            case "_32_":
                anchor[9] = 1;
                break;
            case "_MP_":
                anchor[8] = 1;
                break;
            default:
                Put16(anchor, 6, length);
                break;
        }
        anchor[checksumAt] = (byte)-Sum8(anchor);
        return anchor;
    }

    /// <summary>An option ROM image for a PCI device.</summary>
    public static byte[] OptionRom(byte codeType, bool last, int units = 4)
    {
        byte[] rom = new byte[512 * units];
        rom[0] = 0x55;
        rom[1] = 0xAA;
        if (codeType == 3)
        {
            Put16(rom, 2, units);
            Put32(rom, 4, 0x0EF1);
            Put16(rom, 0x0A, 0x8664);
        }
        else
        {
            rom[2] = (byte)units;
        }
        Put16(rom, 0x18, 0x1C);
        Ascii("PCIR").CopyTo(rom, 0x1C);
        Put16(rom, 0x20, 0x1234);
        Put16(rom, 0x22, 0x5678);
        Put16(rom, 0x26, 0x18);
        Put24(rom, 0x29, 0x020000);
        Put16(rom, 0x2C, units);
        rom[0x30] = codeType;
        rom[0x31] = (byte)(last ? 0x80 : 0);
        if (codeType == 0)
        {
            rom[^1] = (byte)-Sum8(rom);
        }
        return rom;
    }

    /// <summary>A whole chip of 1 MiB: descriptor, network settings, platform data, engine, firmware.</summary>
    /// <param name="firmware">What lies in the firmware region of 512 KiB, from its bottom; the top gets a volume with a reset vector.</param>
    public static byte[] Chip(byte[] firmware)
    {
        byte[] chip = Filled(0x100000, 0xFF);
        Descriptor(
                0x100000,
                [(0, 0, 0xFFF), (3, 0x1000, 0x2FFF), (4, 0x3000, 0x3FFF), (2, 0x4000, 0x3FFFF), (1, 0x80000, 0xFFFFF)]
            )
            .CopyTo(chip, 0);
        Network(Address).CopyTo(chip, 0x1000);
        Join(Ascii("SN=BENCH00012345"), new byte[16], Wide("BOARD-7731-A")).CopyTo(chip, 0x3000);
        Noise(0x3C000, 4711).CopyTo(chip, 0x4000);
        firmware.CopyTo(chip, 0x80000);
        byte[] top = Filled(0x10000, 0xFF);
        VolumeBuilder.Header(VolumeBuilder.SmallFiles, top.Length).CopyTo(top, 0);
        VolumeBuilder.Top(top.Length - VolumeBuilder.HeaderBytes).CopyTo(top, VolumeBuilder.HeaderBytes);
        top.CopyTo(chip, 0xF0000);
        return chip;
    }
}
