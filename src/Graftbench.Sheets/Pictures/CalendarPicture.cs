using System.Globalization;
using Graftbench.Core.Drying;
using Graftbench.Sheets.Drawing;

namespace Graftbench.Sheets.Pictures;

/// <summary>The drying plan as a calendar: hours under days while it is short, weeks under weekdays when it is long.</summary>
public static class CalendarPicture
{
    private const string WholeJob = "Whole job";

    /// <summary>Longest plan that is drawn with hours under days.</summary>
    internal const double LongestHourlyDays = 12;

    /// <summary>Draws a calendar.</summary>
    /// <param name="entries">What happens when.</param>
    /// <param name="now">The present moment.</param>
    /// <param name="offset">Offset of the clock on the shop's wall; that of <paramref name="now"/> if left out.</param>
    /// <param name="titles">What a person calls the subjects, by their ids.</param>
    public static string Svg(
        IReadOnlyList<CalendarEntry> entries,
        DateTimeOffset now,
        TimeSpan? offset = null,
        IReadOnlyDictionary<string, string>? titles = null
    ) =>
        Picture(entries, now, offset ?? now.Offset, titles ?? new Dictionary<string, string>(StringComparer.Ordinal))
            .Svg();

    internal static Picture Picture(
        IReadOnlyList<CalendarEntry> entries,
        DateTimeOffset now,
        TimeSpan offset,
        IReadOnlyDictionary<string, string> titles
    )
    {
        ArgumentNullException.ThrowIfNull(entries);
        CalendarItem[] items =
        [
            .. entries.Select(entry => new CalendarItem(
                entry.From,
                entry.To < entry.From ? entry.From : entry.To,
                entry.Kind,
                entry.SubjectId.Length == 0 ? WholeJob : titles.GetValueOrDefault(entry.SubjectId, entry.SubjectId),
                SheetText.Clean(entry.What)
            )),
        ];
        string words = string.Join(
            ' ',
            items.Select(item => $"{QuantityText.MomentShort(item.From, offset)}: {item.Words}{Until(item, offset)}.")
        );
        if (items.Length == 0)
        {
            return new Picture(
                600,
                40,
                "Calendar",
                "Nothing to do.",
                canvas =>
                    canvas.Text(
                        new Pt(12, 24),
                        "nothing to do and nothing to wait for",
                        new TextLook(13, Ink: Ink.Muted)
                    )
            );
        }
        double days = (items.Max(item => item.To) - items.Min(item => item.From)).TotalDays;
        return days <= LongestHourlyDays
            ? HourlyCalendar.Picture(items, now, offset, "Calendar", words)
            : WeeklyCalendar.Picture(items, now, offset, "Calendar", words);
    }

    private static string Until(CalendarItem item, TimeSpan offset) =>
        item.To == item.From ? "" : $" until {QuantityText.MomentShort(item.To, offset)}";
}

/// <summary>An entry with the subject's name.</summary>
internal sealed record CalendarItem(
    DateTimeOffset From,
    DateTimeOffset To,
    CalendarKind Kind,
    string Subject,
    string What
)
{
    public string Words => Subject.Length == 0 ? What : $"{SheetText.Clean(Subject)}: {What}";
}

/// <summary>Marks that both calendars share.</summary>
internal static class CalendarMarks
{
    public static void Bar(ICanvas canvas, CalendarKind kind, double from, double to, double y, double height)
    {
        Box box = new(from, y, Math.Max(3, to - from), height);
        if (kind == CalendarKind.Work)
        {
            canvas.Rect(box, 2, new Look(Ink.Accent, Ink.Text, 0.8));
            return;
        }
        canvas.Rect(box, 3, new Look(Ink.Body, Ink.Text, 0.9));
    }

    public static void Diamond(ICanvas canvas, double x, double y) =>
        canvas.Shapes(
            [
                [new Pt(x, y - 6.5), new Pt(x + 6.5, y), new Pt(x, y + 6.5), new Pt(x - 6.5, y)],
            ],
            new Look(Ink.Good, Ink.Text, 1)
        );

    /// <summary>The words as far as a whole clause fits; the whole of them stands in the description and in the list.</summary>
    public static string Shorten(string text, double width, double size, bool bold = false)
    {
        if (SheetText.Width(text, size, bold) <= width)
        {
            return text;
        }
        for (int at = text.LastIndexOf(';'); at > 0; at = text.LastIndexOf(';', at - 1))
        {
            string clause = text[..at] + " …";
            if (SheetText.Width(clause, size, bold) <= width)
            {
                return clause;
            }
        }
        return SheetText.Fit(text, width, size, bold);
    }

    public static string Clock(DateTimeOffset moment, TimeSpan offset) =>
        moment.ToOffset(offset).ToString("HH:mm", CultureInfo.InvariantCulture);
}
