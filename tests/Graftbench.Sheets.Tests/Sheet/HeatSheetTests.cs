using System.Xml.Linq;
using Graftbench.Core.Findings;
using Graftbench.Core.Heating;
using Graftbench.Core.Physics.Heat;
using Graftbench.Core.Planning;
using Graftbench.Sheets.Pictures;
using Graftbench.Tests.Shared;
using UglyToad.PdfPig;
using UglyToad.PdfPig.Content;

namespace Graftbench.Sheets.Tests.Sheet;

public class HeatSheetTests
{
    private static JobPlan With(HeatPlanState state = HeatPlanState.Planned, HeatTask task = HeatTask.Place)
    {
        JobPlan plan = Plans.Typical();
        return plan with
        {
            Apart = new ApartAnswers { Heat = HeatPlans.Of(Boards.Arcade(), Boards.Chip(), task, state) },
        };
    }

    [Fact]
    public void Card_is_as_read_before() => Snapshot.Matches(CardSheet.Html(With()), "card", "html");

    [Theory]
    [InlineData(HeatPlanState.Planned, false)]
    [InlineData(HeatPlanState.NotPossible, false)]
    [InlineData(HeatPlanState.NoAnswer, false)]
    [InlineData(HeatPlanState.Planned, true)]
    public void Card_is_one_page_with_every_stage_and_nothing_outside(HeatPlanState state, bool fahrenheit)
    {
        JobPlan plan = With(state);
        using PdfDocument pdf = PdfDocument.Open(CardSheet.Pdf(plan, new Display(fahrenheit)));
        Page page = Assert.Single(pdf.GetPages());
        Assert.All(
            page.Letters,
            letter =>
            {
                Assert.InRange(letter.BoundingBox.Left, 10, page.Width - 10);
                Assert.InRange(letter.BoundingBox.Right, 10, page.Width - 10);
                Assert.InRange(letter.BoundingBox.Bottom, 8, page.Height - 10);
            }
        );
        string text = string.Concat(page.Letters.Select(letter => letter.Value));
        foreach (HeatStage stage in plan.Heat!.Stages)
        {
            Assert.Contains(QuantityText.Clock(stage.StartS), text, StringComparison.Ordinal);
            Assert.Contains(
                stage.Title.Replace(" ", "", StringComparison.Ordinal),
                text.Replace(" ", "", StringComparison.Ordinal),
                StringComparison.Ordinal
            );
        }
        Assert.Equal(
            state == HeatPlanState.NoAnswer,
            text.Contains("Donotheat", StringComparison.Ordinal)
                || text.Contains("Do not heat", StringComparison.Ordinal)
        );
    }

    [Fact]
    public void Settings_on_the_card_are_read_at_one_metre()
    {
        // 1 m needs capitals of about 4 mm (20 minutes of arc are 5.8 mm): figures of 22 points have 5.5 mm.
        using PdfDocument pdf = PdfDocument.Open(CardSheet.Pdf(With()));
        double largest = pdf.GetPage(1).Letters.Where(letter => letter.Value == "°").Max(letter => letter.PointSize);
        Assert.True(largest >= 16, $"{largest} pt");
    }

    [Fact]
    public void Card_of_a_plan_without_heat_is_refused() =>
        Assert.Throws<ArgumentException>(() => CardSheet.Html(Plans.Typical()));

    [Theory]
    [InlineData(HeatPlanState.Planned)]
    [InlineData(HeatPlanState.NotPossible)]
    [InlineData(HeatPlanState.NoAnswer)]
    public void Plan_sheet_carries_the_heat_plan(HeatPlanState state)
    {
        JobPlan plan = With(state);
        string html = PlanSheet.Html(plan);
        Assert.Contains("Heat plan: Solder the chip on", html, StringComparison.Ordinal);
        Assert.Contains(plan.Heat!.Answer, html, StringComparison.Ordinal);
        Assert.Equal(
            state != HeatPlanState.NoAnswer,
            html.Contains("Limits, tightest first", StringComparison.Ordinal)
        );
        byte[] pdf = PlanSheetPdf.Write(plan);
        Assert.True(pdf.Length < 2_000_000, $"{pdf.Length} bytes");
        using PdfDocument read = PdfDocument.Open(pdf);
        Assert.True(read.NumberOfPages > 2);
    }

