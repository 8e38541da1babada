using System.Text.Json;
using System.Text.RegularExpressions;

namespace Graftbench.Core.Jobs;

/// <content>Single values against their limits.</content>
internal sealed partial class JobReaderWalk
{
    private void Number(ref Utf8JsonReader reader, JobShape shape, JobField field)
    {
        int offset = (int)reader.TokenStartIndex;
        if (!reader.TryGetDouble(out double value) || !double.IsFinite(value))
        {
            Bad(
                offset,
                LastEnd,
                shape,
                field,
                "The number is too large to be held.",
                Raw(offset),
                Range(field),
                "Write the number in the field's unit."
            );
            return;
        }
        OutOfRange(offset, value, shape, field);
    }

    private void WholeNumber(ref Utf8JsonReader reader, JobShape shape, JobField field)
    {
        int offset = (int)reader.TokenStartIndex;
        if (reader.TryGetInt32(out int whole))
        {
            OutOfRange(offset, whole, shape, field);
            return;
        }
        double value = reader.TryGetDouble(out double read) ? read : double.NaN;
        bool isWhole = double.IsFinite(value) && Math.Floor(value) == value && Math.Abs(value) <= int.MaxValue;
        string todo = isWhole
            ? $"Write {JobReaderNames.Number(value)}."
            : "Round it, or check whether the value belongs to another field.";
        Bad(offset, LastEnd, shape, field, "A whole number is needed here.", Raw(offset), Range(field), todo);
    }

    private void OutOfRange(int offset, double value, JobShape shape, JobField field)
    {
        if (field.Allowed is not { } allowed || (value >= allowed.Min && value <= allowed.Max))
        {
            return;
        }
        if (!Wanted(offset))
        {
            return;
        }
        string unit = allowed.Unit.Length > 0 ? $" {allowed.Unit}" : "";
        log.Add(
            offset,
            Problem(
                value < allowed.Min ? "The value is too small." : "The value is too large.",
                $"{Raw(offset)}{unit}",
                Range(field),
                allowed.Whose,
                JobReaderUnits.Advice(value, allowed)
            )
        );
        Repair.Replace(offset, LastEnd, shape, field, Path.Text());
    }

    private void Text(ref Utf8JsonReader reader, JobShape shape, JobField field)
    {
        int offset = (int)reader.TokenStartIndex;
        if (!JobReaderText.TryGet(ref reader, out string text))
        {
            Bad(
                offset,
                LastEnd,
                shape,
                field,
                "The text holds half of a surrogate pair.",
                Raw(offset),
                null,
                "Take the \\ud… escape out or complete it."
            );
            return;
        }
        if (field.Text is not { } rule)
        {
            return;
        }
        int length = JobReaderText.Characters(text);
        if (length > rule.MaxLength)
        {
            Bad(
                offset,
                LastEnd,
                shape,
                field,
                "The text is too long.",
                $"{length} characters",
                $"at most {rule.MaxLength} characters",
                "Shorten it; long notes belong beside the job."
            );
        }
        else if (length < rule.MinLength)
        {
            Bad(
                offset,
                LastEnd,
                shape,
                field,
                "The text is empty.",
                "\"\"",
                $"at least {rule.MinLength} character",
                "Fill it in."
            );
        }
        else if (JobReaderText.FindControl(text, severalLines: rule.MaxLength >= LongText) is { } control)
        {
            Bad(
                offset,
                LastEnd,
                shape,
                field,
                $"The text holds the control character U+{(int)control:X4}.",
                JobReaderNames.Show(text),
                null,
                "Take it out."
            );
        }
        else if (field.Pattern is { } pattern && !MatchesWhole(pattern, text))
        {
            Bad(
                offset,
                LastEnd,
                shape,
                field,
                "The text does not have the right form.",
                JobReaderNames.Show(text),
                rule.PatternInWords ?? rule.Pattern,
                $"Write {rule.PatternInWords ?? "it in that form"}."
            );
        }
    }

    private static bool MatchesWhole(Regex pattern, string text)
    {
        Match match = pattern.Match(text);
        return match.Success && match.Length == text.Length;
    }

    private void Name(ref Utf8JsonReader reader, JobShape shape, JobField field)
    {
        if (!reader.ValueIsEscaped)
        {
            foreach (byte[] known in shape.Utf8Names)
            {
                if (reader.ValueSpan.SequenceEqual(known))
                {
                    return;
                }
            }
        }
        int offset = (int)reader.TokenStartIndex;
        string given = JobReaderText.TryGet(ref reader, out string text) ? text : Raw(offset);
        if (shape.Names.Contains(given, StringComparer.Ordinal))
        {
            return;
        }
        string? nearest = JobReaderNames.Nearest(given, shape.Names);
        Bad(
            offset,
            LastEnd,
            shape,
            field,
            "The name is not known here.",
            JobReaderNames.Show(given),
            JobReaderNames.List(shape.Names),
            nearest is null ? "Use one of the known names." : $"Did you mean {nearest}?"
        );
    }

