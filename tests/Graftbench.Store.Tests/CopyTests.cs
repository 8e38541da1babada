using System.Data.Common;
using Graftbench.Core.Findings;
using Graftbench.Store.Engines;
using Graftbench.Store.Tests.Support;

namespace Graftbench.Store.Tests;

/// <summary>A store moved is the same store: every line, file, sample and head.</summary>
public sealed class CopyTests : CopyBench
{
    [Theory, MemberData(nameof(Ways))]
    public void A_moved_store_is_the_same_store_and_goes_on(StoreKind from, StoreKind to)
    {
        (TestFolder source, BenchStore store) = Filled(from);
        TestFolder target = Folder(to);
        CopyReport report = store.CopyTo(target.Place, null, Stop);
        BenchStore moved = Open(target);
        AssertSame(source, store, target, moved);
        Assert.Equal(store.Records().Select(record => record.HeadSha256), report.Heads.Select(head => head.HeadSha256));
        // It goes on where the old one stood, for itself.
        EvidenceLine line = moved.Append("arcade-7", Samples.Note("goes on"));
        Assert.Equal(store.Records()[0].Lines + 1, line.Sequence);
        Assert.Equal(store.Records()[0].HeadSha256, line.PreviousSha256);
        HeatRun going = moved.RunsGoingOn().Single();
        Assert.Equal(4, moved.AppendSamples(going, [new HeatSample(0.4, [1, 2])]));
        moved.Append("mill-3", Samples.Picture("new.jpg", "new file"));
        Assert.True(moved.Check().IsWhole);
        Assert.Throws<StoreException>(() =>
            moved.EndRun(moved.Runs("arcade-7").Single(run => run.State == HeatRunState.Ended), HeatRunState.Ended)
        );
    }

    [Theory, MemberData(nameof(Kinds))]
    public void No_table_is_forgotten(StoreKind kind)
    {
        TestFolder folder = Folder(kind);
        Open(folder);
        using DbConnection connection = folder.Raw();
        StoreDialect dialect = StoreDialect.Of(connection);
        Assert.Equal(
            StoreTables.Copied.Select(table => table.Name).Concat(StoreTables.Derived).Order(StringComparer.Ordinal),
            dialect
                .Tables(connection)
                // What SQLite keeps for its index of words is a column in PostgreSQL.
                .Union(kind == StoreKind.Postgres ? StoreTables.Derived : [], StringComparer.Ordinal)
                .Order(StringComparer.Ordinal)
        );
        Assert.Empty(StoreCopy.Unknown(connection));
    }

    [Fact]
    public void Both_databases_have_the_same_steps_tables_and_columns()
    {
        Assert.Equal(
            StoreSchema.MigrationsOf(SqliteDialect.Only).Select(step => (step.Version, step.Name)),
            StoreSchema.MigrationsOf(PostgresDialect.Only).Select(step => (step.Version, step.Name))
        );
        TestFolder one = Folder(StoreKind.Sqlite);
        TestFolder other = Folder(StoreKind.Postgres);
        Open(one);
        Open(other);
        using DbConnection sqlite = one.Raw();
        using DbConnection postgres = other.Raw();
        Assert.Equal(
            SqliteDialect.Only.Tables(sqlite).Except(StoreTables.Derived),
            PostgresDialect.Only.Tables(postgres).Except(StoreTables.Derived)
        );
        foreach (string table in SqliteDialect.Only.Tables(sqlite).Except(StoreTables.Derived))
        {
            Assert.Equal(SqliteDialect.Only.Columns(sqlite, table), PostgresDialect.Only.Columns(postgres, table));
        }
        // Four kinds of values, and every text in the order of its bytes.
        Assert.Equal(
            [],
            postgres.All(
                """
                SELECT table_name || '.' || column_name || ' ' || data_type || ' ' || coalesce(collation_name, '')
                FROM information_schema.columns WHERE table_schema = current_schema() AND table_name NOT IN ('graftbench_store', 'job_text')
                    AND NOT (data_type = 'text' AND collation_name = 'C' OR data_type IN ('bigint', 'double precision', 'bytea'))
                """,
                row => row.GetString(0)
            )
        );
    }

    [Theory, MemberData(nameof(Kinds))]
    public void A_table_that_no_list_names_stops_every_copy(StoreKind kind)
    {
        (TestFolder source, BenchStore store) = Filled(kind);
        using (DbConnection connection = source.Raw())
        {
            connection.Run("CREATE TABLE extra (a TEXT)");
        }
        StoreException refusal = Assert.Throws<StoreException>(() => store.Backup(source.File("b"), stop: Stop));
        Assert.Contains("extra", refusal.Message, StringComparison.Ordinal);
        Assert.DoesNotContain(Directory.GetFiles(source.Path), name => Path.GetFileName(name).StartsWith('b'));
    }

    [Theory, MemberData(nameof(Kinds))]
    public void Only_an_empty_target_is_filled(StoreKind kind)
    {
        (TestFolder source, BenchStore store) = Filled(StoreKind.Sqlite);
        string file = source.File("b");
        store.Backup(file, stop: Stop);
        (TestFolder target, BenchStore taken) = Filled(kind);
        IReadOnlyDictionary<string, string> before = target.Bytes();
        string heads = string.Join(',', taken.Records().Select(record => record.HeadSha256));
        Assert.Contains(
            "already",
            Assert.Throws<StoreException>(() => store.CopyTo(target.Place, null, Stop)).Message,
            StringComparison.Ordinal
        );
        Assert.Contains(
            "already",
            Assert.Throws<StoreException>(() => BenchStore.Restore(file, target.Place, null, Stop)).Message,
            StringComparison.Ordinal
        );
        Assert.Equal(before, target.Bytes());
        Assert.Equal(heads, string.Join(',', taken.Records().Select(record => record.HeadSha256)));
    }

