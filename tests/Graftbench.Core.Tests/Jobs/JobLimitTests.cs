using System.Collections;
using System.Globalization;
using System.Reflection;
using System.Text;
using System.Text.Json;
using System.Text.Json.Nodes;
using System.Text.RegularExpressions;
using Graftbench.Core.Jobs;

namespace Graftbench.Core.Tests.Jobs;

/// <summary>
/// Every limit that a record type states is kept by the reader and by the schema: each field of each object of a full
/// job is set to values on both sides of it. The fields are found by reflection, so a new one is covered as it is added.
/// </summary>
public sealed class JobLimitTests
{
    private const string FullJob = "arcade-graphics.jsonc";

    private const string TooMany = "too many entries";

    /// <summary>A value put into a field, and whether the field's own rule allows it.</summary>
    private sealed record Trial(string Path, JsonNode? Value, bool Fits, string Why);

    [Fact]
    public void Values_beyond_a_limit_are_problems_of_that_field_in_reader_and_schema()
    {
        List<Trial> trials = Trials().Where(trial => !trial.Fits).ToList();
        Assert.True(trials.Count > 400, $"only {trials.Count} trials");
        Assert.Empty(
            trials
                .Where(trial => !Read(trial).Any(problem => Concerns(problem, trial)))
                .Select(trial => $"reader lets {trial.Path} pass: {trial.Why}")
        );
        Assert.Empty(trials.Where(KeepsToSchema).Select(trial => $"schema lets {trial.Path} pass: {trial.Why}"));
    }

    [Fact]
    public void Values_on_a_limit_are_within_it()
    {
        List<Trial> trials = Trials().Where(trial => trial.Fits).ToList();
        Assert.True(trials.Count > 200, $"only {trials.Count} trials");
        Assert.Empty(
            trials
                .SelectMany(trial => Read(trial).Where(problem => problem.Path == trial.Path && IsFieldRule(problem)))
                .Select(problem => $"{problem.Path}: {problem.What} {problem.Value}")
        );
        Assert.Empty(
            trials.Where(trial => !KeepsToSchema(trial)).Select(trial => $"schema refuses {trial.Path}: {trial.Why}")
        );
    }

    [Fact]
    public void Required_fields_are_missed()
    {
        List<string> notMissed = [];
        foreach ((string path, PropertyInfo property) in Fields(typeof(Job), "", Document()))
        {
            if (property.GetCustomAttribute<System.Runtime.CompilerServices.RequiredMemberAttribute>() is null)
            {
                continue;
            }
            JsonNode document = Document();
            ((JsonObject)At(document, Parent(path))!).Remove(Leaf(path));
            byte[] text = Encoding.UTF8.GetBytes(document.ToJsonString());
            if (
                !JobReader
                    .Read(text, Corpus.Now)
                    .Problems.Any(problem => problem.Path == path && problem.What == "The field is missing.")
            )
            {
                notMissed.Add(path);
            }
            if (PublishedSchema.Accepts(text))
            {
                notMissed.Add(path + " (schema)");
            }
        }
        Assert.Empty(notMissed);
    }

    private static bool IsFieldRule(JobProblem problem) =>
        problem.What
            is "The value is too small."
                or "The value is too large."
                or "The text is too long."
                or "The text is empty.";

    private static IEnumerable<Trial> Trials() =>
        Fields(typeof(Job), "", Document()).SelectMany(field => Trials(field.Path, field.Property));

