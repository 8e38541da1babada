using System.Text.Json;

namespace Graftbench.Core.Jobs;

/// <summary>Small questions about the texts in a job document.</summary>
internal static class JobReaderText
{
    /// <summary>Gets a string token; false where its escapes do not make Unicode text.</summary>
    public static bool TryGet(ref Utf8JsonReader reader, out string text)
    {
        try
        {
            text = reader.GetString() ?? "";
            return true;
        }
        catch (InvalidOperationException)
        {
            // Thrown for a lone surrogate; nothing else can be wrong with a token of valid UTF-8.
            text = "";
            return false;
        }
    }

    /// <summary>Number of Unicode characters, as a JSON Schema counts them.</summary>
    public static int Characters(string text)
    {
        int count = 0;
        foreach (char c in text)
        {
            if (!char.IsLowSurrogate(c))
            {
                count++;
            }
        }
        return count;
    }

    /// <summary>The first control character that does not belong into the text; null where there is none.</summary>
    public static char? FindControl(string text, bool severalLines)
    {
        foreach (char c in text)
        {
            if (char.IsControl(c) && !(severalLines && c is '\n' or '\r' or '\t'))
            {
                return c;
            }
        }
        return null;
    }

    /// <summary>True where a date text ends with its offset from UTC.</summary>
    public static bool HasOffset(string date)
    {
        int time = date.IndexOf('T', StringComparison.Ordinal);
        return time >= 0 && (date[^1] == 'Z' || date.AsSpan(time).IndexOfAny('+', '-') >= 0);
    }
}
