using System.Globalization;
using System.Text.RegularExpressions;

namespace Graftbench.Core.Watching.Lines;

/// <summary>What a field of a logger's line reads as.</summary>
internal enum FieldKind
{
    Empty,
    Number,
    Temperature,
    Open,
    Clock,
    Date,
    Text,
}

/// <summary>One field, read.</summary>
/// <param name="Kind">What it is.</param>
/// <param name="Number">Its number; for a clock the seconds, for a date its day number.</param>
/// <param name="Label">Label before the value: <c>CH1</c> in <c>CH1=23.5</c>.</param>
/// <param name="Unit">Unit behind the value; null without one.</param>
/// <param name="Whole">Whether the number has no decimals.</param>
internal readonly record struct LineField(FieldKind Kind, double Number, string? Label, ProbeUnit? Unit, bool Whole);

/// <summary>Splits lines into fields and reads fields.</summary>
internal static partial class LineFields
{
    // What loggers write for a probe that is not connected; numbers of this sort lie far outside any probe's range.
    private static readonly HashSet<string> OpenWords = new(StringComparer.OrdinalIgnoreCase)
    {
        "open",
        "opn",
        "ol",
        "o.l",
        "o.l.",
        "oc",
        "nc",
        "n/c",
        "none",
        "nan",
        "inf",
        "+inf",
        "-inf",
        "err",
        "error",
        "fault",
        "overload",
        "over",
        "under",
        "burnout",
        "disconnected",
        "-",
        "--",
        "---",
        "----",
        "-----",
        "*",
        "**",
        "***",
        "****",
        "n/a",
        "na",
        "null",
        "?",
        "#n/a",
        "o/c",
        "oor",
    };

    private static readonly double[] OpenNumbers =
    [
        -9999,
        -999.9,
        -999,
        9999,
        9999.9,
        99999,
        32767,
        32766,
        3276.7,
        -32768,
        -3276.8,
        65535,
        6553.5,
        1e9,
        -1e9,
        1372.1,
        2500,
    ];

    /// <summary>Splits a line; at most one field more than <see cref="ProbeFormat.MostColumns"/>.</summary>
    /// <param name="line">The line.</param>
    /// <param name="separator">What stands between fields.</param>
    /// <param name="columns">Fields that a line should have, where that is known.</param>
    public static List<string> Split(string line, ProbeSeparator separator, int? columns = null)
    {
        string trimmed = line.Trim();
        string[] parts = separator switch
        {
            ProbeSeparator.Blanks => Joined(
                Blanks().Split(Signs().Replace(trimmed, "${sign}"), ProbeFormat.MostColumns + 1)
            ),
            ProbeSeparator.Comma => trimmed.Split(',', ProbeFormat.MostColumns + 1),
            ProbeSeparator.Semicolon => trimmed.Split(';', ProbeFormat.MostColumns + 1),
            ProbeSeparator.Tab => line.Trim('\r', '\n', ' ').Split('\t', ProbeFormat.MostColumns + 1),
            _ => trimmed.Split('|', ProbeFormat.MostColumns + 1),
        };
        List<string> fields = [.. parts.Select(part => part.Trim().Trim('"').Trim())];
        // A separator at the end of every line makes no field.
        if (separator != ProbeSeparator.Blanks && fields.Count > 1 && fields.Count != columns && fields[^1].Length == 0)
        {
            fields.RemoveAt(fields.Count - 1);
        }
        return fields;
    }

    // A unit that stands apart belongs to the number before it.
    private static string[] Joined(string[] parts)
    {
        List<string> joined = [];
        foreach (string part in parts)
        {
            bool unit = joined.Count > 0 && UnitAlone().IsMatch(part) && char.IsAsciiDigit(joined[^1][^1]);
            if (unit)
            {
                joined[^1] += part;
            }
            else if (part.Length > 0)
            {
                joined.Add(part);
            }
        }
        return [.. joined];
    }

