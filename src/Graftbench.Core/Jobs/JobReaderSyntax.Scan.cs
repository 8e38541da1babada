using System.Text;
using System.Text.Json;

namespace Graftbench.Core.Jobs;

/// <content>Steps over text, comments and words without a parser.</content>
internal static partial class JobReaderSyntax
{
    private static readonly string[] NotNumbers = ["Infinity", "NaN", "Inf"];

    private static int OffsetOf(byte[] utf8, JsonException error)
    {
        if (error.LineNumber is not { } line || error.BytePositionInLine is not { } column)
        {
            return 0;
        }
        int offset = 0;
        for (long i = 0; i < line; i++)
        {
            int lineEnd = utf8.AsSpan(offset).IndexOf((byte)'\n');
            if (lineEnd < 0)
            {
                break;
            }
            offset += lineEnd + 1;
        }
        return (int)Math.Min(utf8.Length, offset + column);
    }

    private static int LineOf(byte[] utf8, int offset) => utf8.AsSpan(0, offset).Count((byte)'\n') + 1;

    // White space and comments.
    private static int SkipSpace(byte[] utf8, int at)
    {
        while (at < utf8.Length)
        {
            if (utf8[at] is (byte)' ' or (byte)'\t' or (byte)'\r' or (byte)'\n')
            {
                at++;
            }
            else if (
                utf8[at] == '/'
                && at + 1 < utf8.Length
                && utf8[at + 1] is (byte)'/' or (byte)'*'
                && EndOfComment(utf8, at) is int end
                && end < utf8.Length
            )
            {
                at = end;
            }
            else
            {
                break;
            }
        }
        return at;
    }

    private static string Word(byte[] utf8, int at)
    {
        int end = at;
        while (
            end < utf8.Length
            && end - at < 40
            && (IsWord(utf8[end]) || utf8[end] is (byte)'.' or (byte)'+' or (byte)'-')
        )
        {
            end++;
        }
        return Encoding.UTF8.GetString(utf8, at, end - at);
    }

    private static string Shown(byte[] utf8, int at)
    {
        string word = Word(utf8, at);
        if (word.Length > 0)
        {
            return word;
        }
        return Rune.DecodeFromUtf8(utf8.AsSpan(at), out Rune rune, out _) == System.Buffers.OperationStatus.Done
            ? JobReaderNames.Show(rune.ToString())
            : $"byte {utf8[at]:X2}";
    }

    private static bool IsWord(byte one) => char.IsAsciiLetterOrDigit((char)one) || one is (byte)'_' or >= 0x80;

    private static int EndOfText(byte[] utf8, int quote)
    {
        for (int at = quote + 1; at < utf8.Length; at++)
        {
            switch (utf8[at])
            {
                case (byte)'\\':
                    at++;
                    break;
                case (byte)'"':
                    return at + 1;
                case (byte)'\n':
                    // Not closed: the line's end is the best guess.
                    return at;
                default:
                    break;
            }
        }
        return utf8.Length;
    }

    private static int EndOfComment(byte[] utf8, int slash)
    {
        ReadOnlySpan<byte> rest = utf8.AsSpan(slash + 2);
        if (utf8[slash + 1] == '/')
        {
            int lineEnd = rest.IndexOf((byte)'\n');
            return lineEnd < 0 ? utf8.Length : slash + 2 + lineEnd + 1;
        }
        int close = rest.IndexOf("*/"u8);
        return close < 0 ? utf8.Length : slash + 2 + close + 2;
    }

    private static int LengthOfNotNumber(byte[] utf8, int at)
    {
        if (at > 0 && IsWord(utf8[at - 1]))
        {
            return 0;
        }
        int sign = utf8[at] is (byte)'-' or (byte)'+' ? 1 : 0;
        ReadOnlySpan<byte> rest = utf8.AsSpan(at + sign);
        foreach (string word in NotNumbers)
        {
            if (
                rest.Length >= word.Length
                && Ascii.EqualsIgnoreCase(rest[..word.Length], word)
                && (rest.Length == word.Length || !IsWord(rest[word.Length]))
            )
            {
                return sign + word.Length;
            }
        }
        return 0;
    }
}
