using System.Data.Common;
using System.Globalization;
using System.Reflection;
using Graftbench.Store.Engines;

namespace Graftbench.Store;

/// <summary>One step from a store format to the next.</summary>
/// <param name="Version">The format after it, counted from 1 without gaps.</param>
/// <param name="Name">What it is about.</param>
/// <param name="Text">The SQL.</param>
internal sealed record Migration(int Version, string Name, string Text);

/// <summary>The numbered steps that bring a store to the format of this program.</summary>
internal static class StoreSchema
{
    private static readonly ILookup<string, Migration> All = Load();

    /// <summary>The steps of SQLite in their order.</summary>
    public static IReadOnlyList<Migration> Migrations { get; } = MigrationsOf(SqliteDialect.Only);

    /// <summary>The steps of a database in their order; every database has the same numbers and names.</summary>
    public static IReadOnlyList<Migration> MigrationsOf(StoreDialect dialect) =>
        [.. All[dialect.Name].OrderBy(migration => migration.Version)];

    /// <summary>Runs the steps that a store has not had yet, each in one exclusive transaction.</summary>
    /// <param name="connection">The store.</param>
    /// <param name="migrations">All steps that the program knows.</param>
    /// <param name="place">What messages call the store; null for what the connection calls it.</param>
    /// <returns>The format after that.</returns>
    /// <exception cref="StoreException">The store is newer than the program.</exception>
    public static int Migrate(DbConnection connection, IReadOnlyList<Migration> migrations, string? place = null)
    {
        StoreDialect dialect = StoreDialect.Of(connection);
        string where = place ?? connection.DataSource;
        RefuseNewer(dialect.Version(connection), migrations, where);
        foreach (Migration migration in migrations.Where(step => step.Version > dialect.Version(connection)))
        {
            dialect.BeginMigration(connection);
            try
            {
                // Another process may have done it while this one waited.
                int now = dialect.Version(connection);
                RefuseNewer(now, migrations, where);
                if (now < migration.Version)
                {
                    connection.Run(migration.Text);
                    dialect.SetVersion(connection, migration.Version);
                }
                dialect.Commit(connection);
            }
            catch
            {
                dialect.Undo(connection);
                throw;
            }
        }
        return dialect.Version(connection);
    }

    /// <summary>Format of an open store.</summary>
    public static int Version(DbConnection connection) => StoreDialect.Of(connection).Version(connection);

    private static void RefuseNewer(int found, IReadOnlyList<Migration> migrations, string where)
    {
        int known = migrations[^1].Version;
        if (found > known)
        {
            throw new StoreException(
                $"The store has format {found}, made by a newer Graftbench; this one knows formats up to {known}",
                where,
                "Start the newer program. The store was left as it is."
            );
        }
    }

    // Embedded as DATABASE/NUMBER-NAME.sql.
    private static ILookup<string, Migration> Load()
    {
        Assembly home = typeof(StoreSchema).Assembly;
        List<(string Database, Migration Step)> steps = [];
        foreach (
            string resource in home.GetManifestResourceNames()
                .Where(name => name.EndsWith(".sql", StringComparison.Ordinal))
        )
        {
            using StreamReader reader = new(home.GetManifestResourceStream(resource)!);
            string[] path = resource.Split('/', '\\');
            string name = Path.GetFileNameWithoutExtension(path[^1]);
            int dash = name.IndexOf('-', StringComparison.Ordinal);
            int version = int.Parse(name.AsSpan(0, dash), CultureInfo.InvariantCulture);
            steps.Add((path[0], new Migration(version, name[(dash + 1)..], reader.ReadToEnd())));
        }
        return steps.ToLookup(step => step.Database, step => step.Step, StringComparer.Ordinal);
    }
}
