using System.Globalization;
using System.Reflection;
using Microsoft.Data.Sqlite;

namespace Graftbench.Store;

/// <summary>One step from a store format to the next.</summary>
/// <param name="Version">The format after it, counted from 1 without gaps.</param>
/// <param name="Name">What it is about.</param>
/// <param name="Text">The SQL.</param>
internal sealed record Migration(int Version, string Name, string Text);

/// <summary>The numbered steps that bring a store to the format of this program.</summary>
internal static class StoreSchema
{
    /// <summary>Marks the file as a Graftbench store: the letters GRFB.</summary>
    public const int ApplicationId = 0x47524642;

    /// <summary>The steps in their order.</summary>
    public static IReadOnlyList<Migration> Migrations { get; } = Load();

    /// <summary>Runs the steps that a file has not had yet, each in one exclusive transaction.</summary>
    /// <returns>The format after that.</returns>
    /// <exception cref="StoreException">The store is newer than the program.</exception>
    public static int Migrate(SqliteConnection connection, IReadOnlyList<Migration> migrations)
    {
        string path = connection.DataSource;
        RefuseNewer(Version(connection), migrations, path);
        foreach (Migration migration in migrations.Where(step => step.Version > Version(connection)))
        {
            connection.Run("BEGIN EXCLUSIVE");
            try
            {
                // Another process may have done it while this one waited.
                int now = Version(connection);
                RefuseNewer(now, migrations, path);
                if (now < migration.Version)
                {
                    connection.Run(migration.Text);
                    connection.Run(
                        $"PRAGMA application_id = {ApplicationId}; PRAGMA user_version = {migration.Version}"
                    );
                }
                connection.Run("COMMIT");
            }
            catch
            {
                if (SQLitePCL.raw.sqlite3_get_autocommit(connection.Handle) == 0)
                {
                    connection.Run("ROLLBACK");
                }
                throw;
            }
        }
        return Version(connection);
    }

    /// <summary>Format of an open store.</summary>
    public static int Version(SqliteConnection connection) =>
        Convert.ToInt32(connection.Scalar("PRAGMA user_version"), CultureInfo.InvariantCulture);

    /// <summary>Names and text of all tables, indexes and triggers, for comparing a store with what it should be.</summary>
    public static IReadOnlyDictionary<string, string> Parts(SqliteConnection connection) =>
        connection
            .All(
                "SELECT type || ' ' || name, sql FROM sqlite_schema WHERE sql IS NOT NULL ORDER BY 1",
                row => (Name: row.GetString(0), Text: row.GetString(1))
            )
            .ToDictionary(part => part.Name, part => part.Text, StringComparer.Ordinal);

    /// <summary>What <see cref="Parts"/> gives for a sound store of this program's format.</summary>
    public static IReadOnlyDictionary<string, string> ExpectedParts()
    {
        using SqliteConnection connection = new("Data Source=:memory:");
        connection.Open();
        Migrate(connection, Migrations);
        return Parts(connection);
    }

    private static void RefuseNewer(int found, IReadOnlyList<Migration> migrations, string path)
    {
        int known = migrations[^1].Version;
        if (found > known)
        {
            throw new StoreException(
                $"The store has format {found}, made by a newer Graftbench; this one knows formats up to {known}",
                path,
                "Start the newer program. The store was left as it is."
            );
        }
    }

    private static List<Migration> Load()
    {
        Assembly home = typeof(StoreSchema).Assembly;
        List<Migration> migrations = [];
        foreach (
            string resource in home.GetManifestResourceNames()
                .Where(name => name.EndsWith(".sql", StringComparison.Ordinal))
        )
        {
            using StreamReader reader = new(home.GetManifestResourceStream(resource)!);
            int dash = resource.IndexOf('-', StringComparison.Ordinal);
            migrations.Add(
                new Migration(
                    int.Parse(resource.AsSpan(0, dash), CultureInfo.InvariantCulture),
                    Path.GetFileNameWithoutExtension(resource)[(dash + 1)..],
                    reader.ReadToEnd()
                )
            );
        }
        return migrations.OrderBy(migration => migration.Version).ToList();
    }
}
