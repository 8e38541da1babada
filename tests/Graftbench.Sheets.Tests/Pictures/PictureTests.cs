using System.Xml.Linq;
using Graftbench.Core.Drying;
using Graftbench.Core.Heating;
using Graftbench.Core.Jobs;
using Graftbench.Core.Ledger;
using Graftbench.Sheets.Pictures;
using Graftbench.Tests.Shared;

namespace Graftbench.Sheets.Tests.Pictures;

public class PictureTests
{
    private static readonly MoistureMarks Marks = new()
    {
        FloorFraction = 0.06,
        ReadyH = 41,
        LowH = 28,
        HighH = 58,
        NowH = 9.5,
    };

    private static readonly HeatAccount Account = new(
        "U1",
        "Chip U1",
        [],
        2,
        2,
        [new PlannedHeat(HeatKind.Lift, 1, 1, "trade")],
        3,
        5,
        3,
        "test-three-reflows"
    );

    private static readonly HeatPlan Planned = HeatPlans.Of(Boards.Arcade(), Boards.Chip());
    private static readonly HeatPlan NotPossible = HeatPlans.Of(
        Boards.Arcade(),
        Boards.Chip(),
        state: HeatPlanState.NotPossible
    );

    /// <summary>Every picture there is, by the name of its committed file.</summary>
    private static readonly Dictionary<string, Func<string>> All = new(StringComparer.Ordinal)
    {
        ["board-one-part"] = () => BoardPicture.Svg(Boards.OnePart(), []),
        ["board-every-kind"] = () =>
            BoardPicture.Svg(
                Boards.Arcade(),
                [Boards.Chip()],
                new BoardPictureOptions { RemoveFirst = ["BT1", "BT2", "C40", "C12", "C13", "L1"] }
            ),
        ["board-two-hundred"] = () =>
            BoardPicture.Svg(
                Boards.TwoHundred(),
                [Boards.Chip("U1", 120, 70, 45) with { PitchMm = 0.8, Rows = 32, Columns = 32 }],
                new BoardPictureOptions { RemoveFirst = ["C108", "J111", "U125", "C152"] }
            ),
        ["board-heat"] = () =>
            BoardPicture.Svg(
                Boards.Shielded(),
                [Boards.Chip("U1", 50, 30, 30)],
                new BoardPictureOptions
                {
                    Heater = Boards.Heater(),
                    Nozzle = new NozzleOutline(50, 30, 29, 29, RotationDeg: 30),
                }
            ),
        ["moisture-both-faces"] = () => MoisturePicture.Svg(Answers.Slab(2.3, 60, 0.06), 0.26),
        ["moisture-one-face"] = () => MoisturePicture.Svg(Answers.Slab(1.4, 20, 0, oneFace: true), 0.2),
        ["map-both-faces"] = () => MoistureMap.Svg(Answers.Slab(2.3, 60, 0.06), 0.26, Marks),
        ["map-one-face"] = () => MoistureMap.Svg(Answers.Slab(1.4, 20, 0, oneFace: true), 0.2),
        ["mean"] = () => MeanCurve.Svg(Answers.Slab(2.3, 60, 0.06), 0.26, Marks),
        ["mean-floor-above-target"] = () =>
            MeanCurve.Svg(Answers.Slab(2.3, 60, 0.4), 0.26, new MoistureMarks { FloorFraction = 0.4 }),
        ["calendar-six-hours"] = () =>
            CalendarPicture.Svg(Answers.SixHours(), Answers.Now.AddHours(2), titles: Answers.Titles),
        ["calendar-four-days"] = () =>
            CalendarPicture.Svg(Answers.FourDays(), Answers.Now.AddHours(30), titles: Answers.Titles),
        ["calendar-eighty-days"] = () =>
            CalendarPicture.Svg(Answers.EightyDays(), Answers.Now.AddDays(5), titles: Answers.Titles),
        ["calendar-long-words"] = () =>
            CalendarPicture.Svg(Answers.LongWords(14), Answers.Now.AddDays(14), titles: Answers.Titles),
        ["calendar-long-words-hourly"] = () =>
            CalendarPicture.Svg(Answers.LongWords(3), Answers.Now.AddHours(5), titles: Answers.Titles),
        ["calendar-empty"] = () => CalendarPicture.Svg([], Answers.Now),
        ["weighing"] = () => WeighingPicture.Svg(Answers.Losing()),
        ["weighing-one-point"] = () =>
            WeighingPicture.Svg(
                new WeighingTrend([new(0, 50)], false, null, null, null, null, null, null, null, false, "One weighing.")
            ),
        ["floor-life-within"] = () => FloorLifeBar.Svg(Answers.Clock(FloorLifeState.Within, 0.62, 64.2)),
        ["floor-life-over"] = () => FloorLifeBar.Svg(Answers.Clock(FloorLifeState.Over, 1.24, null)),
        ["floor-life-unknown"] = () => FloorLifeBar.Svg(Answers.Clock(FloorLifeState.Unknown, null, null)),
        ["floor-life-unlimited"] = () => FloorLifeBar.Svg(Answers.Clock(FloorLifeState.Unlimited, null, null)),
        ["heat-curves"] = () => HeatCurvesPicture.Svg(Planned),
        ["heat-curves-fahrenheit"] = () => HeatCurvesPicture.Svg(NotPossible, new Display(true), 600),
        ["heat-map-joints"] = () => HeatMapPicture.Svg(Planned, "joints", 300, Boards.Arcade()),
        ["heat-map-top"] = () =>
            HeatMapPicture.Svg(NotPossible, "top", 300, Boards.Arcade(), display: new Display(true)),
        ["heat-map-bottom"] = () => HeatMapPicture.Svg(Planned, "bottom", 60, Boards.Arcade(), widthPx: 440),
        ["ledger"] = () => LedgerPicture.Svg(Account),
    };

