using System.Globalization;
using System.Reflection;
using System.Text;
using System.Text.Json;
using System.Text.Json.Nodes;
using System.Text.RegularExpressions;
using Graftbench.Core.Jobs;
using Graftbench.Store;
using Graftbench.Web.Import;

namespace Graftbench.Web.Demo;

/// <summary>
/// The invented demo shop. Its job documents hold fixed dates; on loading each document is moved by whole days, so that its
/// latest moment lies within the day before.
/// </summary>
public static partial class DemoShop
{
    private const string Prefix = "demo/";

    /// <summary>Whether the assembly carries a demo.</summary>
    public static bool Exists => Names().Any();

    /// <summary>Whether a job is one of the demo's, by its id.</summary>
    public static bool Holds(string id) => Names().Contains($"{Prefix}{id}.json", StringComparer.Ordinal);

    /// <summary>Loads the demo jobs into a store that holds no job and no record of one.</summary>
    /// <returns>Number of jobs that were loaded; 0 where the store is not empty.</returns>
    public static int LoadOnce(BenchStore store, TimeProvider time)
    {
        ArgumentNullException.ThrowIfNull(store);
        ArgumentNullException.ThrowIfNull(time);
        if (!store.IsEmpty)
        {
            return 0;
        }
        int loaded = 0;
        foreach (string name in Names())
        {
            byte[] document = Moved(Read(name), time.GetLocalNow());
            JobReading reading = JobReader.Read(document, time.GetLocalNow());
            Job job =
                reading.Job
                ?? throw new InvalidDataException(
                    $"{name}: {string.Join("; ", reading.Problems.Select(problem => $"{problem.Path}: {Forms.ProblemText.Of(problem)}"))}"
                );
            Keep(store, job);
            loaded++;
        }
        return loaded;
    }

    private static void Keep(BenchStore store, Job job)
    {
        string[] beside =
        [
            .. job
                .Chips.Select(chip => chip.BallList?.File)
                .OfType<string>()
                .Distinct(StringComparer.Ordinal)
                .Where(name => Resources().Contains(Prefix + name)),
        ];
        JobWithFiles whole = new(job, beside.Select(name => (name, Read(Prefix + name))));
        if (whole.Problems.Count > 0 || whole.Keep(store) is not null)
        {
            throw new InvalidDataException($"{job.Id}: {string.Join("; ", whole.Problems)}");
        }
    }

    /// <summary>Moves every date-time of a job document by the same whole number of days.</summary>
    /// <param name="utf8">The document.</param>
    /// <param name="now">The moment that the latest one shall lie within the day before.</param>
    public static byte[] Moved(ReadOnlySpan<byte> utf8, DateTimeOffset now)
    {
        JsonNode? root = JsonNode.Parse(
            utf8,
            documentOptions: new JsonDocumentOptions
            {
                CommentHandling = JsonCommentHandling.Skip,
                AllowTrailingCommas = true,
                MaxDepth = JobFormat.MaxDepth,
            }
        );
        List<DateTimeOffset> moments = [];
        Visit(root, text => Moment(text) is { } moment ? Keep(moment, moments) : null);
        if (moments.Count > 0)
        {
            TimeSpan shift = TimeSpan.FromDays(Math.Floor((now - moments.Max()).TotalDays));
            Visit(
                root,
                text =>
                    Moment(text) is { } moment
                        ? (moment + shift).ToString("yyyy-MM-dd'T'HH:mm:sszzz", CultureInfo.InvariantCulture)
                        : null
            );
        }
        return Encoding.UTF8.GetBytes(root?.ToJsonString() ?? "null");
    }

    private static string? Keep(DateTimeOffset moment, List<DateTimeOffset> moments)
    {
        moments.Add(moment);
        return null;
    }

    private static DateTimeOffset? Moment(string text) =>
        DateTimeShape().IsMatch(text)
        && DateTimeOffset.TryParse(
            text,
            CultureInfo.InvariantCulture,
            DateTimeStyles.RoundtripKind,
            out DateTimeOffset moment
        )
            ? moment
            : null;

    /// <summary>Visits every text of a tree; what the visitor gives back takes its place.</summary>
    private static void Visit(JsonNode? node, Func<string, string?> visitor)
    {
        switch (node)
        {
            case JsonObject holder:
                foreach (string name in holder.Select(pair => pair.Key).ToList())
                {
                    if (Replacement(holder[name], visitor) is { } text)
                    {
                        holder[name] = text;
                    }
                    Visit(holder[name], visitor);
                }
                break;
            case JsonArray list:
                for (int i = 0; i < list.Count; i++)
                {
                    if (Replacement(list[i], visitor) is { } text)
                    {
                        list[i] = text;
                    }
                    Visit(list[i], visitor);
                }
                break;
        }
    }

    private static string? Replacement(JsonNode? node, Func<string, string?> visitor) =>
        node is JsonValue value && value.TryGetValue(out string? text) ? visitor(text) : null;

    private static IEnumerable<string> Names() =>
        Resources().Where(name => name.EndsWith(".json", StringComparison.Ordinal));

    private static IEnumerable<string> Resources() =>
        typeof(DemoShop)
            .Assembly.GetManifestResourceNames()
            .Where(name => name.StartsWith(Prefix, StringComparison.Ordinal))
            .Order(StringComparer.Ordinal);

    private static byte[] Read(string name)
    {
        using Stream stream = Assembly.GetExecutingAssembly().GetManifestResourceStream(name)!;
        byte[] bytes = new byte[stream.Length];
        stream.ReadExactly(bytes);
        return bytes;
    }

    [GeneratedRegex(
        @"^[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9]{2}:[0-9]{2}",
        RegexOptions.None,
        matchTimeoutMilliseconds: 1000
    )]
    private static partial Regex DateTimeShape();
}
