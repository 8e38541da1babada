using System.Data.Common;
using System.Globalization;
using System.IO.Compression;
using System.Text;
using Graftbench.Store.Tests.Support;

namespace Graftbench.Store.Tests;

/// <summary>A backup is one moment of the store in one file, or it is refused.</summary>
public sealed class BackupTests : CopyBench
{
    [Theory, MemberData(nameof(Ways))]
    public void A_backup_restored_is_the_same_store(StoreKind from, StoreKind to)
    {
        (TestFolder source, BenchStore store) = Filled(from);
        string file = source.File("shop.graftbackup");
        BackupReport report = store.Backup(file, stop: Stop);
        Assert.True(report.Check.IsWhole);
        Assert.Equal(0, report.Manifest.FindingsThatCount);
        Assert.Equal(report.Manifest.Records, BenchStore.ReadBackup(file).Records);
        // What comes after it is not in it.
        store.Append("arcade-7", Samples.Note("later"));

        TestFolder target = Folder(to);
        BenchStore.Restore(file, target.Place, null, Stop);
        BenchStore restored = Open(target);
        Assert.Equal(store.Evidence("arcade-7").SkipLast(1), restored.Evidence("arcade-7"));
        Assert.Equal(
            report.Manifest.Records.Select(head => head.HeadSha256),
            restored.Records().Select(record => record.HeadSha256)
        );
        Assert.True(restored.Check().IsWhole);
        Assert.DoesNotContain(
            Directory.GetFiles(source.Path),
            name => name.Contains(".part-", StringComparison.Ordinal)
        );
        Assert.DoesNotContain(
            Directory.GetFiles(target.Path),
            name => name.Contains("restore-", StringComparison.Ordinal)
        );
    }

    [Theory, MemberData(nameof(Kinds))]
    public async Task A_backup_made_while_benches_write_is_one_moment_of_the_store(StoreKind kind)
    {
        (TestFolder source, BenchStore store) = Filled(kind);
        using CancellationTokenSource done = new();
        Task writing = Task.Run(
            () =>
            {
                for (int i = 0; !done.IsCancellationRequested; i++)
                {
                    store.Append(
                        i % 2 == 0 ? "arcade-7" : "mill-3",
                        i % 5 == 0 ? Samples.Picture($"{i}.jpg", $"p{i}") : Samples.Note($"{i}")
                    );
                }
            },
            Stop
        );
        List<BackupReport> reports = [];
        for (int i = 0; i < 3; i++)
        {
            reports.Add(store.Backup(source.File($"b{i}"), stop: Stop));
        }
        await done.CancelAsync();
        await writing;
        Assert.All(reports, report => Assert.True(report.Check.IsWhole));
        Assert.True(reports[2].Manifest.Records[0].Lines > reports[0].Manifest.Records[0].Lines);
        TestFolder target = Folder(StoreKind.Sqlite);
        BenchStore.Restore(source.File("b1"), target.Place, null, Stop);
        IReadOnlyList<EvidenceLine> kept = Open(target).Evidence("arcade-7");
        Assert.Equal(store.Evidence("arcade-7").Take(kept.Count), kept);
    }

    public static TheoryData<string, string> Broken =>
        new()
        {
            { "cut", "cut off" },
            { "half", "cut off" },
            { "empty", "no zip" },
            { "text", "no zip" },
            { "flip", "" },
            { "no-manifest", "does not hold \"manifest.json\"" },
            { "no-store", "does not hold \"graftbench.db\"" },
            { "path", "no backup has (\"../../evil.db\")" },
            { "more", "no backup has (\"more.txt\")" },
            { "twice", "twice" },
            { "packed", "packed" },
            { "foreign", "no backup of a Graftbench store" },
            { "newer", "newer Graftbench" },
            { "newer-store", "newer Graftbench" },
            { "other-hash", "SHA-256 differs" },
            { "other-length", "bytes" },
            { "other-head", "not those that it names" },
            { "bad-json", "cannot be read" },
            { "extra-field", "cannot be read" },
            { "null-field", "cannot be read" },
            { "not-a-store", "not a Graftbench store" },
        };

    [Theory, MemberData(nameof(Broken))]
    public void A_file_that_is_no_whole_backup_is_refused_and_nothing_is_left(string how, string says)
    {
        (TestFolder source, BenchStore store) = Filled(StoreKind.Sqlite);
        string file = source.File("b");
        store.Backup(file, stop: Stop);
        File.WriteAllBytes(file, Break(File.ReadAllBytes(file), how));
        TestFolder target = Folder(StoreKind.Sqlite);
        StoreException refusal = Assert.Throws<StoreException>(() =>
            BenchStore.Restore(file, target.Place, null, Stop)
        );
        Assert.Contains(says, refusal.Message, StringComparison.Ordinal);
        Assert.NotEmpty(refusal.Todo);
        Assert.Empty(Directory.GetFileSystemEntries(target.Path));
    }

    [Fact]
    public void Cut_at_any_place_or_flipped_anywhere_a_backup_is_refused_or_gives_the_very_store()
    {
        TestFolder source = Folder(StoreKind.Sqlite);
        BenchStore store = Open(source);
        store.SaveJob(Samples.Job(), 0, "Ada");
        string file = source.File("b");
        store.Backup(file, stop: Stop);
        byte[] whole = File.ReadAllBytes(file);
        Random random = new(20261127);
        for (int round = 0; round < 60; round++)
        {
            byte[] bytes = [.. whole];
            // Half of the rounds near the end, where the lists are.
            int place = round % 2 == 0 ? random.Next(bytes.Length) : bytes.Length - 1 - random.Next(700);
            if (round % 3 == 0)
            {
                bytes = bytes[..place];
            }
            else
            {
                bytes[place] ^= (byte)(1 << random.Next(8));
            }
            File.WriteAllBytes(file, bytes);
            TestFolder target = Folder(StoreKind.Sqlite);
            try
            {
                BenchStore.Restore(file, target.Place, null, Stop);
            }
            catch (StoreException)
            {
                Assert.Empty(Directory.GetFileSystemEntries(target.Path));
                continue;
            }
            // A date or a note of the zip that says nothing about the content.
            Assert.Equal(store.Evidence("arcade-7"), Open(target).Evidence("arcade-7"));
        }
    }

