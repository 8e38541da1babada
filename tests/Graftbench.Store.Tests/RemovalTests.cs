using System.Data.Common;
using System.IO.Compression;
using System.Text;
using Graftbench.Core.Findings;
using Graftbench.Core.Jobs;
using Graftbench.Store.Engines;
using Graftbench.Store.Tests.Support;
using static Graftbench.Store.Tests.Support.PersonalSamples;

namespace Graftbench.Store.Tests;

/// <summary>Personal data goes on request; the technical evidence and the chain stay.</summary>
public abstract class RemovalTests : IDisposable
{
    private readonly StoreKind _kind;
    private readonly TestFolder _folder;
    private readonly BenchStore _store;

    protected RemovalTests(StoreKind kind)
    {
        _kind = kind;
        _folder = new(kind);
        _store = _folder.Open();
        Fill(_store);
    }

    [Fact]
    public void A_look_names_every_place_and_changes_nothing()
    {
        var before = _folder.Bytes();
        PersonalDataLook look = _store.LookForPersonalData(Request());
        Assert.Empty(look.Problems);
        Assert.Equal(
            [
                (1L, "title"),
                (1L, "machine.owner"),
                (1L, "machine.authority"),
                (2L, "machine.owner"),
                (2L, "machine.authority"),
                (3L, "note"),
                (4L, "note"),
                (5L, "readings.csv"),
                (5L, "raw"),
                (7L, "name of the file"),
                (11L, "setup.note"),
            ],
            look.Places.Where(place => place.Sequence is not null).Select(place => (place.Sequence!.Value, place.Path))
        );
        Assert.Equal(
            ["note", "mark 1"],
            look.Places.Where(place => place.Sequence is null).Select(place => place.Path)
        );
        Assert.Equal(
            ("Anna Nováková, Brno", "[removed]"),
            look.Places.Where(place => place.Path == "machine.owner")
                .Select(place => (place.Before, place.After))
                .First()
        );
        Assert.Equal(
            "Letter of [removed], [removed]",
            look.Places.First(place => place.Path == "machine.authority").After
        );
        Assert.Equal(
            [FileHolding.NotSearched, FileHolding.Holds, FileHolding.HoldsNone, FileHolding.Holds, FileHolding.Holds],
            look.Files.Select(file => file.Holding)
        );
        Assert.Equal(["mill-3"], look.Files[3].AlsoIn);
        Assert.Equal(["mill-3"], look.OtherJobs.Select(job => job.Id));
        Assert.Equal([1L], look.ShopLines);
        Assert.Equal(before, _folder.Bytes());
    }

    [Fact]
    public void Nothing_of_the_job_holds_the_words_afterwards_and_the_chain_verifies()
    {
        List<(string Sha, string Previous)> chain = Chain();
        string technical = _store.Evidence(JobId)[5].PayloadJson;
        RemovalReport report = Remove(_store, Request(Sha(Html), Sha(Photo), HeatLog(_store)));
        Assert.Equal((7, 3, 1), (report.Note.Lines.Count, report.Note.Files.Count, report.Note.Runs.Count));
        Assert.False(Holds(AllOf(_store, JobId).Replace(Shared, "", StringComparison.Ordinal)));
        Assert.DoesNotContain("Brno", _store.FindJob(JobId)!.Job.Machine.Owner, StringComparison.Ordinal);
        Assert.Equal(["mill-3"], Found("Nováková"));
        Assert.Equal([JobId], Found("arcade"));
        // The chain of old stands, and goes on.
        Assert.Equal(chain, Chain().Take(chain.Count));
        StoreCheck check = _store.Check();
        Assert.True(check.IsWhole);
        Assert.Contains(
            "but 7 lines and 3 files emptied on request",
            check.Findings.Single(finding => finding is { Code: "record.whole", Where: "record arcade-7" }).What,
            StringComparison.Ordinal
        );
        Assert.Contains(
            "7 lines and 3 files emptied on request on 2026-01-31 by Olga: asked by letter",
            check.Findings.Single(finding => finding.Code == "record.emptied-on-request").What,
            StringComparison.Ordinal
        );
        // What is no personal data is there to the byte.
        Assert.Equal(technical, _store.Evidence(JobId)[5].PayloadJson);
        Assert.Equal("""{ "note" : "[removed]", "peakC":  231.50 }""", _store.Evidence(JobId)[3].PayloadJson);
        Assert.Equal("SN-20771", _store.FindJob(JobId, 1)!.Job.Machine.Serial);
        Assert.Equal(2, _store.Samples(_store.Runs(JobId).Single().Id, 0).Count);
        Assert.Equal(Plain, Encoding.UTF8.GetString(_store.FindFile(Sha(Plain))!.Bytes));
        // Other records are as they were.
        Assert.True(Holds(AllOf(_store, "mill-3")));
        Assert.Equal(report.Line, _store.Evidence(JobId)[^1]);
    }

