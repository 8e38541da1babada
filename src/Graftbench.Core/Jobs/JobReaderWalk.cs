using System.Globalization;
using System.Text;
using System.Text.Json;
using System.Text.RegularExpressions;

namespace Graftbench.Core.Jobs;

/// <summary>
/// Walks a job document token by token beside the shapes of the record types and logs every field that does not fit.
/// Where a document is not JSON the walk ends with the parser's exception; what is open then can be asked for.
/// </summary>
internal sealed partial class JobReaderWalk(byte[] utf8, IReadOnlySet<int> notNumbers, JobReaderLog log)
{
    /// <summary>Earliest and latest moment that any date of a job may have.</summary>
    public static readonly DateTimeOffset EarliestDate = new(1980, 1, 1, 0, 0, 0, TimeSpan.Zero);

    /// <inheritdoc cref="EarliestDate"/>
    public static readonly DateTimeOffset LatestDate = new(2200, 1, 1, 0, 0, 0, TimeSpan.Zero);

    /// <summary>Texts at least this long may have several lines [characters].</summary>
    public const int LongText = 400;

    private const string OwnLimit = "Graftbench plausibility limit";
    private const string FormatLimit = "job format";

    private readonly List<OpenBracket> open = [];

    /// <summary>A bracket that is open where the walk stands.</summary>
    internal readonly record struct OpenBracket(bool IsObject, int Offset, int PathDepth);

    /// <summary>Brackets open where the walk ended, outermost first.</summary>
    public IReadOnlyList<OpenBracket> Open => open;

    /// <summary>Path of the value the walk stands at.</summary>
    public JobPath Path { get; } = new();

    /// <summary>End of the last token that was read.</summary>
    public int LastEnd { get; private set; }

    /// <summary>What would have to be written instead, so that the rest of the document can be checked as a whole.</summary>
    public JobReaderRepair Repair { get; } = new();

    /// <summary>Walks the whole document.</summary>
    /// <param name="shape">What the document may look like.</param>
    /// <exception cref="JsonException">The text is not JSON; <see cref="LastEnd"/> tells how far it was.</exception>
    public void Document(JobShape shape)
    {
        Utf8JsonReader reader = new(
            utf8,
            new JsonReaderOptions
            {
                AllowTrailingCommas = true,
                CommentHandling = JsonCommentHandling.Skip,
                MaxDepth = JobFormat.MaxDepth,
            }
        );
        Next(ref reader);
        Value(ref reader, shape, null);
        // The parser refuses whatever follows the document.
        Next(ref reader);
    }

    private bool Next(ref Utf8JsonReader reader)
    {
        bool more = reader.Read();
        LastEnd = (int)reader.BytesConsumed;
        return more;
    }

    private void Value(ref Utf8JsonReader reader, JobShape shape, JobField? field)
    {
        int offset = (int)reader.TokenStartIndex;
        if (notNumbers.Contains(offset))
        {
            NotANumber(offset, shape, field);
            return;
        }
        if (reader.TokenType == JsonTokenType.Null)
        {
            Null(ref reader, shape, field);
            return;
        }
        switch (shape.Kind)
        {
            case JobValueKind.Object when reader.TokenType == JsonTokenType.StartObject:
                Object(ref reader, shape);
                break;
            case JobValueKind.List when reader.TokenType == JsonTokenType.StartArray:
                List(ref reader, shape, field);
                break;
            case JobValueKind.Number when reader.TokenType == JsonTokenType.Number:
                Number(ref reader, shape, field!);
                break;
            case JobValueKind.WholeNumber when reader.TokenType == JsonTokenType.Number:
                WholeNumber(ref reader, shape, field!);
                break;
            case JobValueKind.Text when reader.TokenType == JsonTokenType.String:
                Text(ref reader, shape, field!);
                break;
            case JobValueKind.Name when reader.TokenType == JsonTokenType.String:
                Name(ref reader, shape, field!);
                break;
            case JobValueKind.Date when reader.TokenType == JsonTokenType.String:
                Date(ref reader, shape, field!);
                break;
            case JobValueKind.Flag when reader.TokenType is JsonTokenType.True or JsonTokenType.False:
                break;
            default:
                WrongKind(ref reader, shape, field);
                break;
        }
    }

