using System.Data.Common;
using Graftbench.Store.Engines;

namespace Graftbench.Store;

/// <summary>How far a copy of a store is.</summary>
/// <param name="Table">The table that is being copied.</param>
/// <param name="Rows">Rows of it that are done.</param>
/// <param name="Of">Rows that it has.</param>
public sealed record CopyProgress(string Table, long Rows, long Of);

/// <summary>Copies all that a store holds into an empty one, whatever database either lies in.</summary>
/// <param name="source">The store, in a transaction that sees one unchanging picture.</param>
/// <param name="target">The empty store, in a transaction that writes.</param>
internal sealed class StoreCopy(DbConnection source, DbConnection target)
{
    private const int RowsBetweenReports = 5000;

    private readonly StoreDialect _from = StoreDialect.Of(source);
    private readonly StoreDialect _to = StoreDialect.Of(target);

    /// <summary>Copies every table; the guards of the target are off meanwhile and on again afterwards.</summary>
    /// <returns>Number of rows of each table.</returns>
    public IReadOnlyDictionary<string, long> Run(IProgress<CopyProgress>? progress, CancellationToken stop)
    {
        RefuseUnknownTables();
        Dictionary<string, long> counts = new(StringComparer.Ordinal);
        Action putGuardsBack = _to.TakeGuardsOff(target);
        foreach (StoreTable table in StoreTables.Copied)
        {
            long expected = Count(source, table.Name);
            progress?.Report(new CopyProgress(table.Name, 0, expected));
            long copied =
                table.Name == StoreTables.Files
                    ? CopyFiles(expected, progress, stop)
                    : CopyRows(table, expected, progress, stop);
            long arrived = Count(target, table.Name);
            if (copied != expected || arrived != expected)
            {
                throw new StoreException(
                    $"Of {expected} rows of the table {table.Name} {arrived} arrived",
                    "copy of the store",
                    "Nothing was changed; run `graftbench record verify` and repeat."
                );
            }
            counts.Add(table.Name, copied);
            progress?.Report(new CopyProgress(table.Name, copied, expected));
        }
        putGuardsBack();
        return counts;
    }

    /// <summary>Whether a store holds nothing at all.</summary>
    public static bool IsEmpty(DbConnection connection) =>
        StoreTables.Copied.All(table => connection.Scalar($"SELECT 1 FROM {table.Name} LIMIT 1") is null)
        && Unknown(connection).All(table => connection.Scalar($"SELECT 1 FROM {table} LIMIT 1") is null);

    /// <summary>Tables of a store that no list of <see cref="StoreTables"/> names.</summary>
    public static IReadOnlyList<string> Unknown(DbConnection connection) =>
        [
            .. StoreDialect
                .Of(connection)
                .Tables(connection)
                .Except(StoreTables.Copied.Select(table => table.Name), StringComparer.Ordinal)
                .Except(StoreTables.Derived, StringComparer.Ordinal),
        ];

    private void RefuseUnknownTables()
    {
        IReadOnlyList<string> unknown = [.. Unknown(source).Union(Unknown(target), StringComparer.Ordinal)];
        if (unknown.Count > 0)
        {
            throw new StoreException(
                $"The store holds tables that a copy would leave out ({string.Join(", ", unknown)})",
                "copy of the store",
                "Nothing was copied. Take the tables out that do not belong to Graftbench, or use a newer Graftbench."
            );
        }
    }

    private long CopyRows(StoreTable table, long expected, IProgress<CopyProgress>? progress, CancellationToken stop)
    {
        List<string> columns = [.. _from.Columns(source, table.Name).Where(column => column != table.Counted)];
        using DbCommand command = source.Command(
            $"SELECT {string.Join(", ", columns)} FROM {table.Name} ORDER BY {table.Order}"
        );
        using DbDataReader row = command.ExecuteReader();
        return _to.AddRows(target, table.Name, columns, Rows(row, table.Name, expected, progress, stop));
    }

    private static IEnumerable<object?[]> Rows(
        DbDataReader row,
        string table,
        long expected,
        IProgress<CopyProgress>? progress,
        CancellationToken stop
    )
    {
        long done = 0;
        while (row.Read())
        {
            stop.ThrowIfCancellationRequested();
            object?[] values = new object?[row.FieldCount];
            row.GetValues(values!);
            yield return values;
            if (++done % RowsBetweenReports == 0)
            {
                progress?.Report(new CopyProgress(table, done, expected));
            }
        }
    }

    private long CopyFiles(long expected, IProgress<CopyProgress>? progress, CancellationToken stop)
    {
        List<(string Sha256, long Emptied)> files = source.All(
            $"SELECT sha256, CASE WHEN length(content) = 0 THEN length ELSE 0 END FROM {StoreTables.Files} ORDER BY id",
            row => (row.GetString(0), row.GetInt64(1))
        );
        long done = 0;
        foreach ((string sha256, long emptied) in files)
        {
            stop.ThrowIfCancellationRequested();
            if (emptied > 0)
            {
                target.Run(
                    $"INSERT INTO file (sha256, length, content) VALUES (@sha, @length, {_to.NoBytes})",
                    ("@sha", sha256),
                    ("@length", emptied)
                );
                done++;
                progress?.Report(new CopyProgress(StoreTables.Files, done, expected));
                continue;
            }
            using Stream content = _from.OpenFile(source, sha256)!;
            _to.AddFile(
                target,
                sha256,
                content.Length,
                to =>
                {
                    content.Position = 0;
                    content.CopyTo(to, 128 * 1024);
                },
                isChecked: false
            );
            done++;
            progress?.Report(new CopyProgress(StoreTables.Files, done, expected));
        }
        return done;
    }

    private static long Count(DbConnection connection, string table) =>
        (long)connection.Scalar($"SELECT count(*) FROM {table}")!;
}
