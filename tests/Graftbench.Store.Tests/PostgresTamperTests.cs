using System.Data.Common;
using Graftbench.Core.Findings;
using Graftbench.Store.Tests.Support;

namespace Graftbench.Store.Tests;

/// <summary>Changes made beside the program by an administrator who turns the guards off for himself.</summary>
public sealed class PostgresTamperTests : IDisposable
{
    private readonly TestFolder _folder = new(StoreKind.Postgres);
    private readonly BenchStore _store;

    public PostgresTamperTests()
    {
        _store = _folder.Open();
        Samples.Fill(_store);
    }

    // PostgreSQL keeps no U+0000 in a text, however it is asked.
    public static IEnumerable<TheoryDataRow<string, string>> Changes =>
        TamperTests
            .Changes.Where(row => !row.Data.Item1.Contains("char(0)", StringComparison.Ordinal))
            .Select(row => new TheoryDataRow<string, string>(row.Data.Item1, row.Data.Item2));

    [Theory, MemberData(nameof(Changes))]
    public void A_change_beside_the_program_is_found(string sql, string code)
    {
        _folder.Tamper(sql);
        StoreCheck check = _store.Check();
        Assert.False(check.IsWhole);
        Finding found = Assert.Single(check.Findings.Where(finding => finding.Code == code).Take(1));
        Assert.True(found.Verdict is Verdict.Blocker or Verdict.FixFirst);
        Assert.NotEmpty(found.Todo!);
    }

    [Theory]
    [InlineData("DROP TRIGGER evidence_is_not_updated ON evidence", "trigger evidence_is_not_updated is missing")]
    [InlineData("ALTER TABLE evidence DISABLE TRIGGER USER", "trigger evidence_follows_its_head is not as")]
    [InlineData(
        "ALTER TABLE evidence DROP CONSTRAINT evidence_record_id_sequence_key",
        "evidence_record_id_sequence_key is missing"
    )]
    [InlineData("ALTER TABLE job ALTER COLUMN document DROP NOT NULL", "column job.document is not as")]
    [InlineData("CREATE RULE quiet AS ON DELETE TO shelf DO INSTEAD NOTHING", "rule shelf.quiet does not belong")]
    [InlineData(
        "CREATE OR REPLACE FUNCTION refuse() RETURNS trigger LANGUAGE plpgsql AS 'BEGIN RETURN NEW; END;'",
        "function refuse is not as"
    )]
    public void A_guard_that_was_taken_away_is_found(string sql, string says)
    {
        using DbConnection connection = _folder.Raw();
        connection.Run(sql);
        Assert.Contains(
            _store.Check().Findings,
            finding => finding.Code == "store.guard-altered" && finding.What.Contains(says, StringComparison.Ordinal)
        );
    }

    [Theory]
    [InlineData("TRUNCATE evidence")]
    [InlineData("TRUNCATE file CASCADE")]
    [InlineData("TRUNCATE heat_mark")]
    [InlineData("INSERT INTO record VALUES ('arcade-7', 0, '') ON CONFLICT (id) DO UPDATE SET lines = 0")]
    [InlineData(
        "INSERT INTO file (sha256, length, content) SELECT sha256, 0, '' FROM file ON CONFLICT (sha256) DO UPDATE SET length = 0"
    )]
    public void Emptying_and_replacing_are_barred(string sql)
    {
        using DbConnection connection = _folder.Raw();
        Assert.Equal("P0001", Assert.ThrowsAny<DbException>(() => connection.Run(sql)).SqlState);
        Assert.True(_store.Check().IsWhole);
    }

    public void Dispose()
    {
        _store.Dispose();
        _folder.Dispose();
    }
}
