using System.Globalization;
using System.Text;

namespace Graftbench.Firmware.Identity;

/// <summary>What a value looks like.</summary>
public enum IdentityShape
{
    /// <summary>Nothing that is known.</summary>
    None,

    /// <summary>A serial number: letters and digits.</summary>
    Serial,

    /// <summary>A UUID, binary or as text.</summary>
    Uuid,

    /// <summary>A network address, binary or as twelve hexadecimal digits.</summary>
    NetworkAddress,

    /// <summary>Text of another kind.</summary>
    Text,

    /// <summary>Dense binary data, as calibration tables are.</summary>
    Dense,
}

/// <summary>A value found by its shape.</summary>
/// <param name="Shape">What it looks like.</param>
/// <param name="Start">First byte, from the start of what was looked at.</param>
/// <param name="Length">Length [bytes].</param>
/// <param name="Text">The value as a person reads it.</param>
public sealed record ShapedValue(IdentityShape Shape, int Start, int Length, string Text);

/// <summary>Tells identity values by their shape. Common practice: no standard says what a serial looks like.</summary>
public static class IdentityShapes
{
    private const int FewestSerial = 6;
    private const int MostSerial = 32;
    private const int UuidBytes = 16;
    private const int AddressBytes = 6;
    private const int FewestDense = 32;
    private const int MostShown = 48;

    /// <summary>The value that fills the bytes, but for erased, zero and blank bytes around it.</summary>
    /// <param name="bytes">A field, a variable's data, or a stretch of flash.</param>
    public static ShapedValue Of(ReadOnlySpan<byte> bytes)
    {
        int start = 0;
        int end = bytes.Length;
        // A binary UUID may begin or end with 00h or FFh: a field of its very size is looked at whole.
        if (end == UuidBytes && IsUuid(bytes))
        {
            return new ShapedValue(IdentityShape.Uuid, 0, end, UuidText(bytes));
        }
        if (end == AddressBytes && IsAddress(bytes))
        {
            return new ShapedValue(IdentityShape.NetworkAddress, 0, end, AddressText(bytes));
        }
        while (start < end && bytes[start] is 0 or 0xFF or 0x20)
        {
            start++;
        }
        while (end > start && bytes[end - 1] is 0 or 0xFF or 0x20)
        {
            end--;
        }
        ReadOnlySpan<byte> value = bytes[start..end];
        if (value.IsEmpty)
        {
            return new ShapedValue(IdentityShape.None, 0, 0, "blank");
        }
        bool wide = IsWide(value, bytes, ref end);
        if (wide)
        {
            value = bytes[start..end];
        }
        if (AsText(value, wide) is { } text)
        {
            return new ShapedValue(OfText(text), start, end - start, Shown(text));
        }
        if (value.Length == UuidBytes && IsUuid(value))
        {
            return new ShapedValue(IdentityShape.Uuid, start, UuidBytes, UuidText(value));
        }
        if (value.Length == AddressBytes && IsAddress(value))
        {
            return new ShapedValue(IdentityShape.NetworkAddress, start, AddressBytes, AddressText(value));
        }
        return value.Length >= FewestDense && IsDense(value)
            ? new ShapedValue(IdentityShape.Dense, start, value.Length, $"{value.Length} bytes of dense data")
            : new ShapedValue(IdentityShape.None, start, value.Length, Hex(value));
    }

    /// <summary>What a text looks like.</summary>
    public static IdentityShape OfText(string text)
    {
        ArgumentNullException.ThrowIfNull(text);
        if (text.Length == 36 && Guid.TryParseExact(text, "D", out Guid uuid))
        {
            return IsUuid(uuid.ToByteArray()) ? IdentityShape.Uuid : IdentityShape.Text;
        }
        if (AddressOf(text) is { } address)
        {
            return IsAddress(address) ? IdentityShape.NetworkAddress : IdentityShape.Serial;
        }
        return IsSerial(text) ? IdentityShape.Serial : IdentityShape.Text;
    }

    /// <summary>Whether a text can be a serial number.</summary>
    public static bool IsSerial(string text)
    {
        ArgumentNullException.ThrowIfNull(text);
        if (text.Length is < FewestSerial or > MostSerial || text[0] == '-' || text[^1] == '-')
        {
            return false;
        }
        int digits = 0;
        foreach (char c in text)
        {
            if (char.IsAsciiDigit(c))
            {
                digits++;
            }
            else if (!char.IsAsciiLetterUpper(c) && c != '-')
            {
                return false;
            }
        }
        // Numbers of a calendar, words and one sign over and over are none.
        return digits >= 2 && text.Distinct().Count() > 2 && !IsDate(text);
    }

    /// <summary>Whether sixteen bytes in flash order can be a UUID: version 1 to 8, the usual variant, not the same throughout.</summary>
    public static bool IsUuid(ReadOnlySpan<byte> bytes) =>
        bytes.Length == UuidBytes
        && bytes[7] >> 4 is >= 1 and <= 8
        && bytes[8] >> 6 == 2
        && bytes.ContainsAnyExcept(bytes[0]);

