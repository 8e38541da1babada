using System.Data.Common;
using System.Text;
using Graftbench.Store.Tests.Support;
using Microsoft.Data.Sqlite;

namespace Graftbench.Store.Tests;

public abstract class EvidenceTests : IDisposable
{
    private readonly TestFolder _folder;
    private readonly BenchStore _store;

    protected EvidenceTests(StoreKind kind)
    {
        _folder = new(kind);
        _store = _folder.Open();
        _store.SaveJob(Samples.Job(), 0, "Ada");
    }

    [Fact]
    public void A_line_comes_back_as_it_was_acknowledged()
    {
        EvidenceLine note = _store.Append("arcade-7", Samples.Note("10 °C, \"ok\"\n\u0000, 日本, 🙂"));
        EvidenceLine picture = _store.Append("arcade-7", Samples.Picture("a.jpg", "bytes"));
        Assert.Equal([note, picture], _store.Evidence("arcade-7").Skip(1));
        Assert.Equal([picture], _store.Evidence("arcade-7", 2));
        Assert.Equal(note.Sha256, picture.PreviousSha256);
        Assert.Equal(EvidenceChain.Hash(picture), picture.Sha256);
        Assert.Equal(("a.jpg", "image/jpeg"), (picture.FileName, picture.FileMediaType));
    }

    [Fact]
    public void A_file_comes_back_whole_and_in_parts()
    {
        EvidenceLine line = _store.Append("arcade-7", Samples.Picture("a.jpg", "first bytes"));
        StoredFile file = _store.FindFile(line.FileSha256!)!;
        Assert.Equal(
            ("a.jpg", "image/jpeg", "first bytes"),
            (file.Name, file.MediaType, Encoding.UTF8.GetString(file.Bytes))
        );
        using Stream stream = _store.OpenFile(line.FileSha256!)!;
        stream.Position = 6;
        Assert.Equal("bytes", new StreamReader(stream).ReadToEnd());
        Assert.Null(_store.FindFile(EvidenceChain.Start));
        Assert.Null(_store.OpenFile(EvidenceChain.Start));
    }

    [Fact]
    public void The_same_file_is_kept_once_under_each_name_it_came_with()
    {
        EvidenceLine one = _store.Append("arcade-7", Samples.Picture("a.jpg", "same"));
        EvidenceLine two = _store.Append("arcade-7", Samples.Picture("b.jpg", "same"));
        Assert.Equal(one.FileSha256, two.FileSha256);
        Assert.Equal(["a.jpg", "b.jpg"], _store.Evidence("arcade-7").Skip(1).Select(line => line.FileName));
        Assert.Equal(1, _store.Records()[0].Files);
    }

    [Fact]
    public void An_empty_file_is_a_file()
    {
        EvidenceLine line = _store.Append("arcade-7", Samples.Picture("empty.jpg", ""));
        Assert.Empty(_store.FindFile(line.FileSha256!)!.Bytes);
        using Stream stream = _store.OpenFile(line.FileSha256!)!;
        Assert.Equal(0, stream.Length);
        Assert.True(_store.Check().IsWhole);
    }

    [Fact]
    public void An_altered_file_is_not_handed_out()
    {
        EvidenceLine line = _store.Append("arcade-7", Samples.Picture("a.jpg", "bytes"));
        _folder.Tamper("UPDATE file SET content = x'00'");
        Assert.Throws<StoreException>(() => _store.FindFile(line.FileSha256!));
    }

    [Fact]
    public void Evidence_for_a_job_that_is_not_there_is_refused()
    {
        UnknownRecordException refusal = Assert.Throws<UnknownRecordException>(() =>
            _store.Append("arcade-8", Samples.Note("lost"))
        );
        Assert.Equal("arcade-8", refusal.Id);
        Assert.Equal(["arcade-7"], _store.Records().Select(record => record.Id));
    }

    [Fact]
    public void The_shops_own_record_needs_no_job()
    {
        Assert.Equal(1, _store.Append(BenchStore.ShopRecord, Samples.Note("new dryer")).Sequence);
        Assert.Equal(2, _store.Append(BenchStore.ShopRecord, Samples.Note("calibrated")).Sequence);
    }

