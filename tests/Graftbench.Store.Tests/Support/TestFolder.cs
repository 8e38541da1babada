using System.Data.Common;
using Graftbench.Store.Engines;
using Graftbench.Tests.Shared;
using Microsoft.Data.Sqlite;
using Npgsql;

namespace Graftbench.Store.Tests.Support;

/// <summary>The databases that every test of the store runs on.</summary>
public enum StoreKind
{
    Sqlite,
    Postgres,
}

/// <summary>A folder, and with PostgreSQL a schema of its own, that live as long as a test.</summary>
internal sealed class TestFolder : IDisposable
{
    private readonly string? _schema;

    public TestFolder(StoreKind kind = StoreKind.Sqlite)
    {
        Kind = kind;
        Path = Directory.CreateTempSubdirectory("graftbench-store-").FullName;
        Connection = kind == StoreKind.Postgres ? DatabaseServer.Instance.NewStore(out _schema) : null;
    }

    public StoreKind Kind { get; }

    public string Path { get; }

    /// <summary>Address of the database; null with SQLite.</summary>
    public string? Connection { get; }

    public StorePlace Place => StorePlace.Of(Path, Connection);

    public string StoreFile => System.IO.Path.Combine(Path, BenchStore.FileName);

    public string File(string name) => System.IO.Path.Combine(Path, name);

    public BenchStore Open(TimeProvider? time = null) => BenchStore.Open(Place, time ?? new StepTime());

    public BenchStore Open(TimeProvider time, TimeSpan patience) => BenchStore.Open(Place, time, patience);

    /// <summary>Opens the database beside the program.</summary>
    public DbConnection Raw()
    {
        DbConnection connection = Kind switch
        {
            StoreKind.Sqlite => new SqliteConnection($"Data Source={StoreFile};Pooling=False;Foreign Keys=False"),
            _ => new NpgsqlConnection(PostgresAddress.Read(Connection!).Settings.ConnectionString),
        };
        connection.Open();
        return connection;
    }

    /// <summary>SQL of SQLite as the other database wants it.</summary>
    public string Spelled(string sql) =>
        Kind == StoreKind.Sqlite
            ? sql
            : sql.Replace("INSERT OR REPLACE", "INSERT", StringComparison.Ordinal)
                .Replace("CAST(x'00' || content AS BLOB)", "'\\x00'::bytea || content", StringComparison.Ordinal)
                .Replace(
                    "zeroblob(length(content))",
                    "decode(repeat('00', length(content)), 'hex')",
                    StringComparison.Ordinal
                )
                .Replace("x'00'", "'\\x00'::bytea", StringComparison.Ordinal);

    /// <summary>Changes the data beside the program, as somebody with an editor for such databases would.</summary>
    public void Tamper(string sql)
    {
        if (Kind == StoreKind.Sqlite)
        {
            Samples.Tamper(StoreFile, sql);
            return;
        }
        using DbConnection connection = Raw();
        connection.Run("SET session_replication_role = replica; " + Spelled(sql));
    }

    /// <summary>All bytes of all files, or all rows of all tables, for showing that nothing was written.</summary>
    public IReadOnlyDictionary<string, string> Bytes() =>
        Kind == StoreKind.Sqlite
            ? Directory
                .EnumerateFiles(Path, "*", SearchOption.AllDirectories)
                // Readers note themselves in the shared-memory index; that is no data.
                .Where(file => !file.EndsWith("-shm", StringComparison.Ordinal))
                .ToDictionary(
                    file => System.IO.Path.GetRelativePath(Path, file),
                    file => EvidenceChain.FileHash(System.IO.File.ReadAllBytes(file)),
                    StringComparer.Ordinal
                )
            : Rows();

    public void Dispose()
    {
        if (_schema is not null)
        {
            using DbConnection connection = Raw();
            connection.Run($"DROP SCHEMA {_schema} CASCADE");
        }
        Directory.Delete(Path, recursive: true);
    }

    private Dictionary<string, string> Rows()
    {
        using DbConnection connection = Raw();
        return connection
            .All(
                "SELECT tablename FROM pg_tables WHERE schemaname = current_schema() ORDER BY 1",
                row => row.GetString(0)
            )
            .ToDictionary(
                table => table,
                table =>
                    connection.Scalar(
                        $"SELECT md5(coalesce(string_agg(t::text, '|' ORDER BY t::text), '')) FROM {table} t"
                    ) as string
                    ?? "",
                StringComparer.Ordinal
            );
    }
}

/// <summary>A clock that moves on by 1.2345678 s with each look.</summary>
internal sealed class StepTime(DateTimeOffset? start = null) : TimeProvider
{
    public static readonly DateTimeOffset Start = new(2026, 1, 31, 9, 5, 0, TimeSpan.Zero);
    private long _ticks = (start ?? Start).UtcTicks;

    public override DateTimeOffset GetUtcNow() => new(Interlocked.Add(ref _ticks, 12_345_678), TimeSpan.Zero);

    public void SetBack(TimeSpan by) => Interlocked.Add(ref _ticks, -by.Ticks);
}
