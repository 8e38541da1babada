using System.Xml.Linq;
using Graftbench.Core.Mixing;
using Graftbench.Sheets.Pictures;

namespace Graftbench.Sheets.Tests.Pictures;

/// <summary>The pictures of a mixture: well-formed, named, told in words too, with every mark that counts.</summary>
public class MixPictureTests
{
    private static readonly Lazy<MixAnswer> Low = new(() => Mix("SAC305", "Sn63Pb37", 210));
    private static readonly Lazy<MixAnswer> Bismuth = new(() => Mix("Sn42Bi58", "Sn63Pb37", 180));

    private static readonly Dictionary<string, Func<string>> All = new(StringComparer.Ordinal)
    {
        ["melt-curve"] = () => MeltCurvePicture.Svg(Low.Value),
        ["melt-curve-fahrenheit"] = () => MeltCurvePicture.Svg(Low.Value, 440, new Display(true)),
        ["melt-curve-bismuth"] = () => MeltCurvePicture.Svg(Bismuth.Value),
        ["mix-map"] = () => MixMapPicture.Svg(Low.Value),
        ["mix-map-bismuth"] = () => MixMapPicture.Svg(Bismuth.Value, 440),
    };

    public static TheoryData<string> Names => [.. All.Keys];

    [Theory, MemberData(nameof(Names))]
    public void Picture_is_as_read_before(string name) => Snapshot.Matches(All[name](), name, "svg");

    [Theory, MemberData(nameof(Names))]
    public void Picture_is_well_formed_named_and_told_in_words(string name)
    {
        string svg = All[name]();
        XElement root = XElement.Parse(svg);
        XNamespace ns = "http://www.w3.org/2000/svg";
        Assert.Equal("img", (string?)root.Attribute("role"));
        Assert.False(string.IsNullOrWhiteSpace((string?)root.Element(ns + "title")));
        Assert.True(((string?)root.Element(ns + "desc"))?.Length > 60);
        Assert.DoesNotContain("NaN", svg, StringComparison.Ordinal);
        Assert.DoesNotContain("Infinity", svg, StringComparison.Ordinal);
        Assert.All(root.DescendantsAndSelf(), element => Assert.Null(element.Attribute("style")));
    }

    [Fact]
    public void The_curve_marks_what_counts_and_says_that_the_peak_is_too_low()
    {
        string svg = MeltCurvePicture.Svg(Low.Value);
        foreach (
            string mark in (string[])
                ["frozen", "first melt", "fully molten (99 %)", "last crystal", "peak, too low 210"]
        )
        {
            Assert.Contains(mark, svg, StringComparison.Ordinal);
        }
        Assert.Contains("slow heating", svg, StringComparison.Ordinal);
        Assert.Contains("cooling", svg, StringComparison.Ordinal);
        Assert.Contains(
            "410 °F",
            MeltCurvePicture.Svg(Low.Value, display: new Display(true)),
            StringComparison.Ordinal
        );
    }

    [Fact]
    public void The_map_says_where_this_joint_lies()
    {
        string svg = MixMapPicture.Svg(Low.Value);
        Assert.Contains("this joint, 10 %", svg, StringComparison.Ordinal);
        Assert.Contains("Sn63Pb37 in SAC305", svg, StringComparison.Ordinal);
        Assert.Contains("50 % Sn63Pb37: fully molten at 197.9 °C, frozen at 176.6 °C.", svg, StringComparison.Ordinal);
    }

    [Fact]
    public void Without_curves_there_is_no_picture()
    {
        MixAnswer bare = Low.Value with { Heating = [], Map = null };
        Assert.Equal("", MeltCurvePicture.Svg(bare));
        Assert.Equal("", MixMapPicture.Svg(bare));
    }

    private static MixAnswer Mix(string ball, string land, double peakC) =>
        MixPlanner.Plan(
            new MixRequest(
                "chip U1",
                [
                    MixPart.Mass(MixAlloys.Read(ball).Alloy!, 0.9, "ball"),
                    MixPart.Mass(MixAlloys.Read(land).Alloy!, 0.1, "land"),
                ],
                peakC
            )
        );
}
