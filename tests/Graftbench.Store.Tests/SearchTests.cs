using System.Data.Common;
using Graftbench.Core.Jobs;
using Graftbench.Store.Tests.Support;

namespace Graftbench.Store.Tests;

public abstract class SearchTests : IDisposable
{
    private readonly TestFolder _folder;
    private readonly StoreKind _kind;
    private readonly BenchStore _store;

    protected SearchTests(StoreKind kind)
    {
        _kind = kind;
        _folder = new(kind);
        _store = _folder.Open();
        Save("first", "Mixing desk of the Škoda garage", "SP-256.A sits under a lid");
        Save("second", "Arcade board", "Großer Lüfter, 2 rails");
        Save("third", "Weather station", "nothing special", JobStage.HandedOver);
    }

    [Theory]
    [InlineData("desk", "first")]
    [InlineData("DESK mix", "first")]
    [InlineData("skoda", "first")]
    [InlineData("ŠKODA", "first")]
    [InlineData("sp-256", "first")]
    [InlineData("sp256", "first")]
    [InlineData("256 lid", "first")]
    [InlineData("grosser luf", "second")]
    [InlineData("station", "third")]
    [InlineData("desk arcade", "")]
    [InlineData("esk", "")]
    [InlineData("😀", "")]
    [InlineData("\"", "")]
    [InlineData("' OR 1=1 --", "")]
    [InlineData("*", "")]
    [InlineData("NEAR(desk arcade)", "")]
    [InlineData("", "third second first")]
    [InlineData("   ", "third second first")]
    public void Words_find_jobs_by_their_beginnings(string text, string expected) =>
        Assert.Equal(expected, Ids(new JobQuery { Text = text }));

    [Fact]
    public void Evidence_is_searched_too_and_stays_when_the_job_is_saved_again()
    {
        _store.Append("second", Samples.Note("flux residue at corner A1"));
        Assert.Equal("second", Ids(new JobQuery { Text = "residue" }));
        Save("second", "Arcade board, cleaned", "x");
        Assert.Equal("second", Ids(new JobQuery { Text = "residue cleaned" }));
        Assert.Equal("", Ids(new JobQuery { Text = "lufter" }));
    }

    [Fact]
    public void Stages_filter_and_pages_follow_each_other()
    {
        Assert.Equal("second first", Ids(new JobQuery { Stages = JobQuery.OnTheBench }));
        Assert.Equal("third", Ids(new JobQuery { Stages = [JobStage.HandedOver] }));
        JobHits page = _store.FindJobs(new JobQuery { Offset = 1, Take = 1 });
        Assert.Equal((3, "second"), (page.TotalNumber, Assert.Single(page.Jobs).Job.Id));
        Assert.Empty(_store.FindJobs(new JobQuery { Offset = 9 }).Jobs);
    }

    [Fact]
    public void A_store_from_before_the_lists_gets_them_when_it_is_opened()
    {
        _store.Append("first", Samples.Note("flux residue"));
        _store.Dispose();
        using (DbConnection raw = _folder.Raw())
        {
            raw.Run(
                _kind == StoreKind.Sqlite
                    ? "DROP TABLE job_words; DROP TABLE job_text; DROP TABLE job_list; DROP INDEX evidence_by_kind; PRAGMA user_version = 3"
                    : "DROP TABLE job_text, job_list; DROP INDEX evidence_by_kind; UPDATE graftbench_store SET format = 3"
            );
        }
        using BenchStore again = _folder.Open();
        Assert.Equal("first", Assert.Single(again.FindJobs(new JobQuery { Text = "residue mixing" }).Jobs).Job.Id);
        Assert.True(again.Check().IsWhole);
    }

    [Fact]
    public void Imported_jobs_are_found()
    {
        _store.Append("first", Samples.Note("flux residue"));
        using MemoryStream zip = new();
        _store.Export(["first"], zip, "x.zip");
        using TestFolder other = new(_kind);
        using BenchStore second = other.Open();
        Assert.True(second.Import(zip).IsDone);
        Assert.Equal("first", Assert.Single(second.FindJobs(new JobQuery { Text = "residue skoda" }).Jobs).Job.Id);
    }

    [Fact]
    public void Lines_of_a_kind_are_counted_and_read()
    {
        _store.Append("first", Samples.Note("one"));
        _store.Append("first", Samples.Note("two"));
        Assert.Equal(2, _store.LinesOfKind("note")["first"]);
        Assert.False(_store.LinesOfKind("note").ContainsKey("second"));
        Assert.Equal([2L, 3L], _store.Evidence("first", "note").Select(line => line.Sequence));
        Assert.Equal(3, _store.Lines("first"));
        Assert.Equal(0, _store.Lines("nobody"));
        Assert.False(_store.IsEmpty);
    }

    public void Dispose()
    {
        _store.Dispose();
        _folder.Dispose();
    }

    private string Ids(JobQuery query) => string.Join(' ', _store.FindJobs(query).Jobs.Select(one => one.Job.Id));

    private void Save(string id, string title, string symptom, JobStage stage = JobStage.Intake)
    {
        Job job = Samples.Job(id, title);
        _store.SaveJob(
            job with
            {
                Stage = stage,
                Machine = job.Machine with { Symptom = symptom, What = null },
            },
            _store.FindJob(id)?.Revision ?? 0,
            "Ada"
        );
    }
}
