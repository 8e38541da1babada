using static Graftbench.Tests.Shared.Firmware.Bytes;

namespace Graftbench.Tests.Shared.Firmware;

/// <summary>Small images with everything that the reader reads, to mutate.</summary>
internal static class SmallImages
{
    private const string FileOne = "4A1F0F6E-3C57-49A0-8F5B-1D0C9E6B2A01";
    private const string FileTwo = "4A1F0F6E-3C57-49A0-8F5B-1D0C9E6B2A02";
    private const string FileThree = "4A1F0F6E-3C57-49A0-8F5B-1D0C9E6B2A03";

    public static IReadOnlyDictionary<string, byte[]> All { get; } =
        new SortedDictionary<string, byte[]>(StringComparer.Ordinal)
        {
            ["blank"] = Filled(0x400, 0xFF),
            ["board"] = Board(),
            ["board-first-family"] = Join(
                BoardBuilder.Descriptor(0x80000, [(0, 0, 0xFFF), (1, 0x1000, 0x1FFF)], signatureAt: 0),
                Filled(0x1000, 0xFF)
            ),
            ["files"] = Files(),
            ["files-erased-to-zero"] = ErasedToZero(),
            ["files-large"] = VolumeBuilder.Volume(
                VolumeBuilder.LargeFiles,
                0x1000,
                VolumeBuilder.File(FileOne, 0x01, Noise(0x200, 1), large: true),
                VolumeBuilder.File(
                    FileTwo,
                    0x02,
                    VolumeBuilder.Section(0x19, Noise(0x100, 2), longSize: true),
                    sumBody: true,
                    large: true
                )
            ),
            ["packed-brotli"] = VolumeBuilder.Volume(
                VolumeBuilder.SmallFiles,
                0x2000,
                VolumeBuilder.File(FileOne, 0x0B, PackedBuilder.BrotliSection(Inner()))
            ),
            ["packed-lzma"] = VolumeBuilder.Volume(
                VolumeBuilder.SmallFiles,
                0x2000,
                VolumeBuilder.File(FileOne, 0x0B, PackedBuilder.LzmaSection(Inner()))
            ),
            ["packed-unknown"] = VolumeBuilder.Volume(
                VolumeBuilder.SmallFiles,
                0x2000,
                VolumeBuilder.File(FileOne, 0x0B, VolumeBuilder.GuidSection(FileThree, 1, Noise(0x400, 3))),
                VolumeBuilder.File(FileTwo, 0x0B, VolumeBuilder.Section(0x01, Join([0, 8, 0, 0, 1], Noise(0x400, 4))))
            ),
            ["roms"] = Join(
                BoardBuilder.OptionRom(0, last: false),
                BoardBuilder.OptionRom(3, last: true),
                Filled(0x200, 0xFF),
                IsaRom()
            ),
            ["tables"] = Tables(),
            ["updates"] = Join(
                Filled(0x100, 0),
                UpdateBuilder.Update(0x000906EA, 0x22),
                UpdateBuilder.Update(0x000506E3, 0x36, dataBytes: 0),
                UpdateBuilder.Update(
                    0x000306C3,
                    0x32,
                    0x28,
                    0x11122019,
                    1200,
                    (0x000306C1u, 0x12u),
                    (0x00040651u, 0x72u)
                )
            ),
            ["variables-authenticated"] = SmallVolume(authenticated: true),
            ["variables-plain"] = SmallVolume(authenticated: false),
        };

    /// <summary>One firmware volume as a stream of sections, the way packed sections hold it.</summary>
    public static byte[] Inner() =>
        VolumeBuilder.Stream(
            VolumeBuilder.Section(0x19, new byte[12]),
            VolumeBuilder.Section(
                0x17,
                VolumeBuilder.Volume(
                    VolumeBuilder.SmallFiles,
                    0x1800,
                    VolumeBuilder.File(FileTwo, 0x01, UpdateBuilder.Update(0x000906EA, 0x22)),
                    VolumeBuilder.File(
                        FileThree,
                        0x07,
                        VolumeBuilder.Stream(
                            VolumeBuilder.Section(0x10, Join(Ascii("MZ"), Noise(0x120, 5))),
                            VolumeBuilder.Section(0x15, Wide("BenchDriver\0"))
                        )
                    )
                )
            )
        );

    private static byte[] Files() =>
        VolumeBuilder.Volume(
            VolumeBuilder.SmallFiles,
            0x3000,
            VolumeBuilder.File(FileOne, 0x01, Noise(0x90, 6), sumBody: true),
            VolumeBuilder.PadFile(Join(Filled(0x40, 0xFF), Ascii("SN=BENCH-77120-A"), Filled(0x40, 0xFF))),
            VolumeBuilder.File(
                FileTwo,
                0x07,
                VolumeBuilder.Stream(
                    VolumeBuilder.Section(0x13, [0x06, 0x08]),
                    VolumeBuilder.CrcSection(VolumeBuilder.Section(0x10, Noise(0x80, 7))),
                    VolumeBuilder.Section(0x03, VolumeBuilder.Section(0x19, Noise(0x40, 8))),
                    VolumeBuilder.Section(0x15, Wide("BenchFile\0")),
                    VolumeBuilder.Section(0x14, Join([1, 0], Wide("1.0\0")))
                )
            ),
            VolumeBuilder.File(
                FileThree,
                0x0B,
                VolumeBuilder.Section(
                    0x17,
                    VolumeBuilder.Volume(
                        VolumeBuilder.SmallFiles,
                        0x1000,
                        VolumeBuilder.File(
                            FileOne,
                            0x01,
                            StoreBuilder.Store(false, 0x200, StoreBuilder.Record("Model", Ascii("B7"), false))
                        )
                    )
                )
            ),
            VolumeBuilder.File(FileOne, 0x01, Noise(0x40, 9), state: 0xE8)
        );

