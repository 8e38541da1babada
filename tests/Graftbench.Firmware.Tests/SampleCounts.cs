namespace Graftbench.Firmware.Tests;

/// <summary>A volume of a sample: number of the space, offset, length, checksum field, files, pad files among them, free bytes.</summary>
public sealed record VolumeCount(
    int Space,
    int Start,
    int Length,
    int Checksum,
    int Files,
    int PadFiles,
    int FreeBytes
);

/// <summary>A store of a sample: declared size, records, live ones, records with state 3Ch and 3Dh, bytes used.</summary>
public sealed record StoreCount(int Size, int Records, int Live, int State3C, int State3D, int Used);

/// <summary>What a sample holds.</summary>
public sealed record SampleCount(Sample Sample)
{
    public VolumeCount[] Volumes { get; init; } = [];

    /// <summary>Size and first digits of the SHA-256 of what the packed section holds.</summary>
    public (int Bytes, string Sha)? Unpacked { get; init; }

    public StoreCount? Store { get; init; }

    /// <summary>Where the working block stands and its checksum.</summary>
    public (int Start, uint Crc)? WorkingBlock { get; init; }

    public override string ToString() => Sample.ToString();
}

/// <summary>
/// Counts that were made with another reader, written apart from this program for the project's notes on image formats, in which
/// they stand with the versions and hashes of the packages. -1: not counted there.
/// </summary>
public static class SampleTable
{
    private const string Bookworm = "2022.11-6+deb12u2";
    private const int NotCounted = -1;
    private static readonly StoreCount Empty = new(0xDFB8, 0, 0, 0, 0, 0x1C);
    private static readonly StoreCount EmptyLarge = new(0x3FFB8, 0, 0, 0, 0, 0x1C);
    private static readonly VolumeCount SmallStore = new(0, 0, 0x20000, 0xF919, 0, 0, NotCounted);
    private static readonly VolumeCount LargeStore = new(0, 0, 0x84000, 0xB8AF, 0, 0, NotCounted);

