using System.Globalization;

namespace Graftbench.Firmware.Updates;

/// <summary>A date in decimal-coded digits, mmddyyyy from the top: 07181998h is 18 July 1998.</summary>
internal static class BcdDate
{
    /// <summary>The date; null when the digits are none, or a day that no calendar has.</summary>
    public static DateOnly? Read(uint code)
    {
        int month = Digits(code >> 24 & 0xFF);
        int day = Digits(code >> 16 & 0xFF);
        int century = Digits(code >> 8 & 0xFF);
        int rest = Digits(code & 0xFF);
        int year = 100 * century + rest;
        return month is < 1 or > 12 || century < 1 || rest < 0 || day < 1 || day > DateTime.DaysInMonth(year, month)
            ? null
            : new DateOnly(year, month, day);
    }

    /// <summary>The date as words; the bare digits when they are no date.</summary>
    public static string Text(uint code) =>
        Read(code)?.ToString("yyyy-MM-dd", CultureInfo.InvariantCulture)
        ?? code.ToString("X8", CultureInfo.InvariantCulture) + "h, no date";

    private static int Digits(uint pair) =>
        (pair & 0xF) > 9 || pair >> 4 > 9 ? -1 : (int)(10 * (pair >> 4) + (pair & 0xF));
}
