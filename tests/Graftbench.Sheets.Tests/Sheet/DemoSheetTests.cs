using System.Runtime.CompilerServices;
using Graftbench.Core.Drying;
using Graftbench.Core.Findings;
using Graftbench.Core.Jobs;
using Graftbench.Core.Planning;
using UglyToad.PdfPig;

namespace Graftbench.Sheets.Tests.Sheet;

/// <summary>The demo shop's jobs through the real planner onto paper.</summary>
public class DemoSheetTests
{
    private static readonly DateTimeOffset Now = new(2026, 11, 25, 9, 30, 0, TimeSpan.FromHours(1));

    public static TheoryData<string> Jobs =>
        [.. Directory.GetFiles(Demo(), "*.json").Select(file => Path.GetFileName(file)).Order(StringComparer.Ordinal)];

    [Theory, MemberData(nameof(Jobs))]
    public void Every_answer_stands_on_both_sheets(string file)
    {
        JobPlan plan = Plan(file);
        string html = Squeezed(System.Net.WebUtility.HtmlDecode(PlanSheet.Html(plan)));
        using PdfDocument pdf = PdfDocument.Open(PlanSheetPdf.Write(plan));
        string paper = Squeezed(string.Concat(pdf.GetPages().Select(page => page.Text)));
        Assert.InRange(pdf.NumberOfPages, 3, 10);
        foreach (string sheet in (string[])[html, paper])
        {
            foreach (Finding finding in plan.Findings)
            {
                Assert.Contains(Squeezed(finding.Where), sheet, StringComparison.Ordinal);
                Assert.Contains(Squeezed(finding.Todo ?? ""), sheet, StringComparison.Ordinal);
            }
            foreach (SubjectDrying subject in plan.Drying.Subjects)
            {
                Assert.Contains(
                    Squeezed($"{subject.Title}: {TradeWords.Of(subject.State)}"),
                    sheet,
                    StringComparison.Ordinal
                );
                if (subject.ReadyAt is DateTimeOffset ready)
                {
                    Assert.Contains(
                        Squeezed("Ready at" + QuantityText.Moment(ready, Now.Offset)),
                        Squeezed(sheet.Replace("</dt><dddir=\"auto\">", "", StringComparison.Ordinal)),
                        StringComparison.Ordinal
                    );
                }
            }
            Assert.All(
                plan.Cautions,
                caution => Assert.Contains(Squeezed(caution.Hazard), sheet, StringComparison.Ordinal)
            );
            Assert.All(plan.SourceIds, id => Assert.Contains($"({id})", sheet, StringComparison.Ordinal));
            Assert.Contains("Notcomputedyet", sheet, StringComparison.Ordinal);
        }
    }

    [Theory, MemberData(nameof(Jobs))]
    public void Every_finding_is_said_in_full(string file)
    {
        JobPlan plan = Plan(file);
        using PdfDocument pdf = PdfDocument.Open(PlanSheetPdf.Write(plan));
        // A long row may run over a page's end, where foot and head stand between its lines.
        string paper = Squeezed(string.Concat(pdf.GetPages().Select(page => page.Text)));
        Assert.All(plan.Findings, finding => Assert.Contains(Squeezed(finding.What), paper, StringComparison.Ordinal));
    }

    private static JobPlan Plan(string file)
    {
        JobReading reading = JobReader.Read(File.ReadAllBytes(Path.Combine(Demo(), file)), Now);
        Assert.Empty(reading.Problems);
        return Planner.Plan(reading.Job!, Now);
    }

    private static string Squeezed(string text) => string.Concat(text.Where(c => !char.IsWhiteSpace(c)));

    private static string Demo([CallerFilePath] string here = "") =>
        Path.Combine(Path.GetDirectoryName(here)!, "..", "..", "..", "demo");
}
