using System.Data.Common;
using System.Text.Json.Serialization;
using Graftbench.Store.Engines;

namespace Graftbench.Store;

/// <summary>What a copy of a store is made of, and what checking it gave.</summary>
/// <param name="Where">What messages call the new store.</param>
/// <param name="Rows">Rows of each table.</param>
/// <param name="Heads">Records with their heads, by id; the same in both.</param>
/// <param name="Check">What checking the new store gave.</param>
public sealed record CopyReport(
    string Where,
    IReadOnlyDictionary<string, long> Rows,
    IReadOnlyList<RecordHead> Heads,
    StoreCheck Check
);

/// <summary>A record and how far it goes.</summary>
/// <param name="Id">Job id, or <see cref="BenchStore.ShopRecord"/>.</param>
/// <param name="Lines">Number of its lines.</param>
/// <param name="HeadSha256">Hash of the last one.</param>
public sealed record RecordHead(
    [property: JsonRequired] string Id,
    [property: JsonRequired] long Lines,
    [property: JsonRequired] string HeadSha256
);

public sealed partial class BenchStore
{
    /// <summary>Copies all that the store holds, as it is at this moment, into a new store, and checks it there.</summary>
    /// <remarks>The store itself stays as it is and may be written to meanwhile; what comes later is not in the copy.</remarks>
    /// <param name="target">Where to: a folder without a store, or a database with an empty one or none.</param>
    /// <param name="progress">Hears how far it is; null where nobody listens.</param>
    /// <param name="stop">Stops the copy; the target is empty then.</param>
    /// <exception cref="StoreException">This store is not whole, or the target is not empty or cannot be written.</exception>
    public CopyReport CopyTo(
        StorePlace target,
        IProgress<CopyProgress>? progress = null,
        CancellationToken stop = default
    )
    {
        ArgumentNullException.ThrowIfNull(target);
        return _connections.Read(connection =>
        {
            StoreCheck own = Checked(connection, FilePath, null, null, stop);
            if (!own.IsWhole)
            {
                throw new StoreException(
                    $"The store is not whole and was not copied ({own.Findings[0].Where}: {own.Findings[0].What.TrimEnd('.')})",
                    FilePath,
                    "Run `graftbench record verify`; it lists all that was found."
                );
            }
            return Fill(connection, target.Engine(), isWholeOnly: true, progress, stop);
        });
    }

    /// <summary>Fills a new store from one that is being read, checks it, and compares the heads.</summary>
    internal static CopyReport Fill(
        DbConnection source,
        StoreEngine target,
        bool isWholeOnly,
        IProgress<CopyProgress>? progress,
        CancellationToken stop
    )
    {
        IReadOnlyDictionary<string, long> rows = new Dictionary<string, long>();
        StoreCheck? check = null;
        List<RecordHead> heads = HeadsOf(source);
        target.Fill(
            DefaultPatience,
            connection =>
            {
                rows = new StoreCopy(source, connection).Run(progress, stop);
                progress?.Report(new CopyProgress("check", 0, 1));
                check = Checked(connection, target.Where, null, null, stop);
                progress?.Report(new CopyProgress("check", 1, 1));
                if (!HeadsOf(connection).SequenceEqual(heads))
                {
                    throw new StoreException(
                        "The heads of the copied records differ from those of the store",
                        target.Where,
                        "The target was left empty. Run `graftbench record verify` and repeat."
                    );
                }
                if (isWholeOnly && !check.IsWhole)
                {
                    throw new StoreException(
                        $"The copy is not whole ({check.Findings[0].Where}: {check.Findings[0].What.TrimEnd('.')})",
                        target.Where,
                        "The target was left empty. Run `graftbench record verify` and repeat."
                    );
                }
                stop.ThrowIfCancellationRequested();
            }
        );
        return new CopyReport(target.Where, rows, heads, check!);
    }

    private static List<RecordHead> HeadsOf(DbConnection connection) =>
        connection.All(
            "SELECT id, lines, head_sha256 FROM record ORDER BY id",
            row => new RecordHead(row.GetString(0), row.GetInt64(1), row.GetString(2))
        );
}