    public static TheoryData<string> Names => [.. All.Keys];

    [Fact]
    public void A_probe_is_marked_on_the_side_of_the_board_that_it_sits_on()
    {
        // The fixture's first place is on the board's top face, its second under the board.
        HeatPlan below = Planned with
        {
            Probes = [.. Planned.Probes.Skip(1)],
        };
        Assert.Contains(">probe ", Svg(Planned, "top"), StringComparison.Ordinal);
        Assert.DoesNotContain(">probe ", Svg(Planned, "bottom"), StringComparison.Ordinal);
        Assert.DoesNotContain(">probe ", Svg(below, "top"), StringComparison.Ordinal);
        Assert.Contains(">probe ", Svg(below, "bottom"), StringComparison.Ordinal);
        static string Svg(HeatPlan heat, string plane) => HeatMapPicture.Svg(heat, plane, 300, Boards.Arcade());
    }

    [Theory, MemberData(nameof(Names))]
    public void Picture_is_as_read_before(string name) => Snapshot.Matches(All[name](), name, "svg");

    [Theory, MemberData(nameof(Names))]
    public void Picture_is_well_formed_named_and_fit_for_a_strict_page(string name)
    {
        string svg = All[name]();
        XElement root = XElement.Parse(svg);
        XNamespace ns = "http://www.w3.org/2000/svg";
        Assert.Equal(ns + "svg", root.Name);
        Assert.Equal("img", (string?)root.Attribute("role"));
        Assert.False(string.IsNullOrWhiteSpace((string?)root.Element(ns + "title")));
        Assert.NotNull(root.Element(ns + "desc"));
        Assert.All(
            root.DescendantsAndSelf(),
            element =>
            {
                Assert.Null(element.Attribute("style"));
                Assert.Null(element.Attribute("id"));
                Assert.DoesNotContain(
                    element.Name.LocalName,
                    new[] { "script", "image", "use", "foreignObject", "style", "a" }
                );
            }
        );
        Assert.DoesNotContain(
            "http",
            svg.Replace(ns.NamespaceName, "", StringComparison.Ordinal),
            StringComparison.Ordinal
        );
        Assert.DoesNotContain("NaN", svg, StringComparison.Ordinal);
        Assert.DoesNotContain("Infinity", svg, StringComparison.Ordinal);
    }

    [Theory, InlineData("calendar-long-words"), InlineData("calendar-long-words-hourly")]
    public void Long_words_in_a_calendar_end_with_a_clause_and_are_whole_in_its_description(string name)
    {
        XElement root = XElement.Parse(All[name]());
        XNamespace ns = "http://www.w3.org/2000/svg";
        Assert.Contains(
            root.Descendants(ns + "text"),
            text => text.Value.EndsWith("ready: weigh …", StringComparison.Ordinal)
        );
        Assert.Contains(
            "below 10 % RH within the hour if it is not used at once",
            root.Element(ns + "desc")!.Value,
            StringComparison.Ordinal
        );
    }

    [Fact]
    public void A_eutectic_alloy_has_one_melting_temperature()
    {
        HeatPlan eutectic = Planned with { Curves = Planned.Curves! with { SolidusC = 183, MoltenC = 183 } };

        string svg = HeatCurvesPicture.Svg(eutectic);

        Assert.Contains("Melts at 183", svg, StringComparison.Ordinal);
        Assert.Contains("melts at 183", svg, StringComparison.Ordinal);
        Assert.DoesNotContain("183 to 183", svg, StringComparison.Ordinal);
    }
}