    private static byte[] ErasedToZero()
    {
        byte[] volume = new byte[0x1000];
        VolumeBuilder.Header(VolumeBuilder.SmallFiles, volume.Length, erased: 0).CopyTo(volume, 0);
        VolumeBuilder.File(FileOne, 0x01, Noise(0x90, 10), state: 0x07).CopyTo(volume, VolumeBuilder.HeaderBytes);
        return volume;
    }

    private static byte[] Board()
    {
        byte[] image = Filled(0xE000, 0xFF);
        BoardBuilder
            .Descriptor(
                0x80000,
                [(0, 0, 0xFFF), (3, 0x1000, 0x2FFF), (4, 0x3000, 0x3FFF), (2, 0x4000, 0x4FFF), (1, 0x6000, 0xDFFF)]
            )
            .CopyTo(image, 0);
        BoardBuilder.Network(BoardBuilder.Address).CopyTo(image, 0x1000);
        Ascii("SN=BENCH00012345").CopyTo(image, 0x3010);
        Noise(0x1000, 11).CopyTo(image, 0x4000);
        SmallVolume(authenticated: true).CopyTo(image, 0x6000);
        VolumeBuilder
            .Volume(
                VolumeBuilder.SmallFiles,
                0x2000,
                VolumeBuilder.File(FileOne, 0x0B, PackedBuilder.LzmaSection(Inner()))
            )
            .CopyTo(image, 0xA000);
        byte[] top = Filled(0x1000, 0xFF);
        VolumeBuilder.Header(VolumeBuilder.SmallFiles, top.Length).CopyTo(top, 0);
        VolumeBuilder.Top(top.Length - VolumeBuilder.HeaderBytes).CopyTo(top, VolumeBuilder.HeaderBytes);
        top.CopyTo(image, 0xD000);
        return image;
    }

    /// <summary>16 KiB: store, event log at 1800h, working block at 1C00h, spare half with an old copy.</summary>
    public static byte[] SmallVolume(bool authenticated)
    {
        byte[] volume = Filled(0x4000, 0xFF);
        VolumeBuilder.Header(VolumeBuilder.VariableData, volume.Length).CopyTo(volume, 0);
        StoreBuilder
            .Store(
                authenticated,
                0x1800 - VolumeBuilder.HeaderBytes,
                StoreBuilder.Record("Serial", Ascii("OLD-0001"), authenticated, 0x3C),
                StoreBuilder.Record("Serial", Ascii("BENCH-0002"), authenticated),
                StoreBuilder.Record("Asset", Ascii("rack 7"), authenticated, 0x3E),
                StoreBuilder.Record("Gone", Ascii("gone"), authenticated, 0x3D),
                StoreBuilder.Record("Half", Ascii("half"), authenticated, 0x7F),
                StoreBuilder.Record("Key", Noise(40, 12), authenticated, attributes: 0x27)
            )
            .CopyTo(volume, VolumeBuilder.HeaderBytes);
        StoreBuilder.WorkingBlock(0x400).CopyTo(volume, 0x1C00);
        StoreBuilder
            .Store(authenticated, 0x400, StoreBuilder.Record("Serial", Ascii("OLD-0000"), authenticated))
            .CopyTo(volume, 0x2048);
        return volume;
    }

    private static byte[] Tables()
    {
        byte[] image = Filled(0x1000, 0xFF);
        int at = 0;
        byte[][] tables =
        [
            BoardBuilder.SmbiosEntry(version3: false),
            BoardBuilder.SmbiosEntry(version3: true),
            BoardBuilder.RootPointer(),
            BoardBuilder.AcpiTable("DSDT", Noise(100, 13)),
            BoardBuilder.AcpiTable("MSDM", Ascii("BENCH-KEY-NOT-A-LICENCE")),
            BoardBuilder.AcpiTable("SLIC", Noise(60, 14)),
            .. new[] { "$PnP", "_32_", "_MP_", "$PIR" }.Select(BoardBuilder.Anchor),
        ];
        foreach (byte[] table in tables)
        {
            table.CopyTo(image, at);
            at = (at + table.Length + 31) & ~15;
        }
        new byte[] { 0xEA, 0x5B, 0xE0, 0x00, 0xF0 }.CopyTo(image, image.Length - 16);
        Ascii("11/24/26").CopyTo(image, image.Length - 11);
        image[^2] = 0xFC;
        image[^1] = 0;
        return image;
    }

    private static byte[] IsaRom()
    {
        byte[] rom = new byte[512];
        new byte[] { 0x55, 0xAA, 1, 0xEB, 0x20 }.CopyTo(rom, 0);
        rom[^1] = (byte)-Sum8(rom);
        return rom;
    }
}