    public static readonly TheoryData<string, string, string, string, string> Refused = new()
    {
        // who, kind, payload, file name, media type
        { "", "note", "{}", "a.jpg", "image/jpeg" },
        { " ", "note", "{}", "a.jpg", "image/jpeg" },
        { new string('x', 81), "note", "{}", "a.jpg", "image/jpeg" },
        { "A\nda", "note", "{}", "a.jpg", "image/jpeg" },
        { "A\ud800", "note", "{}", "a.jpg", "image/jpeg" },
        { "Ada", "", "{}", "a.jpg", "image/jpeg" },
        { "Ada", "Note", "{}", "a.jpg", "image/jpeg" },
        { "Ada", "1note", "{}", "a.jpg", "image/jpeg" },
        { "Ada", "job-saved", "{}", "a.jpg", "image/jpeg" },
        { "Ada", "shelf-saved", "{}", "a.jpg", "image/jpeg" },
        { "Ada", "note", "", "a.jpg", "image/jpeg" },
        { "Ada", "note", "{", "a.jpg", "image/jpeg" },
        { "Ada", "note", "{} {}", "a.jpg", "image/jpeg" },
        { "Ada", "note", "{\"v\":NaN}", "a.jpg", "image/jpeg" },
        { "Ada", "note", "\"\ud800\"", "a.jpg", "image/jpeg" },
        { "Ada", "note", "{}", "", "image/jpeg" },
        { "Ada", "note", "{}", "..", "image/jpeg" },
        { "Ada", "note", "{}", "a/b.jpg", "image/jpeg" },
        { "Ada", "note", "{}", "a\\b.jpg", "image/jpeg" },
        { "Ada", "note", "{}", "a\0.jpg", "image/jpeg" },
        { "Ada", "note", "{}", "a.jpg", "jpeg" },
        { "Ada", "note", "{}", "a.jpg", "image/jp eg" },
        { "Ada", "note", "{}", "a.jpg", "image/jpeg; x=\n" },
    };

    [Theory, MemberData(nameof(Refused))]
    public void A_line_that_breaks_a_rule_is_refused(string who, string kind, string payload, string name, string type)
    {
        EvidenceDraft draft = new(who, kind, payload, new StoredFile(name, type, [1]));
        Assert.Throws<ArgumentException>(() => _store.Append("arcade-7", draft));
        Assert.Single(_store.Evidence("arcade-7"));
        Assert.Equal(0, _store.Records()[0].Files);
    }

    [Theory]
    [InlineData("UPDATE evidence SET payload = '{}'")]
    [InlineData("DELETE FROM evidence")]
    [InlineData("INSERT OR REPLACE INTO evidence SELECT * FROM evidence")]
    [InlineData(
        "INSERT INTO evidence SELECT 99, record_id, sequence + 1, at, who, kind, payload, NULL, NULL, NULL, previous_sha256, sha256 FROM evidence WHERE sequence = 2"
    )]
    [InlineData("UPDATE file SET content = x'00'")]
    [InlineData("DELETE FROM file")]
    [InlineData("INSERT OR REPLACE INTO file SELECT id, sha256, length, x'00' FROM file")]
    [InlineData("UPDATE record SET lines = 1")]
    [InlineData("DELETE FROM record")]
    [InlineData("INSERT OR REPLACE INTO record VALUES ('arcade-7', 0, '')")]
    public void The_database_itself_bars_changes(string sql)
    {
        _store.Append("arcade-7", Samples.Picture("a.jpg", "bytes"));
        using DbConnection connection = _folder.Raw();
        DbException refusal = Assert.ThrowsAny<DbException>(() => connection.Run(_folder.Spelled(sql)));
        if (refusal is SqliteException sqlite)
        {
            Assert.Equal(SQLitePCL.raw.SQLITE_CONSTRAINT, sqlite.SqliteErrorCode);
        }
        else
        {
            // A guard, or the key that allows no second row.
            Assert.Contains(refusal.SqlState, new[] { "P0001", "23505" });
        }
        Assert.True(_store.Check().IsWhole);
    }

    public void Dispose()
    {
        _store.Dispose();
        _folder.Dispose();
    }
}