    [Fact]
    public void Other_names_that_the_owners_field_had_are_said()
    {
        Job job = _store.FindJob(JobId)!.Job;
        _store.SaveJob(job with { Machine = job.Machine with { Owner = "A. N., Brno" } }, 2, "Ada");
        Assert.Equal(["A. N., Brno"], _store.LookForPersonalData(Request()).OtherOwners);
        Assert.Equal(
            ["A. N., Brno", "Anna Nováková, Brno"],
            _store.LookForPersonalData(new RemovalRequest(JobId, [], [])).OtherOwners
        );
    }

    [Fact]
    public void Emptied_files_are_gone_by_every_way_and_say_so()
    {
        Remove(_store, Request(Sha(Photo)));
        Assert.Null(_store.FindFile(Sha(Photo)));
        Assert.Null(_store.OpenFile(Sha(Photo)));
        Assert.True(_store.IsEmptied(Sha(Photo)));
        Assert.IsType<FileRemovedException>(_store.WhyNoFile("A picture", Sha(Photo)));
        Assert.IsNotType<FileRemovedException>(_store.WhyNoFile("A picture", Sha("nobody")));
        Assert.Equal(
            FileHolding.Emptied,
            _store.LookForPersonalData(Request()).Files.Single(file => file.Sha256 == Sha(Photo)).Holding
        );
    }

    [Fact]
    public void A_file_that_another_record_refers_to_stays_and_is_named()
    {
        PersonalDataLook look = _store.LookForPersonalData(Request(Sha(Shared), Sha(Html)));
        Assert.Equal(1, look.FilesNumber);
        Assert.Contains(
            look.Stays,
            stays =>
                stays.Contains("shared.txt", StringComparison.Ordinal)
                && stays.Contains("mill-3", StringComparison.Ordinal)
        );
        Assert.Equal(
            [Sha(Html)],
            Remove(_store, Request(Sha(Shared), Sha(Html))).Note.Files.Select(file => file.Sha256)
        );
        Assert.NotNull(_store.FindFile(Sha(Shared)));
        Assert.True(_store.Check().IsWhole);
    }

    [Fact]
    public void Bytes_that_are_stored_again_are_there_again()
    {
        Remove(_store, Request(Sha(Photo)));
        File(_store, "mill-3", "photo.jpg", "image/jpeg", Photo);
        Assert.Equal(Photo, Encoding.UTF8.GetString(_store.FindFile(Sha(Photo))!.Bytes));
        Assert.True(_store.Check().IsWhole);
    }

    [Fact]
    public void A_second_removal_may_change_what_the_first_left()
    {
        Remove(_store, Request(), why: "asked by the owner of Brno street");
        RemovalRequest second = new(JobId, ["called", "street"], [Sha(Photo)]);
        RemovalReport report = Remove(_store, second);
        // The line of the first removal among them.
        Assert.Equal([3L, 13L], report.Note.Lines.Select(line => line.Sequence));
        Assert.Contains(
            "[removed] [removed], chip lifted",
            _store.Evidence(JobId)[2].PayloadJson,
            StringComparison.Ordinal
        );
        StoreCheck check = _store.Check();
        Assert.True(check.IsWhole);
        Assert.Equal(2, check.Findings.Count(finding => finding.Code == "record.emptied-on-request"));
        Assert.True(_store.Take(_store.Zip()).IsDone);
    }

