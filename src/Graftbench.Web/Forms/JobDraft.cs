using System.Globalization;
using System.Text.Json;
using System.Text.Json.Nodes;
using System.Text.RegularExpressions;
using Graftbench.Core.Jobs;
using Graftbench.Web.Shell;
using Microsoft.AspNetCore.Http;

namespace Graftbench.Web.Forms;

/// <summary>
/// A job document being typed. A form field is named by its path in the document; what cannot be read as the field's kind
/// goes into the document as it was typed, so that the reader reports it under the same path and the form shows it again.
/// </summary>
public sealed partial class JobDraft
{
    /// <summary>Ending of the hidden field that says which entry of the stored list a shown entry was.</summary>
    public const string EntryMark = ".#";

    /// <summary>Ending of the hidden field that says whether an optional part of the document is there.</summary>
    public const string PresenceMark = ".?";

    private readonly Dictionary<string, string> typed = new(StringComparer.Ordinal);
    private readonly Dictionary<string, (int Order, string Label)> labels = new(StringComparer.Ordinal);
    private readonly BenchClock clock;

    private JobDraft(JsonObject document, int revision, BenchClock clock)
    {
        Document = document;
        Revision = revision;
        this.clock = clock;
    }

    /// <summary>The document with everything typed so far.</summary>
    public JsonObject Document { get; }

    /// <summary>Revision that the form was opened on; 0 for a new job.</summary>
    public int Revision { get; set; }

    /// <summary>What is wrong, by path.</summary>
    public IReadOnlyList<JobProblem> Problems { get; private set; } = [];

    /// <summary>Something above the fields that the person must know: a stale save, a store that would not write.</summary>
    public string? Notice { get; set; }

    /// <summary>What was filled in beforehand and from where; null where nothing was.</summary>
    public string? FromLast { get; set; }

    /// <summary>A draft of a stored job, nothing typed yet.</summary>
    public static JobDraft Of(Job job, int revision, BenchClock clock) => new(ToDocument(job), revision, clock);

    /// <summary>A draft that begins with a given document.</summary>
    public static JobDraft Of(JsonObject document, int revision, BenchClock clock) =>
        new((JsonObject)document.DeepClone(), revision, clock);

    /// <summary>The document of a job.</summary>
    public static JsonObject ToDocument(Job job) =>
        JsonNode.Parse(JobFormat.Write(job), documentOptions: ReadOptions) as JsonObject
        ?? throw new InvalidDataException("A job is an object.");

    private static JsonDocumentOptions ReadOptions { get; } = new() { MaxDepth = JobFormat.MaxDepth };

    /// <summary>Takes over everything that was typed into a form.</summary>
    public void Take(IFormCollection form)
    {
        foreach ((string key, Microsoft.Extensions.Primitives.StringValues values) in form)
        {
            // A tick box posts "true" before the hidden "false" that stands for no tick.
            typed[key] = values.Contains("true") ? "true" : values.LastOrDefault() ?? "";
        }
        ApplyAll();
    }

    /// <summary>Sets one field as if it had been typed.</summary>
    public void Type(string path, string text)
    {
        typed[path] = text;
        Apply(path, text);
    }

    /// <summary>What a field shows: what was typed, else what the document holds.</summary>
    public string Text(string path) => typed.TryGetValue(path, out string? text) ? text : Shown(path);

    /// <summary>Whether an optional part of the document is there.</summary>
    public bool Has(string path) => JobPath.Find(Document, path) is not null;

    /// <summary>Number of entries of a list in the document.</summary>
    public int Count(string path) => JobPath.Find(Document, path) is JsonArray list ? list.Count : 0;

    /// <summary>The stored index of a shown entry; <c>new</c> for one that was added on the form.</summary>
    public string EntryText(string entryPath) =>
        typed.TryGetValue(entryPath + EntryMark, out string? text)
            ? text
            : LastIndex().Match(entryPath).Groups["index"].Value;

    /// <summary>Adds an empty entry to a list.</summary>
    public void AddEntry(string path)
    {
        JsonArray list = JobPath.ListAt(Document, path);
        typed[$"{path}[{list.Count}]{EntryMark}"] = "new";
        list.Add(new JsonObject());
    }

