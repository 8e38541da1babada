using System.Globalization;

namespace Graftbench.Web.Forms;

/// <summary>What a person types into a form that is no field of the job document.</summary>
internal static class FormText
{
    private const int MostShown = 40;

    /// <summary>A number with a decimal point or comma; null where the text is none, or is not finite.</summary>
    /// <param name="text">What was typed.</param>
    public static double? Number(string text) =>
        double.TryParse(
            text.Trim().Replace(',', '.'),
            NumberStyles.Float,
            CultureInfo.InvariantCulture,
            out double value
        ) && double.IsFinite(value)
            ? value
            : null;

    /// <summary>The beginning of what was typed, to be shown in a message.</summary>
    /// <param name="text">What was typed.</param>
    public static string Shown(string text) => text.Length <= MostShown ? text : text[..MostShown] + "...";
}
