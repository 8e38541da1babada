using System.Text;
using Graftbench.Core.Search;
using Graftbench.Store.Tests.Support;
using static Graftbench.Store.Tests.Support.PersonalSamples;

namespace Graftbench.Store.Tests;

/// <summary>A record that lost personal data goes out and comes in as any other, and takes the removal along.</summary>
public abstract class RemovalTravelTests : IDisposable
{
    private readonly TestFolder _folder;
    private readonly TestFolder _otherFolder;
    private readonly BenchStore _store;
    private readonly BenchStore _other;

    protected RemovalTravelTests(StoreKind kind)
    {
        _folder = new(kind);
        _otherFolder = new(kind);
        _store = _folder.Open();
        _other = _otherFolder.Open();
        Fill(_store);
    }

    [Fact]
    public void An_export_holds_the_words_no_more_and_comes_in_whole()
    {
        Remove(_store, Request(Sha(Photo), Sha(Html), HeatLog(_store)));
        byte[] zip = _store.Zip(JobId);
        string text = Encoding.UTF8.GetString(zip).Replace(Shared, "", StringComparison.Ordinal);
        Assert.False(Holds(text));
        Assert.Contains("graftbench-record-2", text, StringComparison.Ordinal);
        Assert.DoesNotContain("files/" + Sha(Photo), text, StringComparison.Ordinal);
        ImportReport report = _other.Take(zip);
        Assert.True(report.IsDone, string.Join("; ", report.Findings));
        Assert.True(_other.Check().IsWhole);
        Assert.True(_other.IsEmptied(Sha(Photo)));
        Assert.Equal(zip, _other.Zip(JobId));
        Assert.Contains(_other.Check().Findings, finding => finding.Code == "record.emptied-on-request");
    }

    [Fact]
    public void A_store_without_removals_is_exported_as_ever() =>
        Assert.Contains("graftbench-record-1", Encoding.UTF8.GetString(_store.Zip()), StringComparison.Ordinal);

    [Fact]
    public void An_import_takes_the_removal_to_a_store_that_still_has_the_data()
    {
        Assert.True(_other.Take(_store.Zip(JobId)).IsDone);
        Remove(_store, Request(Sha(Photo), Sha(Html)));
        ImportReport report = _other.Take(_store.Zip(JobId));
        Assert.True(report.IsDone, string.Join("; ", report.Findings));
        Assert.Equal(_store.Evidence(JobId), _other.Evidence(JobId));
        Assert.True(_other.IsEmptied(Sha(Photo)));
        Assert.Empty(_other.FindJobs(new JobQuery { Text = "Nováková" }).Jobs);
        Assert.True(_other.Check().IsWhole);
    }

    [Fact]
    public void An_export_of_old_brings_nothing_back()
    {
        byte[] old = _store.Zip(JobId);
        Remove(_store, Request(Sha(Photo)));
        Assert.True(_store.Take(old).IsDone);
        Assert.False(Holds(_store.Evidence(JobId)[2].PayloadJson));
        Assert.True(_store.IsEmptied(Sha(Photo)));
        Assert.True(_store.Check().IsWhole);
    }

    [Fact]
    public void A_forged_removal_takes_no_more_than_words_from_a_store_that_has_the_line()
    {
        Assert.True(_other.Take(_store.Zip(JobId)).IsDone);
        // The forger has a store of his own, and changes a figure under the name of a removal.
        EvidenceLine line = _store.Evidence(JobId)[2];
        EvidenceLine forged = line with
        {
            PayloadJson = line.PayloadJson.Replace("231", "199", StringComparison.Ordinal),
        };
        _folder.Tamper(
            $"UPDATE evidence SET payload = '{forged.PayloadJson.Replace("'", "''", StringComparison.Ordinal)}' WHERE record_id = '{JobId}' AND sequence = 3"
        );
        RemovalNote note = new("asked", [new RemovedLine(3, EvidenceChain.Hash(forged))], [], []);
        EvidenceLine last = _store.Evidence(JobId)[^1];
        EvidenceLine removal = last with
        {
            Sequence = last.Sequence + 1,
            Kind = EvidenceRules.PersonalDataRemoved,
            PayloadJson = note.Write(),
            FileSha256 = null,
            FileName = null,
            FileMediaType = null,
            PreviousSha256 = last.Sha256,
        };
        removal = removal with { Sha256 = EvidenceChain.Hash(removal) };
        using (var connection = _folder.Raw())
        {
            connection.Run(
                $"""
                INSERT INTO evidence (record_id, sequence, at, who, kind, payload, previous_sha256, sha256)
                VALUES ('{JobId}', {removal.Sequence}, '{StoreTime.Write(
                    removal.At
                )}', '{removal.Who}', '{removal.Kind}', '{removal.PayloadJson}', '{removal.PreviousSha256}', '{removal.Sha256}');
                UPDATE record SET lines = {removal.Sequence}, head_sha256 = '{removal.Sha256}' WHERE id = '{JobId}' AND lines < {removal.Sequence};
                """
            );
        }
        // By itself it looks whole: the docs say what a chain cannot show.
        Assert.True(_store.Check(JobId).Findings.All(finding => finding.Code != "record.line-altered"));
        ImportReport report = _other.Take(_store.Zip(JobId));
        Assert.Equal(["import.removal-changes"], report.Findings.Select(finding => finding.Code));
        Assert.Equal(line, _other.Evidence(JobId)[2]);
    }

