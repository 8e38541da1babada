using System.Globalization;
using Graftbench.Core.Drying;
using Graftbench.Sheets.Drawing;

namespace Graftbench.Sheets.Pictures;

/// <summary>Weeks under weekdays, as on a wall calendar.</summary>
internal static class WeeklyCalendar
{
    private const double Width = 600;
    private const double Left = 6;
    private const double HeadHeight = 22;
    private const double DateHeight = 19;
    private const double LaneHeight = 21;
    private const double QuietLaneHeight = 10;
    private const double Size = 12;
    private const int MostWeeks = 56;

    private sealed record Drawn(CalendarItem Item, double From, double To, double TextX, string Text, int Lane);

    private sealed record Week(
        DateTimeOffset Monday,
        double Top,
        double Height,
        bool Quiet,
        IReadOnlyList<Drawn> Items
    );

    public static Picture Picture(
        IReadOnlyList<CalendarItem> items,
        DateTimeOffset now,
        TimeSpan offset,
        string title,
        string words
    )
    {
        DateTimeOffset first = items.Min(item => item.From).ToOffset(offset);
        DateTimeOffset last = items.Max(item => item.To).ToOffset(offset);
        DateTimeOffset monday = first.Date.AddDays(-(((int)first.DayOfWeek + 6) % 7)).ToOffsetAt(offset);
        List<Week> weeks = [];
        double y = HeadHeight;
        while (monday <= last && weeks.Count < MostWeeks)
        {
            List<Drawn> drawn = Lay(items, monday, offset);
            bool quiet =
                weeks.Count > 0
                && drawn.TrueForAll(item => item.Item.From < monday && item.Item.To >= monday.AddDays(7));
            double lane = quiet ? QuietLaneHeight : LaneHeight;
            double height = DateHeight + (lane * drawn.Select(item => item.Lane + 1).DefaultIfEmpty(0).Max()) + 5;
            weeks.Add(new Week(monday, y, height, quiet, drawn));
            y += height;
            monday = monday.AddDays(7);
        }
        bool cut = monday <= last;
        return new Picture(
            Width,
            y + (cut ? 24 : 6),
            title,
            words,
            canvas =>
            {
                Draw(canvas, weeks, now, offset, y);
                if (cut)
                {
                    canvas.Text(
                        new Pt(Left, y + 17),
                        $"goes on until {QuantityText.Moment(last, offset)}",
                        new TextLook(Size, Bold: true)
                    );
                }
            }
        );
    }

    private static double Column => (Width - (2 * Left)) / 7;

    private static double X(DateTimeOffset monday, DateTimeOffset moment) =>
        Left + (Column * Math.Clamp((moment - monday).TotalDays, 0, 7));

    // Each entry takes the first lane in which neither its bar nor its words meet what is there already.
    private static List<Drawn> Lay(IReadOnlyList<CalendarItem> items, DateTimeOffset monday, TimeSpan offset)
    {
        DateTimeOffset next = monday.AddDays(7);
        List<Drawn> drawn = [];
        List<(double From, double To, int Lane)> taken = [];
        foreach (
            CalendarItem item in items
                .Where(item => item.From < next && (item.To > monday || item.From >= monday))
                .OrderByDescending(item => item.Kind == CalendarKind.Wait)
                .ThenBy(item => item.From)
        )
        {
            double from = X(monday, item.From);
            double to = X(monday, item.To);
            bool bar = item.Kind == CalendarKind.Wait;
            string text = bar ? item.Words : $"{CalendarMarks.Clock(item.From, offset)} {item.Words}";
            double reach = bar ? 6 : 10;
            text = CalendarMarks.Shorten(text, Width - (2 * Left) - 24, Size, !bar);
            double wide = SheetText.Width(text, Size, !bar);
            double textX = bar && to - from >= wide + 8 ? from + 6 : (bar ? to : from) + reach;
            if (textX + wide > Width - Left)
            {
                // No room to the right: inside a bar, else on the side with more room, cut where that is too little.
                bool inside = bar && to - from > Math.Max(from - Left, Width - Left - to);
                bool before = !inside && from - Left > Width - Left - to;
                double room =
                    (
                        inside ? to - from - 12
                        : before ? from - reach - Left
                        : Width - Left - textX
                    ) - 2;
                text = CalendarMarks.Shorten(text, room, Size, !bar);
                wide = SheetText.Width(text, Size, !bar);
                textX =
                    inside ? from + 6
                    : before ? from - reach - wide
                    : textX;
            }
            double left = Math.Min(from - 6, textX) - 2;
            double right = Math.Max(Math.Max(to, from + 6), textX + wide) + 4;
            int lane = 0;
            while (taken.Exists(t => t.Lane == lane && t.From < right && left < t.To))
            {
                lane++;
            }
            taken.Add((left, right, lane));
            drawn.Add(new Drawn(item, from, to, textX, text, lane));
        }
        return drawn;
    }