    private static IEnumerable<Trial> Trials(string path, PropertyInfo property)
    {
        Type type = Nullable.GetUnderlyingType(property.PropertyType) ?? property.PropertyType;
        if (property.GetCustomAttribute<AllowedAttribute>() is { } allowed)
        {
            double step = type == typeof(int) ? 1 : Math.Max(1e-6, (allowed.Max - allowed.Min) / 1000);
            yield return new Trial(path, Number(allowed.Min - step, type), false, $"below {allowed.Min}");
            yield return new Trial(path, Number(allowed.Max + step, type), false, $"above {allowed.Max}");
            yield return new Trial(path, Number(allowed.Min, type), true, $"at {allowed.Min}");
            yield return new Trial(path, Number(allowed.Max, type), true, $"at {allowed.Max}");
            yield return new Trial(path, JsonValue.Create("1"), false, "text");
            yield return new Trial(path, JsonValue.Create(true), false, "true");
        }
        else if (type == typeof(double) || type == typeof(int))
        {
            Assert.Fail($"{path} has no limit.");
        }
        if (type == typeof(string))
        {
            TextAttribute? rule = property.GetCustomAttribute<TextAttribute>();
            Assert.True(rule is not null, $"{path} has no limit.");
            yield return new Trial(
                path,
                JsonValue.Create(new string('x', rule.MaxLength + 1)),
                false,
                $"over {rule.MaxLength}"
            );
            if (rule.Pattern is null)
            {
                // Characters outside the basic plane count once, as in a schema.
                yield return new Trial(
                    path,
                    JsonValue.Create(string.Concat(Enumerable.Repeat("😀", rule.MaxLength))),
                    true,
                    $"at {rule.MaxLength}"
                );
            }
            else
            {
                Assert.DoesNotMatch(new Regex(rule.Pattern, RegexOptions.None, TimeSpan.FromSeconds(1)), "ä b");
                yield return new Trial(path, JsonValue.Create("ä b"), false, rule.Pattern);
            }
            if (rule.MinLength > 0)
            {
                yield return new Trial(path, JsonValue.Create(""), false, "empty");
            }
            yield return new Trial(path, JsonValue.Create(1), false, "number");
        }
        if (type.IsEnum)
        {
            yield return new Trial(path, JsonValue.Create("no such name"), false, "no such name");
            yield return new Trial(path, JsonValue.Create(0), false, "number");
        }
        if (type == typeof(bool))
        {
            yield return new Trial(path, JsonValue.Create("yes"), false, "text");
        }
        if (type == typeof(DateTimeOffset))
        {
            yield return new Trial(path, JsonValue.Create("2026-01-01"), false, "no time");
            yield return new Trial(path, JsonValue.Create("2026-01-01T08:00:00"), false, "no offset");
            yield return new Trial(path, JsonValue.Create("yesterday"), false, "no date");
            yield return new Trial(path, JsonValue.Create("2026-01-01T08:00:00Z"), true, "UTC");
            yield return new Trial(path, JsonValue.Create("2026-01-01T08:00:00.5-03:30"), true, "offset");
        }
        if (type != typeof(string) && type.IsAssignableTo(typeof(IEnumerable)))
        {
            AtMostAttribute? most = property.GetCustomAttribute<AtMostAttribute>();
            Assert.True(most is not null, $"{path} has no limit.");
            yield return new Trial(path, JsonValue.Create("list"), false, "text");
            // Entries that are right in themselves, one too many of them.
            JsonNode entry = At(Document(), path)![0]!;
            JsonArray many = [];
            for (int i = 0; i <= most.Max; i++)
            {
                many.Add(entry.DeepClone());
            }
            yield return new Trial(path, many, false, TooMany);
            yield return new Trial(path, new JsonArray((JsonNode?)null), false, "null entry");
        }
        NullabilityInfo nullability = new NullabilityInfoContext().Create(property);
        bool mayBeNull = nullability.WriteState == NullabilityState.Nullable;
        yield return new Trial(path, null, mayBeNull, "null");
    }

    private static JsonValue Number(double value, Type type) =>
        type == typeof(int) ? JsonValue.Create((int)value) : JsonValue.Create(value);

    // Every field of every object, whether the document has it or not.
    private static IEnumerable<(string Path, PropertyInfo Property)> Fields(Type type, string path, JsonNode document)
    {
        foreach (PropertyInfo property in type.GetProperties(BindingFlags.Public | BindingFlags.Instance))
        {
            string name = JsonNamingPolicy.CamelCase.ConvertName(property.Name);
            string below = path.Length == 0 ? name : $"{path}.{name}";
            yield return (below, property);
            Type inner = property.PropertyType;
            if (inner.IsGenericType && inner.GetGenericTypeDefinition() == typeof(IReadOnlyList<>))
            {
                // The entry with the most in it stands for all.
                inner = inner.GetGenericArguments()[0];
                Assert.True(At(document, below) is JsonArray { Count: > 0 }, $"{FullJob} has no entry of {below}.");
                int index = Enumerable
                    .Range(0, At(document, below)!.AsArray().Count)
                    .MaxBy(i => ((JsonArray)At(document, below)!)[i]!.ToJsonString().Length);
                below = $"{below}[{index}]";
            }
            if (inner.Namespace == typeof(Job).Namespace && inner.IsClass && At(document, below) is JsonObject)
            {
                foreach ((string, PropertyInfo) field in Fields(inner, below, document))
                {
                    yield return field;
                }
            }
        }
    }

    private static JsonNode Document()
    {
        JsonNode document = JsonNode.Parse(
            Corpus.ReadGood(FullJob),
            documentOptions: new JsonDocumentOptions
            {
                AllowTrailingCommas = true,
                CommentHandling = JsonCommentHandling.Skip,
            }
        )!;
        // The donor is the host with another name, so that all its lists have entries.
        JsonNode donor = document["host"]!.DeepClone();
        document["donor"] = donor;
        return document;
    }

    private static byte[] With(Trial trial)
    {
        JsonNode document = Document();
        ((JsonObject)At(document, Parent(trial.Path))!)[Leaf(trial.Path)] = trial.Value?.DeepClone();
        return Encoding.UTF8.GetBytes(document.ToJsonString());
    }

    private static IReadOnlyList<JobProblem> Read(Trial trial) => JobReader.Read(With(trial), Corpus.Now).Problems;

    private static bool KeepsToSchema(Trial trial) => PublishedSchema.Accepts(With(trial));

    private static JsonNode? At(JsonNode? node, string path)
    {
        foreach (string step in path.Split('.', '[').Where(step => step.Length > 0))
        {
            node = step[^1] == ']' ? node?[int.Parse(step[..^1], CultureInfo.InvariantCulture)] : node?[step];
        }
        return node;
    }

    private static string Parent(string path) =>
        path.Contains('.', StringComparison.Ordinal) ? path[..path.LastIndexOf('.')] : "";

    private static string Leaf(string path) => path[(path.LastIndexOf('.') + 1)..];

    private static bool Concerns(JobProblem problem, Trial trial) =>
        problem.Path == trial.Path
        || (trial.Why != TooMany && problem.Path.StartsWith(trial.Path + "[", StringComparison.Ordinal));
}
