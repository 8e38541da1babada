using System.Data.Common;
using System.Diagnostics;
using System.Globalization;
using System.Security.Cryptography;
using System.Text;
using Graftbench.Store.Tests.Support;

namespace Graftbench.Store.Tests;

/// <summary>Watched heats: every acknowledged sample is kept, and the log becomes evidence.</summary>
public abstract class RunTests : IDisposable
{
    private const string Job = "arcade-7";
    private readonly TestFolder _folder;

    protected RunTests(StoreKind kind)
    {
        _folder = new(kind);
    }

    private static HeatRunDraft Draft(params string[] channels) =>
        new(Job, "Ada", """{"task":"place","chip":"U1"}""", channels);

    private BenchStore Opened()
    {
        BenchStore store = _folder.Open();
        store.SaveJob(Samples.Job(), 0, "Ada");
        return store;
    }

    [Fact]
    public void A_run_ends_as_evidence_with_all_its_samples_and_marks()
    {
        using BenchStore store = Opened();
        HeatRun run = store.StartRun(Draft("board", "chip, top"));
        store.AppendSamples(run, [new HeatSample(0, [22.04, 22.1]), new HeatSample(0.1, [22.06, double.NaN])]);
        store.AppendMark(run, new HeatMark(0.05, "moved", "nozzle\nshifted"));
        Assert.Equal(3, store.AppendSamples(run, [new HeatSample(0.2, [double.NaN, 23])]));
        HeatRun ended = store.EndRun(run, HeatRunState.Ended);

        Assert.Equal(ended, store.FindRun(run.Id)! with { Channels = ended.Channels });
        EvidenceLine line = store.Evidence(Job).Single(each => each.Kind == BenchStore.HeatRunKind);
        Assert.Equal(ended.EvidenceSequence, line.Sequence);
        string[] log = Encoding.UTF8.GetString(store.FindFile(line.FileSha256!)!.Bytes).Split('\n');
        Assert.StartsWith($"# heat run {run.Id}, started ", log[0], StringComparison.Ordinal);
        Assert.Equal("# mark 0.050,moved,nozzle shifted", log[2]);
        Assert.Equal("timeS,board,\"chip, top\"", log[3]);
        Assert.Equal(["0.000,22.04,22.10", "0.100,22.06,", "0.200,,23.00", ""], log[4..]);
        Assert.True(store.Check().IsWhole);
    }

    [Fact]
    public void Samples_are_read_back_as_they_came()
    {
        using BenchStore store = Opened();
        HeatRun run = store.StartRun(Draft("a"));
        store.AppendSamples(run, [.. Enumerable.Range(0, 50).Select(i => new HeatSample(i / 3.0, [i * Math.PI]))]);
        IReadOnlyList<HeatSample> later = store.Samples(run.Id, afterSequence: 10, most: 5);
        Assert.Equal([10, 11, 12, 13, 14], later.Select(sample => (int)Math.Round(sample.TimeS * 3)));
        Assert.All(later, sample => Assert.Equal(Math.Round(sample.TimeS * 3) * Math.PI, sample.TemperaturesC[0]));
    }

    [Fact]
    public void A_run_that_is_over_takes_nothing_more()
    {
        using BenchStore store = Opened();
        HeatRun run = store.StartRun(Draft("a"));
        store.EndRun(run, HeatRunState.Ended);
        Assert.Throws<StoreException>(() => store.AppendSamples(run, [new HeatSample(1, [20])]));
        Assert.Throws<StoreException>(() => store.EndRun(run, HeatRunState.Interrupted));
        Assert.Single(store.Evidence(Job), line => line.Kind == BenchStore.HeatRunKind);
    }

    [Fact]
    public void What_does_not_fit_is_refused()
    {
        using BenchStore store = Opened();
        Assert.Throws<UnknownRecordException>(() => store.StartRun(Draft("a") with { RecordId = "nowhere" }));
        Assert.Throws<ArgumentException>(() => store.StartRun(Draft()));
        HeatRun run = store.StartRun(Draft("a", "b"));
        Assert.Throws<ArgumentException>(() => store.AppendSamples(run, [new HeatSample(0, [20])]));
        Assert.Empty(store.Samples(run.Id));
    }

    [Fact]
    public void What_not_every_database_keeps_is_refused_by_all()
    {
        using BenchStore store = Opened();
        HeatRun run = store.StartRun(Draft("a"));
        // U+0000, and half of a pair of characters.
        foreach (string text in new[] { "nozzle\0moved", "half " + '\ud83d' + " of a pair" })
        {
            Assert.Throws<ArgumentException>(() => store.AppendMark(run, new HeatMark(1, "moved", text)));
            Assert.Throws<ArgumentException>(() => store.StartRun(Draft("a") with { SetupJson = text }));
            Assert.Throws<ArgumentException>(() => store.StartRun(Draft("a") with { Who = text }));
            Assert.Throws<ArgumentException>(() =>
                store.Append(Job, new EvidenceDraft("Ada", "note", '"' + text + '"'))
            );
            Assert.Throws<ArgumentException>(() => store.Append(Job, Samples.Note("x", who: text)));
        }
        Assert.Throws<ArgumentException>(() => store.AppendMark(run, new HeatMark(double.NaN, "moved", "x")));
        Assert.Throws<ArgumentException>(() => store.AppendSamples(run, [new HeatSample(double.NaN, [20])]));
        Assert.Empty(store.Marks(run.Id));
        Assert.Empty(store.Samples(run.Id));
        Assert.Single(store.Evidence(Job));
        // In JSON the escape for it is plain letters, which every database keeps.
        Assert.Equal(2, store.Append(Job, new EvidenceDraft("Ada", "note", "\"\\u0000\"")).Sequence);
    }

