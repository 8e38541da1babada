using System.Globalization;

namespace Graftbench.Web.Shell;

/// <summary>The bench's clock: now, and moments as the wall clock in this room shows them.</summary>
public sealed class BenchClock(TimeProvider time)
{
    private const string FieldFormat = "yyyy-MM-dd'T'HH:mm";

    /// <summary>Now, with the room's offset from UTC.</summary>
    public DateTimeOffset Now => time.GetLocalNow();

    /// <summary>The same moment with the room's offset.</summary>
    public DateTimeOffset Local(DateTimeOffset moment) => TimeZoneInfo.ConvertTime(moment, time.LocalTimeZone);

    /// <summary>Day and time in short: <c>Wed 25 Nov, 18:05</c>.</summary>
    public string Text(DateTimeOffset moment)
    {
        DateTimeOffset local = Local(moment);
        string format = local.Year == Now.Year ? "ddd d MMM, HH:mm" : "ddd d MMM yyyy, HH:mm";
        return local.ToString(format, CultureInfo.InvariantCulture);
    }

    /// <summary>The moment as a date-time field shows it.</summary>
    public string FieldText(DateTimeOffset moment) => Local(moment).ToString(FieldFormat, CultureInfo.InvariantCulture);

    /// <summary>Reads what a date-time field holds; null where it is no date and time.</summary>
    public DateTimeOffset? ReadField(string text)
    {
        string[] formats = [FieldFormat, "yyyy-MM-dd'T'HH:mm:ss", "yyyy-MM-dd HH:mm", "yyyy-MM-dd"];
        return DateTime.TryParseExact(
            text.Trim(),
            formats,
            CultureInfo.InvariantCulture,
            DateTimeStyles.None,
            out DateTime wall
        )
            ? new DateTimeOffset(wall, time.LocalTimeZone.GetUtcOffset(wall))
            : null;
    }

    /// <summary>Time from now in words: <c>in 5 h 12 min</c>, <c>12 min ago</c>.</summary>
    public string FromNow(DateTimeOffset moment)
    {
        TimeSpan left = moment - Now;
        return left >= TimeSpan.Zero ? $"in {Span(left)}" : $"{Span(-left)} ago";
    }

    /// <summary>A stretch of time in its two largest units.</summary>
    public static string Span(TimeSpan span)
    {
        long minutes = (long)Math.Round(span.TotalMinutes);
        return minutes switch
        {
            < 60 => $"{minutes} min",
            < 48 * 60 => $"{minutes / 60} h {minutes % 60:00} min",
            _ => $"{minutes / 1440} d {minutes % 1440 / 60} h",
        };
    }
}
