using Graftbench.Core.Handover;
using Graftbench.Core.Planning;
using Graftbench.Sheets.Pdf;
using Graftbench.Sheets.Sheet;

namespace Graftbench.Sheets;

/// <summary>The hand-over sheet as a PDF: the same content and order as <see cref="HandoverSheet"/>.</summary>
public static class HandoverSheetPdf
{
    /// <summary>Writes the sheet as a PDF document with its fonts inside.</summary>
    /// <param name="plan">The plan of the job.</param>
    /// <param name="answer">The answer to question 10 that was made of it.</param>
    public static byte[] Write(JobPlan plan, HandoverAnswer answer)
    {
        ArgumentNullException.ThrowIfNull(plan);
        ArgumentNullException.ThrowIfNull(answer);
        return PdfSheet.Write(HandoverComposer.Compose(plan, answer), plan.ComputedAt);
    }
}
