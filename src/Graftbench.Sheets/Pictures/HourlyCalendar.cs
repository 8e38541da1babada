using System.Globalization;
using Graftbench.Core.Drying;
using Graftbench.Sheets.Drawing;

namespace Graftbench.Sheets.Pictures;

/// <summary>Days side by side with hours under them, one line for each entry, in groups by subject.</summary>
internal static class HourlyCalendar
{
    private const double Width = 600;
    private const double Left = 12;
    private const double LineHeight = 22;
    private const double GroupHeight = 24;
    private const double HeadHeight = 46;
    private const double Size = 12;
    private const double DaySize = 12;

    private static readonly string[] DayForms = ["ddd d MMM", "ddd d", "%d"];

    public static Picture Picture(
        IReadOnlyList<CalendarItem> items,
        DateTimeOffset now,
        TimeSpan offset,
        string title,
        string words
    )
    {
        IGrouping<string, CalendarItem>[] groups = [.. items.GroupBy(item => item.Subject)];
        double height =
            HeadHeight
            + groups.Sum(group => (group.Key.Length > 0 ? GroupHeight : 0) + (group.Count() * LineHeight))
            + 12;
        return new Picture(Width, height, title, words, canvas => Draw(canvas, groups, now, offset, height));
    }

    private static void Draw(
        ICanvas canvas,
        IGrouping<string, CalendarItem>[] groups,
        DateTimeOffset now,
        TimeSpan offset,
        double height
    )
    {
        DateTimeOffset first = groups.Min(group => group.Min(item => item.From)).ToOffset(offset);
        DateTimeOffset last = groups.Max(group => group.Max(item => item.To)).ToOffset(offset);
        double spanH = Math.Max(1, (last - first).TotalHours);
        double stepH = new double[] { 1, 2, 3, 6, 12, 24 }.First(step => step == 24 || spanH / step <= 9);
        DateTimeOffset begin = first
            .Date.ToOffsetAt(offset)
            .AddHours(Math.Floor((first - first.Date.ToOffsetAt(offset)).TotalHours / stepH) * stepH);
        DateTimeOffset end = begin.AddHours((Math.Floor((last - begin).TotalHours / stepH) + 1) * stepH);
        double X(DateTimeOffset moment) =>
            Left + ((Width - (2 * Left)) * Math.Clamp((moment - begin).TotalHours / (end - begin).TotalHours, 0, 1));

        DrawHead(canvas, begin, end, stepH, X, height);
        DrawNow(canvas, now, begin, end, X, height);
        double y = HeadHeight;
        foreach (IGrouping<string, CalendarItem> group in groups)
        {
            if (group.Key.Length > 0)
            {
                string name = SheetText.Fit(SheetText.Clean(group.Key), Width - (2 * Left), 13.5, true);
                canvas.Text(new Pt(Left, y + 17), name, new TextLook(13.5, Bold: true, Halo: true));
                y += GroupHeight;
            }
            foreach (CalendarItem item in group.OrderBy(item => item.From))
            {
                DrawItem(canvas, item, X(item.From), X(item.To), y, offset);
                y += LineHeight;
            }
        }
    }

    private static void DrawNow(
        ICanvas canvas,
        DateTimeOffset now,
        DateTimeOffset begin,
        DateTimeOffset end,
        Func<DateTimeOffset, double> toX,
        double height
    )
    {
        if (now >= begin && now <= end)
        {
            double x = toX(now);
            canvas.Strokes(
                [new Seg(x, HeadHeight - 6, x, height - 4)],
                new Look(Stroke: Ink.Alert, Width: 1.6, Dash: Dash.Dashed)
            );
            canvas.Shapes(
                [
                    [new Pt(x - 5, HeadHeight - 12), new Pt(x + 5, HeadHeight - 12), new Pt(x, HeadHeight - 3)],
                ],
                new Look(Fill: Ink.Alert)
            );
            bool left = x > Width - 60;
            canvas.Text(
                new Pt(x + (left ? -8 : 8), HeadHeight - 5),
                "now",
                new TextLook(11.5, left ? Anchor.End : Anchor.Start, Bold: true, Ink: Ink.Alert, Halo: true)
            );
        }
    }

