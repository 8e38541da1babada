using System.Globalization;
using System.Xml.Linq;
using Graftbench.Core.Insight;
using Graftbench.Core.Jobs;
using Graftbench.Sheets.Pictures;

namespace Graftbench.Sheets.Tests.Pictures;

public class InsightPictureTests
{
    [Fact]
    public void Without_anything_there_is_no_picture()
    {
        Assert.Equal("", SharePicture.Svg("Nothing", []));
        Assert.Equal("", StepTimesPicture.Svg([]));
        Assert.Equal("", StillWorkingPicture.Svg(SurvivalCurve.Of([])));
        Assert.Equal("", StillWorkingPicture.Svg(SurvivalCurve.Of(Spans(4))));
        Assert.Equal("", StepTimesPicture.Svg([Time(WorkStep.Soak, 100)]));
    }

    [Fact]
    public void The_bar_is_the_interval_and_its_ends_lie_where_the_share_may_end()
    {
        // 3 of 4: 0.194 to 0.994 of 340 units that begin at 10.
        XElement bar = Assert.Single(
            Rects(SharePicture.Svg("Solder", [new ShareRow("leaded", CountedShare.Of(3, 4))]))
        );
        Assert.Equal(10 + (340 * 0.19412), Number(bar, "x"), 0.01);
        Assert.Equal(340 * (0.99369 - 0.19412), Number(bar, "width"), 0.02);
    }

    [Fact]
    public void From_few_cases_no_percentage_is_drawn()
    {
        Assert.DoesNotContain(
            "%",
            SharePicture.Svg("Solder", [new ShareRow("leaded", CountedShare.Of(3, 4))]),
            StringComparison.Ordinal
        );
        Assert.Contains(
            "9 of 12, 75 %",
            SharePicture.Svg("Solder", [new ShareRow("leaded", CountedShare.Of(9, 12))]),
            StringComparison.Ordinal
        );
    }

    [Fact]
    public void A_group_without_a_case_is_drawn_as_not_known()
    {
        XDocument svg = XDocument.Parse(SharePicture.Svg("Solder", [new ShareRow("leaded", CountedShare.Of(0, 0))]));
        XElement bar = svg.Descendants().Single(one => one.Name.LocalName == "rect");
        Assert.NotNull(bar.Attribute("stroke-dasharray"));
        Assert.Equal("none", bar.Attribute("fill")?.Value);
    }

    [Fact]
    public void A_hostile_name_stays_text_and_inside_the_picture()
    {
        string svg = SharePicture.Svg(
            "Source",
            [new ShareRow("<script>\u202E" + new string('W', 400), CountedShare.Of(1, 2))]
        );
        Assert.DoesNotContain("<script", svg, StringComparison.Ordinal);
        Assert.NotNull(XDocument.Parse(svg).Root);
    }

    [Fact]
    public void The_curve_says_how_many_are_known_and_where_it_ends()
    {
        string svg = StillWorkingPicture.Svg(SurvivalCurve.Of([.. Spans(12), new KnownSpan(3, true)]));
        string text = XDocument.Parse(svg).Root!.Value;
        Assert.Contains("Until day 8, 0.91 still work", text, StringComparison.Ordinal);
        Assert.Contains("1 of 13 came back in all", text, StringComparison.Ordinal);
    }

    [Fact]
    public void A_step_with_few_jobs_has_a_line_and_no_box()
    {
        Assert.Equal(2, Rects(StepTimesPicture.Svg([Time(WorkStep.Lift, 10, 20, 30, 40, 50)])).Count);
        string few = StepTimesPicture.Svg([Time(WorkStep.Lift, 10, 20)]);
        Assert.Single(Rects(few));
        Assert.Contains("no median from fewer than 5", few, StringComparison.Ordinal);
    }

    private static IEnumerable<KnownSpan> Spans(int number) =>
        Enumerable.Range(1, number).Select(day => new KnownSpan(day, false));

    private static StepTime Time(WorkStep step, params double[] minutes) => new(step, Quartiles.Of(minutes), 15, 25);

    private static IReadOnlyList<XElement> Rects(string svg) =>
        [.. XDocument.Parse(svg).Descendants().Where(one => one.Name.LocalName == "rect")];

    private static double Number(XElement element, string name) =>
        double.Parse(element.Attribute(name)!.Value, CultureInfo.InvariantCulture);
}
