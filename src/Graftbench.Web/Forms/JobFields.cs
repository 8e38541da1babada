using System.Collections;
using System.Collections.Concurrent;
using System.ComponentModel;
using System.Globalization;
using System.Reflection;
using System.Text.Json;
using System.Text.Json.Serialization;
using Graftbench.Core.Jobs;

namespace Graftbench.Web.Forms;

/// <summary>What sort of entry a field of the job document takes.</summary>
public enum FieldKind
{
    /// <summary>One line or a few lines of text.</summary>
    Text,

    /// <summary>A number with an optional fraction.</summary>
    Number,

    /// <summary>A whole number.</summary>
    Whole,

    /// <summary>One of a list of names.</summary>
    Choice,

    /// <summary>Yes or no.</summary>
    Tick,

    /// <summary>A date with a time of day.</summary>
    Moment,
}

/// <summary>What the job document's own types say about one field: the forms follow it and know nothing better.</summary>
/// <param name="Kind">Sort of entry.</param>
/// <param name="Required">True where the document cannot do without it.</param>
/// <param name="Description">Help text.</param>
/// <param name="Unit">Unit beside the field; empty where there is none.</param>
/// <param name="Min">Smallest allowed number; null without a range.</param>
/// <param name="Max">Largest allowed number; null without a range.</param>
/// <param name="MaxLength">Most characters; null where not limited.</param>
/// <param name="Choices">Names in the document and the words a person reads.</param>
public sealed record FieldFacts(
    FieldKind Kind,
    bool Required,
    string Description,
    string Unit,
    double? Min,
    double? Max,
    int? MaxLength,
    IReadOnlyList<(string Name, string Words)> Choices
)
{
    /// <summary>The allowed range in words; null without one.</summary>
    public string? Range =>
        Min is { } min && Max is { } max
            ? string.Create(CultureInfo.InvariantCulture, $"{min} to {max} {Unit}").TrimEnd()
            : null;
}

/// <summary>Finds the facts of a field by its path in the job document, <c>host.parts[3].heightMm</c>.</summary>
public static class JobFields
{
    private static readonly ConcurrentDictionary<string, FieldFacts?> Known = new(StringComparer.Ordinal);
    private static readonly NullabilityInfoContext Nullability = new();
    private static readonly Lock NullabilityLock = new();

    /// <summary>Finds a field; null where the path leads to no single value of the document.</summary>
    public static FieldFacts? Find(string path)
    {
        string pattern = JobPath.Pattern(path);
        return Known.TryGetValue(pattern, out FieldFacts? facts) || pattern.Length > 200
            ? facts
            : Known.GetOrAdd(pattern, static text => Walk(text));
    }

    private static FieldFacts? Walk(string pattern)
    {
        Type type = typeof(Job);
        PropertyInfo? property = null;
        foreach (string step in pattern.Split('.'))
        {
            bool list = step.EndsWith("[]", StringComparison.Ordinal);
            string name = list ? step[..^2] : step;
            property = Array.Find(
                type.GetProperties(),
                each => JsonNamingPolicy.CamelCase.ConvertName(each.Name) == name
            );
            if (property is null)
            {
                return null;
            }
            Type next = property.PropertyType;
            bool isList = next != typeof(string) && typeof(IEnumerable).IsAssignableFrom(next);
            if (isList != list)
            {
                return null;
            }
            type = isList ? next.GetGenericArguments()[0] : Nullable.GetUnderlyingType(next) ?? next;
        }
        return property is null ? null : Describe(property, type);
    }

    private static FieldFacts? Describe(PropertyInfo property, Type type)
    {
        FieldKind? kind =
            type == typeof(string) ? FieldKind.Text
            : type == typeof(double) ? FieldKind.Number
            : type == typeof(int) ? FieldKind.Whole
            : type == typeof(bool) ? FieldKind.Tick
            : type == typeof(DateTimeOffset) ? FieldKind.Moment
            : type.IsEnum ? FieldKind.Choice
            : null;
        if (kind is null)
        {
            return null;
        }
        AllowedAttribute? allowed = property.GetCustomAttribute<AllowedAttribute>();
        return new FieldFacts(
            kind.Value,
            property.GetCustomAttribute<System.Runtime.CompilerServices.RequiredMemberAttribute>() is not null,
            property.GetCustomAttribute<DescriptionAttribute>()?.Description ?? "",
            allowed?.Unit ?? "",
            allowed?.Min,
            allowed?.Max,
            property.GetCustomAttribute<TextAttribute>()?.MaxLength,
            type.IsEnum ? Choices(type, MayBeAbsent(property)) : []
        );
    }

    private static bool MayBeAbsent(PropertyInfo property)
    {
        lock (NullabilityLock)
        {
            return Nullability.Create(property).WriteState == NullabilityState.Nullable;
        }
    }

    private static List<(string, string)> Choices(Type type, bool mayBeAbsent)
    {
        List<(string, string)> choices = mayBeAbsent ? [("", "not said")] : [];
        foreach (string member in Enum.GetNames(type))
        {
            string name =
                type.GetField(member)!.GetCustomAttribute<JsonStringEnumMemberNameAttribute>()?.Name
                ?? JsonNamingPolicy.KebabCaseLower.ConvertName(member);
            choices.Add((name, FieldWords.Of(type, name)));
        }
        return choices;
    }
}
