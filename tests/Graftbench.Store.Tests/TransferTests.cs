using System.IO.Compression;
using System.Text;
using CsCheck;
using Graftbench.Core.Findings;
using Graftbench.Store.Tests.Support;
using Graftbench.Store.Transfer;

namespace Graftbench.Store.Tests;

public abstract class TransferTests : IDisposable
{
    private readonly TestFolder _folder;
    private readonly TestFolder _otherFolder;
    private readonly BenchStore _store;
    private readonly BenchStore _other;

    protected TransferTests(StoreKind kind)
    {
        _folder = new(kind);
        _otherFolder = new(kind);
        _store = _folder.Open();
        Samples.Fill(_store);
        _other = _otherFolder.Open();
    }

    [Theory, InlineData("arcade-7"), InlineData("shop"), InlineData("arcade-7", "mill-3"), InlineData()]
    public void Export_import_export_gives_the_same_bytes(params string[] ids)
    {
        byte[] zip = _store.Zip(ids);
        ImportReport report = _other.Take(zip);
        Assert.True(report.IsDone);
        Assert.All(report.Records, record => Assert.True(record.WasNew));
        Assert.True(_other.Check().IsWhole);
        Assert.Equal(zip, _other.Zip(ids));
        Assert.Equal(zip, _store.Zip(ids));
    }

    [Fact]
    public void What_was_imported_is_all_there()
    {
        _other.Take(_store.Zip());
        Assert.Equal(_store.Evidence("arcade-7"), _other.Evidence("arcade-7"));
        Assert.Equal(_store.Shelf("board"), _other.Shelf("board"));
        Assert.Equal(_store.Records(), _other.Records());
        Assert.Equal(_store.FindJob("arcade-7")!.ChangedAt, _other.FindJob("arcade-7")!.ChangedAt);
        string file = _store.Evidence("arcade-7")[2].FileSha256!;
        Assert.Equal(_store.FindFile(file)!.Bytes, _other.FindFile(file)!.Bytes);
        // The other bench goes on where this one stopped.
        Assert.Equal(3, _other.SaveJob(Samples.Job(title: "third try"), 2, "Cleo").Revision);
        Assert.True(_other.Check().IsWhole);
    }

    [Fact]
    public void Importing_again_changes_nothing()
    {
        byte[] zip = _store.Zip();
        _other.Take(zip);
        var before = _otherFolder.Bytes();
        ImportReport report = _other.Take(zip);
        Assert.True(report.IsDone);
        Assert.All(report.Records, record => Assert.Equal((0, false), (record.LinesAdded, record.WasNew)));
        Assert.Equal(before, _otherFolder.Bytes());
    }

    [Fact]
    public void A_record_that_is_behind_gets_the_missing_lines_and_one_that_is_ahead_keeps_its_own()
    {
        byte[] early = _store.Zip("arcade-7");
        _other.Take(early);
        _store.Append("arcade-7", Samples.Picture("late.jpg", "late"));
        _store.SaveJob(Samples.Job(title: "late"), 2, "Ada");
        ImportReport report = _other.Take(_store.Zip("arcade-7"));
        Assert.Equal([new ImportedRecord("arcade-7", 2, 7, WasNew: false)], report.Records);
        Assert.Equal(("late", 3), (_other.FindJob("arcade-7")!.Job.Title, _other.FindJob("arcade-7")!.Revision));
        Assert.Equal([new ImportedRecord("arcade-7", 0, 7, WasNew: false)], _other.Take(early).Records);
        Assert.Equal(7, _other.Evidence("arcade-7").Count);
        Assert.True(_other.Check().IsWhole);
    }

    [Fact]
    public void Records_that_parted_are_refused_with_the_line_where_they_part()
    {
        _other.Take(_store.Zip("arcade-7"));
        _other.Append("arcade-7", Samples.Note("other bench"));
        _store.Append("arcade-7", Samples.Note("this bench"));
        _store.Append("arcade-7", Samples.Note("this bench again"));
        var before = _otherFolder.Bytes();
        ImportReport report = _other.Take(_store.Zip());
        Assert.True(report.IsWhole);
        Assert.False(report.IsDone);
        Finding parting = Assert.Single(report.Findings);
        Assert.Equal(("import.records-part", "record arcade-7, line 6"), (parting.Code, parting.Where));
        Assert.Equal(before, _otherFolder.Bytes());
        // The records that did not part can be taken by name.
        Assert.Equal(["mill-3"], _other.Take(_store.Zip(), "mill-3").Records.Select(record => record.Id));
        Assert.Equal("import.no-such-record", Assert.Single(_other.Take(_store.Zip(), "ghost").Findings).Code);
    }

