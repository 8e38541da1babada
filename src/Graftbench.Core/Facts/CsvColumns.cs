using System.Globalization;
using System.Reflection;
using System.Text;
using System.Text.Json;

namespace Graftbench.Core.Facts;

/// <summary>Records as lines of a list in columns: one column for each property that holds a single value.</summary>
/// <typeparam name="TRecord">The record. Lists and records inside of it get no column.</typeparam>
public static class CsvColumns<TRecord>
    where TRecord : notnull
{
    private static readonly PropertyInfo[] Properties =
    [
        .. typeof(TRecord)
            .GetProperties(BindingFlags.Public | BindingFlags.Instance)
            .Where(property => property.CanWrite && IsSingle(property.PropertyType)),
    ];

    /// <summary>Names of the columns, as the job document spells them.</summary>
    public static IReadOnlyList<string> Names { get; } =
    [.. Properties.Select(property => JsonNamingPolicy.CamelCase.ConvertName(property.Name))];

    /// <summary>Cells of a record, in the order of <see cref="Names"/>; empty where it says nothing.</summary>
    public static IEnumerable<string> Cells(TRecord record) =>
        Properties.Select(property => CsvCells.Of(property.GetValue(record)));

    private static bool IsSingle(Type type) =>
        (Nullable.GetUnderlyingType(type) ?? type) is var plain
        && (plain == typeof(string) || plain.IsEnum || plain.IsPrimitive || plain == typeof(DateTimeOffset));
}

/// <summary>Values as cells of a list in columns.</summary>
public static class CsvCells
{
    /// <summary>A value as a cell: numbers with a point, times with their offset, choices as the job document spells them.</summary>
    public static string Of(object? value) =>
        value switch
        {
            null => "",
            string words => CsvCell.Of(words),
            bool yes => yes ? "true" : "false",
            Enum choice => JsonNamingPolicy.KebabCaseLower.ConvertName(choice.ToString()),
            DateTimeOffset at => at.ToString("yyyy-MM-dd'T'HH:mm:ss.FFFFFFFzzz", CultureInfo.InvariantCulture),
            IFormattable number => number.ToString(null, CultureInfo.InvariantCulture),
            _ => throw new ArgumentException($"{value.GetType().Name} is no single value.", nameof(value)),
        };

    /// <summary>A line of a list, with its end.</summary>
    public static string Line(IEnumerable<string> cells) =>
        new StringBuilder().AppendJoin(',', cells).Append('\n').ToString();
}