    private void Object(ref Utf8JsonReader reader, JobShape shape)
    {
        int start = (int)reader.TokenStartIndex;
        int depth = Path.Depth;
        IReadOnlyList<JobField> fields = shape.Fields;
        Span<bool> seen = stackalloc bool[fields.Count];
        OpenAt(isObject: true, start);
        int expected = 0;
        while (Next(ref reader) && reader.TokenType != JsonTokenType.EndObject)
        {
            int nameStart = (int)reader.TokenStartIndex;
            int index = Find(ref reader, fields, expected);
            if (index < 0)
            {
                UnknownField(ref reader, nameStart, fields);
                continue;
            }
            JobField field = fields[index];
            expected = index + 1;
            if (seen[index])
            {
                Duplicate(nameStart, field);
            }
            seen[index] = true;
            Path.Push(field.Name);
            Next(ref reader);
            Value(ref reader, field.Shape, field);
            Path.TrimTo(depth);
        }
        open.RemoveAt(open.Count - 1);
        for (int i = 0; i < fields.Count; i++)
        {
            if (fields[i].Required && !seen[i])
            {
                Missing(start, fields[i]);
            }
        }
    }

    private static int Find(ref Utf8JsonReader reader, IReadOnlyList<JobField> fields, int expected)
    {
        ReadOnlySpan<byte> name = reader.ValueSpan;
        if (reader.ValueIsEscaped)
        {
            name = JobReaderText.TryGet(ref reader, out string text) ? Encoding.UTF8.GetBytes(text) : [];
        }
        // Fields usually come in the type's order: look from the last one on, then from the start.
        for (int i = 0; i < fields.Count; i++)
        {
            int index = (expected + i) % fields.Count;
            if (name.SequenceEqual(fields[index].Utf8Name))
            {
                return index;
            }
        }
        return -1;
    }

    private void List(ref Utf8JsonReader reader, JobShape shape, JobField? field)
    {
        int start = (int)reader.TokenStartIndex;
        OpenAt(isObject: false, start);
        int depth = Path.Depth;
        int count = 0;
        // Plain entries are held to what stands on their list.
        JobField? own = shape.Element!.Kind is JobValueKind.Object or JobValueKind.List ? null : field;
        while (Next(ref reader) && reader.TokenType != JsonTokenType.EndArray)
        {
            Path.Push(count++);
            Value(ref reader, shape.Element, own);
            Path.TrimTo(depth);
        }
        open.RemoveAt(open.Count - 1);
        if (field?.AtMost is { } most && count > most && Wanted(start))
        {
            // Checks across fields count on lists of bounded length.
            Repair.GiveUp();
            log.Add(
                start,
                Problem(
                    $"The list has too many entries.",
                    $"{count} entries",
                    $"at most {most} entries",
                    FormatLimit,
                    "Leave out what the job does not need, or split the job."
                )
            );
        }
    }

    private void UnknownField(ref Utf8JsonReader reader, int nameStart, IReadOnlyList<JobField> fields)
    {
        string given = JobReaderText.TryGet(ref reader, out string text) ? text : Raw(nameStart);
        if (Wanted(nameStart))
        {
            string? nearest = JobReaderNames.Nearest(given, fields.Select(field => field.Name));
            log.Add(
                nameStart,
                new JobProblem(
                    Path.Text(JobReaderNames.Show(given)),
                    0,
                    0,
                    "The field is not known here.",
                    null,
                    JobReaderNames.List(fields.Select(field => field.Name)),
                    FormatLimit,
                    nearest is null ? "Take it out, or use a known field." : $"Did you mean {nearest}?"
                )
            );
            if (nearest is not null)
            {
                // What was meant for that field is not judged further.
                Repair.Doubt(Path.Text(nearest));
            }
        }
        Path.Push(JobReaderNames.Show(given));
        Next(ref reader);
        if (notNumbers.Contains((int)reader.TokenStartIndex))
        {
            NotANumber((int)reader.TokenStartIndex, null, null);
        }
        Skip(ref reader);
        Path.Pop();
    }