    /// <summary>Lays the entries of one list into another, in place of what was there.</summary>
    /// <param name="from">List that is copied.</param>
    /// <param name="to">List that is filled.</param>
    /// <param name="without">Fields that are not taken over, because they are true of the first only.</param>
    public void CopyList(string from, string to, params string[] without)
    {
        JsonArray copied = JobPath.ListAt(Document, to);
        copied.Clear();
        foreach (string key in typed.Keys.Where(key => key.StartsWith(to + "[", StringComparison.Ordinal)).ToList())
        {
            typed.Remove(key);
        }
        foreach (JsonNode? entry in JobPath.ListAt(Document, from))
        {
            typed[$"{to}[{copied.Count}]{EntryMark}"] = "new";
            JsonNode? clone = entry?.DeepClone();
            foreach (string field in without)
            {
                (clone as JsonObject)?.Remove(field);
            }
            copied.Add(clone);
        }
    }

    /// <summary>Takes an entry out of a list; what was typed into the later ones moves up with them.</summary>
    public void RemoveEntry(string path, int index)
    {
        JsonArray list = JobPath.ListAt(Document, path);
        if (index < 0 || index >= list.Count)
        {
            return;
        }
        // Entries that were never posted are named by their stored index before the indexes move.
        for (int i = 0; i < list.Count; i++)
        {
            string mark = $"{path}[{i}]{EntryMark}";
            typed.TryAdd(mark, i.ToString(CultureInfo.InvariantCulture));
        }
        list.RemoveAt(index);
        Dictionary<string, string> moved = new(StringComparer.Ordinal);
        string start = path + "[";
        foreach ((string key, string text) in typed)
        {
            if (!key.StartsWith(start, StringComparison.Ordinal))
            {
                moved[key] = text;
                continue;
            }
            int end = key.IndexOf(']', start.Length);
            if (
                end < 0
                || !int.TryParse(key.AsSpan(start.Length, end - start.Length), CultureInfo.InvariantCulture, out int at)
                || at == index
            )
            {
                continue;
            }
            int now = at > index ? at - 1 : at;
            moved[string.Create(CultureInfo.InvariantCulture, $"{start}{now}{key[end..]}")] = text;
        }
        typed.Clear();
        foreach ((string key, string text) in moved)
        {
            typed[key] = text;
        }
    }

    /// <summary>Reads the document as the job reader does and keeps what is wrong with it.</summary>
    /// <returns>The job, or null where something is wrong.</returns>
    public Job? Check() => CheckAs(Document).Job;

    /// <summary>Reads a document that stands for this draft, where the draft is only part of a job.</summary>
    public JobReading CheckAs(JsonObject document)
    {
        byte[] text = JsonSerializer.SerializeToUtf8Bytes(document, JobFormat.Json);
        JobReading reading = JobReader.Read(text, clock.Now);
        Problems = reading.Problems;
        return reading;
    }

    /// <summary>
    /// Renames the paths of the problems, where the page names an entry by another index than the checked document or where
    /// the document holds a copy of what was typed once; what is then said twice is said once.
    /// </summary>
    public void MovePaths(Func<string, string> move) =>
        Problems = Problems
            .Select(problem => problem with { Path = move(problem.Path) })
            .DistinctBy(problem => (problem.Path, problem.What))
            .ToList();

    /// <summary>Adds a problem that the reader does not know of.</summary>
    public void Add(JobProblem problem) => Problems = [.. Problems, problem];

    /// <summary>Notes what a field is called on the page; the fields do it as they are drawn, in their order.</summary>
    public void Name(string path, string label)
    {
        if (!labels.ContainsKey(path))
        {
            labels[path] = (labels.Count, label);
        }
    }

    /// <summary>What a field is called on the page; null where it is not on it.</summary>
    public string? LabelOf(string path) =>
        labels.TryGetValue(path, out (int Order, string Label) found) ? found.Label : null;

    /// <summary>Place of a field on the page; what is not on it comes last.</summary>
    public int OrderOf(string path) =>
        labels.TryGetValue(path, out (int Order, string Label) found) ? found.Order : int.MaxValue;

    /// <summary>Problems of one field.</summary>
    public IEnumerable<JobProblem> ProblemsAt(string path) => Problems.Where(problem => problem.Path == path);

