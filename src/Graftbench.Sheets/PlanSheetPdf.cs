using Graftbench.Core.Planning;
using Graftbench.Sheets.Pdf;
using Graftbench.Sheets.Sheet;

namespace Graftbench.Sheets;

/// <summary>The plan on paper as a PDF: the same content and order as <see cref="PlanSheet"/>.</summary>
public static class PlanSheetPdf
{
    /// <summary>Writes a plan as a PDF document with its fonts inside.</summary>
    /// <param name="plan">The plan.</param>
    /// <param name="display">How quantities are shown.</param>
    public static byte[] Write(JobPlan plan, Display? display = null)
    {
        ArgumentNullException.ThrowIfNull(plan);
        return PdfSheet.Write(SheetComposer.Compose(plan, display ?? Display.Default), plan.ComputedAt);
    }
}
