using System.Data.Common;
using Graftbench.Store.Tests.Support;

namespace Graftbench.Store.Tests;

/// <summary>Facts of a bench: added, never replaced, found under any spelling of its name.</summary>
public abstract class BenchFactTests : IDisposable
{
    private readonly TestFolder _folder;
    private readonly BenchStore _store;

    protected BenchFactTests(StoreKind kind)
    {
        _folder = new(kind);
        _store = _folder.Open();
    }

    [Fact]
    public void A_fact_is_found_under_any_spelling_of_the_name_and_keeps_its_text()
    {
        BenchFact first = _store.AddBenchFact(
            " Left bench ",
            BenchFactRules.ProbeFormat,
            """ { "b": 1,  "a":"°" } """,
            "Ada"
        );
        BenchFact second = _store.AddBenchFact("LEFT BENCH", BenchFactRules.ProbeFormat, "{}", "Ben");
        _store.AddBenchFact("Left bench", BenchFactRules.Calibration, """{"x":0}""", "Ada");
        _store.AddBenchFact("Right bench", BenchFactRules.ProbeFormat, """{"x":1}""", "Ada");

        Assert.Equal("Left bench", first.Bench);
        Assert.Equal([second, first], _store.BenchFacts("left BENCH  ", BenchFactRules.ProbeFormat));
        Assert.Equal("""{ "b": 1,  "a":"°" }""", _store.BenchFacts("left bench", BenchFactRules.ProbeFormat)[^1].Json);
        Assert.Equal(second, _store.NewestBenchFact("Left Bench", BenchFactRules.ProbeFormat));
        Assert.Null(_store.NewestBenchFact("Left Bench", BenchFactRules.Heaters));
        Assert.Equal([4L, 3L, 2L, 1L], _store.BenchFacts().Select(fact => fact.Sequence));
        Assert.True(_store.Check().IsWhole);
    }

    [Fact]
    public void The_bench_without_a_name_is_a_bench_too()
    {
        BenchFact fact = _store.AddBenchFact("  ", BenchFactRules.Calibration, "{}", "Ada");
        Assert.Equal(fact, _store.NewestBenchFact(null, BenchFactRules.Calibration));
    }

    [Fact]
    public void A_fact_is_evidence_of_the_shop_with_the_file_it_rests_on()
    {
        StoredFile log = new("trial.csv", "text/csv", "timeS,a\n0,20\n"u8.ToArray());
        BenchFact fact = _store.AddBenchFact("Left", BenchFactRules.Calibration, """{"x":0}""", "Ada", log);
        EvidenceLine line = Assert.Single(_store.Evidence(BenchStore.ShopRecord));
        Assert.Equal((EvidenceRules.BenchFactAdded, fact.Sequence, fact.At), (line.Kind, line.Sequence, line.At));
        Assert.Equal("""{"bench":"Left","kind":"calibration","fact":{"x":0}}""", line.PayloadJson);
        Assert.Equal(log.Bytes, _store.FindFile(line.FileSha256!)!.Bytes);
    }

    [Theory]
    [InlineData("Left", "Probe", "{}")]
    [InlineData("Left", "", "{}")]
    [InlineData("Left", "1x", "{}")]
    [InlineData("Le\nft", "calibration", "{}")]
    [InlineData("Left", "calibration", "")]
    [InlineData("Left", "calibration", "[]")]
    [InlineData("Left", "calibration", "{")]
    [InlineData("Left", "calibration", "{},\"x\":{}")]
    [InlineData("Left", "calibration", """{"a":1,"a":2}""")]
    public void Bad_facts_are_refused(string bench, string kind, string json)
    {
        Assert.Throws<ArgumentException>(() => _store.AddBenchFact(bench, kind, json, "Ada"));
        Assert.Throws<ArgumentException>(() => _store.AddBenchFact("Left", "calibration", "{}", ""));
        Assert.Throws<ArgumentException>(() => _store.AddBenchFact(new string('x', 201), "calibration", "{}", "Ada"));
        Assert.Throws<ArgumentException>(() =>
            _store.Append(BenchStore.ShopRecord, new EvidenceDraft("Ada", EvidenceRules.BenchFactAdded, "{}"))
        );
        Assert.Empty(_store.Records());
        Assert.Empty(_store.BenchFacts());
    }

    [Theory]
    [InlineData("UPDATE bench_fact SET fact = '{}'")]
    [InlineData("DELETE FROM bench_fact")]
    [InlineData("INSERT OR REPLACE INTO bench_fact VALUES (1, 'LEFT', 'Left', 'calibration', '', '', '{}')")]
    public void Nothing_is_replaced_or_taken_out(string sql)
    {
        _store.AddBenchFact("Left", BenchFactRules.Calibration, """{"x":0}""", "Ada");
        using DbConnection connection = _folder.Raw();
        Assert.ThrowsAny<DbException>(() => connection.Run(_folder.Spelled(sql)));
        Assert.True(_store.Check().IsWhole);
    }

    [Theory]
    [InlineData("UPDATE bench_fact SET fact = '{}'")]
    [InlineData("UPDATE bench_fact SET bench_key = 'RIGHT'")]
    [InlineData("UPDATE bench_fact SET who = 'Eve'")]
    [InlineData("DELETE FROM bench_fact")]
    [InlineData("INSERT INTO bench_fact SELECT 7, bench_key, bench, kind, at, who, fact FROM bench_fact")]
    public void What_was_changed_beside_the_program_is_found(string sql)
    {
        _store.AddBenchFact("Left", BenchFactRules.Calibration, """{"x":0}""", "Ada");
        _folder.Tamper(
            _folder.Kind == StoreKind.Sqlite
                ? "DROP TRIGGER bench_fact_is_not_updated; DROP TRIGGER bench_fact_is_not_deleted; " + sql
                : sql
        );
        Assert.Contains(_store.Check().Findings, finding => finding.Code == "record.bench-differs");
    }

    [Fact]
    public void Facts_go_with_the_shop_to_another_store()
    {
        _store.AddBenchFact("Left", BenchFactRules.Calibration, """{"x":0}""", "Ada");
        using TestFolder folder = new(_folder.Kind);
        using BenchStore other = folder.Open();
        Assert.True(other.Take(_store.Zip()).IsDone);
        Assert.Equal(_store.BenchFacts(), other.BenchFacts());
        _store.AddBenchFact("left", BenchFactRules.Calibration, """{"x":1}""", "Ada");
        Assert.True(other.Take(_store.Zip()).IsDone);
        Assert.True(other.Take(_store.Zip()).IsDone);
        Assert.Equal(_store.BenchFacts(), other.BenchFacts());
        Assert.True(other.Check().IsWhole);
        Assert.Equal(_store.Zip(), other.Zip());
    }

    public void Dispose()
    {
        _store.Dispose();
        _folder.Dispose();
    }
}
