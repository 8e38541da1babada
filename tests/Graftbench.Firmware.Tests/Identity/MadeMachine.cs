using System.Text;
using Graftbench.Tests.Shared.Firmware;
using static Graftbench.Tests.Shared.Firmware.Bytes;
using Flash = Graftbench.Tests.Shared.Firmware.BoardBuilder;
using VariableStores = Graftbench.Tests.Shared.Firmware.StoreBuilder;
using Volume = Graftbench.Tests.Shared.Firmware.VolumeBuilder;

namespace Graftbench.Firmware.Tests.Identity;

/// <summary>What one invented machine has of its own.</summary>
internal sealed record MachineValues(int Seed)
{
    private readonly Random random = new(Seed);

    public string Serial { get; init; } = "";

    public string BoardSerial { get; init; } = "";

    public Guid Uuid { get; init; }

    public byte[] Address { get; init; } = [];

    public static MachineValues Of(int seed)
    {
        MachineValues values = new(seed);
        byte[] uuid = new byte[16];
        values.random.NextBytes(uuid);
        uuid[7] = (byte)((uuid[7] & 0x0F) | 0x40);
        uuid[8] = (byte)((uuid[8] & 0x3F) | 0x80);
        byte[] address = new byte[6];
        values.random.NextBytes(address);
        address[0] = 0x02;
        address[3] = 0x5E;
        return values with
        {
            Serial = values.Text("GB", 10),
            BoardSerial = values.Text("MB-", 9),
            Uuid = new Guid(uuid),
            Address = address,
        };
    }

    private string Text(string start, int length)
    {
        const string Letters = "ABCDEFGHJKLMNPQRSTUVWXYZ0123456789";
        StringBuilder text = new(start);
        for (int i = 0; i < length; i++)
        {
            text.Append(Letters[random.Next(Letters.Length)]);
        }
        // A serial has some digits and no name of a month.
        return text.Append(random.Next(10)).Append(random.Next(10)).ToString();
    }
}

/// <summary>Images of invented machines: a variable volume, raw areas, a system table, code; with or without a descriptor.</summary>
internal sealed class MadeMachine
{
    public const int Length = 0x100000;

    // Without a descriptor.
    public const int RawAt = 0x20000;
    public const int TableAt = 0x30000;
    public const int CodeAt = 0x40000;

    // With one: the same parts inside the firmware region, 512 KiB further up.
    public const int RegionAt = 0x80000;

    private readonly List<byte[]> records = [];
    private readonly List<(int At, byte[] Bytes)> raw = [];

    public MadeMachine(int version, bool authenticated = true)
    {
        Version = version;
        Authenticated = authenticated;
    }

    public int Version { get; }

    public bool Authenticated { get; }

    public string SystemSerial { get; set; } = "Default string";

    public string BoardSerial { get; set; } = "Default string";

    public string AssetTag { get; set; } = "Default string";

    public Guid SystemUuid { get; set; }

    public byte[] PlatformData { get; set; } = [];

    public byte[]? Address { get; set; }

    public MadeMachine Add(
        string name,
        byte[] data,
        byte state = 0x3F,
        uint attributes = 7,
        string vendor = VariableStores.Vendor
    )
    {
        records.Add(VariableStores.Record(name, data, Authenticated, state, attributes, vendor));
        return this;
    }

    public MadeMachine AddRecord(byte[] record)
    {
        records.Add(record);
        return this;
    }

    /// <summary>Bytes in the raw area.</summary>
    public MadeMachine Put(int at, byte[] bytes)
    {
        raw.Add((at, bytes));
        return this;
    }

