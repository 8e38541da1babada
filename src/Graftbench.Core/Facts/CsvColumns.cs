using System.Globalization;
using System.Reflection;
using System.Text;
using System.Text.Json;

namespace Graftbench.Core.Facts;

/// <summary>
/// Records as lines of a list in columns: one column for each property that holds a single value. Lists and records inside of
/// a record get no column.
/// </summary>
public static class CsvColumns
{
    /// <summary>Names of the columns of a record, as the job document spells them.</summary>
    public static IReadOnlyList<string> Names<TRecord>()
        where TRecord : notnull => Known<TRecord>.Names;

    /// <summary>Cells of a record, in the order of <see cref="Names"/>; empty where it says nothing.</summary>
    public static IEnumerable<string> Cells<TRecord>(TRecord record)
        where TRecord : notnull => Known<TRecord>.Properties.Select(property => CsvCells.Of(property.GetValue(record)));

    private static class Known<TRecord>
    {
        public static readonly PropertyInfo[] Properties =
        [
            .. typeof(TRecord)
                .GetProperties(BindingFlags.Public | BindingFlags.Instance)
                .Where(property => property.CanWrite && IsSingle(property.PropertyType)),
        ];

        public static readonly IReadOnlyList<string> Names =
        [
            .. Properties.Select(property => JsonNamingPolicy.CamelCase.ConvertName(property.Name)),
        ];
    }

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
