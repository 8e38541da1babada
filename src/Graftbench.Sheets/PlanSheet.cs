using System.Security.Cryptography;
using System.Text;
using Graftbench.Core.Planning;
using Graftbench.Sheets.Sheet;

namespace Graftbench.Sheets;

/// <summary>The plan on paper: everything a technician needs at the bench, as one HTML file.</summary>
public static class PlanSheet
{
    /// <summary>
    /// The style of the sheet as a source expression for a content security policy: a page that serves the sheet under a
    /// strict policy adds it to <c>style-src</c>.
    /// </summary>
    public static string StyleSource { get; } =
        $"'sha256-{Convert.ToBase64String(SHA256.HashData(Encoding.UTF8.GetBytes(SheetStyle.Css)))}'";

    /// <summary>Writes a plan as a self-contained HTML document.</summary>
    /// <param name="plan">The plan.</param>
    /// <param name="display">How quantities are shown.</param>
    public static string Html(JobPlan plan, Display? display = null)
    {
        ArgumentNullException.ThrowIfNull(plan);
        return HtmlSheet.Write(SheetComposer.Compose(plan, display ?? Display.Default));
    }
}
