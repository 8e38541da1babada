using System.Data.Common;
using System.Text.Json;
using Graftbench.Core.Jobs;
using Graftbench.Store.Engines;

namespace Graftbench.Store;

/// <summary>The shop's records: one SQLite file in a data folder, or a PostgreSQL database that several benches share. Safe for several processes and threads at once.</summary>
/// <remarks>
/// Every call that writes is one transaction and is on disk when it returns. A second writer waits up to
/// <see cref="DefaultPatience"/> and then gets a <see cref="StoreBusyException"/>. All that can go wrong with the file,
/// the folder or the disk comes as a <see cref="StoreException"/> with what, where and what to do.
/// </remarks>
public sealed partial class BenchStore : IDisposable
{
    /// <summary>Record id of evidence that belongs to the shop and no single job.</summary>
    public const string ShopRecord = "shop";

    /// <summary>Name of the store's file in its folder.</summary>
    public const string FileName = "graftbench.db";

    private readonly StoreConnections _connections;
    private readonly TimeProvider _time;

    private BenchStore(string folder, StoreEngine engine, TimeProvider time, TimeSpan patience)
    {
        Folder = folder;
        _connections = new StoreConnections(engine, patience);
        _time = time;
    }

    /// <summary>How long a writer waits for another one.</summary>
    public static TimeSpan DefaultPatience { get; } = TimeSpan.FromSeconds(10);

    /// <summary>Folder of the store, as a full path; with a database, the one for keys and the like.</summary>
    public string Folder { get; }

    /// <summary>The store's file, or the words for its database.</summary>
    public string FilePath => _connections.Where;

    internal StoreConnections Connections => _connections;

    /// <summary>Opens the store in a folder; creates and migrates it where needed.</summary>
    /// <exception cref="StoreException">The folder or file cannot be used, is no store, is damaged or is too new.</exception>
    public static BenchStore Open(string folder, TimeProvider time) => Open(folder, time, DefaultPatience);

    /// <summary>Opens the store at a place; creates and migrates it where needed.</summary>
    /// <exception cref="StoreException">The place cannot be used, is no store, is damaged or is too new.</exception>
    public static BenchStore Open(StorePlace place, TimeProvider time) => Open(place, time, DefaultPatience);

    /// <summary>Whether a folder holds a file under the store's name; it may still be refused by <see cref="Open(string, TimeProvider)"/>.</summary>
    public static bool IsIn(string folder) => File.Exists(Path.Combine(folder, FileName));

    /// <summary>Whether there is a store at a place; it may still be refused by <see cref="Open(StorePlace, TimeProvider)"/>.</summary>
    /// <exception cref="StoreException">The database cannot be reached.</exception>
    public static bool IsAt(StorePlace place)
    {
        ArgumentNullException.ThrowIfNull(place);
        return place.Engine().IsThere(DefaultPatience);
    }

    internal static BenchStore Open(string folder, TimeProvider time, TimeSpan patience)
    {
        ArgumentException.ThrowIfNullOrWhiteSpace(folder);
        return Open(StorePlace.Of(folder), time, patience);
    }

    internal static BenchStore Open(StorePlace place, TimeProvider time, TimeSpan patience)
    {
        ArgumentNullException.ThrowIfNull(place);
        ArgumentNullException.ThrowIfNull(time);
        StoreEngine engine = place.Engine();
        engine.Prepare(patience);
        BenchStore store = new(place.Folder, engine, time, patience);
        try
        {
            store.CompleteLists();
            return store;
        }
        catch
        {
            store.Dispose();
            throw;
        }
    }

    /// <summary>All records, the shop's own among them, by id; read without binding the job documents.</summary>
    public IReadOnlyList<RecordSummary> Records() => _connections.Read(SummariesOf);

    /// <summary>Closes the store.</summary>
    public void Dispose() => _connections.Dispose();

    private static List<RecordSummary> SummariesOf(DbConnection connection) =>
        connection.All(
            """
            SELECT record.id, record.lines, record.head_sha256, job.revision, job.document,
                (SELECT count(DISTINCT file_sha256) FROM evidence WHERE record_id = record.id),
                (SELECT at FROM evidence WHERE record_id = record.id ORDER BY sequence DESC LIMIT 1)
            FROM record LEFT JOIN job ON job.id = record.id
            ORDER BY record.id
            """,
            row => new RecordSummary(
                row.GetString(0),
                TitleOf(row.TextOrNull(4)),
                row.GetInt64(1),
                row.GetString(2),
                row.GetInt32(5),
                row.IsDBNull(3) ? 0 : row.GetInt32(3),
                row.TextOrNull(6) is { } at && StoreTime.TryRead(at, out DateTimeOffset lastAt) ? lastAt : null
            )
        );

    private static string? TitleOf(string? document)
    {
        if (document is null)
        {
            return null;
        }
        try
        {
            using JsonDocument json = JsonDocument.Parse(
                document,
                new JsonDocumentOptions { MaxDepth = JobFormat.MaxDepth }
            );
            return
                json.RootElement.ValueKind == JsonValueKind.Object
                && json.RootElement.TryGetProperty("title", out JsonElement title)
                && title.ValueKind == JsonValueKind.String
                ? title.GetString()
                : null;
        }
        catch (Exception problem) when (problem is JsonException or InvalidOperationException or ArgumentException)
        {
            return null;
        }
    }
}
