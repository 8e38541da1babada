using Microsoft.Data.Sqlite;

namespace Graftbench.Store;

/// <summary>Short forms for plain SQL with parameters.</summary>
internal static class Sql
{
    public static SqliteCommand Command(
        this SqliteConnection connection,
        string text,
        params ReadOnlySpan<(string Name, object? Value)> parameters
    )
    {
        SqliteCommand command = connection.CreateCommand();
        command.CommandText = text;
        foreach ((string name, object? value) in parameters)
        {
            command.Parameters.AddWithValue(name, value ?? DBNull.Value);
        }
        return command;
    }

    public static int Run(
        this SqliteConnection connection,
        string text,
        params ReadOnlySpan<(string Name, object? Value)> parameters
    )
    {
        using SqliteCommand command = connection.Command(text, parameters);
        return command.ExecuteNonQuery();
    }

    public static object? Scalar(
        this SqliteConnection connection,
        string text,
        params ReadOnlySpan<(string Name, object? Value)> parameters
    )
    {
        using SqliteCommand command = connection.Command(text, parameters);
        return command.ExecuteScalar() is var value and not DBNull ? value : null;
    }

    public static List<T> All<T>(
        this SqliteConnection connection,
        string text,
        Func<SqliteDataReader, T> read,
        params ReadOnlySpan<(string Name, object? Value)> parameters
    )
    {
        using SqliteCommand command = connection.Command(text, parameters);
        using SqliteDataReader reader = command.ExecuteReader();
        List<T> rows = [];
        while (reader.Read())
        {
            rows.Add(read(reader));
        }
        return rows;
    }

    public static string? TextOrNull(this SqliteDataReader reader, int column) =>
        reader.IsDBNull(column) ? null : reader.GetString(column);
}
