using System.Text;
using CsCheck;
using Graftbench.Core.Findings;
using Graftbench.Store.Tests.Support;
using Microsoft.Data.Sqlite;

namespace Graftbench.Store.Tests;

public sealed class TamperTests : IDisposable
{
    private readonly TestFolder _folder = new();
    private readonly BenchStore _store;

    public TamperTests()
    {
        _store = _folder.Open();
        Samples.Fill(_store);
    }

    [Fact]
    public void An_untouched_store_is_whole_and_names_every_head()
    {
        StoreCheck check = _store.Check();
        Assert.True(check.IsWhole);
        Assert.Equal(["record.whole"], check.Findings.Select(finding => finding.Code).Distinct());
        Assert.Equal(
            [("arcade-7", 5L, 2), ("mill-3", 2L, 1), ("shop", 3L, 0)],
            check.Records.Select(record => (record.Id, record.Lines, record.Files))
        );
        Assert.Equal(_store.Evidence("mill-3")[^1].Sha256, check.Records[1].HeadSha256);
    }

    public static readonly TheoryData<string, string> Changes = new()
    {
        {
            "UPDATE evidence SET payload = payload || ' ' WHERE record_id = 'arcade-7' AND sequence = 2",
            "record.line-altered"
        },
        // Readers of text stop at a zero byte; what lies behind it must count all the same.
        {
            "UPDATE evidence SET payload = payload || char(0) || 'x' WHERE record_id = 'arcade-7' AND sequence = 2",
            "record.line-altered"
        },
        { "UPDATE evidence SET who = 'Eve' WHERE record_id = 'arcade-7' AND sequence = 1", "record.line-altered" },
        {
            "UPDATE evidence SET at = '2026-01-31T09:05:01.0000000Z' WHERE record_id = 'arcade-7' AND sequence = 5",
            "record.line-altered"
        },
        {
            "UPDATE evidence SET at = 'yesterday' WHERE record_id = 'arcade-7' AND sequence = 5",
            "record.time-unreadable"
        },
        {
            "UPDATE evidence SET kind = 'decision' WHERE record_id = 'arcade-7' AND sequence = 2",
            "record.line-altered"
        },
        {
            "UPDATE evidence SET file_name = 'x.jpg' WHERE record_id = 'arcade-7' AND sequence = 3",
            "record.line-altered"
        },
        {
            "UPDATE evidence SET file_media_type = NULL WHERE record_id = 'arcade-7' AND sequence = 3",
            "record.line-altered"
        },
        {
            "UPDATE evidence SET file_sha256 = NULL WHERE record_id = 'arcade-7' AND sequence = 3",
            "record.line-altered"
        },
        {
            "UPDATE evidence SET file_sha256 = 'zz' WHERE record_id = 'arcade-7' AND sequence = 3",
            "record.line-altered"
        },
        {
            "UPDATE evidence SET sha256 = upper(sha256) WHERE record_id = 'arcade-7' AND sequence = 3",
            "record.line-altered"
        },
        {
            "UPDATE evidence SET previous_sha256 = '' WHERE record_id = 'arcade-7' AND sequence = 3",
            "record.chain-broken"
        },
        {
            "UPDATE evidence SET record_id = 'mill-3', sequence = 3 WHERE record_id = 'arcade-7' AND sequence = 5",
            "record.lines-missing-at-end"
        },
        { "UPDATE evidence SET sequence = 7 WHERE record_id = 'arcade-7' AND sequence = 5", "record.gap" },
        { "DELETE FROM evidence WHERE record_id = 'arcade-7' AND sequence = 1", "record.gap" },
        { "DELETE FROM evidence WHERE record_id = 'arcade-7' AND sequence = 3", "record.gap" },
        { "DELETE FROM evidence WHERE record_id = 'arcade-7' AND sequence = 5", "record.lines-missing-at-end" },
        { "DELETE FROM evidence WHERE record_id = 'arcade-7'", "record.lines-missing-at-end" },
        { "DELETE FROM evidence; DELETE FROM record", "record.job-without-evidence" },
        { "DELETE FROM record WHERE id = 'arcade-7'", "record.unlisted" },
        { "UPDATE record SET lines = 4 WHERE id = 'arcade-7'", "record.head-differs" },
        { "UPDATE file SET content = CAST(x'00' || content AS BLOB)", "record.file-altered" },
        { "UPDATE file SET content = zeroblob(length(content))", "record.file-altered" },
        { "DELETE FROM file", "record.file-missing" },
        { "INSERT INTO file VALUES (99, '00', 1, x'00')", "store.file-without-evidence" },
        { "UPDATE job SET document = replace(document, '210', '200') WHERE id = 'arcade-7'", "record.job-differs" },
        { "UPDATE job SET revision = 9 WHERE id = 'arcade-7'", "record.job-differs" },
        { "UPDATE job SET changed_at = '2026-01-31T09:05:01.0000000Z' WHERE id = 'arcade-7'", "record.job-differs" },
        { "DELETE FROM job WHERE id = 'arcade-7'", "record.job-missing" },
        { "INSERT INTO job VALUES ('ghost', 1, '2026-01-31T09:05:01.0000000Z', '{}')", "record.job-without-evidence" },
        { "UPDATE shelf SET title = 'Donor, sound'", "record.shelf-differs" },
        { "UPDATE shelf SET revision = 7", "record.shelf-differs" },
        { "DELETE FROM shelf", "record.shelf-differs" },
        {
            "INSERT INTO shelf VALUES ('b2', 'board', 'T', 1, '2026-01-31T09:05:01.0000000Z', '{}')",
            "record.shelf-differs"
        },
        { "CREATE TABLE spy (a TEXT)", "store.guard-altered" },
        { "DROP INDEX evidence_by_file", "store.guard-altered" },
    };