    [Fact]
    public void A_trial_on_a_scrap_board_belongs_to_the_shop()
    {
        using BenchStore store = _folder.Open();
        HeatRun run = store.StartRun(Draft("a") with { RecordId = BenchStore.ShopRecord });
        store.EndRun(run, HeatRunState.Ended);
        Assert.Single(store.Evidence(BenchStore.ShopRecord));
        Assert.Equal(run.Id, store.Runs(BenchStore.ShopRecord).Single().Id);
    }

    [Fact]
    public void A_long_log_has_every_row_and_the_hash_of_its_bytes()
    {
        using BenchStore store = Opened();
        HeatRun run = store.StartRun(Draft("Kälte", "b") with { SetupJson = """{"note":"Ω µ"}""" });
        List<HeatSample> samples =
        [
            .. Enumerable
                .Range(0, 20_000)
                .Select(i => new HeatSample(i / 10.0, [i / 100.0, i % 7 == 0 ? double.NaN : 25])),
        ];
        store.AppendSamples(run, samples);
        store.EndRun(run, HeatRunState.Ended);

        string at = run.StartedAt.ToString("yyyy-MM-dd'T'HH:mm:ss", CultureInfo.InvariantCulture);
        EvidenceLine line = store.Evidence(Job).Single(each => each.Kind == BenchStore.HeatRunKind);
        byte[] bytes = store.FindFile(line.FileSha256!)!.Bytes;
        string text = Encoding.UTF8.GetString(bytes);
        Assert.StartsWith($"# heat run {run.Id}, started {at}", text, StringComparison.Ordinal);
        StringBuilder rows = new("# setup {\"note\":\"Ω µ\"}\ntimeS,Kälte,b\n");
        for (int i = 0; i < samples.Count; i++)
        {
            string second = i % 7 == 0 ? "" : "25.00";
            rows.Append(CultureInfo.InvariantCulture, $"{i / 10.0:0.000},{i / 100.0:0.00},{second}\n");
        }
        Assert.Equal(rows.ToString(), text[(text.IndexOf('\n', StringComparison.Ordinal) + 1)..]);
        Assert.Equal(line.FileSha256, Convert.ToHexStringLower(SHA256.HashData(bytes)));
        Assert.True(store.Check().IsWhole);
    }

    [Fact]
    public void An_end_that_fails_half_way_leaves_nothing_and_can_be_repeated()
    {
        using BenchStore store = Opened();
        HeatRun run = store.StartRun(Draft("a"));
        store.AppendSamples(run, [new HeatSample(0, [20])]);
        using DbConnection other = _folder.Raw();
        other.Run(
            _folder.Kind == StoreKind.Sqlite
                ? "CREATE TRIGGER no_room BEFORE INSERT ON evidence BEGIN SELECT RAISE(ABORT, 'no room'); END"
                : "CREATE TRIGGER no_room BEFORE INSERT ON evidence FOR EACH ROW EXECUTE FUNCTION refuse('no room')"
        );
        Assert.Throws<StoreException>(() => store.EndRun(run, HeatRunState.Ended));
        Assert.Equal(0L, other.Scalar("SELECT count(*) FROM file"));
        Assert.Equal(run.Id, store.RunsGoingOn().Single().Id);

        other.Run("DROP TRIGGER no_room" + (_folder.Kind == StoreKind.Sqlite ? "" : " ON evidence"));
        HeatRun ended = store.EndRun(run, HeatRunState.Interrupted);
        Assert.Equal(ended.EvidenceSequence, store.FindRun(run.Id)!.EvidenceSequence);
        Assert.Equal(1L, other.Scalar("SELECT count(*) FROM file"));
        Assert.True(store.Check().IsWhole);
    }

    [Theory, InlineData(11), InlineData(12), InlineData(13)]
    public async Task No_acknowledged_sample_is_lost_when_the_watcher_is_killed(int seed)
    {
        Opened().Dispose();
        int killAfter = new Random(seed).Next(20, 300);
        List<string> acknowledged = [];
        using Process process = WriterProcess.Start(_folder, Job, WriterProcess.Watcher, 1_000_000);
        while (await process.StandardOutput.ReadLineAsync(TestContext.Current.CancellationToken) is { } line)
        {
            acknowledged.Add(line);
            if (acknowledged.Count == killAfter)
            {
                process.Kill();
            }
        }
        await process.WaitForExitAsync(TestContext.Current.CancellationToken);

        using BenchStore store = _folder.Open();
        HeatRun run = store.RunsGoingOn().Single();
        Assert.Equal(acknowledged[0], run.Id);
        IReadOnlyList<HeatSample> kept = store.Samples(run.Id);
        long last = long.Parse(acknowledged[^1], CultureInfo.InvariantCulture);
        Assert.InRange(kept.Count, last, last + 1);
        Assert.Equal(
            Enumerable.Range(1, kept.Count).Select(i => (double)i),
            kept.Select(sample => sample.TemperaturesC[0])
        );
        HeatRun found = store.EndRun(run, HeatRunState.Interrupted);
        Assert.Equal(HeatRunState.Interrupted, found.State);
        Assert.Empty(store.RunsGoingOn());
        Assert.True(store.Check().IsWhole);
    }

    public void Dispose() => _folder.Dispose();
}
