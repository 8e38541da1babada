using System.Data;
using System.Data.Common;
using System.Globalization;
using Npgsql;

namespace Graftbench.Store.Engines;

/// <summary>A store in a PostgreSQL database, which several benches may share.</summary>
internal sealed class PostgresEngine(PostgresAddress address) : StoreEngine
{
    private const int OldestVersion = 130000;
    private const int MostNamed = 3;

    public override string Where => address.Words;

    public override void Prepare(TimeSpan patience)
    {
        try
        {
            using DbConnection connection = Open(patience, isReader: false);
            RefuseUnsuitable(connection);
            if (!PostgresDialect.HasMark(connection))
            {
                RefuseForeign(connection);
            }
            StoreSchema.Migrate(connection, StoreSchema.MigrationsOf(PostgresDialect.Only), Where);
        }
        catch (Exception problem) when (IsMine(problem, null))
        {
            throw Explain(problem, patience);
        }
    }

    /// <summary>Whether the database holds a store, of whatever format.</summary>
    public override bool IsThere(TimeSpan patience)
    {
        try
        {
            using DbConnection connection = Open(patience, isReader: true);
            return PostgresDialect.HasMark(connection);
        }
        catch (Exception problem) when (IsMine(problem, null))
        {
            throw Explain(problem, patience);
        }
    }

    public override void Fill(TimeSpan patience, Action<DbConnection> fill)
    {
        Prepare(patience);
        DbConnection? connection = null;
        try
        {
            connection = Open(patience, isReader: false);
            PostgresDialect.Only.BeginWrite(connection, null);
            if (!StoreCopy.IsEmpty(connection))
            {
                throw NotEmpty(
                    $"Name an empty database with --to or --store; make one with: createdb {address.ToolOptions} -E UTF8 -T template0 NAME"
                );
            }
            fill(connection);
            PostgresDialect.Only.Commit(connection);
        }
        catch (Exception problem) when (IsMine(problem, connection))
        {
            throw Explain(problem, patience);
        }
        finally
        {
            // Closing undoes what was not committed.
            connection?.Dispose();
        }
    }

    public override DbConnection Open(TimeSpan patience, bool isReader)
    {
        NpgsqlConnection connection = new(address.Settings.ConnectionString);
        try
        {
            connection.Open();
            // A step that is acknowledged has been flushed to the server's disk, whatever the server's own habit; a bench
            // that dies in the middle of a step lets go of what it holds.
            connection.Run(
                $"""
                SELECT set_config('synchronous_commit', 'on', false) WHERE current_setting('synchronous_commit') IN ('off', 'local');
                SET lock_timeout = {(long)patience.TotalMilliseconds};
                SET statement_timeout = 0;
                SET tcp_keepalives_idle = 30;
                SET tcp_keepalives_interval = 10;
                SET tcp_keepalives_count = 3;
                SET client_min_messages = error;
                SET TimeZone = 'UTC';
                SET default_transaction_read_only = {(isReader ? "on" : "off")};
                SET idle_in_transaction_session_timeout = {(isReader ? "0" : "'5min'")};
                """
            );
            return connection;
        }
        catch
        {
            connection.Dispose();
            throw;
        }
    }

    public override StoreException Explain(Exception problem, TimeSpan patience) =>
        PostgresErrors.From(problem, address, patience);

    public override bool MayRepeat(Exception problem) => PostgresErrors.MayRepeat(problem);

    public override bool IsMine(Exception problem, DbConnection? connection) =>
        problem is NpgsqlException or TimeoutException or System.Net.Sockets.SocketException
        || IsLost(problem, connection);

    // What is asked of a connection that broke a moment ago is an invalid operation to the driver.
    public override bool IsLost(Exception problem, DbConnection? connection) =>
        connection is not { State: ConnectionState.Open }
        && problem is NpgsqlException or InvalidOperationException or IOException;

    private void RefuseUnsuitable(DbConnection connection)
    {
        int version = int.Parse((string)connection.Scalar("SHOW server_version_num")!, CultureInfo.InvariantCulture);
        if (version < OldestVersion)
        {
            throw new StoreException(
                $"The database server is PostgreSQL {version / 10000}; Graftbench needs 13 or newer",
                Where,
                "Have the server brought up to date, or use a newer one."
            );
        }
        if (connection.Scalar("SHOW server_encoding") is not "UTF8")
        {
            throw new StoreException(
                "The database does not keep its text as UTF-8",
                Where,
                $"Make one that does: createdb {address.ToolOptions} -E UTF8 -T template0 NAME"
            );
        }
        if (connection.Scalar("SELECT current_schema()") is null)
        {
            throw new StoreException(
                "The database has no schema that tables could be made in",
                Where,
                "Make one: CREATE SCHEMA public, or name one with search_path in --store."
            );
        }
    }

    private void RefuseForeign(DbConnection connection)
    {
        List<string> names = connection.All(
            """
            SELECT c.relname FROM pg_class c JOIN pg_namespace n ON n.oid = c.relnamespace
            WHERE n.nspname = current_schema() AND c.relkind IN ('r', 'p', 'v', 'm', 'f', 'S')
                AND NOT EXISTS (SELECT 1 FROM pg_depend d WHERE d.objid = c.oid AND d.deptype IN ('e', 'i'))
            ORDER BY c.relname COLLATE "C"
            """,
            row => row.GetString(0)
        );
        if (names.Count > 0)
        {
            string more = names.Count > MostNamed ? $" and {names.Count - MostNamed} more" : "";
            throw new StoreException(
                $"The database holds another program's tables ({string.Join(", ", names.Take(MostNamed))}{more})",
                Where,
                $"It was left as it is. Make a database for the bench alone: createdb {address.ToolOptions} -E UTF8 -T template0 NAME"
            );
        }
    }
}