    [Theory, MemberData(nameof(Changes))]
    public void A_change_beside_the_program_is_found(string sql, string code)
    {
        Samples.Tamper(_folder.StoreFile, sql);
        StoreCheck check = _store.Check();
        Assert.False(check.IsWhole);
        Finding found = Assert.Single(check.Findings.Where(finding => finding.Code == code).Take(1));
        Assert.True(found.Verdict is Verdict.Blocker or Verdict.FixFirst);
        Assert.NotEmpty(found.Todo!);
    }

    [Fact]
    public void Guards_taken_out_are_found_even_when_nothing_else_was_changed()
    {
        Samples.Tamper(_folder.StoreFile, "");
        StoreCheck check = _store.Check();
        Assert.False(check.IsWhole);
        Assert.Equal(8, check.Findings.Count(finding => finding.Code == "store.guard-altered"));
    }

    [Fact]
    public void A_sound_record_is_still_called_whole_beside_a_broken_one()
    {
        Samples.Tamper(
            _folder.StoreFile,
            "UPDATE evidence SET who = 'Eve' WHERE record_id = 'arcade-7' AND sequence = 2"
        );
        StoreCheck check = _store.Check();
        Assert.Equal(
            ["record mill-3", "record shop"],
            check.Findings.Where(f => f.Code == "record.whole").Select(f => f.Where)
        );
        Assert.Equal("record arcade-7, line 2", check.Findings.First(f => f.Code == "record.line-altered").Where);
    }

    [Fact]
    public void Any_byte_changed_in_any_text_of_any_line_is_found()
    {
        int altered = 0;
        Gen.Select(
                Gen.Int[1, 5],
                Gen.OneOf("at", "who", "kind", "payload", "file_name", "sha256"),
                Gen.Int[1, 40],
                Gen.Int[1, 255]
            )
            .Sample(
                (sequence, column, place, shift) =>
                {
                    using TestFolder folder = new();
                    Copy(_folder.StoreFile, folder.StoreFile);
                    if (!TryAlter(folder.StoreFile, column, sequence, place, shift))
                    {
                        return true;
                    }
                    Interlocked.Increment(ref altered);
                    using BenchStore store = folder.Open();
                    return store.Check("arcade-7").Findings.Any(finding => finding.Code is "record.line-altered");
                },
                iter: 60
            );
        // Only lines without a file have no file name to alter.
        Assert.InRange(altered, 30, 60);
    }

    [Fact]
    public void A_head_noted_on_paper_shows_what_came_since()
    {
        IReadOnlyList<EvidenceLine> lines = _store.Evidence("arcade-7");
        Finding last = NotedHead(lines[4].Sha256);
        Assert.Equal((Verdict.Ok, "record.noted-head", "line 5"), (last.Verdict, last.Code, last.Value));
        Finding earlier = NotedHead(lines[2].Sha256);
        Assert.Equal((Verdict.Ok, "record.noted-head", "line 3"), (earlier.Verdict, earlier.Code, earlier.Value));
        Assert.Contains("2 lines were added since", earlier.What, StringComparison.Ordinal);
        Assert.Equal(Verdict.Blocker, NotedHead(_store.Evidence("mill-3")[0].Sha256).Verdict);
    }

