using Graftbench.Core.Handover;
using Graftbench.Core.Planning;
using Graftbench.Sheets.Sheet;

namespace Graftbench.Sheets;

/// <summary>
/// The hand-over sheet for the owner, as one HTML file: plain words, none of the shop's own notes. Its style is that of
/// <see cref="PlanSheet"/>, so <see cref="PlanSheet.StyleSource"/> allows it under a strict policy.
/// </summary>
public static class HandoverSheet
{
    /// <summary>Writes the sheet as a self-contained HTML document.</summary>
    /// <param name="plan">The plan of the job.</param>
    /// <param name="answer">The answer to question 10 that was made of it.</param>
    public static string Html(JobPlan plan, HandoverAnswer answer)
    {
        ArgumentNullException.ThrowIfNull(plan);
        ArgumentNullException.ThrowIfNull(answer);
        return HtmlSheet.Write(HandoverComposer.Compose(plan, answer));
    }
}
