using System.Globalization;

namespace Graftbench.Store;

/// <summary>How a moment is written in the store and in an export: UTC, to the tick, always 28 characters.</summary>
public static class StoreTime
{
    private const string Form = "yyyy-MM-dd'T'HH:mm:ss.fffffff'Z'";

    /// <summary>Writes a moment; text order is time order.</summary>
    public static string Write(DateTimeOffset at) => at.UtcDateTime.ToString(Form, CultureInfo.InvariantCulture);

    /// <summary>Reads a moment back to the tick; false for anything that <see cref="Write"/> would not have written.</summary>
    public static bool TryRead(string text, out DateTimeOffset at)
    {
        at = default;
        bool isRead = DateTime.TryParseExact(
            text,
            Form,
            CultureInfo.InvariantCulture,
            DateTimeStyles.AssumeUniversal | DateTimeStyles.AdjustToUniversal,
            out DateTime utc
        );
        if (isRead)
        {
            at = new DateTimeOffset(utc, TimeSpan.Zero);
        }
        return isRead;
    }
}
