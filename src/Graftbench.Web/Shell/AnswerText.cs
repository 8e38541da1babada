namespace Graftbench.Web.Shell;

/// <summary>Long answers in two parts, so that the large line stays one that is read from across the bench.</summary>
public static class AnswerText
{
    private const int LongestWhole = 130;
    private const int ShortestHead = 45;

    /// <summary>The part of an answer for the large line, and what follows below: cut behind a sentence or a semicolon.</summary>
    /// <param name="text">The answer.</param>
    public static (string Head, string Below) Cut(string text)
    {
        ArgumentNullException.ThrowIfNull(text);
        for (int i = ShortestHead; text.Length > LongestWhole && i + 2 < text.Length; i++)
        {
            if (text[i] is '.' or ';' && text[i + 1] == ' ')
            {
                string below = text[(i + 2)..];
                return (text[..i] + ".", char.ToUpperInvariant(below[0]) + below[1..]);
            }
        }
        return (text, "");
    }
}