    [Fact]
    public void Every_flipped_byte_of_an_emptied_line_and_of_the_removal_is_found()
    {
        RemovalReport report = Remove(_store, Request(Sha(Photo)));
        string[] columns =
        [
            "payload",
            "who",
            "kind",
            "at",
            "file_name",
            "file_media_type",
            "sha256",
            "previous_sha256",
        ];
        Random random = new(7);
        foreach (RemovedLine line in report.Note.Lines.Append(new RemovedLine(report.Line.Sequence, "")))
        {
            foreach (string column in columns)
            {
                string where = $"WHERE record_id = '{JobId}' AND sequence = {line.Sequence}";
                using DbConnection connection = _folder.Raw();
                string? old = connection.Scalar($"SELECT {column} FROM evidence {where}") as string;
                if (old is null)
                {
                    continue;
                }
                char[] letters = old.ToCharArray();
                int at = random.Next(letters.Length);
                letters[at] = letters[at] == '0' ? '1' : '0';
                _folder.Tamper($"UPDATE evidence SET {column} = '{Quoted(new string(letters))}' {where}");
                // The guards that were taken off for it are no finding of the record.
                Assert.True(
                    _store
                        .Check(JobId)
                        .Findings.Any(finding =>
                            finding.Code.StartsWith("record.", StringComparison.Ordinal)
                            && finding.Verdict is Verdict.Blocker
                        ),
                    $"line {line.Sequence}, {column}, character {at}"
                );
                _folder.Tamper($"UPDATE evidence SET {column} = '{Quoted(old)}' {where}");
                Assert.DoesNotContain(
                    _store.Check(JobId).Findings,
                    finding =>
                        finding.Code.StartsWith("record.", StringComparison.Ordinal)
                        && finding.Verdict <= Verdict.Warning
                );
            }
        }
    }

    [Fact]
    public void A_removal_answers_for_no_other_line_or_file()
    {
        Remove(_store, Request(Sha(Photo)));
        _folder.Tamper($"UPDATE evidence SET payload = '{{}}' WHERE record_id = '{JobId}' AND sequence = 6");
        Assert.Contains(_store.Check().Findings, finding => finding.Code == "record.line-altered");
        _folder.Tamper(
            $"UPDATE file SET content = zeroblob(0) WHERE sha256 = '{Sha(Plain)}'".Replace(
                "zeroblob(0)",
                _kind == StoreKind.Sqlite ? "x''" : "''",
                StringComparison.Ordinal
            )
        );
        Assert.Contains(_store.Check().Findings, finding => finding.Code == "record.file-altered");
    }

    [Fact]
    public void A_line_that_holds_its_data_again_is_named()
    {
        string old = _store.Evidence(JobId)[2].PayloadJson;
        Remove(_store, Request());
        _folder.Tamper($"UPDATE evidence SET payload = '{Quoted(old)}' WHERE record_id = '{JobId}' AND sequence = 3");
        Assert.Contains(_store.Check().Findings, finding => finding.Code == "record.removal-undone");
    }

    [Fact]
    public void An_altered_record_is_not_laundered_by_a_removal()
    {
        _folder.Tamper(
            $"UPDATE evidence SET payload = '{{\"note\":\"Anna Nováková: pass\"}}' WHERE record_id = '{JobId}' AND sequence = 3"
        );
        Assert.Contains(
            _store.LookForPersonalData(Request()).Problems,
            problem => problem.Contains("not whole", StringComparison.Ordinal)
        );
        Assert.Throws<RemovalRefusedException>(() => Remove(_store, Request()));
    }

