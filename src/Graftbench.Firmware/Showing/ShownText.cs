using System.Globalization;
using System.Text;
using Graftbench.Core.Findings;
using Graftbench.Firmware.Tree;

namespace Graftbench.Firmware.Showing;

/// <summary>Texts that an image or a file's name brings along, made fit for a screen.</summary>
public static class ShownText
{
    private const int Most = 2000;

    /// <summary>The text with every character visible: control characters as their signs, marks that turn the direction as dots.</summary>
    /// <param name="text">Any text.</param>
    public static string Of(string? text)
    {
        StringBuilder shown = new();
        foreach (Rune rune in (text ?? "").EnumerateRunes())
        {
            if (shown.Length >= Most)
            {
                return shown.Append('…').ToString();
            }
            if (rune.Value is < 0x20 or 0x7F)
            {
                // The pictures of control characters stand in Unicode in the order of their codes.
                shown.Append((char)(rune.Value == 0x7F ? 0x2421 : 0x2400 + rune.Value));
                continue;
            }
            bool hidden =
                rune.Value == 0xFFFD
                || Rune.GetUnicodeCategory(rune)
                    is UnicodeCategory.Control
                        or UnicodeCategory.Format
                        or UnicodeCategory.LineSeparator
                        or UnicodeCategory.ParagraphSeparator
                        or UnicodeCategory.PrivateUse
                        or UnicodeCategory.OtherNotAssigned;
            shown.Append(hidden ? "·" : rune.ToString());
        }
        return shown.ToString();
    }

    /// <summary>Findings with their texts made fit to be shown.</summary>
    public static IReadOnlyList<Finding> Of(IEnumerable<Finding> findings) =>
        [
            .. findings.Select(finding =>
                finding with
                {
                    Where = Of(finding.Where),
                    What = Of(finding.What),
                    Value = finding.Value is null ? null : Of(finding.Value),
                    Limit = finding.Limit is null ? null : Of(finding.Limit),
                    Todo = finding.Todo is null ? null : Of(finding.Todo),
                }
            ),
        ];

    /// <summary>What a segment is, in words.</summary>
    public static string Of(SegmentKind kind)
    {
        StringBuilder words = new();
        foreach (char letter in kind.ToString())
        {
            words.Append(char.IsUpper(letter) && words.Length > 0 ? " " : "").Append(char.ToLowerInvariant(letter));
        }
        return words.ToString();
    }

    /// <summary>An offset or number of bytes as a person types it: hexadecimal, with or without <c>0x</c> or <c>h</c>.</summary>
    /// <returns>Null where it is none.</returns>
    public static int? Offset(string? text)
    {
        ReadOnlySpan<char> digits = text.AsSpan().Trim();
        if (digits.StartsWith("0x", StringComparison.OrdinalIgnoreCase))
        {
            digits = digits[2..];
        }
        else if (digits.EndsWith("h", StringComparison.OrdinalIgnoreCase))
        {
            digits = digits[..^1];
        }
        return int.TryParse(digits, NumberStyles.AllowHexSpecifier, CultureInfo.InvariantCulture, out int at) && at >= 0
            ? at
            : null;
    }

    /// <summary>Bytes as a person types them: two hexadecimal digits each, spaces, colons and dashes left out.</summary>
    /// <returns>Null where they are none.</returns>
    public static byte[]? Bytes(string? text)
    {
        string digits = new([.. (text ?? "").Where(one => one is not ' ' and not ':' and not '-')]);
        return digits.Length > 0 && digits.Length % 2 == 0 && digits.All(char.IsAsciiHexDigit)
            ? Convert.FromHexString(digits)
            : null;
    }
}
