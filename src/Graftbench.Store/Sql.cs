using System.Data.Common;

namespace Graftbench.Store;

/// <summary>Short forms for plain SQL with parameters, the same for every database.</summary>
internal static class Sql
{
    public static DbCommand Command(
        this DbConnection connection,
        string text,
        params ReadOnlySpan<(string Name, object? Value)> parameters
    )
    {
        DbCommand command = connection.CreateCommand();
        command.CommandText = text;
        foreach ((string name, object? value) in parameters)
        {
            command.Add(name, value);
        }
        return command;
    }

    /// <summary>Adds a parameter to a command; its value may be set anew before each run.</summary>
    public static DbParameter Add(this DbCommand command, string name, object? value)
    {
        DbParameter parameter = command.CreateParameter();
        parameter.ParameterName = name;
        parameter.Value = value ?? DBNull.Value;
        command.Parameters.Add(parameter);
        return parameter;
    }

    public static int Run(
        this DbConnection connection,
        string text,
        params ReadOnlySpan<(string Name, object? Value)> parameters
    )
    {
        using DbCommand command = connection.Command(text, parameters);
        return command.ExecuteNonQuery();
    }

    public static object? Scalar(
        this DbConnection connection,
        string text,
        params ReadOnlySpan<(string Name, object? Value)> parameters
    )
    {
        using DbCommand command = connection.Command(text, parameters);
        return command.ExecuteScalar() is var value and not DBNull ? value : null;
    }

    public static List<T> All<T>(
        this DbConnection connection,
        string text,
        Func<DbDataReader, T> read,
        params ReadOnlySpan<(string Name, object? Value)> parameters
    )
    {
        using DbCommand command = connection.Command(text, parameters);
        using DbDataReader reader = command.ExecuteReader();
        List<T> rows = [];
        while (reader.Read())
        {
            rows.Add(read(reader));
        }
        return rows;
    }

    public static string? TextOrNull(this DbDataReader reader, int column) =>
        reader.IsDBNull(column) ? null : reader.GetString(column);
}
