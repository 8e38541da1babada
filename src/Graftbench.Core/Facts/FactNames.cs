using System.Text.Json;
using System.Text.Json.Serialization;

namespace Graftbench.Core.Facts;

/// <summary>Names of enum members in the data tables: the same small letters and dashes as in the job document.</summary>
internal static class FactNames<T>
    where T : struct, Enum
{
    private static readonly Dictionary<string, T> ByName = Enum.GetValues<T>()
        .ToDictionary(NameOf, StringComparer.Ordinal);

    /// <summary>The member that a cell names.</summary>
    /// <exception cref="InvalidDataException">No member has that name.</exception>
    public static T Parse(CsvRow row, string column) =>
        ByName.TryGetValue(row[column], out T value)
            ? value
            : throw new InvalidDataException(
                $"{row}: '{column}' holds '{row[column]}', not one of {string.Join(", ", ByName.Keys)}."
            );

    /// <summary>Name of a member, as the tables and the job document write it.</summary>
    public static string NameOf(T value)
    {
        string name = value.ToString();
        object[] own = typeof(T)
            .GetField(name)!
            .GetCustomAttributes(typeof(JsonStringEnumMemberNameAttribute), inherit: false);
        return own is [JsonStringEnumMemberNameAttribute attribute]
            ? attribute.Name
            : JsonNamingPolicy.KebabCaseLower.ConvertName(name);
    }
}