    [Fact]
    public void Every_cut_and_every_flipped_byte_of_an_export_with_a_removal_is_found()
    {
        Remove(_store, Request(Sha(Photo)));
        byte[] zip = _store.Zip(JobId);
        Random random = new(3);
        for (int i = 0; i < 300; i++)
        {
            byte[] broken = [.. zip];
            broken[random.Next(broken.Length)] ^= (byte)(1 << random.Next(8));
            Assert.False(_other.Take(broken).IsDone);
            Assert.False(_other.Take(zip[..random.Next(zip.Length)]).IsDone);
        }
        Assert.True(_other.IsEmpty);
    }

    [Theory, InlineData(StoreKind.Sqlite), InlineData(StoreKind.Postgres)]
    public void A_moved_and_a_restored_store_hold_the_removal(StoreKind to)
    {
        Remove(_store, Request(Sha(Photo), Sha(Html), HeatLog(_store)));
        using TestFolder moved = new(to);
        using TestFolder restored = new(to);
        Assert.True(_store.CopyTo(moved.Place, null, TestContext.Current.CancellationToken).Check.IsWhole);
        string backup = _folder.File("b.graftbackup");
        Assert.True(_store.Backup(backup, stop: TestContext.Current.CancellationToken).Check.IsWhole);
        Assert.True(
            BenchStore.Restore(backup, restored.Place, null, TestContext.Current.CancellationToken).Check.IsWhole
        );
        foreach (TestFolder folder in new[] { moved, restored })
        {
            using BenchStore store = folder.Open();
            Assert.Equal(_store.Evidence(JobId), store.Evidence(JobId));
            Assert.True(store.IsEmptied(Sha(Photo)));
            Assert.Equal(_store.Zip(JobId), store.Zip(JobId));
            Assert.DoesNotContain(
                store.FindJobs(new JobQuery { Text = "Nováková" }).Jobs,
                found => found.Job.Id == JobId
            );
        }
    }

    public void Dispose()
    {
        _store.Dispose();
        _other.Dispose();
        _folder.Dispose();
        _otherFolder.Dispose();
        GC.SuppressFinalize(this);
    }
}

/// <summary>What was removed is not in SQLite's files any more, byte by byte.</summary>
public sealed class RemovedBytesTests : IDisposable
{
    private readonly TestFolder _folder = new();

    [Fact]
    public void No_file_of_the_store_holds_the_removed_bytes()
    {
        const string word = "Zuzana Quxyková";
        string photo = "\0 signature of Zuzana Quxyková " + new string('x', 20_000);
        using BenchStore store = _folder.Open();
        Samples.Fill(store);
        for (int i = 0; i < 20; i++)
        {
            // Old saves of the job leave traces in the free space of the file.
            store.SaveJob(
                Samples.Job(title: $"try {i}") with
                {
                    Machine = new() { Owner = word, Symptom = new string('s', 40 * i) },
                },
                2 + i,
                "Ada"
            );
            store.Append(JobId, Samples.Note($"{word} called {i} times"));
        }
        File(store, JobId, "Zuzana Quxyková.jpg", "image/jpeg", photo);
        Assert.True(IsOnDisk("Zuzana Quxykov") && IsOnDisk("quxykova"));
        RemovalReport report = Remove(store, new RemovalRequest(JobId, [word], [Sha(photo)]));
        Assert.Null(report.Remains);
        Assert.False(IsOnDisk("Zuzana Quxykov"));
        Assert.False(IsOnDisk("Quxyk"));
        // The index of words too.
        Assert.False(IsOnDisk("quxyk"));
        Assert.False(IsOnDisk("uxykova"));
        Assert.True(store.Check().IsWhole);
    }

    [Fact]
    public void The_index_of_words_forgets_in_a_store_of_many_jobs()
    {
        using BenchStore store = _folder.Open();
        Samples.Fill(store);
        store.Append(JobId, Samples.Note("Zuzana Quxyk called"));
        // Few of what the index holds is taken out: it would not tidy itself for that.
        for (int i = 0; i < 60; i++)
        {
            store.SaveJob(Samples.Job($"other-{i}", $"Board {i} with words {i * 7} and {i * 11}"), 0, "Ada");
        }
        Assert.True(IsOnDisk("uxyk"));
        Remove(store, new RemovalRequest(JobId, ["Zuzana Quxyk"], []));
        Assert.False(IsOnDisk("uxyk"));
        Assert.False(IsOnDisk("zuzana"));
    }

    [Fact]
    public void A_reader_elsewhere_is_named_and_a_second_try_finishes()
    {
        using BenchStore store = _folder.Open(new StepTime(), TimeSpan.FromMilliseconds(200));
        Samples.Fill(store);
        store.Append(JobId, Samples.Note("Zuzana Quxyk called"));
        using (var reader = _folder.Raw())
        {
            reader.Run("BEGIN");
            reader.Scalar("SELECT count(*) FROM evidence");
            RemovalReport report = Remove(store, new RemovalRequest(JobId, ["Zuzana Quxyk"], []));
            Assert.Contains("close all others", report.Remains!, StringComparison.Ordinal);
        }
        Assert.Null(store.OverwriteRemoved());
        Assert.False(IsOnDisk("Quxyk"));
    }

    public void Dispose() => _folder.Dispose();

    private bool IsOnDisk(string word)
    {
        byte[] wanted = Encoding.UTF8.GetBytes(word);
        return Directory
            .EnumerateFiles(_folder.Path)
            .Any(file =>
            {
                using FileStream stream = new(file, FileMode.Open, FileAccess.Read, FileShare.ReadWrite);
                byte[] bytes = new byte[stream.Length];
                stream.ReadExactly(bytes);
                return bytes.AsSpan().IndexOf(wanted) >= 0;
            });
    }
}