    [Fact]
    public void A_record_rewritten_as_a_whole_is_shown_only_by_the_noted_head()
    {
        string noted = _store.Evidence("arcade-7")[^1].Sha256;
        using TestFolder forged = new();
        using BenchStore other = forged.Open();
        Samples.Fill(other);
        other.Append("arcade-7", Samples.Note("one line more"));
        // The forger's own store is whole in itself: that is what a chain cannot show.
        Assert.True(other.Check().IsWhole);
        Assert.True(other.Check("arcade-7", noted).IsWhole);
        using TestFolder rewritten = new();
        using BenchStore third = rewritten.Open(new StepTime(StepTime.Start.AddSeconds(1)));
        Samples.Fill(third);
        Assert.True(third.Check().IsWhole);
        Assert.False(third.Check("arcade-7", noted).IsWhole);
    }

    [Fact]
    public void A_clock_set_back_is_a_warning_and_breaks_nothing()
    {
        using TestFolder folder = new();
        StepTime clock = new();
        using BenchStore store = folder.Open(clock);
        store.SaveJob(Samples.Job(), 0, "Ada");
        clock.SetBack(TimeSpan.FromHours(1));
        store.Append("arcade-7", Samples.Note("an hour earlier"));
        StoreCheck check = store.Check();
        Assert.True(check.IsWhole);
        Assert.Equal(
            Verdict.Warning,
            check.Findings.Single(finding => finding.Code == "record.time-backwards").Verdict
        );
    }

    [Fact]
    public void Damaged_pages_are_findings_not_exceptions()
    {
        for (int number = 0; number < 200; number++)
        {
            _store.Append("arcade-7", Samples.Note($"{number} {new string('x', 500)}"));
        }
        _store.Dispose();
        byte[] bytes = File.ReadAllBytes(_folder.StoreFile);
        int page = bytes.AsSpan().LastIndexOf(Encoding.UTF8.GetBytes(new string('x', 500))) / 4096 * 4096;
        bytes.AsSpan(page, 4096).Fill(0xA5);
        File.WriteAllBytes(_folder.StoreFile, bytes);
        using BenchStore store = _folder.Open();
        StoreCheck check = store.Check();
        Assert.False(check.IsWhole);
        Assert.Contains(check.Findings, finding => finding.Code == "store.damaged");
        Assert.Throws<StoreException>(() => store.Zip("arcade-7"));
    }

    [Fact]
    public void A_record_that_is_not_there_is_said() =>
        Assert.Throws<UnknownRecordException>(() => _store.Check("nobody"));

    public void Dispose()
    {
        _store.Dispose();
        _folder.Dispose();
    }

    private Finding NotedHead(string head) =>
        _store
            .Check("arcade-7", head)
            .Findings.Single(f => f.Code.StartsWith("record.noted-head", StringComparison.Ordinal));

    /// <summary>Copies a store that is in use, with what still lies in its log.</summary>
    private static void Copy(string storeFile, string target)
    {
        using SqliteConnection connection = new($"Data Source={storeFile};Pooling=False");
        connection.Open();
        connection.Run("VACUUM INTO $target", ("$target", target));
    }

    /// <summary>Changes one byte of a text; false where there is no text at that place.</summary>
    private static bool TryAlter(string storeFile, string column, int sequence, int place, int shift)
    {
        using SqliteConnection connection = new($"Data Source={storeFile};Pooling=False");
        connection.Open();
        byte[]? text =
            connection.Scalar(
                $"SELECT CAST({column} AS BLOB) FROM evidence WHERE record_id = 'arcade-7' AND sequence = {sequence}"
            ) as byte[];
        if (text is not { Length: > 0 })
        {
            return false;
        }
        text[place % text.Length] = (byte)(text[place % text.Length] + shift);
        connection.Run("DROP TRIGGER evidence_is_not_updated");
        connection.Run(
            $"UPDATE evidence SET {column} = CAST($text AS TEXT) WHERE record_id = 'arcade-7' AND sequence = {sequence}",
            ("$text", text)
        );
        return true;
    }
}