    [Fact]
    public void Any_zip_program_reads_an_export()
    {
        using ZipArchive zip = new(new MemoryStream(_store.Zip("arcade-7")), ZipArchiveMode.Read);
        string[] names = [.. zip.Entries.Select(entry => entry.FullName)];
        Assert.Equal(["manifest.json", "job.json", "evidence.jsonl"], names[..3]);
        Assert.Equal(2, names[3..].Count(name => name.StartsWith("files/", StringComparison.Ordinal)));
        foreach (ZipArchiveEntry entry in zip.Entries.Skip(3))
        {
            using MemoryStream content = new();
            using Stream stream = entry.Open();
            stream.CopyTo(content);
            Assert.Equal(entry.Name, EvidenceChain.FileHash(content.ToArray()));
        }
    }

    [Fact]
    public void The_plain_zip_agrees_with_the_systems_zip_for_any_content() =>
        Gen
            .Byte.Array[0, 300]
            .Array[1, 6]
            .Sample(contents =>
            {
                using MemoryStream stream = new();
                PlainZipWriter writer = new(stream, "memory");
                for (int number = 0; number < contents.Length; number++)
                {
                    byte[] content = contents[number];
                    writer.Add($"files/{number}", target => target.Write(content));
                }
                writer.Finish();
                using ZipArchive zip = new(new MemoryStream(stream.ToArray()), ZipArchiveMode.Read);
                return zip.Entries.Count == contents.Length
                    && zip.Entries.Zip(contents).All(pair => Content(pair.First).AsSpan().SequenceEqual(pair.Second));
            });

    [Fact]
    public void Checksum_is_the_published_one()
    {
        // CRC-32/ISO-HDLC check value of the digits 1 to 9, as catalogued for this polynomial.
        Crc32 crc = new();
        crc.Add("12345"u8);
        crc.Add("6789"u8);
        Assert.Equal(0xCBF43926u, crc.Value);
    }

    [Fact]
    public void An_export_appears_whole_or_not_at_all()
    {
        string target = _folder.File("out.zip");
        ExportReport report = _store.Export(["arcade-7"], target, stop: TestContext.Current.CancellationToken);
        Assert.Equal(report.Bytes, new FileInfo(target).Length);
        Assert.Equal(_store.Zip("arcade-7"), File.ReadAllBytes(target));
        byte[] before = File.ReadAllBytes(target);
        Assert.Throws<StoreException>(() =>
            _store.Export(["mill-3"], target, stop: TestContext.Current.CancellationToken)
        );
        Assert.Equal(before, File.ReadAllBytes(target));
        _store.Export(["mill-3"], target, overwrite: true, TestContext.Current.CancellationToken);
        Assert.NotEqual(before, File.ReadAllBytes(target));
        using CancellationTokenSource stopped = new();
        stopped.Cancel();
        Assert.Throws<OperationCanceledException>(() =>
            _store.Export(null, _folder.File("b.zip"), stop: stopped.Token)
        );
        Assert.Throws<StoreException>(() =>
            _store.Export(null, _folder.File("no/such/folder.zip"), stop: TestContext.Current.CancellationToken)
        );
        Assert.Equal([target], Directory.GetFiles(_folder.Path, "*zip*"));
    }

    [Fact]
    public void A_record_that_is_not_there_or_not_whole_is_not_exported()
    {
        Assert.Throws<UnknownRecordException>(() => _store.Zip("nobody"));
        Assert.Throws<StoreException>(() => _other.Zip());
        _folder.Tamper("UPDATE evidence SET who = 'Eve' WHERE record_id = 'arcade-7' AND sequence = 2");
        StoreException refusal = Assert.Throws<StoreException>(() => _store.Zip());
        Assert.Contains("record arcade-7, line 2", refusal.Message, StringComparison.Ordinal);
        Assert.NotEmpty(_store.Zip("mill-3"));
    }

    [Fact]
    public void A_zip_that_cannot_be_opened_is_said()
    {
        Assert.Throws<StoreException>(() =>
            _store.Import(_folder.File("none.zip"), null, TestContext.Current.CancellationToken)
        );
        Assert.Throws<StoreException>(() => _store.Import(_folder.Path, null, TestContext.Current.CancellationToken));
    }

    public void Dispose()
    {
        _store.Dispose();
        _other.Dispose();
        _folder.Dispose();
        _otherFolder.Dispose();
    }

    private static byte[] Content(ZipArchiveEntry entry)
    {
        using MemoryStream content = new();
        using Stream stream = entry.Open();
        stream.CopyTo(content);
        return content.ToArray();
    }
}
