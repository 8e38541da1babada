using Graftbench.Core.Inspection;
using static System.FormattableString;

namespace Graftbench.Core.Fit.Maps;

/// <summary>Reads ball lists of any kind: boundary-scan descriptions, buffer models, text in columns.</summary>
/// <remarks>Content never throws: what cannot be read is a problem with its line. Time and memory grow with the length.</remarks>
public static class BallMapReader
{
    /// <summary>Longest file, in characters.</summary>
    public const int MostCharacters = 32 * 1024 * 1024;

    /// <summary>Reads a file.</summary>
    /// <param name="text">Its text.</param>
    /// <param name="view">From where the list or its drawing looks at the balls, as the person says.</param>
    public static MapReading Read(string text, BallView view)
    {
        ArgumentNullException.ThrowIfNull(text);
        if (text.Length > MostCharacters)
        {
            return Refused(
                Invariant($"The file has {text.Length} characters; at most {MostCharacters} are taken."),
                "Cut it to the package you need."
            );
        }
        if (text.AsSpan(0, Math.Min(text.Length, 4096)).Contains('\0'))
        {
            return Refused("The file is no text.", "Save the list as text: CSV, BSDL or IBIS.");
        }
        return Has(text, "PIN_MAP_STRING") || (Has(text, "entity ") && Has(text, "port")) ? BsdlReader.Read(text, view)
            : Has(text, "[Pin]") || Has(text, "[Component]") || Has(text, "[IBIS Ver]") ? IbisReader.Read(text, view)
            : BallListReader.Read(text, view);
    }

    private static bool Has(string text, string word) => text.Contains(word, StringComparison.OrdinalIgnoreCase);

    private static MapReading Refused(string what, string todo) => new([], [new MapProblem(0, what, todo)]);
}