    public static readonly TheoryData<string> Barred =
    [
        "UPDATE evidence SET payload = '{}' WHERE record_id = 'arcade-7' AND sequence = 6",
        "UPDATE evidence SET who = 'Eve' WHERE record_id = 'arcade-7' AND sequence = 3",
        "UPDATE evidence SET sha256 = previous_sha256 WHERE record_id = 'arcade-7' AND sequence = 3",
        "UPDATE evidence SET file_name = NULL WHERE record_id = 'arcade-7' AND sequence = 7",
        "UPDATE evidence SET payload = '{}' WHERE record_id = 'arcade-7' AND sequence = 13",
        "UPDATE evidence SET payload = '{}' WHERE record_id = 'mill-3' AND sequence = 1",
        "DELETE FROM evidence WHERE record_id = 'arcade-7' AND sequence = 3",
        "UPDATE file SET content = x'00'",
        "UPDATE file SET length = 0",
        "DELETE FROM file",
        "UPDATE heat_mark SET kind = 'cue' WHERE sequence = 1",
        "UPDATE heat_run SET who = 'Eve'",
        "UPDATE heat_run SET state = 'running'",
    ];

    [Theory, MemberData(nameof(Barred))]
    public void The_guards_let_nothing_else_through(string sql)
    {
        Remove(_store, Request(Sha(Photo)));
        using DbConnection connection = _folder.Raw();
        Assert.ThrowsAny<DbException>(() => connection.Run(_folder.Spelled(sql)));
        Assert.True(_store.Check().IsWhole);
    }

    [Theory]
    [InlineData("UPDATE evidence SET payload = '{}' WHERE record_id = 'arcade-7' AND sequence = 3")]
    [InlineData("UPDATE heat_mark SET text = ''")]
    [InlineData("UPDATE heat_run SET setup = '{}'")]
    public void Before_a_removal_the_guards_let_nothing_through(string sql)
    {
        using DbConnection connection = _folder.Raw();
        Assert.ThrowsAny<DbException>(() => connection.Run(sql));
    }

    [Fact]
    public void All_that_stands_against_it_is_said_at_once_and_nothing_is_done()
    {
        HeatRun run = _store.StartRun(new HeatRunDraft(JobId, "Ada", "{}", ["a"]));
        var before = _folder.Bytes();
        RemovalRequest request = new(JobId, ["ab", "---", "Anna Nováková"], ["12345678", "x"]);
        RemovalRefusedException refusal = Assert.Throws<RemovalRefusedException>(() =>
            _store.RemovePersonalData(request, "", "", "letter of Anna Novakova")
        );
        Assert.Equal(
            [
                "fewer than 3",
                "no letter",
                "being watched",
                "\"12345678\"",
                "\"x\"",
                "who does it",
                "holds one of the words",
            ],
            refusal.Problems.Select(problem =>
                new[]
                {
                    "fewer than 3",
                    "no letter",
                    "being watched",
                    "\"12345678\"",
                    "\"x\"",
                    "who does it",
                    "holds one of the words",
                }.First(part => problem.Contains(part, StringComparison.Ordinal))
            )
        );
        Assert.Equal(before, _folder.Bytes());
        _store.EndRun(run, HeatRunState.Ended);
        Assert.Contains(
            "at least one word",
            Assert.Single(_store.LookForPersonalData(new RemovalRequest(JobId, [], [])).Problems),
            StringComparison.Ordinal
        );
        Assert.Throws<RemovalRefusedException>(() => Remove(_store, new RemovalRequest(JobId, ["nobody at all"], [])));
        Assert.Throws<UnknownRecordException>(() =>
            _store.LookForPersonalData(new RemovalRequest(BenchStore.ShopRecord, ["Anna"], []))
        );
        Assert.Throws<ArgumentException>(() =>
            _store.Append(JobId, new EvidenceDraft("Eve", EvidenceRules.PersonalDataRemoved, "{}"))
        );
    }

    [Fact]
    public void A_word_that_the_job_document_cannot_do_without_is_refused()
    {
        // "shelf" is where the chip comes from: a choice of the document.
        PersonalDataLook look = _store.LookForPersonalData(new RemovalRequest(JobId, ["shelf"], []));
        Assert.Contains(look.Problems, problem => problem.Contains("chips[0].from", StringComparison.Ordinal));
    }

    [Fact]
    public void A_title_that_is_full_gets_the_short_mark()
    {
        string title = string.Concat(Enumerable.Repeat("Eva ", 29)) + "Eva";
        _store.SaveJob(_store.FindJob(JobId)!.Job with { Title = title }, 2, "Ada");
        Remove(_store, new RemovalRequest(JobId, ["Eva"], []));
        Assert.StartsWith("[-] [-]", _store.FindJob(JobId)!.Job.Title, StringComparison.Ordinal);
        Assert.True(_store.Check().IsWhole);
    }