    [Fact]
    public void Json_of_a_plan_leaves_the_cells_out()
    {
        string json = PlanJson.Write(With());
        Assert.Contains("\"joint-coldest\"", json, StringComparison.Ordinal);
        Assert.Contains("\"columns\"", json, StringComparison.Ordinal);
        Assert.DoesNotContain("\"frames\"", json, StringComparison.Ordinal);
        Assert.DoesNotContain("\"covered\"", json, StringComparison.Ordinal);
        Assert.DoesNotContain("\"sensitivities\"", PlanJson.Write(Plans.Typical()), StringComparison.Ordinal);
    }

    [Fact]
    public void A_map_of_many_cells_stays_small()
    {
        HeatPlan heat = HeatPlans.Of(Boards.Arcade(), Boards.Chip());
        const int Columns = 900;
        const int Rows = 600;
        float[] cells = new float[Columns * Rows];
        for (int i = 0; i < cells.Length; i++)
        {
            cells[i] = 20 + (200 * (i * 7919L % 1000) / 1000f);
        }
        bool[] covered = [.. Enumerable.Repeat(true, cells.Length)];
        HeatPlane plane = new("top", new RectMm(0, 180, 0, 110), Columns, Rows, covered, [new HeatFrame(0, cells)]);
        string svg = HeatMapPicture.Svg(heat with { Planes = [plane] }, "top", 0, Boards.Arcade());
        Assert.True(svg.Length < 1_500_000, $"{svg.Length} characters");
    }

    [Fact]
    public void Hostile_words_and_odd_numbers_still_make_well_formed_pictures()
    {
        HeatPlan heat = HeatPlans.Of(Boards.Arcade(), Boards.Chip());
        string bad = "<script>alert(1)</script>\u0000\u202e\"'&" + new string('x', 3000);
        HeatPlan hostile = heat with
        {
            Answer = bad,
            ChipId = bad,
            Subject = bad,
            Stages = [.. heat.Stages.Select(stage => stage with { Title = bad, LookFor = bad })],
            Moments = [.. heat.Moments.Select(moment => moment with { Text = bad, TimeS = double.NaN })],
            Curves = heat.Curves! with
            {
                Curves =
                [
                    .. heat.Curves!.Curves.Select(curve =>
                        curve with
                        {
                            Title = bad,
                            TemperaturesC = [.. curve.TemperaturesC.Select((c, i) => i % 7 == 0 ? double.NaN : c)],
                        }
                    ),
                ],
            },
        };
        foreach (
            string svg in (string[])
                [HeatCurvesPicture.Svg(hostile), HeatMapPicture.Svg(hostile, "top", double.NaN, Boards.Arcade())]
        )
        {
            XElement.Parse(svg);
            Assert.DoesNotContain("NaN", svg, StringComparison.Ordinal);
            Assert.DoesNotContain("<script", svg, StringComparison.Ordinal);
        }
        JobPlan plan = Plans.Typical() with { Apart = new ApartAnswers { Heat = hostile } };
        Assert.DoesNotContain("<script", CardSheet.Html(plan), StringComparison.Ordinal);
        Assert.NotEmpty(CardSheet.Pdf(plan));
        Assert.NotEmpty(PlanSheetPdf.Write(plan));
    }

    [Fact]
    public void Colours_fall_in_lightness_so_that_a_grey_print_keeps_their_order()
    {
        HeatScale scale = new(20, 20, 10);
        double[] grey =
        [
            .. scale.Colours.Select(colour =>
            {
                int rgb = Convert.ToInt32(colour[1..], 16);
                // Luma of ITU-R BT.709.
                return (0.2126 * (rgb >> 16)) + (0.7152 * ((rgb >> 8) & 255)) + (0.0722 * (rgb & 255));
            }),
        ];
        Assert.All(grey.Zip(grey.Skip(1)), pair => Assert.True(pair.First - pair.Second > 8, $"{pair}"));
    }
}