    private static void DrawHead(
        ICanvas canvas,
        DateTimeOffset begin,
        DateTimeOffset end,
        double stepH,
        Func<DateTimeOffset, double> x,
        double height
    )
    {
        List<Seg> hours = [];
        List<Seg> days = [];
        double nextDayText = 0;
        for (DateTimeOffset at = begin; at <= end; at = at.AddHours(stepH))
        {
            bool midnight = at.TimeOfDay == TimeSpan.Zero;
            (midnight ? days : hours).Add(new Seg(x(at), midnight ? 4 : HeadHeight - 12, x(at), height - 4));
            if (!midnight && at < end)
            {
                canvas.Text(
                    new Pt(x(at), HeadHeight - 15),
                    at.ToString("HH:mm", CultureInfo.InvariantCulture),
                    new TextLook(11.5, at == begin ? Anchor.Start : Anchor.Middle, Ink: Ink.Muted)
                );
            }
            bool dayBegins = midnight || at == begin;
            double tomorrow = x(at.Date.AddDays(1).ToOffsetAt(at.Offset));
            string? text = Array.Find(
                [.. DayForms.Select(form => at.ToString(form, CultureInfo.InvariantCulture))],
                name => SheetText.Width(name, DaySize, true) + 5 <= tomorrow - x(at)
            );
            if (dayBegins && at < end && text is not null && x(at) >= nextDayText)
            {
                canvas.Text(new Pt(x(at) + (midnight ? 4 : 0), 15), text, new TextLook(DaySize, Bold: true));
                nextDayText = x(at) + SheetText.Width(text, DaySize, true) + 5;
            }
        }
        canvas.Strokes(hours, new Look(Stroke: Ink.Grid, Width: 0.8));
        canvas.Strokes(days, new Look(Stroke: Ink.Grid, Width: 1.6));
    }

    // One line each: the words lie in the bar, else beside it on the side with room, cut only where neither has enough.
    private static void DrawItem(ICanvas canvas, CalendarItem item, double from, double to, double y, TimeSpan offset)
    {
        bool mark = item.Kind == CalendarKind.Mark;
        string when = When(item, offset);
        double whenWidth = SheetText.Width(when + " ", Size, true);
        double wide = whenWidth + SheetText.Width(item.What, Size);
        double reach = mark ? 11 : 6;
        double right = mark ? from : Math.Max(to, from + 3);
        double roomRight = Width - 4 - (right + reach);
        double roomLeft = from - reach - 4;
        if (item.To > item.From && to - from - 12 < wide && wide > roomRight)
        {
            // The bar shows the begin; its end is what the plan waits for.
            when = "until " + QuantityText.MomentShort(item.To, offset);
            whenWidth = SheetText.Width(when + " ", Size, true);
            wide = whenWidth + SheetText.Width(item.What, Size);
        }
        bool inside = item.Kind == CalendarKind.Wait && to - from - 12 >= wide;
        bool before = !inside && wide > roomRight && roomLeft > roomRight;
        string what = inside
            ? item.What
            : CalendarMarks.Shorten(item.What, (before ? roomLeft : roomRight) - whenWidth, Size);
        double x =
            inside ? from + 6
            : before ? from - reach - whenWidth - SheetText.Width(what, Size)
            : right + reach;
        double middle = y + (LineHeight / 2);
        if (mark)
        {
            CalendarMarks.Diamond(canvas, from, middle);
        }
        else
        {
            CalendarMarks.Bar(canvas, item.Kind, from, to, y + 3, LineHeight - 6);
        }
        canvas.Text(new Pt(x, middle + (Size * 0.35)), what, new TextLook(Size, Halo: !inside), boldLead: when);
    }

    private static string When(CalendarItem item, TimeSpan offset)
    {
        string when = QuantityText.MomentShort(item.From, offset);
        if (item.To == item.From)
        {
            return when;
        }
        bool sameDay = item.From.ToOffset(offset).Date == item.To.ToOffset(offset).Date;
        return when
            + " – "
            + (sameDay ? CalendarMarks.Clock(item.To, offset) : QuantityText.MomentShort(item.To, offset));
    }

    /// <summary>A wall-clock moment with its offset.</summary>
    internal static DateTimeOffset ToOffsetAt(this DateTime wallClock, TimeSpan offset) =>
        new(DateTime.SpecifyKind(wallClock, DateTimeKind.Unspecified), offset);
}
