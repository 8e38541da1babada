using System.Text;
using Graftbench.Core.Jobs;
using Graftbench.Store.Tests.Support;
using Graftbench.Store.Transfer;

namespace Graftbench.Store.Tests;

/// <summary>Zips whose chain is sound from end to end, but which hold what no program would have stored.</summary>
public abstract class ForgedChainTests : IDisposable
{
    private readonly TestFolder _folder;
    private readonly TestFolder _source;

    protected ForgedChainTests(StoreKind kind)
    {
        _folder = new(kind);
        _source = new(kind);
    }

    [Theory]
    [InlineData("""{"note":"a","note":"b"}""", "twice")]
    [InlineData("""{"a":{"x":1,"x":2}}""", "twice")]
    [InlineData("""{"note":"\ud800"}""", "Unicode")]
    [InlineData("""{"\udc00":1}""", "Unicode")]
    public void A_payload_that_no_reader_agrees_on_is_refused(string payload, string says)
    {
        using BenchStore store = _source.Open();
        store.SaveJob(Samples.Job(), 0, "Ada");
        Assert.Contains(
            says,
            Assert
                .Throws<ArgumentException>(() => store.Append("arcade-7", new EvidenceDraft("Ada", "note", payload)))
                .Message,
            StringComparison.Ordinal
        );
        store.Append("arcade-7", Samples.Note("sound"));
        Refuse(Forge(store, "arcade-7", "note", payload), says);
    }

    [Fact]
    public void An_earlier_save_is_judged_as_the_last_one()
    {
        using BenchStore store = _source.Open();
        store.SaveJob(Samples.Job(), 0, "Ada");
        store.SaveJob(Samples.Job(title: "second"), 1, "Ada");
        string first = store.Evidence("arcade-7")[0].PayloadJson;
        Refuse(
            Forge(
                store,
                "arcade-7",
                EvidenceRules.JobSaved,
                first.Replace("\"thicknessMm\": 1.6", "\"thicknessMm\": -1.6", StringComparison.Ordinal)
            ),
            "host.thicknessMm"
        );
    }

    [Theory]
    [InlineData("""{"id":"a/../b","kind":"board","title":"x","revision":1,"item":{}}""", "id must be")]
    [InlineData("""{"id":"b1","kind":"lamp","title":"x","revision":1,"item":{}}""", "kind is none of")]
    [InlineData("""{"id":"b1","kind":"board","title":"","revision":1,"item":{}}""", "title must be")]
    [InlineData("""{"id":"b1","kind":"board","title":"x","revision":7,"item":{}}""", "another revision")]
    [InlineData("""{"id":"b1","kind":"board","title":"x","revision":1,"item":[]}""", "no object")]
    [InlineData(
        """{"id":"b1","kind":"board","title":"x","revision":1,"item":{"part":{"host":{"lengthMm":-1}}}}""",
        "host.lengthMm"
    )]
    public void A_thing_on_the_shelf_keeps_the_rules_of_the_shelf(string payload, string says)
    {
        using BenchStore store = _source.Open();
        store.SaveShelfItem("b1", "board", "Donor", """{ "words": {} }""", 0, "Ada");
        Refuse(Forge(store, BenchStore.ShopRecord, EvidenceRules.ShelfSaved, payload), says);
    }

    [Theory]
    [InlineData("""{"bench":"Left","kind":"calibration"}""", "does not hold a fact")]
    [InlineData("""{"bench":"Left","kind":"calibration","fact":[]}""", "does not hold a fact")]
    [InlineData("""{"bench":null,"kind":"calibration","fact":{}}""", "does not hold a fact")]
    [InlineData("""{"bench":" Left","kind":"calibration","fact":{}}""", "no blanks")]
    [InlineData("""{"bench":"Left","kind":"Calibration","fact":{}}""", "kind must be")]
    public void A_fact_of_a_bench_keeps_its_rules(string payload, string says)
    {
        using BenchStore store = _source.Open();
        store.AddBenchFact("Left", BenchFactRules.Calibration, "{}", "Ada");
        Refuse(Forge(store, BenchStore.ShopRecord, EvidenceRules.BenchFactAdded, payload), says);
    }

    [Theory, InlineData("new"), InlineData("shop")]
    public void Ids_of_the_program_itself_are_no_job_ids(string id)
    {
        using BenchStore store = _source.Open();
        JobRefusedException refused = Assert.Throws<JobRefusedException>(() =>
            store.SaveJob(Samples.Job(id), 0, "Ada")
        );
        Assert.Contains("taken by the program", refused.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void Evidence_and_the_job_that_mentions_it_are_stored_together_or_not_at_all()
    {
        using BenchStore store = _source.Open();
        store.SaveJob(Samples.Job(), 0, "Ada");
        Job changed = Samples.Job(title: "with evidence");
        EvidenceDraft draft = Samples.Picture("top.jpg", "top side");
        // The line of evidence is sound; the one of the job behind it is not.
        Assert.Throws<ArgumentException>(() => store.SaveJobWithEvidence(changed, 1, "A\u0001", draft));
        Assert.Throws<StaleRevisionException>(() => store.SaveJobWithEvidence(changed, 0, "Ada", draft));
        Assert.Single(store.Evidence("arcade-7"));
        Assert.Null(store.FindFile(EvidenceChain.FileHash(draft.File!.Bytes)));

        Assert.Equal(2, store.SaveJobWithEvidence(changed, 1, "Ada", draft).Revision);
        Assert.Equal(["job-saved", "picture", "job-saved"], store.Evidence("arcade-7").Select(line => line.Kind));
        Assert.Equal("with evidence", store.FindJob("arcade-7")!.Job.Title);
        Assert.True(store.Check().IsWhole);
    }

    [Fact]
    public void A_revision_that_never_was_is_stale()
    {
        using BenchStore store = _source.Open();
        Assert.Throws<StaleRevisionException>(() => store.SaveJob(Samples.Job(), -1, "Ada"));
        Assert.Throws<StaleRevisionException>(() => store.SaveShelfItem("b1", "board", "Donor", "{}", -1, "Ada"));
    }

    public void Dispose()
    {
        _folder.Dispose();
        _source.Dispose();
    }

    private void Refuse(byte[] zip, string says)
    {
        using BenchStore store = _folder.Open();
        ImportReport report = store.Take(zip);
        Assert.False(report.IsDone);
        Assert.Contains(report.Findings, finding => finding.What.Contains(says, StringComparison.Ordinal));
        Assert.DoesNotContain(
            report.Findings,
            finding => finding.Code is "import.line-altered" or "import.chain-broken"
        );
        Assert.Empty(store.Records());
    }

    /// <summary>Puts another payload into the first line of a kind and makes chain and head anew.</summary>
    private static byte[] Forge(BenchStore store, string record, string kind, string payload)
    {
        ZipForge forge = new(store.Zip(record));
        string head = EvidenceChain.Start;
        bool done = false;
        StringBuilder text = new();
        foreach (EvidenceLine line in store.Evidence(record))
        {
            bool here = !done && line.Kind == kind;
            done |= here;
            EvidenceLine forged = line with { PayloadJson = here ? payload : line.PayloadJson, PreviousSha256 = head };
            forged = forged with { Sha256 = EvidenceChain.Hash(forged) };
            head = forged.Sha256;
            text.Append(Encoding.UTF8.GetString(ExportFormat.WriteLine(forged).Span));
        }
        forge["evidence.jsonl"] = Encoding.UTF8.GetBytes(text.ToString());
        forge.Replace("manifest.json", store.Evidence(record)[^1].Sha256, head);
        return forge.Zip();
    }
}