    [Theory, MemberData(nameof(Kinds))]
    public void Stopped_half_way_the_target_is_empty_and_can_be_filled(StoreKind kind)
    {
        (TestFolder source, BenchStore store) = Filled(StoreKind.Sqlite);
        TestFolder target = Folder(kind);
        foreach (string table in new[] { "file", "evidence", "heat_sample", "check" })
        {
            using CancellationTokenSource cancel = new();
            Assert.Throws<OperationCanceledException>(() =>
                store.CopyTo(target.Place, new StopAt(table, cancel), cancel.Token)
            );
            Assert.Equal(kind == StoreKind.Postgres, BenchStore.IsAt(target.Place));
            if (kind == StoreKind.Postgres)
            {
                using DbConnection connection = target.Raw();
                Assert.True(StoreCopy.IsEmpty(connection));
            }
            else
            {
                Assert.Empty(Directory.GetFileSystemEntries(target.Path));
            }
            using CancellationTokenSource again = new();
            Assert.Throws<OperationCanceledException>(() =>
                store.Backup(source.File("b"), progress: new StopAt(table, again), stop: again.Token)
            );
        }
        Assert.Equal(
            [BenchStore.FileName],
            Directory
                .GetFiles(source.Path)
                .Select(Path.GetFileName)
                .Where(name =>
                    !name!.EndsWith("-wal", StringComparison.Ordinal)
                    && !name.EndsWith("-shm", StringComparison.Ordinal)
                )
        );
        store.CopyTo(target.Place, null, Stop);
        AssertSame(source, store, target, Open(target));
    }

    [Theory, MemberData(nameof(Kinds))]
    public void A_store_that_is_not_whole_is_not_moved_but_backed_up_with_a_word(StoreKind kind)
    {
        (TestFolder source, BenchStore store) = Filled(kind);
        source.Tamper(
            "UPDATE evidence SET who = 'Eve' WHERE record_id = 'arcade-7' AND sequence = 2; UPDATE file SET content = x'00' WHERE id = 1"
        );
        TestFolder target = Folder(StoreKind.Sqlite);
        Assert.Contains(
            "not whole",
            Assert.Throws<StoreException>(() => store.CopyTo(target.Place, null, Stop)).Message,
            StringComparison.Ordinal
        );
        BackupReport report = store.Backup(source.File("b"), stop: Stop);
        Assert.False(report.Check.IsWhole);
        Assert.True(report.Manifest.FindingsThatCount > 1);
        BackupReport restored = BenchStore.Restore(source.File("b"), target.Place, null, Stop);
        Assert.Contains(restored.Check.Findings, finding => finding.Code == "record.line-altered");
        Assert.Contains(restored.Check.Findings, finding => finding.Code == "record.file-altered");
    }

    [Theory, MemberData(nameof(Kinds))]
    public void A_clock_set_back_is_a_note_and_nothing_more(StoreKind kind)
    {
        TestFolder folder = Folder(kind);
        StepTime time = new();
        using BenchStore store = folder.Open(time);
        store.SaveJob(Samples.Job(), 0, "Ada");
        time.SetBack(TimeSpan.FromDays(3));
        EvidenceLine line = store.Append("arcade-7", Samples.Note("after the battery of the clock"));
        Assert.Equal(2, line.Sequence);
        StoreCheck check = store.Check();
        Assert.True(check.IsWhole);
        Finding note = Assert.Single(check.Findings, finding => finding.Code == "record.time-backwards");
        Assert.Equal(Verdict.Warning, note.Verdict);
        TestFolder target = Folder(StoreKind.Sqlite);
        store.CopyTo(target.Place, null, Stop);
        Assert.Equal(store.Evidence("arcade-7"), Open(target).Evidence("arcade-7"));
    }

    private static void AssertSame(TestFolder source, BenchStore store, TestFolder target, BenchStore moved)
    {
        Assert.Equal(store.Records(), moved.Records());
        Assert.True(moved.Check().IsWhole);
        foreach (RecordSummary record in store.Records())
        {
            Assert.Equal(store.Evidence(record.Id), moved.Evidence(record.Id));
            foreach (EvidenceLine line in store.Evidence(record.Id).Where(line => line.FileSha256 is not null))
            {
                Assert.Equal(store.FindFile(line.FileSha256!)!.Bytes, moved.FindFile(line.FileSha256!)!.Bytes);
            }
        }
        Assert.Equal(store.Zip(), moved.Zip());
        using DbConnection one = source.Raw();
        using DbConnection other = target.Raw();
        foreach (StoreTable table in StoreTables.Copied)
        {
            Assert.Equal(Rows(one, table), Rows(other, table));
        }
    }

    private static List<string> Rows(DbConnection connection, StoreTable table)
    {
        string columns = string.Join(
            ", ",
            StoreDialect.Of(connection).Columns(connection, table.Name).Where(column => column != table.Counted)
        );
        return connection.All(
            $"SELECT {columns} FROM {table.Name} ORDER BY {table.Order}",
            row =>
                string.Join(
                    '|',
                    Enumerable
                        .Range(0, row.FieldCount)
                        .Select(i =>
                            row.GetValue(i) is byte[] bytes
                                ? Convert.ToHexString(bytes[..Math.Min(bytes.Length, 1000)])
                                : $"{row.GetValue(i)}"
                        )
                )
        );
    }

    private sealed class StopAt(string table, CancellationTokenSource cancel) : IProgress<CopyProgress>
    {
        public void Report(CopyProgress value)
        {
            if (value.Table == table)
            {
                cancel.Cancel();
            }
        }
    }
}