    /// <summary>Whether six bytes can be the address of a machine: not for groups, not blank.</summary>
    public static bool IsAddress(ReadOnlySpan<byte> bytes) =>
        bytes.Length == AddressBytes
        && (bytes[0] & 1) == 0
        && bytes.ContainsAnyExcept((byte)0)
        // The maker's part and the machine's part: neither is blank in an address that was given out.
        && bytes[..3].ContainsAnyExcept((byte)0, (byte)0xFF)
        && bytes[3..].ContainsAnyExcept((byte)0, (byte)0xFF);

    /// <summary>The bytes of an address written as twelve hexadecimal digits, with or without signs between pairs; null if none.</summary>
    public static byte[]? AddressOf(string text)
    {
        ArgumentNullException.ThrowIfNull(text);
        string digits = text.Length == 17 ? text.Replace(text[2].ToString(), "", StringComparison.Ordinal) : text;
        bool marked = text.Length != 17 || text[2] is ':' or '-';
        return marked && digits.Length == 12 && digits.All(char.IsAsciiHexDigit) ? Convert.FromHexString(digits) : null;
    }

    /// <summary>The address as it is written.</summary>
    public static string AddressText(ReadOnlySpan<byte> bytes)
    {
        StringBuilder text = new();
        foreach (byte one in bytes)
        {
            text.Append(text.Length == 0 ? "" : ":").Append(one.ToString("X2", CultureInfo.InvariantCulture));
        }
        return text.ToString();
    }

    /// <summary>A text that nobody vouches for, made fit to be shown: control and direction signs become dots.</summary>
    public static string Shown(string text)
    {
        ArgumentNullException.ThrowIfNull(text);
        StringBuilder shown = new();
        foreach (Rune rune in text.EnumerateRunes())
        {
            UnicodeCategory kind = Rune.GetUnicodeCategory(rune);
            bool hidden =
                rune.Value == 0xFFFD
                || kind
                    is UnicodeCategory.Control
                        or UnicodeCategory.Format
                        or UnicodeCategory.LineSeparator
                        or UnicodeCategory.ParagraphSeparator
                        or UnicodeCategory.PrivateUse
                        or UnicodeCategory.OtherNotAssigned;
            shown.Append(hidden ? "·" : rune.ToString());
            if (shown.Length > MostShown)
            {
                return shown.Append('…').ToString();
            }
        }
        return shown.ToString();
    }

    /// <summary>Bytes as hexadecimal digits, cut where there are many.</summary>
    public static string Hex(ReadOnlySpan<byte> bytes)
    {
        const int Most = 16;
        string hex = Convert.ToHexString(bytes[..Math.Min(Most, bytes.Length)]);
        return bytes.Length > Most ? $"{hex}… ({bytes.Length} bytes)" : hex;
    }

    private static string UuidText(ReadOnlySpan<byte> bytes) => new Guid(bytes).ToString();

    // Every second byte 0: UTF-16 of plain letters. The last letter's second byte was trimmed with the zeros behind it.
    private static bool IsWide(ReadOnlySpan<byte> value, ReadOnlySpan<byte> all, ref int end)
    {
        int length = value.Length + (value.Length % 2);
        if (length < 4 || (value.Length % 2 == 1 && (end >= all.Length || all[end] != 0)))
        {
            return false;
        }
        for (int i = 1; i < value.Length; i += 2)
        {
            if (value[i] != 0)
            {
                return false;
            }
        }
        end += value.Length % 2;
        return true;
    }

    private static string? AsText(ReadOnlySpan<byte> value, bool wide)
    {
        string text = wide ? Encoding.Unicode.GetString(value) : Encoding.ASCII.GetString(value);
        return text.Length > 0 && text.All(c => c is >= ' ' and <= '~') ? text : null;
    }

    private static bool IsDate(string text)
    {
        string[] forms =
        [
            "yyyyMMdd",
            "yyyy-MM-dd",
            "MMddyyyy",
            "MM-dd-yyyy",
            "ddMMyyyy",
            "yyyyMMddHHmm",
            "yyyyMMddHHmmss",
        ];
        return DateTime.TryParseExact(text, forms, CultureInfo.InvariantCulture, DateTimeStyles.None, out DateTime date)
            && date.Year is >= 1985 and <= 2079;
    }

    // Entropy near that of random bytes of the same length.
    private static bool IsDense(ReadOnlySpan<byte> value)
    {
        Span<int> counts = stackalloc int[256];
        counts.Clear();
        foreach (byte one in value)
        {
            counts[one]++;
        }
        double entropy = 0;
        foreach (int count in counts)
        {
            double share = count / (double)value.Length;
            entropy -= count == 0 ? 0 : share * Math.Log2(share);
        }
        return entropy >= 0.8 * Math.Min(8, Math.Log2(value.Length));
    }
}
