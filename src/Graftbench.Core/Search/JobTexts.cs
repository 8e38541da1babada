using System.Collections;
using System.Collections.Concurrent;
using System.Reflection;
using System.Text.Json;
using Graftbench.Core.Jobs;

namespace Graftbench.Core.Search;

/// <summary>A text of a job.</summary>
/// <param name="Path">Where it stands in the document: <c>machine.serial</c>.</param>
/// <param name="Text">The text.</param>
public sealed record JobText(string Path, string Text);

/// <summary>The texts of a job document that a person wrote; choices, numbers and times are not among them.</summary>
public static class JobTexts
{
    private static readonly ConcurrentDictionary<Type, (PropertyInfo Property, string Name)[]> Known = new();

    /// <summary>All texts of a job in the order of the document.</summary>
    public static IEnumerable<JobText> Of(Job job)
    {
        ArgumentNullException.ThrowIfNull(job);
        return Walk(job, "").Where(text => text.Path != "format");
    }

    /// <summary>Texts of a job that hold a word of a question, each once, at most so many.</summary>
    /// <param name="job">The job.</param>
    /// <param name="asked">Words of <see cref="SearchWords.Asked"/>.</param>
    /// <param name="most">At most so many.</param>
    public static IReadOnlyList<JobText> With(Job job, IReadOnlyList<string> asked, int most) =>
        asked.Count == 0
            ? []
            :
            [
                .. Of(job)
                    .Where(text => asked.Any(word => SearchWords.Has(text.Text, word)))
                    .DistinctBy(text => text.Text, StringComparer.Ordinal)
                    .Take(most),
            ];

    private static IEnumerable<JobText> Walk(object? value, string path)
    {
        switch (value)
        {
            case null:
                yield break;
            case string text:
                if (!string.IsNullOrWhiteSpace(text))
                {
                    yield return new JobText(path, text);
                }
                yield break;
            case IEnumerable list:
                int index = 0;
                foreach (object? entry in list)
                {
                    foreach (JobText text in Walk(entry, FormattableString.Invariant($"{path}[{index}]")))
                    {
                        yield return text;
                    }
                    index++;
                }
                yield break;
        }
        if (value.GetType().Namespace != typeof(Job).Namespace || value is Enum)
        {
            yield break;
        }
        foreach ((PropertyInfo property, string name) in Known.GetOrAdd(value.GetType(), PropertiesOf))
        {
            foreach (JobText text in Walk(property.GetValue(value), path.Length == 0 ? name : $"{path}.{name}"))
            {
                yield return text;
            }
        }
    }

    private static (PropertyInfo Property, string Name)[] PropertiesOf(Type type) =>
        [
            .. type.GetProperties(BindingFlags.Public | BindingFlags.Instance)
                .Where(property => property.CanWrite && property.GetIndexParameters().Length == 0)
                .Where(property => !property.PropertyType.IsValueType)
                .Select(property => (property, JsonNamingPolicy.CamelCase.ConvertName(property.Name))),
        ];
}