    [Fact]
    public void What_was_saved_after_the_look_makes_it_a_new_look()
    {
        string seen = _store.LookForPersonalData(Request()).HeadSha256;
        _store.Append(JobId, Samples.Note("Anna Nováková again"));
        var before = _folder.Bytes();
        Assert.Throws<RecordMovedException>(() => _store.RemovePersonalData(Request(), seen, "Olga", "asked"));
        Assert.Equal(before, _folder.Bytes());
        Remove(_store, Request());
        // A save that began before the removal is not put over it.
        Assert.Throws<StaleRevisionException>(() => _store.SaveJob(Job("old words"), 2, "Ada"));
    }

    [Fact]
    public async Task Who_stores_the_same_file_at_the_same_moment_keeps_it()
    {
        for (int round = 0; round < 5; round++)
        {
            string content = $"\0 picture {round}";
            File(_store, JobId, "a.jpg", "image/jpeg", content);
            using BenchStore elsewhere = _folder.Open();
            RemovalRequest request = new(JobId, [], [Sha(content)]);
            string seen = _store.LookForPersonalData(request).HeadSha256;
            await Task.WhenAll(
                Task.Run(() => File(elsewhere, "mill-3", "b.jpg", "image/jpeg", content)),
                Task.Run(() =>
                {
                    try
                    {
                        _store.RemovePersonalData(request, seen, "Olga", "asked");
                    }
                    catch (RemovalRefusedException refusal)
                    {
                        // The other was faster: the file stays for its sake.
                        Assert.Contains("no file would be emptied", refusal.Message, StringComparison.Ordinal);
                    }
                })
            );
            Assert.Equal(content, Encoding.UTF8.GetString(_store.FindFile(Sha(content))!.Bytes));
            Assert.True(_store.Check().IsWhole);
        }
    }

    [Fact]
    public void A_removal_that_breaks_off_leaves_everything()
    {
        using DbConnection connection = _folder.Raw();
        // The last step of the transaction fails.
        connection.Run(
            _kind == StoreKind.Sqlite
                ? "CREATE TRIGGER break BEFORE UPDATE ON job_list BEGIN SELECT RAISE(ABORT, 'broken'); END"
                : "CREATE TRIGGER break BEFORE UPDATE ON job_list FOR EACH ROW EXECUTE FUNCTION refuse('broken')"
        );
        var before = _folder.Bytes();
        Assert.ThrowsAny<StoreException>(() => Remove(_store, Request(Sha(Photo))));
        Assert.Equal(before, _folder.Bytes());
    }

    [Fact]
    public void Tables_hold_the_words_no_more()
    {
        Remove(_store, Request());
        using MemoryStream zip = new();
        _store.WriteTables(zip, TestContext.Current.CancellationToken);
        using ZipArchive tables = new(zip, ZipArchiveMode.Read);
        foreach (ZipArchiveEntry table in tables.Entries)
        {
            using StreamReader reader = new(table.Open());
            string own = string.Join(
                '\n',
                reader.ReadToEnd().Split('\n').Where(row => row.StartsWith(JobId, StringComparison.Ordinal))
            );
            Assert.False(Holds(own), table.FullName);
            Assert.True(
                table.Name != "evidence.csv"
                    || own.Contains(
                        "taken out of 7 lines and 1 watched heat on request: asked by letter",
                        StringComparison.Ordinal
                    )
            );
        }
    }

    private List<(string Sha, string Previous)> Chain() =>
        [.. _store.Evidence(JobId).Select(line => (line.Sha256, line.PreviousSha256))];

    private string[] Found(string words) =>
        [.. _store.FindJobs(new JobQuery { Text = words }).Jobs.Select(found => found.Job.Id)];

    private static string Quoted(string text) => text.Replace("'", "''", StringComparison.Ordinal);

    public void Dispose()
    {
        _store.Dispose();
        _folder.Dispose();
        GC.SuppressFinalize(this);
    }
}