    /// <summary>Reads a field.</summary>
    /// <param name="text">The field.</param>
    /// <param name="decimalComma">Whether a comma is the decimal mark.</param>
    public static LineField Read(string text, bool decimalComma)
    {
        if (text.Length == 0)
        {
            return new LineField(FieldKind.Empty, double.NaN, null, null, false);
        }
        if (OpenWords.Contains(text))
        {
            return new LineField(FieldKind.Open, double.NaN, null, null, false);
        }
        if (Clock(text) is { } seconds)
        {
            return new LineField(FieldKind.Clock, seconds, null, null, false);
        }
        if (Date(text) is { } day)
        {
            return new LineField(FieldKind.Date, day, null, null, false);
        }
        Match match = (decimalComma ? CommaValue() : PointValue()).Match(text);
        if (!match.Success)
        {
            Match labelled = LabelledOpen().Match(text);
            return labelled.Success && OpenWords.Contains(labelled.Groups["word"].Value)
                ? new LineField(FieldKind.Open, double.NaN, labelled.Groups["label"].Value, null, false)
                : new LineField(FieldKind.Text, double.NaN, null, null, false);
        }
        string digits = match.Groups["number"].Value.Replace(',', '.').Replace('−', '-');
        if (!double.TryParse(digits, NumberStyles.Float, CultureInfo.InvariantCulture, out double number))
        {
            return new LineField(FieldKind.Text, double.NaN, null, null, false);
        }
        string? label = match.Groups["label"].Success ? match.Groups["label"].Value : null;
        ProbeUnit? unit = match.Groups["unit"].Success ? UnitOf(match.Groups["unit"].Value) : null;
        if (!double.IsFinite(number) || OpenNumbers.Contains(number))
        {
            return new LineField(FieldKind.Open, double.NaN, label, unit, false);
        }
        return new LineField(
            unit is null ? FieldKind.Number : FieldKind.Temperature,
            number,
            label,
            unit,
            !digits.Contains('.', StringComparison.Ordinal)
        );
    }

    /// <summary>The unit that a heading names: <c>T1 (°F)</c>; null where it names none.</summary>
    public static ProbeUnit? UnitIn(string heading)
    {
        Match match = HeadingUnit().Match(heading);
        return match.Success ? UnitOf(match.Groups["unit"].Value) : null;
    }

    /// <summary>A heading without its unit.</summary>
    public static string WithoutUnit(string heading) => HeadingUnit().Replace(heading, "").Trim().Trim(':', '=').Trim();

    private static ProbeUnit UnitOf(string unit) =>
        char.ToUpperInvariant(unit[^1]) switch
        {
            'F' or '\u2109' => ProbeUnit.Fahrenheit,
            'K' => ProbeUnit.Kelvin,
            _ => ProbeUnit.Celsius,
        };

    // 12:34:56.7, 2026-03-10T12:34:56Z, 10.03.2026 12:34:56, with or without AM and PM.
    private static double? Clock(string text)
    {
        Match match = ClockText().Match(text);
        if (!match.Success)
        {
            return null;
        }
        double hours = int.Parse(match.Groups["h"].ValueSpan, CultureInfo.InvariantCulture);
        double minutes = int.Parse(match.Groups["m"].ValueSpan, CultureInfo.InvariantCulture);
        double seconds = match.Groups["s"].Success
            ? double.Parse(match.Groups["s"].Value.Replace(',', '.'), CultureInfo.InvariantCulture)
            : 0;
        if (hours > 23 || minutes > 59 || seconds >= 61)
        {
            return null;
        }
        if (match.Groups["half"].Success)
        {
            bool afternoon = match.Groups["half"].Value[0] is 'p' or 'P';
            hours = (hours % 12) + (afternoon ? 12 : 0);
        }
        double day = match.Groups["date"].Success ? Date(match.Groups["date"].Value) ?? double.NaN : 0;
        return double.IsNaN(day) ? null : ((((day * 24) + hours) * 60) + minutes) * 60 + seconds;
    }