    [Fact]
    public void A_backup_of_an_older_format_is_brought_up_to_date()
    {
        TestFolder source = Folder(StoreKind.Sqlite);
        using (DbConnection connection = source.Raw())
        {
            StoreSchema.Migrate(connection, [.. StoreSchema.Migrations.Take(2)]);
        }
        byte[] old = File.ReadAllBytes(source.StoreFile);
        TestFolder other = Folder(StoreKind.Sqlite);
        string file = other.File("b");
        Open(Folder(StoreKind.Sqlite)).Backup(file, stop: Stop);
        Dictionary<string, byte[]> parts = Parts(File.ReadAllBytes(file));
        string manifest = Encoding.UTF8.GetString(parts["manifest.json"]);
        manifest = manifest
            .Replace(
                EvidenceChain.FileHash(parts["graftbench.db"]),
                EvidenceChain.FileHash(old),
                StringComparison.Ordinal
            )
            .Replace(
                string.Create(CultureInfo.InvariantCulture, $"\"lengthBytes\": {parts["graftbench.db"].Length}"),
                string.Create(CultureInfo.InvariantCulture, $"\"lengthBytes\": {old.Length}"),
                StringComparison.Ordinal
            );
        File.WriteAllBytes(file, Zip([("graftbench.db", old), ("manifest.json", Encoding.UTF8.GetBytes(manifest))]));
        TestFolder target = Folder(StoreKind.Postgres);
        BenchStore.Restore(file, target.Place, null, Stop);
        Assert.Empty(Open(target).BenchFacts());
    }

    private static byte[] Break(byte[] whole, string how)
    {
        Dictionary<string, byte[]> parts = Parts(whole);
        (string, byte[]) store = ("graftbench.db", parts["graftbench.db"]);
        (string, byte[]) manifest = ("manifest.json", parts["manifest.json"]);
        (string, byte[]) With(string old, string @new)
        {
            string text = Encoding.UTF8.GetString(manifest.Item2);
            Assert.Contains(old, text, StringComparison.Ordinal);
            return ("manifest.json", Encoding.UTF8.GetBytes(text.Replace(old, @new, StringComparison.Ordinal)));
        }
        string hash = EvidenceChain.FileHash(store.Item2);
        switch (how)
        {
            case "cut":
                return whole[..^30];
            case "half":
                return whole[..(whole.Length / 2)];
            case "empty":
                return [];
            case "text":
                return Encoding.UTF8.GetBytes(new string('x', 5000));
            case "flip":
                whole[whole.Length / 3] ^= 4;
                return whole;
            case "no-manifest":
                return Zip([store]);
            case "no-store":
                return Zip([manifest]);
            case "path":
                return Zip([store, manifest, ("../../evil.db", [1])]);
            case "more":
                return Zip([store, manifest, ("more.txt", [1])]);
            case "twice":
                return Zip([store, manifest, store]);
            case "packed":
                return Zip([("graftbench.db", new byte[50_000_000]), manifest], CompressionLevel.Optimal);
            case "foreign":
                return Zip([store, With("graftbench-backup-1", "some-program-1")]);
            case "newer":
                return Zip([store, With("graftbench-backup-1", "graftbench-backup-2")]);
            case "newer-store":
                return Zip([store, With($"\"storeFormat\": {StoreSchema.Migrations.Count}", "\"storeFormat\": 99")]);
            case "other-hash":
                return Zip([store, With(hash, new string('0', 64))]);
            case "other-length":
                return Zip([store, With($"\"lengthBytes\": {store.Item2.Length}", "\"lengthBytes\": 5")]);
            case "other-head":
                return Zip([store, With("\"lines\": 4", "\"lines\": 2")]);
            case "bad-json":
                return Zip([store, ("manifest.json", "{"u8.ToArray())]);
            case "extra-field":
                return Zip([store, With("\"program\"", "\"x\": 1, \"program\"")]);
            case "null-field":
                return Zip([store, With($"\"{hash}\"", "null")]);
            default:
                byte[] other = Encoding.UTF8.GetBytes(new string('y', store.Item2.Length));
                return Zip([("graftbench.db", other), With(hash, EvidenceChain.FileHash(other))]);
        }
    }

    private static Dictionary<string, byte[]> Parts(byte[] zip)
    {
        using ZipArchive archive = new(new MemoryStream(zip));
        return archive.Entries.ToDictionary(
            entry => entry.FullName,
            entry =>
            {
                using MemoryStream content = new();
                using Stream stream = entry.Open();
                stream.CopyTo(content);
                return content.ToArray();
            },
            StringComparer.Ordinal
        );
    }

    private static byte[] Zip(
        IReadOnlyList<(string Name, byte[] Content)> entries,
        CompressionLevel level = CompressionLevel.NoCompression
    )
    {
        using MemoryStream zip = new();
        using (ZipArchive archive = new(zip, ZipArchiveMode.Create, leaveOpen: true))
        {
            foreach ((string name, byte[] content) in entries)
            {
                using Stream entry = archive.CreateEntry(name, level).Open();
                entry.Write(content);
            }
        }
        return zip.ToArray();
    }
}