    private void ApplyAll()
    {
        foreach (string key in typed.Keys.Where(key => key.EndsWith(PresenceMark, StringComparison.Ordinal)).ToList())
        {
            ApplyPresence(key[..^PresenceMark.Length], typed[key] == "true");
        }
        foreach (
            IGrouping<string, string> list in typed
                .Keys.Where(key => key.EndsWith("]" + EntryMark, StringComparison.Ordinal))
                .GroupBy(key => key[..key.LastIndexOf('[')], StringComparer.Ordinal)
                .OrderBy(group => group.Key.Count(c => c == '['))
        )
        {
            ApplyList(list.Key, list.Count());
        }
        foreach ((string path, string text) in typed)
        {
            Apply(path, text);
        }
    }

    private void ApplyPresence(string path, bool present)
    {
        if (!present)
        {
            JobPath.Remove(Document, path);
        }
        else
        {
            JobPath.ObjectAt(Document, path);
        }
    }

    private void ApplyList(string path, int count)
    {
        JsonArray stored = JobPath.ListAt(Document, path);
        List<JsonNode?> entries = [];
        for (int i = 0; i < count; i++)
        {
            string mark = typed.GetValueOrDefault($"{path}[{i}]{EntryMark}") ?? "new";
            bool known = int.TryParse(mark, CultureInfo.InvariantCulture, out int at) && at >= 0 && at < stored.Count;
            entries.Add(known ? stored[at]!.DeepClone() : new JsonObject());
        }
        stored.Clear();
        entries.ForEach(stored.Add);
    }

    private void Apply(string path, string text)
    {
        if (JobFields.Find(path) is not { } field || text == Shown(path) || AbsentParent(path))
        {
            return;
        }
        string trimmed =
            field.Kind == FieldKind.Text ? text.Trim().Replace("\r\n", "\n", StringComparison.Ordinal) : text.Trim();
        if (trimmed.Length == 0)
        {
            JobPath.Remove(Document, path);
            return;
        }
        JobPath.Set(Document, path, ToNode(field.Kind, trimmed));
    }

    /// <summary>True inside an optional part that the form says is not there.</summary>
    private bool AbsentParent(string path)
    {
        int dot = path.IndexOf('.');
        return dot > 0 && typed.TryGetValue(path[..dot] + PresenceMark, out string? present) && present != "true";
    }

    private JsonValue ToNode(FieldKind kind, string text) =>
        kind switch
        {
            FieldKind.Tick => JsonValue.Create(text == "true"),
            FieldKind.Whole
                when long.TryParse(text, NumberStyles.AllowLeadingSign, CultureInfo.InvariantCulture, out long whole) =>
                JsonValue.Create(whole),
            FieldKind.Number or FieldKind.Whole when ReadNumber(text) is { } number => JsonValue.Create(number),
            FieldKind.Moment when clock.ReadField(text) is { } moment => JsonValue.Create(
                moment.ToString("yyyy-MM-dd'T'HH:mm:sszzz", CultureInfo.InvariantCulture)
            ),
            _ => JsonValue.Create(text),
        };

    /// <summary>A number typed with a decimal point or comma; thousands marks are not guessed at.</summary>
    private static double? ReadNumber(string text) =>
        double.TryParse(
            text.Replace(',', '.'),
            NumberStyles.AllowLeadingSign | NumberStyles.AllowDecimalPoint | NumberStyles.AllowExponent,
            CultureInfo.InvariantCulture,
            out double number
        ) && double.IsFinite(number)
            ? number
            : null;

    private string Shown(string path)
    {
        if (JobPath.Find(Document, path) is not JsonValue value)
        {
            return "";
        }
        return value.GetValueKind() switch
        {
            JsonValueKind.String when JobFields.Find(path)?.Kind == FieldKind.Moment => ShownMoment(
                value.GetValue<string>()
            ),
            JsonValueKind.String => value.GetValue<string>(),
            _ => value.ToJsonString(),
        };
    }

    private string ShownMoment(string text) =>
        DateTimeOffset.TryParse(
            text,
            CultureInfo.InvariantCulture,
            DateTimeStyles.RoundtripKind,
            out DateTimeOffset moment
        )
            ? clock.FieldText(moment)
            : text;

    [GeneratedRegex(@"\[(?<index>[0-9]+)\]$", RegexOptions.ExplicitCapture, matchTimeoutMilliseconds: 1000)]
    private static partial Regex LastIndex();
}