    private void Duplicate(int nameStart, JobField field)
    {
        if (Wanted(nameStart))
        {
            log.Add(
                nameStart,
                new JobProblem(
                    Path.Text(field.Name),
                    0,
                    0,
                    "The field stands here twice.",
                    null,
                    "once",
                    FormatLimit,
                    "Take one of the two out."
                )
            );
            Repair.Doubt(Path.Text(field.Name));
        }
    }

    private void Missing(int start, JobField field)
    {
        if (Wanted(start))
        {
            string what = field.Description is { } description
                ? $"{field.Name} ({char.ToLowerInvariant(description[0])}{description[1..].TrimEnd('.')})"
                : field.Name;
            log.Add(
                start,
                new JobProblem(
                    Path.Text(field.Name),
                    0,
                    0,
                    JobProblem.Missing,
                    null,
                    Needed(field.Shape, field),
                    FormatLimit,
                    $"Add {what}."
                )
            );
            Repair.Insert(start + 1, field, Path.Text(field.Name));
        }
    }

    private void Skip(ref Utf8JsonReader reader)
    {
        if (reader.TokenType is not (JsonTokenType.StartObject or JsonTokenType.StartArray))
        {
            return;
        }
        int depth = open.Count;
        OpenAt(reader.TokenType == JsonTokenType.StartObject, (int)reader.TokenStartIndex);
        while (open.Count > depth && Next(ref reader))
        {
            switch (reader.TokenType)
            {
                case JsonTokenType.StartObject or JsonTokenType.StartArray:
                    OpenAt(reader.TokenType == JsonTokenType.StartObject, (int)reader.TokenStartIndex);
                    break;
                case JsonTokenType.EndObject or JsonTokenType.EndArray:
                    open.RemoveAt(open.Count - 1);
                    break;
                case JsonTokenType.Number when notNumbers.Contains((int)reader.TokenStartIndex):
                    NotANumber((int)reader.TokenStartIndex, null, null);
                    break;
                default:
                    break;
            }
        }
    }

    private void OpenAt(bool isObject, int offset) => open.Add(new OpenBracket(isObject, offset, Path.Depth));

    private void Bad(
        int offset,
        int end,
        JobShape? shape,
        JobField? field,
        string what,
        string? value,
        string? allowed,
        string todo,
        string? whose = null
    )
    {
        if (!Wanted(offset))
        {
            return;
        }
        log.Add(offset, Problem(what, value, allowed, whose ?? field?.Allowed?.Whose ?? FormatLimit, todo));
        if (shape is not null)
        {
            Repair.Replace(offset, end, shape, field, Path.Text());
        }
    }

    private bool Wanted(int offset)
    {
        if (log.Wants(offset))
        {
            return true;
        }
        log.CountOnly();
        return false;
    }

    private JobProblem Problem(string what, string? value, string? allowed, string? whose, string? todo) =>
        new(Path.Text(), 0, 0, what, value, allowed, whose, todo);

    // What is wanted in a value's place.
    private static string Needed(JobShape shape, JobField? field) =>
        shape.Kind switch
        {
            JobValueKind.Name => JobReaderNames.List(shape.Names),
            JobValueKind.Number or JobValueKind.WholeNumber when field?.Allowed is not null =>
                $"{shape.KindInWords}, {Range(field)}",
            _ => shape.KindInWords,
        };

    private static string? Range(JobField field) =>
        field.Allowed is { } allowed
            ? string.Create(
                    CultureInfo.InvariantCulture,
                    $"{JobReaderNames.Number(allowed.Min)} to {JobReaderNames.Number(allowed.Max)} {allowed.Unit}"
                )
                .TrimEnd()
            : null;

    // The token as it stands in the text.
    private string Raw(int offset)
    {
        int length = Math.Min(LastEnd - offset, 200);
        return JobReaderNames.Show(Encoding.UTF8.GetString(utf8, offset, Math.Max(0, length)));
    }
}