    private static void Draw(ICanvas canvas, List<Week> weeks, DateTimeOffset now, TimeSpan offset, double bottom)
    {
        string[] names = ["Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"];
        for (int day = 0; day < 7; day++)
        {
            canvas.Text(
                new Pt(Left + (Column * (day + 0.5)), 15),
                names[day],
                new TextLook(12.5, Anchor.Middle, Bold: true, Ink: Ink.Muted)
            );
        }
        canvas.Rect(
            new Box(Left + (5 * Column), HeadHeight, 2 * Column, bottom - HeadHeight),
            0,
            new Look(Fill: Ink.Board)
        );
        canvas.Strokes(
            [
                .. Enumerable
                    .Range(0, 8)
                    .Select(i => new Seg(Left + (i * Column), HeadHeight, Left + (i * Column), bottom)),
                .. weeks.Select(week => new Seg(Left, week.Top, Width - Left, week.Top)),
                new Seg(Left, bottom, Width - Left, bottom),
            ],
            new Look(Stroke: Ink.Grid, Width: 0.9)
        );
        DateTime today = now.ToOffset(offset).Date;
        foreach (Week week in weeks)
        {
            for (int day = 0; day < 7; day++)
            {
                DateTimeOffset date = week.Monday.AddDays(day);
                bool isToday = date.Date == today;
                bool named = date.Day == 1 || (day == 0 && week == weeks[0]) || isToday;
                string text =
                    date.ToString(named ? "d MMM" : "%d", CultureInfo.InvariantCulture) + (isToday ? " today" : "");
                canvas.Text(
                    new Pt(Left + (day * Column) + 5, week.Top + 14),
                    text,
                    new TextLook(Size, Bold: isToday || date.Day == 1, Ink: isToday ? Ink.Alert : Ink.Muted)
                );
            }
            DrawItems(canvas, week);
            // The frame holds the date only: bars and words of the day run on into its neighbours.
            double todays = (today - week.Monday.Date).TotalDays;
            if (todays is >= 0 and < 7)
            {
                double x = Left + (todays * Column);
                canvas.Rect(
                    new Box(x + 1, week.Top + 1, Column - 2, DateHeight - 2),
                    0,
                    new Look(null, Ink.Alert, 1.8)
                );
            }
        }
    }

    private static void DrawItems(ICanvas canvas, Week week)
    {
        foreach (Drawn drawn in week.Items)
        {
            if (week.Quiet)
            {
                // Nothing but the same waits goes on: named in their first week, thin bars from then on.
                double thin = week.Top + DateHeight + (drawn.Lane * QuietLaneHeight);
                CalendarMarks.Bar(canvas, CalendarKind.Wait, drawn.From, drawn.To, thin + 1, QuietLaneHeight - 3);
                continue;
            }
            double y = week.Top + DateHeight + (drawn.Lane * LaneHeight);
            bool bar = drawn.Item.Kind == CalendarKind.Wait;
            switch (drawn.Item.Kind)
            {
                case CalendarKind.Wait:
                    CalendarMarks.Bar(canvas, CalendarKind.Wait, drawn.From, drawn.To, y + 1, LaneHeight - 4);
                    break;
                case CalendarKind.Work:
                    CalendarMarks.Bar(
                        canvas,
                        CalendarKind.Work,
                        drawn.From - 3,
                        Math.Max(drawn.To, drawn.From + 4),
                        y + 3,
                        LaneHeight - 8
                    );
                    break;
                default:
                    CalendarMarks.Diamond(canvas, drawn.From, y + (LaneHeight / 2) - 1);
                    break;
            }
            canvas.Text(
                new Pt(drawn.TextX, y + 13.5),
                drawn.Text,
                new TextLook(Size, Bold: !bar, Halo: !bar || drawn.TextX > drawn.To)
            );
        }
    }
}
