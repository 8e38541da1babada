using Graftbench.Core.Jobs;
using Graftbench.Store.Tests.Support;

namespace Graftbench.Store.Tests;

public abstract class JobTests : IDisposable
{
    private readonly TestFolder _folder;
    private readonly BenchStore _store;

    protected JobTests(StoreKind kind)
    {
        _folder = new(kind);
        _store = _folder.Open();
    }

    [Fact]
    public void A_job_comes_back_as_it_was_saved()
    {
        StoredJob saved = _store.SaveJob(Samples.Job(), 0, "Ada");
        StoredJob found = _store.FindJob("arcade-7")!;
        Assert.Equal((1, 1), (saved.Revision, found.Revision));
        Assert.Equal(saved.ChangedAt, found.ChangedAt);
        Assert.Equal(JobFormat.Write(Samples.Job()), JobFormat.Write(found.Job));
        Assert.Null(_store.FindJob("nobody"));
    }

    [Fact]
    public void A_save_is_evidence_with_the_whole_document()
    {
        StoredJob saved = _store.SaveJob(Samples.Job(), 0, "Ada");
        EvidenceLine line = Assert.Single(_store.Evidence("arcade-7"));
        Assert.Equal(("job-saved", "Ada", 1L), (line.Kind, line.Who, line.Sequence));
        Assert.Equal(JobFormat.Write(saved.Job), System.Text.Encoding.UTF8.GetBytes(line.PayloadJson));
        Assert.Equal(saved.ChangedAt, line.At);
    }

    [Fact]
    public void Lines_of_every_job_grow_with_saves_and_evidence()
    {
        Assert.Empty(_store.JobLines());
        _store.SaveJob(Samples.Job(), 0, "Ada");
        Assert.Equal(1, _store.JobLines()["arcade-7"]);
        _store.SaveJob(Samples.Job(title: "two"), 1, "Ada");
        _store.Append("arcade-7", new EvidenceDraft("Ada", "note", "{}"));
        _store.Append(BenchStore.ShopRecord, new EvidenceDraft("Ada", "note", "{}"));
        Assert.Equal([new KeyValuePair<string, long>("arcade-7", 3)], _store.JobLines());
    }

    [Fact]
    public void Saving_without_a_change_writes_nothing()
    {
        _store.SaveJob(Samples.Job(), 0, "Ada");
        Assert.Equal(1, _store.SaveJob(Samples.Job(), 1, "Ben").Revision);
        Assert.Equal(1, _store.SaveJob(Samples.Job(), 0, "Ben").Revision);
        Assert.Single(_store.Evidence("arcade-7"));
    }

    [Theory, InlineData(0), InlineData(1), InlineData(3)]
    public void Whoever_edited_an_old_revision_is_told(int seen)
    {
        _store.SaveJob(Samples.Job(), 0, "Ada");
        _store.SaveJob(Samples.Job(title: "two"), 1, "Ada");
        StaleRevisionException stale = Assert.Throws<StaleRevisionException>(() =>
            _store.SaveJob(Samples.Job(title: "other"), seen, "Ben")
        );
        Assert.Equal((seen, 2), (stale.Expected, stale.Found));
        Assert.Equal("two", _store.FindJob("arcade-7")!.Job.Title);
        Assert.Equal(2, _store.Evidence("arcade-7").Count);
    }

    [Fact]
    public void Every_revision_can_be_had_again()
    {
        _store.SaveJob(Samples.Job(title: "one"), 0, "Ada");
        _store.Append("arcade-7", Samples.Note("between"));
        _store.SaveJob(Samples.Job(title: "two"), 1, "Ben");
        Assert.Equal(
            [(1, 1L, "Ada"), (2, 3L, "Ben")],
            _store.JobHistory("arcade-7").Select(r => (r.Revision, r.Sequence, r.Who))
        );
        Assert.Equal("one", _store.FindJob("arcade-7", 1)!.Job.Title);
        Assert.Equal("two", _store.FindJob("arcade-7", 2)!.Job.Title);
        Assert.Null(_store.FindJob("arcade-7", 0));
        Assert.Null(_store.FindJob("arcade-7", 3));
        Assert.Empty(_store.JobHistory("nobody"));
    }

    [Fact]
    public void Jobs_come_last_changed_first()
    {
        _store.SaveJob(Samples.Job("a"), 0, "Ada");
        _store.SaveJob(Samples.Job("b"), 0, "Ada");
        _store.SaveJob(Samples.Job("a", "again"), 1, "Ada");
        Assert.Equal(["a", "b"], _store.Jobs().Select(job => job.Job.Id));
        Assert.Equal(["a", "b"], _store.Records().Select(record => record.Id));
        Assert.Equal(
            ("again", 2, 2L),
            (_store.Records()[0].Title, _store.Records()[0].Revision, _store.Records()[0].Lines)
        );
    }

    [Fact]
    public void A_document_that_would_not_be_read_back_is_not_saved()
    {
        Job flat = Samples.Job() with { Host = Samples.Job().Host with { ThicknessMm = -1 } };
        JobRefusedException refusal = Assert.Throws<JobRefusedException>(() => _store.SaveJob(flat, 0, "Ada"));
        Assert.Contains(refusal.Reading.Problems, problem => problem.Path == "host.thicknessMm");
        Assert.Empty(_store.Records());
    }

    [Fact]
    public void The_shops_own_id_is_not_for_jobs() =>
        Assert.Throws<JobRefusedException>(() => _store.SaveJob(Samples.Job(BenchStore.ShopRecord), 0, "Ada"));

    public void Dispose()
    {
        _store.Dispose();
        _folder.Dispose();
    }
}
