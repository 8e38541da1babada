using System.Buffers;
using System.Text;
using System.Text.Json;
using Graftbench.Core.Jobs;

namespace Graftbench.Store;

/// <summary>What a line of evidence may look like, whether it is entered here or comes from a zip.</summary>
public static class EvidenceRules
{
    private const int MaxRecordIdLength = 64;
    private static readonly JsonDocumentOptions OnceEach = new() { AllowDuplicateProperties = false };
    private const int MaxKindLength = 40;
    private static readonly SearchValues<char> SmallWord = SearchValues.Create("abcdefghijklmnopqrstuvwxyz0123456789-");
    private static readonly SearchValues<char> MediaTypeToken = SearchValues.Create(
        "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789!#$&^_.+-"
    );

    /// <summary>Longest payload [bytes of UTF-8]; a whole job document fits.</summary>
    public const int MaxPayloadBytes = JobFormat.MaxBytes;

    /// <summary>Longest file [bytes].</summary>
    public const int MaxFileBytes = 256 * 1024 * 1024;

    /// <summary>Longest name of a person [characters].</summary>
    public const int MaxWhoLength = 80;

    /// <summary>Longest name of a file [characters].</summary>
    public const int MaxFileNameLength = 260;

    /// <summary>Longest media type [characters].</summary>
    public const int MaxMediaTypeLength = 127;

    /// <summary>Kind of the lines that hold a job document.</summary>
    public const string JobSaved = "job-saved";

    /// <summary>Kind of the lines that hold a thing on the shelf.</summary>
    public const string ShelfSaved = "shelf-saved";

    /// <summary>Kind of the lines that hold a fact of a bench.</summary>
    public const string BenchFactAdded = "bench-fact";

    /// <summary>Kind of the lines that say what was taken out of their record on request.</summary>
    public const string PersonalDataRemoved = "personal-data-removed";

    /// <summary>Whether a text can name a record: a job id, or <see cref="BenchStore.ShopRecord"/>.</summary>
    public static bool IsRecordId(string? text) =>
        text is not null && text[..Math.Min(1, text.Length)] != "-" && IsWord(text, MaxRecordIdLength);

    /// <summary>What a refusal says, without the name that the program has for the thing.</summary>
    public static string Plain(ArgumentException refusal)
    {
        ArgumentNullException.ThrowIfNull(refusal);
        string text = refusal.Message;
        int name = text.LastIndexOf(" (Parameter '", StringComparison.Ordinal);
        return name < 0 ? text : text[..name];
    }

    /// <summary>What is wrong with a line's texts; empty where all is well. Hashes are not looked at.</summary>
    internal static IReadOnlyList<string> Problems(EvidenceLine line)
    {
        List<string> problems = [];
        if (!IsRecordId(line.RecordId))
        {
            problems.Add("the record id must be small letters, digits and dashes, at most 64");
        }
        if (line.Who.Length > MaxWhoLength || string.IsNullOrWhiteSpace(line.Who) || !IsPlain(line.Who))
        {
            problems.Add($"who must be 1 to {MaxWhoLength} characters without control characters");
        }
        if (!IsWord(line.Kind, MaxKindLength) || !char.IsAsciiLetter(line.Kind[0]))
        {
            problems.Add("the kind must be small letters, digits and dashes, starting with a letter, at most 40");
        }
        AddPayloadProblems(line.PayloadJson, problems);
        AddFileProblems(line, problems);
        return problems;
    }

    private static void AddPayloadProblems(string payload, List<string> problems)
    {
        if (!TryUtf8(payload, out byte[] utf8))
        {
            problems.Add("the payload is no valid Unicode text");
        }
        else if (utf8.Length > MaxPayloadBytes)
        {
            problems.Add($"the payload has {utf8.Length} bytes, more than {MaxPayloadBytes}: put it into a file");
        }
        else if (JsonProblem(utf8) is { } problem)
        {
            problems.Add($"the payload is no valid JSON ({problem})");
        }
    }

    private static void AddFileProblems(EvidenceLine line, List<string> problems)
    {
        if (line.FileSha256 is null)
        {
            if (line.FileName is not null || line.FileMediaType is not null)
            {
                problems.Add("a file's name or media type without a file");
            }
            return;
        }
        if (
            line.FileName is not { Length: > 0 and <= MaxFileNameLength } name
            || !IsPlain(name)
            || name.AsSpan().ContainsAny('/', '\\')
            || name is "." or ".."
        )
        {
            problems.Add(
                $"the file's name must be 1 to {MaxFileNameLength} characters without folders or control characters"
            );
        }
        if (line.FileMediaType is not { Length: <= MaxMediaTypeLength } type || !IsMediaType(type))
        {
            problems.Add("the file's media type must look like image/jpeg");
        }
    }

    private static string? JsonProblem(ReadOnlySpan<byte> utf8)
    {
        try
        {
            Utf8JsonReader reader = new(utf8);
            while (reader.Read())
            {
                if (reader.TokenType is JsonTokenType.String or JsonTokenType.PropertyName)
                {
                    // Half of a character pair, spelled as an escape, is found only by reading the text.
                    reader.GetString();
                }
            }
        }
        catch (JsonException problem)
        {
            return $"line {problem.LineNumber + 1}, byte {problem.BytePositionInLine + 1}";
        }
        catch (InvalidOperationException)
        {
            return "a text in it is no valid Unicode";
        }
        try
        {
            using JsonDocument whole = JsonDocument.Parse(utf8.ToArray(), OnceEach);
            return null;
        }
        catch (JsonException)
        {
            return "a name stands twice in the same object";
        }
    }

    /// <summary>Whether every database keeps a text as it is: valid Unicode without U+0000.</summary>
    internal static bool IsKept(string text) => !text.Contains('\0', StringComparison.Ordinal) && TryUtf8(text, out _);

    private static bool IsPlain(string text) => !text.Any(char.IsControl) && TryUtf8(text, out _);

    private static bool TryUtf8(string text, out byte[] utf8)
    {
        try
        {
            utf8 = EvidenceChain.Utf8.GetBytes(text);
            return true;
        }
        catch (EncoderFallbackException)
        {
            utf8 = [];
            return false;
        }
    }

    private static bool IsWord(string text, int maxLength) =>
        text.Length > 0 && text.Length <= maxLength && text.AsSpan().IndexOfAnyExcept(SmallWord) < 0;

    private static bool IsMediaType(string text)
    {
        ReadOnlySpan<char> all = text;
        int end = all.IndexOf(';');
        ReadOnlySpan<char> type = end < 0 ? all : all[..end];
        int slash = type.IndexOf('/');
        return slash > 0
            && slash < type.Length - 1
            && type[..slash].IndexOfAnyExcept(MediaTypeToken) < 0
            && type[(slash + 1)..].IndexOfAnyExcept(MediaTypeToken) < 0
            && all.IndexOfAnyExceptInRange(' ', '~') < 0;
    }
}
