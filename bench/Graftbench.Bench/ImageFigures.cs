using System.Diagnostics;
using System.Globalization;
using System.Security.Cryptography;
using Graftbench.Firmware.Reading;
using Graftbench.Firmware.Tree;
using Graftbench.Firmware.Updates;
using Graftbench.Tests.Shared.Firmware;

namespace Graftbench.Bench;

/// <summary>Reading a whole flash image against hashing the same bytes in the same run, and the memory it takes.</summary>
internal static class ImageFigures
{
    private const int MiB = 1024 * 1024;
    private const int Size = 32 * MiB;
    private const int Rounds = 9;

    public static void Print(string? file)
    {
        List<(string Name, byte[] Image)> images =
        [
            ("plain: files, variables, updates, engine", Plain()),
            ("the same with a packed section of 13 MiB", WithPacked()),
            ("random bytes throughout", Bytes.Noise(Size, 1)),
            ("erased but for a volume", Bytes.Join(StoreBuilder.Volume(true), Bytes.Filled(Size - 0x20000, 0xFF))),
        ];
        if (file is not null)
        {
            byte[] bytes = File.ReadAllBytes(file);
            string name = Path.GetFileName(file);
            images.Add((name, bytes));
            if (bytes.Length < Size)
            {
                images.Add(
                    ($"{name} at the top of 32 MiB of noise", Bytes.Join(Bytes.Noise(Size - bytes.Length, 4), bytes))
                );
            }
        }
        Console.WriteLine(
            $"{Environment.ProcessorCount} processors, .NET {Environment.Version}, medians of {Rounds} runs, one thread"
        );
        Console.WriteLine(
            "image                                          MiB  SHA-256 ms   read ms  ratio  allocated x  peak x  parts  texts"
        );
        foreach ((string name, byte[] image) in images)
        {
            ImageReader.Read(image);
            double[] hash = new double[Rounds];
            double[] read = new double[Rounds];
            double[] ratio = new double[Rounds];
            for (int i = 0; i < Rounds; i++)
            {
                hash[i] = TimeMs(() => SHA256.HashData(image));
                read[i] = TimeMs(() => Whole(image));
                ratio[i] = read[i] / hash[i];
            }
            long before = GC.GetTotalAllocatedBytes(precise: true);
            GC.Collect();
            long heap = GC.GetTotalMemory(forceFullCollection: true);
            ImageTree tree = Whole(image);
            long allocated = GC.GetTotalAllocatedBytes(precise: true) - before;
            long kept = GC.GetTotalMemory(forceFullCollection: true) - heap;
            Console.WriteLine(
                string.Create(
                    CultureInfo.InvariantCulture,
                    $"{name, -44} {(double)image.Length / MiB, 5:0.0} {Median(hash), 11:0.0} {Median(read), 9:0.0} {Median(ratio), 6:0.00} {(double)allocated / image.Length + 1, 12:0.00} {(double)kept / image.Length + 1, 7:0.00} {tree.Root.WalkUnpacked().Count(), 6} {tree.Texts.Count, 6}"
                )
            );
            GC.KeepAlive(tree);
        }
        Console.WriteLine(
            "Allocated and peak count the image itself as 1; peak is what stays after the reading, what was unpacked included."
        );
    }

    // Everything that the verb does: tree, sums, updates, texts, and the question for a processor.
    private static ImageTree Whole(byte[] image)
    {
        ImageTree tree = ImageReader.Read(image);
        ChipQuestion.Ask(tree, new ProcessorSignature(0x000906EA), 1);
        return tree;
    }

    /// <summary>32 MiB as a board has them: engine, variables, some hundred files with programs, updates, free space.</summary>
    private static byte[] Plain(byte[]? packed = null)
    {
        byte[] image = Bytes.Filled(Size, 0xFF);
        BoardBuilder
            .Descriptor(
                Size,
                [
                    (0, 0, 0xFFF),
                    (3, 0x1000, 0x2FFF),
                    (4, 0x3000, 0x3FFF),
                    (2, 0x4000, 0x6FFFFF),
                    (1, 0x1000000, Size - 1),
                ]
            )
            .CopyTo(image, 0);
        BoardBuilder.Network(BoardBuilder.Address).CopyTo(image, 0x1000);
        Bytes.Noise(0x6FC000, 2).CopyTo(image, 0x4000);
        StoreBuilder
            .Volume(
                true,
                [
                    .. Enumerable
                        .Range(0, 200)
                        .Select(i => StoreBuilder.Record($"Variable{i}", Bytes.Noise(120, i), true)),
                ]
            )
            .CopyTo(image, 0x1000000);
        int at = 0x1020000;
        byte[] programs = Programs();
        List<byte[]> files = [];
        for (int i = 0; i < 300; i++)
        {
            byte[] body = VolumeBuilder.Stream(
                VolumeBuilder.Section(
                    0x10,
                    programs[(i * 20_000 % (programs.Length - 40_000))..][..(20_000 + 37 * i % 9000)]
                ),
                VolumeBuilder.Section(0x15, Bytes.Wide($"Driver{i}\0"))
            );
            files.Add(VolumeBuilder.File($"4A1F0F6E-3C57-49A0-8F5B-{i:X12}", 0x07, body, sumBody: i % 2 == 0));
        }
        if (packed is not null)
        {
            files.Add(VolumeBuilder.File("4A1F0F6E-3C57-49A0-8F5B-FFFFFFFFFFFF", 0x0B, packed));
        }
        VolumeBuilder.Volume(VolumeBuilder.SmallFiles, 0xC00000, [.. files]).CopyTo(image, at);
        at += 0xC00000;
        for (uint i = 0; i < 20; i++)
        {
            byte[] update = UpdateBuilder.Update(0x000906E0 + i, 0x22, dataBytes: 98_000);
            update.CopyTo(image, at);
            at += update.Length;
        }
        byte[] top = Bytes.Filled(0x40000, 0xFF);
        VolumeBuilder.Header(VolumeBuilder.SmallFiles, top.Length).CopyTo(top, 0);
        VolumeBuilder.Top(top.Length - VolumeBuilder.HeaderBytes).CopyTo(top, VolumeBuilder.HeaderBytes);
        top.CopyTo(image, Size - top.Length);
        return image;
    }

    private static byte[] WithPacked()
    {
        byte[] inner = VolumeBuilder.Volume(
            VolumeBuilder.SmallFiles,
            13 * MiB,
            [
                .. Enumerable
                    .Range(0, 100)
                    .Select(i =>
                        VolumeBuilder.File(
                            $"4A1F0F6E-3C57-49A0-8F5C-{i:X12}",
                            0x07,
                            VolumeBuilder.Section(0x10, Programs()[..60_000])
                        )
                    ),
            ]
        );
        return Plain(PackedBuilder.LzmaSection(VolumeBuilder.Section(0x17, inner)));
    }

    // This program's own code stands for drivers: it packs and reads like code.
    private static byte[] Programs() =>
        File.ReadAllBytes(typeof(ImageTree).Assembly.Location) is { Length: > 100_000 } own
            ? own
            : Bytes.Noise(200_000, 3);

    private static double TimeMs(Action action)
    {
        long start = Stopwatch.GetTimestamp();
        action();
        return Stopwatch.GetElapsedTime(start).TotalMilliseconds;
    }

    private static double Median(double[] values)
    {
        double[] sorted = [.. values.Order()];
        return sorted[sorted.Length / 2];
    }
}