    // Day number. Which of two numbers is the month does not matter here: only steps are used.
    private static double? Date(string text)
    {
        Match match = DateText().Match(text);
        if (!match.Success)
        {
            return null;
        }
        int[] parts =
        [
            .. new[] { "a", "b", "c" }.Select(part =>
                int.Parse(match.Groups[part].ValueSpan, CultureInfo.InvariantCulture)
            ),
        ];
        (int year, int month, int day) =
            parts[0] > 31 ? (parts[0], parts[1], parts[2])
            : parts[1] > 12 ? (parts[2], parts[0], parts[1])
            : (parts[2], parts[1], parts[0]);
        year += year < 100 ? 2000 : 0;
        if (year is < 1970 or > 2200 || month is < 1 or > 12 || day < 1 || day > DateTime.DaysInMonth(year, month))
        {
            return null;
        }
        return new DateOnly(year, month, day).DayNumber;
    }

    [GeneratedRegex(@"[ \t]+", RegexOptions.None, 1000)]
    private static partial Regex Blanks();

    // Blanks around the sign between a label and its value.
    [GeneratedRegex(@"[ \t]*(?<sign>=|:(?=[ \t])|(?<=[ \t]):)[ \t]*", RegexOptions.ExplicitCapture, 1000)]
    private static partial Regex Signs();

    [GeneratedRegex(@"^(?:°[CFK]|[CFK]|deg[CFK]?|\u2103|\u2109)$", RegexOptions.None, 1000)]
    private static partial Regex UnitAlone();

    [GeneratedRegex(
        @"^(?:(?<label>[A-Za-z_][\w .#-]{0,30}?)\s*[=:]\s*)?(?<number>[+\-−]?(?:[0-9]{1,12}(?:\.[0-9]{0,9})?|\.[0-9]{1,9})(?:[eE][+\-]?[0-9]{1,3})?)\s*(?<unit>°\s?[CFK]|[CFK]|deg\s?[CFK]|\u2103|\u2109)?$",
        RegexOptions.ExplicitCapture,
        1000
    )]
    private static partial Regex PointValue();

    [GeneratedRegex(
        @"^(?:(?<label>[A-Za-z_][\w .#-]{0,30}?)\s*[=:]\s*)?(?<number>[+\-−]?(?:[0-9]{1,12}(?:,[0-9]{0,9})?|,[0-9]{1,9})(?:[eE][+\-]?[0-9]{1,3})?)\s*(?<unit>°\s?[CFK]|[CFK]|deg\s?[CFK]|\u2103|\u2109)?$",
        RegexOptions.ExplicitCapture,
        1000
    )]
    private static partial Regex CommaValue();

    [GeneratedRegex(
        @"^(?<label>[A-Za-z_][\w .#-]{0,30}?)\s*[=:]\s*(?<word>\S{1,12})$",
        RegexOptions.ExplicitCapture,
        1000
    )]
    private static partial Regex LabelledOpen();

    [GeneratedRegex(
        @"[\[(]?\s*(?<unit>°\s?[CFK]|deg\s?[CFK]|\u2103|\u2109|(?<=[\[(]\s*)[CFK])\s*[\])]?$",
        RegexOptions.ExplicitCapture,
        1000
    )]
    private static partial Regex HeadingUnit();

    [GeneratedRegex(
        @"^(?:(?<date>[0-9]{1,4}[-./][0-9]{1,2}[-./][0-9]{1,4})[T ])?(?<h>[0-9]{1,2}):(?<m>[0-9]{2})(?::(?<s>[0-9]{2}(?:[.,][0-9]{1,9})?))?\s*(?<half>[AaPp][Mm])?(?:Z|[+-][0-9]{2}:?[0-9]{2})?$",
        RegexOptions.ExplicitCapture,
        1000
    )]
    private static partial Regex ClockText();

    [GeneratedRegex(
        @"^(?<a>[0-9]{1,4})[-./](?<b>[0-9]{1,2})[-./](?<c>[0-9]{1,4})$",
        RegexOptions.ExplicitCapture,
        1000
    )]
    private static partial Regex DateText();
}
