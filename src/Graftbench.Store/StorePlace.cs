using Graftbench.Store.Engines;

namespace Graftbench.Store;

/// <summary>Where a store lies: a folder with its file, or a folder for keys and the like and a PostgreSQL database.</summary>
public sealed class StorePlace
{
    /// <summary>Environment variable that names the database where no option does.</summary>
    public const string Variable = "GRAFTBENCH_STORE";

    private StorePlace(string folder, PostgresAddress? address)
    {
        Folder = folder;
        Address = address;
    }

    /// <summary>The folder, as a full path.</summary>
    public string Folder { get; }

    /// <summary>Whether the store is a PostgreSQL database, which several benches may share.</summary>
    public bool IsShared => Address is not null;

    internal PostgresAddress? Address { get; }

    /// <summary>A place from what a person gave.</summary>
    /// <param name="folder">Folder of the bench.</param>
    /// <param name="connection">A <c>postgresql://</c> address or <c>key=value</c> pairs; null or empty for the SQLite file.</param>
    /// <exception cref="StoreException">The connection cannot be read. Its text is not repeated: it may hold a password.</exception>
    public static StorePlace Of(string folder, string? connection = null)
    {
        ArgumentException.ThrowIfNullOrWhiteSpace(folder);
        return new StorePlace(
            Path.GetFullPath(folder),
            string.IsNullOrWhiteSpace(connection) ? null : PostgresAddress.Read(connection)
        );
    }

    /// <summary>What messages call the place; never with a password.</summary>
    public override string ToString() => Engine().Where;

    internal StoreEngine Engine() =>
        Address is null ? new SqliteEngine(Path.Combine(Folder, BenchStore.FileName)) : new PostgresEngine(Address);
}
