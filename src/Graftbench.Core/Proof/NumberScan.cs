using System.Globalization;

namespace Graftbench.Core.Proof;

/// <summary>Finds and reads numbers at the start of a text: sign, digits, point or comma, exponent.</summary>
internal static class NumberScan
{
    private const int MostDigits = 24;

    /// <summary>Signs that the number at the start takes; 0 where there is none.</summary>
    public static int Length(ReadOnlySpan<char> text)
    {
        int at = 0;
        int digits = 0;
        if (at < text.Length && text[at] is '+' or '-')
        {
            at++;
        }
        bool mark = false;
        for (; at < text.Length && digits < MostDigits; at++)
        {
            if (char.IsAsciiDigit(text[at]))
            {
                digits++;
            }
            else if (!mark && text[at] is '.' or ',' && (digits > 0 || DigitAt(text, at + 1)))
            {
                mark = true;
            }
            else if (mark && text[at] is '.' or ',' && DigitAt(text, at + 1))
            {
                // A second mark belongs to it: whoever reads it refuses the whole.
                continue;
            }
            else
            {
                break;
            }
        }
        if (digits == 0)
        {
            return 0;
        }
        return at + Exponent(text[at..]);
    }

    /// <summary>Reads a number; comma and point are the decimal mark.</summary>
    public static bool TryParse(string number, out double value) =>
        double.TryParse(
            number.Replace(',', '.'),
            NumberStyles.AllowLeadingSign | NumberStyles.AllowDecimalPoint | NumberStyles.AllowExponent,
            CultureInfo.InvariantCulture,
            out value
        ) && double.IsFinite(value);

    /// <summary>Says so where a comma may part thousands: <c>1,200</c> is 1.2 to one and 1200 to another.</summary>
    public static string? MayBeThousands(string number)
    {
        string bare = number.TrimStart('+', '-');
        int comma = bare.IndexOf(',', StringComparison.Ordinal);
        bool two = bare.Count(sign => sign is ',' or '.') > 1;
        bool thousands = comma is > 0 and <= 3 && bare[..comma] != "0" && bare.Length == comma + 4 && bare[^1] != ',';
        return two ? $"'{number}' has more than one mark: write the number without marks between thousands."
            : thousands
                ? $"'{number}' may mean {bare.Replace(',', '.')} or {bare.Replace(",", "", StringComparison.Ordinal)}: write one of them."
            : null;
    }

    private static int Exponent(ReadOnlySpan<char> text)
    {
        if (text.Length < 2 || text[0] is not ('e' or 'E'))
        {
            return 0;
        }
        int at = text[1] is '+' or '-' ? 2 : 1;
        int from = at;
        while (at < text.Length && at - from < 3 && char.IsAsciiDigit(text[at]))
        {
            at++;
        }
        return at > from ? at : 0;
    }

    private static bool DigitAt(ReadOnlySpan<char> text, int at) => at < text.Length && char.IsAsciiDigit(text[at]);
}