    /// <summary>What looks like identity and is none: version texts, code, settings, keys, deleted records.</summary>
    public MadeMachine AddDecoys(bool used)
    {
        Put(0x100, Ascii($"BIOS VER GB{Version}0{Version}4711 RELEASE 2026{Version:00}17\0"));
        Put(0x200, Ascii($"BUILD A{Version}B2C3D4E5F{Version}\0"));
        Put(0x300, Ascii("PLATFORM-77A1-0042\0"));
        Put(0x2000, Noise(0x800, 99));
        Add("Setup", Noise(300, Version), vendor: "EC87D643-EBA4-4BB5-A1E5-3F3E36B20DA9");
        if (used)
        {
            const string Global = "8BE4DF61-93CA-11D2-AA0D-00E098032B8C";
            Add("BootOrder", [1, 0, 0, 0, 2, 0], vendor: Global);
            Add("Boot0000", Noise(80, 7), vendor: Global);
            Add("Lang", Ascii("eng"), vendor: Global);
            Add("PK", Noise(200, 8), attributes: 0x27, vendor: Global);
            Add("db", Noise(200, 9), attributes: 0x27, vendor: "D719B2CB-3D3A-4596-A3BC-DAD00E67656F");
            Add("OldSerialNumber", Ascii("GBOLDSERIAL99"), state: 0x3C);
            Add("SystemSerialNumber", Ascii("GBSTALE000001"), state: 0x3D);
            Add("CrashLog", Ascii("ERRORCODE4711X"));
            Add("ScreenGamma", [3, 9, 1]);
        }
        return this;
    }

    public byte[] Plain()
    {
        byte[] image = Filled(Length, 0xFF);
        Parts(image, 0);
        return image;
    }

    public byte[] Chip()
    {
        byte[] chip = Flash.Chip([]);
        byte[] firmware = Filled(Length / 2, 0xFF);
        Parts(firmware, 0, CodeAt);
        firmware.CopyTo(chip, RegionAt);
        chip.AsSpan(0x1000, 0x2000).Fill(0xFF);
        if (Address is { } address)
        {
            Flash.Network(address).CopyTo(chip, 0x1000);
        }
        chip.AsSpan(0x3000, 0x1000).Fill(0xFF);
        PlatformData.CopyTo(chip, 0x3000);
        Noise(0x3C000, 4711 + Version).CopyTo(chip, 0x4000);
        return chip;
    }

    /// <summary>The firmware region of the chip alone.</summary>
    public byte[] Region() => Chip()[RegionAt..];

    /// <summary>A table with a system, a board and a chassis structure (DSP0134, 7.2 to 7.4), texts as given.</summary>
    public byte[] SystemTable()
    {
        byte[] system = Structure(
            1,
            0x1B,
            1,
            Ascii("MAKER"),
            Ascii("PRODUCT"),
            Ascii($"V{Version}"),
            Ascii(SystemSerial)
        );
        system[4] = 1;
        system[5] = 2;
        system[6] = 3;
        system[7] = 4;
        SystemUuid.TryWriteBytes(system.AsSpan(8));
        byte[] board = Structure(2, 0x0F, 2, Ascii("MAKER"), Ascii(BoardSerial), Ascii(AssetTag));
        board[4] = 1;
        board[7] = 2;
        board[8] = 3;
        byte[] end = Structure(127, 4, 3);
        return Join(system, board, end);
    }

    private static byte[] Structure(byte type, byte length, int handle, params byte[][] texts)
    {
        byte[] head = new byte[length];
        head[0] = type;
        head[1] = length;
        Put16(head, 2, handle);
        byte[] all = head;
        foreach (byte[] text in texts)
        {
            all = Join(all, text, [0]);
        }
        return Join(all, texts.Length == 0 ? new byte[2] : new byte[1]);
    }

    private void Parts(byte[] image, int start, int codeAt = CodeAt)
    {
        VariableStores.Volume(Authenticated, [.. records]).CopyTo(image, start);
        foreach ((int at, byte[] bytes) in raw)
        {
            bytes.CopyTo(image, start + RawAt + at);
        }
        SystemTable().CopyTo(image, start + TableAt);
        // Code of each version has its own bytes, and texts that look like serials.
        byte[] code = Volume.Volume(
            Volume.SmallFiles,
            0x20000,
            Volume.File(
                "11111111-2222-4333-8444-555555555555",
                0x01,
                Join(Noise(0x8000, Version), Ascii($"\0GBCODE{Version}{Version}12345\0"))
            ),
            Volume.PadFile(Join(Filled(64, 0xFF), Ascii($"GBPAD{Version}{Version}99881"), Filled(64, 0xFF)))
        );
        code.CopyTo(image, start + codeAt);
        byte[] top = Filled(0x10000, 0xFF);
        Volume.Header(Volume.SmallFiles, top.Length).CopyTo(top, 0);
        Volume.Top(top.Length - Volume.HeaderBytes).CopyTo(top, Volume.HeaderBytes);
        top.CopyTo(image, image.Length - top.Length);
    }
}