    private void Date(ref Utf8JsonReader reader, JobShape shape, JobField field)
    {
        int offset = (int)reader.TokenStartIndex;
        if (!JobReaderText.TryGet(ref reader, out string text))
        {
            Bad(
                offset,
                LastEnd,
                shape,
                field,
                "The date holds half of a surrogate pair.",
                Raw(offset),
                null,
                "Write it like 2026-03-02T14:30:00+01:00."
            );
            return;
        }
        bool isDate = reader.TryGetDateTimeOffset(out DateTimeOffset date);
        if (isDate && JobReaderText.HasOffset(text))
        {
            if (date < EarliestDate || date >= LatestDate)
            {
                Bad(
                    offset,
                    LastEnd,
                    shape,
                    field,
                    "The year cannot be right.",
                    text,
                    "1980 to 2199",
                    "Check the year."
                );
            }
            return;
        }
        string todo = isDate
            ? "Add the offset from UTC: "
                + (text.Contains('T', StringComparison.Ordinal) ? text : text + "T00:00:00")
                + "+01:00 for one hour east of it, Z for UTC."
            : "Write it like 2026-03-02T14:30:00+01:00.";
        Bad(
            offset,
            LastEnd,
            shape,
            field,
            isDate ? "The date has no offset from UTC, so the moment is not known." : "This is no date and time.",
            JobReaderNames.Show(text),
            "a date, a time and the offset from UTC (ISO 8601)",
            todo,
            "ISO 8601-1"
        );
    }

    private void Null(ref Utf8JsonReader reader, JobShape shape, JobField? field)
    {
        if (field is { MayBeNull: true })
        {
            return;
        }
        string todo = field is { Required: true } or null
            ? $"Write {shape.KindInWords}."
            : "Leave the field out to get its default.";
        Bad(
            (int)reader.TokenStartIndex,
            LastEnd,
            shape,
            field,
            "null is not allowed here.",
            "null",
            Needed(shape, field),
            todo
        );
    }

    private void NotANumber(int offset, JobShape? shape, JobField? field)
    {
        string todo =
            field is null ? "Write a number."
            : field.MayBeNull ? "Leave the field out where the value is not known."
            : "Write the number; there is no job without it.";
        Bad(
            offset,
            LastEnd,
            shape,
            field,
            "This is not a number: JSON has no NaN and no Infinity.",
            null,
            field is null ? null : Range(field),
            todo,
            FormatLimit
        );
    }

    private void WrongKind(ref Utf8JsonReader reader, JobShape shape, JobField? field)
    {
        int offset = (int)reader.TokenStartIndex;
        (string found, string value) = reader.TokenType switch
        {
            JsonTokenType.StartObject => ("an object", "{ … }"),
            JsonTokenType.StartArray => ("a list", "[ … ]"),
            JsonTokenType.String => ("text", Raw(offset)),
            JsonTokenType.Number => ("a number", Raw(offset)),
            JsonTokenType.True => ("true", "true"),
            _ => ("false", "false"),
        };
        string todo = $"Write {shape.KindInWords}.";
        if (reader.TokenType == JsonTokenType.String && shape.Kind is JobValueKind.Number or JobValueKind.WholeNumber)
        {
            todo = JobReaderText.TryGet(ref reader, out string text)
                ? JobReaderUnits.Advice(text, field?.Allowed)
                : todo;
        }
        else if (shape.Kind == JobValueKind.Name && shape.Names.Contains(value, StringComparer.Ordinal))
        {
            todo = $"Write it in quotes: \"{value}\".";
        }
        else if (
            shape.Kind == JobValueKind.Name
            && found is "true" or "false"
            && shape.Names.Contains("yes", StringComparer.Ordinal)
        )
        {
            todo = $"Write \"{(found == "true" ? "yes" : "no")}\".";
        }
        else if (shape.Kind == JobValueKind.List && reader.TokenType == JsonTokenType.StartObject)
        {
            todo = "Put the entry into square brackets: [ { … } ].";
        }
        Skip(ref reader);
        Bad(
            offset,
            LastEnd,
            shape,
            field,
            $"{char.ToUpperInvariant(found[0])}{found[1..]} does not belong here.",
            value,
            Needed(shape, field),
            todo
        );
    }
}
