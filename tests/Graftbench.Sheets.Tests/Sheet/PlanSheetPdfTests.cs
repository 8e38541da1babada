using System.Collections.Concurrent;
using System.Text;
using Graftbench.Core.Findings;
using Graftbench.Core.Planning;
using UglyToad.PdfPig;
using UglyToad.PdfPig.Content;

namespace Graftbench.Sheets.Tests.Sheet;

public class PlanSheetPdfTests
{
    private static readonly Dictionary<string, (Func<JobPlan> Plan, int LeastPages, int MostPages)> All = new(
        StringComparer.Ordinal
    )
    {
        ["typical"] = (Plans.Typical, 4, 6),
        ["empty"] = (Plans.Empty, 2, 3),
        ["no-answer"] = (Plans.NoAnswer, 3, 6),
        ["eighty-days"] = (Plans.EightyDays, 4, 6),
        ["two-hundred"] = (Plans.TwoHundred, 8, 20),
        ["hostile"] = (Plans.HostileText, 10, 60),
    };

    private static readonly ConcurrentDictionary<string, byte[]> Written = new(StringComparer.Ordinal);

    public static TheoryData<string> Names => [.. All.Keys];

    [Theory, MemberData(nameof(Names))]
    public void Every_finding_and_every_heading_is_in_the_text(string name)
    {
        JobPlan plan = All[name].Plan();
        using PdfDocument pdf = Open(name);
        Assert.InRange(pdf.NumberOfPages, All[name].LeastPages, All[name].MostPages);
        string text = Text(pdf);
        foreach (Finding finding in plan.Findings.Where(_ => name != "hostile"))
        {
            Assert.Contains(Squeezed(finding.What), text, StringComparison.Ordinal);
            Assert.Contains(Squeezed(finding.Where), text, StringComparison.Ordinal);
            Assert.Contains(Squeezed(finding.Todo ?? ""), text, StringComparison.Ordinal);
        }
        foreach (QuestionAnswer question in plan.Questions)
        {
            Assert.Contains(Squeezed(question.Question), text, StringComparison.Ordinal);
        }
        Assert.Contains(Squeezed("unknown is not ok"), text, StringComparison.Ordinal);
    }

    [Theory, MemberData(nameof(Names))]
    public void Every_page_has_its_number_and_nothing_runs_off_it(string name)
    {
        using PdfDocument pdf = Open(name);
        foreach (Page page in pdf.GetPages())
        {
            Assert.Contains($"page{page.Number}of{pdf.NumberOfPages}", Squeezed(page.Text), StringComparison.Ordinal);
            Assert.All(
                page.Letters,
                letter =>
                {
                    Assert.InRange(letter.BoundingBox.Left, 20, page.Width - 20);
                    Assert.InRange(letter.BoundingBox.Right, 20, page.Width - 18);
                    Assert.InRange(letter.BoundingBox.Bottom, 15, page.Height - 15);
                }
            );
        }
    }

    [Fact]
    public void Fonts_are_inside_and_the_document_says_what_it_is()
    {
        byte[] bytes = Bytes("typical");
        string raw = Encoding.Latin1.GetString(bytes);
        Assert.Contains("/FontFile2", raw, StringComparison.Ordinal);
        Assert.DoesNotContain("/Helvetica", raw, StringComparison.Ordinal);
        Assert.Matches(@"/Lang\s*\(en\)", raw);
        using PdfDocument pdf = PdfDocument.Open(bytes);
        Assert.Equal("Plan sheet: Graphics chip of a four-player arcade board", pdf.Information.Title);
        Assert.All(
            pdf.GetPages().SelectMany(page => page.Letters),
            letter =>
                Assert.Contains(
                    "LiberationSans",
                    letter.FontName?.Replace(" ", "", StringComparison.Ordinal),
                    StringComparison.Ordinal
                )
        );
        Assert.True(bytes.Length < 600_000, $"{bytes.Length} bytes");
    }

    [Fact]
    public void Pictures_are_vectors_with_text()
    {
        using PdfDocument pdf = Open("typical");
        Assert.Empty(pdf.GetPages().SelectMany(page => page.GetImages()));
        string text = Text(pdf);
        Assert.Contains("20mm", text, StringComparison.Ordinal);
        Assert.Contains("guideline3", text, StringComparison.Ordinal);
        Assert.Contains("×BT1", text, StringComparison.Ordinal);
    }

    [Fact]
    public void Letters_of_the_trade_and_of_other_scripts_come_back()
    {
        JobPlan plan = Plans.Typical();
        string wish = "Ω µ ° Δ ≤ ≥ ± × – Ремонт плат, žluťoučký kůň, Ελληνικά, ħ № €";
        JobPlan changed = plan with { Job = plan.Job with { Machine = plan.Job.Machine with { Wish = wish } } };
        using PdfDocument pdf = PdfDocument.Open(PlanSheetPdf.Write(changed));
        Assert.Contains(Squeezed(wish), Text(pdf), StringComparison.Ordinal);
    }

    [Fact]
    public void What_the_font_lacks_becomes_a_box_and_hostile_text_stays_text()
    {
        using PdfDocument pdf = Open("hostile");
        string text = Text(pdf);
        Assert.Contains("□", text, StringComparison.Ordinal);
        Assert.Contains("<script>alert(1)</script>", text, StringComparison.Ordinal);
        Assert.DoesNotContain("\u202E", text, StringComparison.Ordinal);
    }

    [Fact]
    public void Same_plan_gives_the_same_text_and_layout()
    {
        using PdfDocument first = Open("typical");
        using PdfDocument second = PdfDocument.Open(PlanSheetPdf.Write(Plans.Typical()));
        Assert.Equal(Letters(first), Letters(second));
    }

    [Fact]
    public async Task Sheets_can_be_written_side_by_side()
    {
        int[] pages = await Task.WhenAll(
            Enumerable
                .Range(0, 6)
                .Select(_ =>
                    Task.Run(() =>
                    {
                        using PdfDocument pdf = PdfDocument.Open(PlanSheetPdf.Write(Plans.Empty()));
                        return pdf.NumberOfPages;
                    })
                )
        );
        Assert.Single(pages.Distinct());
    }

    private static byte[] Bytes(string name) => Written.GetOrAdd(name, key => PlanSheetPdf.Write(All[key].Plan()));

    private static PdfDocument Open(string name) => PdfDocument.Open(Bytes(name));

    private static string Text(PdfDocument pdf) => Squeezed(string.Concat(pdf.GetPages().Select(page => page.Text)));

    private static string Letters(PdfDocument pdf) =>
        string.Concat(
            pdf.GetPages()
                .SelectMany(page => page.Letters)
                .Select(letter =>
                    FormattableString.Invariant($"{letter.Value}{letter.Location.X:0.0},{letter.Location.Y:0.0};")
                )
        );

    // Line ends and cell borders fall anywhere, so text is compared without its blanks.
    private static string Squeezed(string text) => string.Concat(text.Where(c => !char.IsWhiteSpace(c)));
}