    public static IReadOnlyList<SampleCount> All { get; } =
    [
        new(new("ovmf", Bookworm, "usr/share/ovmf/OVMF.fd", 2097152, "7b456907dd0786d4"))
        {
            Volumes =
            [
                SmallStore,
                new(0, 0x20000, 0x1AC000, 0x24A9, 1, 0, 240176),
                new(1, 0x80, 0xE0000, NotCounted, 25, 10, 708488),
                new(1, 0xE0090, 0xC00000, NotCounted, 113, 0, 7144952),
                new(0, 0x1CC000, 0x34000, 0xA638, 3, NotCounted, 0),
            ],
            Unpacked = (13500560, "fe1a71f3dd92cf4e"),
            Store = Empty,
            WorkingBlock = (0xF000, 0x642CAF2C),
        },
        new(new("ovmf", Bookworm, "usr/share/OVMF/OVMF_CODE.fd", 1966080, "d9b568def24088c9"))
        {
            Volumes =
            [
                new(0, 0, 0x1AC000, 0x24A9, 1, 0, 240176),
                new(1, 0x80, 0xE0000, NotCounted, 25, 10, 708488),
                new(1, 0xE0090, 0xC00000, NotCounted, 113, 0, 7144952),
                new(0, 0x1AC000, 0x34000, 0xA638, 3, NotCounted, 0),
            ],
            Unpacked = (13500560, "fe1a71f3dd92cf4e"),
        },
        new(new("ovmf", Bookworm, "usr/share/OVMF/OVMF_CODE_4M.fd", 3653632, "b157d97b1f697295"))
        {
            Volumes =
            [
                new(0, 0, 0x348000, 0x62F3, 1, 0, NotCounted),
                new(1, 0x80, 0xE0000, NotCounted, 26, 12, NotCounted),
                new(1, 0xE0090, 0xC00000, NotCounted, 111, 0, NotCounted),
                new(0, 0x348000, 0x34000, 0xA638, 3, NotCounted, 0),
            ],
            Unpacked = (13500560, "9b26042c7c6623ae"),
        },
        new(new("ovmf", Bookworm, "usr/share/OVMF/OVMF_CODE_4M.secboot.fd", 3653632, "d50189a486d22af4"))
        {
            // 153 files in and around the packed section: one outside, the rest in two volumes.
            Volumes =
            [
                new(0, 0, 0x348000, 0x62F3, 1, 0, NotCounted),
                new(1, 0x80, 0xE0000, NotCounted, 32, NotCounted, NotCounted),
                new(1, 0xE0090, 0xC00000, NotCounted, 120, NotCounted, NotCounted),
                new(0, 0x348000, 0x34000, 0xA638, 3, NotCounted, 0),
            ],
            Unpacked = (13500560, "f53136fc702458d0"),
        },
        new(new("ovmf", Bookworm, "usr/share/OVMF/OVMF_VARS.fd", 131072, "6ed987af3a3c155b"))
        {
            Volumes = [SmallStore],
            Store = Empty,
            WorkingBlock = (0xF000, 0x642CAF2C),
        },
        new(new("ovmf", Bookworm, "usr/share/OVMF/OVMF_VARS.ms.fd", 131072, "13af965841a14cb1"))
        {
            Volumes = [SmallStore],
            Store = new(0xDFB8, 57, 31, 25, 1, 0x5950),
            WorkingBlock = (0xF000, 0x642CAF2C),
        },
        new(new("ovmf", Bookworm, "usr/share/OVMF/OVMF_VARS_4M.fd", 540672, "5d2ac383371b4083"))
        {
            Volumes = [LargeStore],
            Store = EmptyLarge,
            WorkingBlock = (0x41000, 0x642CAF2C),
        },
        new(new("ovmf", Bookworm, "usr/share/OVMF/OVMF_VARS_4M.ms.fd", 540672, "e6044c5d1fd81998"))
        {
            Volumes = [LargeStore],
            Store = new(0x3FFB8, 57, 31, 25, 1, NotCounted),
            WorkingBlock = (0x41000, 0x642CAF2C),
        },
        new(new("ovmf", Bookworm, "usr/share/OVMF/OVMF_VARS_4M.snakeoil.fd", 540672, "4460f43fb13d627f"))
        {
            Volumes = [LargeStore],
            Store = new(0x3FFB8, 57, 31, 25, 1, 0x4A0C),
            WorkingBlock = (0x41000, 0x642CAF2C),
        },
        new(new("ovmf", "2020.11-2+deb11u2", "usr/share/ovmf/OVMF.fd", 2097152, "ba9568244079690d"))
        {
            Volumes =
            [
                SmallStore with
                {
                    Checksum = NotCounted,
                },
                new(0, 0x20000, 0x1AC000, NotCounted, 1, 0, NotCounted),
                new(1, 0x80, 0xE0000, NotCounted, 23, 11, NotCounted),
                new(1, 0xE0090, 0xC00000, NotCounted, 112, 0, NotCounted),
                new(0, 0x1CC000, 0x34000, NotCounted, 3, NotCounted, 0),
            ],
            Unpacked = (13500560, "e71ec10784ed96f6"),
        },
        new(new("ovmf", "2025.02-8+deb13u1", "usr/share/ovmf/OVMF.fd", 4194304, "14954040cc754ade"))
        {
            Volumes =
            [
                LargeStore with
                {
                    Checksum = NotCounted,
                },
                new(0, 0x84000, 0x348000, NotCounted, 1, 0, NotCounted),
                new(1, 0x80, NotCounted, NotCounted, 27, 11, NotCounted),
                new(1, NotCounted, NotCounted, NotCounted, 119, 0, NotCounted),
                new(0, 0x3CC000, 0x34000, NotCounted, 3, NotCounted, 0),
            ],
            Unpacked = (16122000, "6d342d0ebd917943"),
        },
        new(new("ovmf-ia32", Bookworm, "usr/share/OVMF/OVMF32_CODE_4M.secboot.fd", 3653632, "d068b51430d3063b"))
        {
            Volumes =
            [
                new(0, 0, 0x348000, 0x62F3, 1, 0, NotCounted),
                new(1, 0x80, 0xE0000, NotCounted, 32, NotCounted, NotCounted),
                new(1, 0xE0090, 0xC00000, NotCounted, 119, NotCounted, NotCounted),
                new(0, 0x348000, 0x34000, 0xA638, 3, NotCounted, 0),
            ],
            Unpacked = (13500560, "17fd6cc8b6394fa1"),
        },
        new(new("qemu-efi-aarch64", Bookworm, "usr/share/qemu-efi-aarch64/QEMU_EFI.fd", 2097152, "1794df260f8a1b1c"))
        {
            Volumes =
            [
                new(0, 0x1000, 0x1FF000, NotCounted, 19, 8, NotCounted),
                new(1, 0x10, 0x76FC00, NotCounted, 96, NotCounted, NotCounted),
            ],
            Unpacked = (7797776, "6d0bc961631a9fac"),
        },
        new(new("qemu-efi-aarch64", Bookworm, "usr/share/AAVMF/AAVMF_CODE.fd", 67108864, "5f8ef96257f27e28"))
        {
            Volumes =
            [
                new(0, 0x1000, 0x1FF000, NotCounted, 19, 8, NotCounted),
                new(1, 0x10, 0x76FC00, NotCounted, 96, NotCounted, NotCounted),
            ],
            Unpacked = (7797776, "6d0bc961631a9fac"),
        },
        new(new("qemu-efi-aarch64", Bookworm, "usr/share/AAVMF/AAVMF_VARS.fd", 67108864, "3b6a07d0d404fab4")),
        new(new("qemu-efi-aarch64", Bookworm, "usr/share/AAVMF/AAVMF_VARS.ms.fd", 67108864, "ad24e05bf648ea15"))
        {
            Volumes = [new(0, 0, 0xC0000, NotCounted, 0, 0, NotCounted)],
            Store = new(0x3FFB8, 29, 22, 6, 1, NotCounted),
            WorkingBlock = (0x40000, 0x86C6E75B),
        },
        new(new("seabios", "1.16.2-1", "usr/share/seabios/bios.bin", 131072, "7ba476745bd8d32d")),
        new(new("seabios", "1.16.2-1", "usr/share/seabios/bios-256k.bin", 262144, "2da2018c7555e50b")),
        new(new("seabios", "1.16.2-1", "usr/share/seabios/acpi-dsdt.aml", 4585, "e3db82389faefc95")),
        new(new("seabios", "1.16.2-1", "usr/share/seabios/vgabios-stdvga.bin", 39936, "cc2f735f19b63189")),
        new(
            new(
                "ipxe-qemu",
                "1.0.0+git-20190125.36a4c85-5.1",
                "usr/lib/ipxe/qemu/efi-e1000.rom",
                249856,
                "f034ae9a3fef092f"
            )
        ),
    ];

    /// <summary>A sample by the name of its file, of the newest version that is had.</summary>
    public static Sample Named(string file) =>
        All.Select(count => count.Sample)
            .First(sample => Path.GetFileName(sample.Path) == file && Samples.IsHad(sample));
}
