using Graftbench.Core.Findings;
using Graftbench.Core.Fit;
using Graftbench.Core.Fit.Maps;
using Graftbench.Core.Inspection;
using Graftbench.Core.Jobs;
using Graftbench.Core.Planning;

namespace Graftbench.Core.Tests.Fit;

/// <summary>
/// Each rule on both sides of its limit. The rules are common practice of the trade, no source, except where a row says one;
/// the jobs are invented.
/// </summary>
public partial class FitSheetTests
{
    private const string HostList = """
        ball;signal;rail;type
        A1;GND;;ground
        A2;VCORE;VCORE;power
        A3;DATA0;;signal
        B1;VIO;VIO;power
        B2;GND;;ground
        B3;DATA1;;signal
        C1;VCORE;VCORE;power
        C2;CLK;;signal
        C3;NC;;nc
        """;

    private static readonly Chip Old = new()
    {
        Id = "OLD",
        From = ChipPlace.Host,
        To = ChipPlace.Scrap,
        BodyLengthMm = 20,
        BodyWidthMm = 20,
        BodyThicknessMm = 1.6,
        StandoffMm = 0.4,
        PitchMm = 1,
        Rows = 3,
        Columns = 3,
        BallCount = 9,
        XMm = 50,
        YMm = 50,
    };

    private static readonly ChipNeeds Needs = new()
    {
        Rails =
        [
            new NeededRail
            {
                Name = "VCORE",
                LeastV = 0.9,
                UsualV = 1.0,
                MostV = 1.1,
                MostCurrentA = 30,
                SlewAPerUs = 20,
                LoadLineMilliOhm = 1,
            },
            new NeededRail
            {
                Name = "VIO",
                LeastV = 3.0,
                MostV = 3.6,
                MostCurrentA = 1,
            },
        ],
        CoreCodes = new VoltageCodes
        {
            Table = "K-8",
            Lines = 6,
            LeastV = 0.8,
            MostV = 1.1,
            StepV = 0.0125,
        },
        MostW = 40,
        HottestDieC = 100,
        SwitchingW = 20,
        LeakageW = 4,
        LeakageAtC = 85,
        LeakageDoublesDeltaK = 25,
        Straps = "low high low",
        StrapTable =
        [
            new StrapRow { Levels = "low low low", ClockMhz = 100 },
            new StrapRow { Levels = "low high low", ClockMhz = 133.333 },
        ],
        LeastClockRatio = 6,
        MostClockRatio = 12,
        Links =
        [
            new ChipLink
            {
                Name = "memory",
                Type = "DDR",
                Generation = 3,
                Lanes = 64,
                TerminationV = 0.75,
            },
        ],
        AddressBits = 36,
    };

    private static readonly BoardGives Gives = new()
    {
        Rails =
        [
            new GivenRail
            {
                Name = "VCORE",
                SetV = 1,
                MostCurrentA = 50,
                SlewAPerUs = 40,
                LoadLineMilliOhm = 1.1,
            },
            new GivenRail
            {
                Name = "VIO",
                SetV = 3.3,
                MostCurrentA = 3,
            },
        ],
        CoreCodes = new VoltageCodes
        {
            Table = "k-8",
            Lines = 7,
            LeastV = 0.5,
            MostV = 1.5,
            StepV = 0.00625,
        },
        Clocks = [new GivenClock { ClockMhz = 100 }, new GivenClock { ClockMhz = 133.3 }],
        LeastClockRatio = 5,
        MostClockRatio = 16,
        Links =
        [
            new ChipLink
            {
                Name = "Memory",
                Type = "ddr",
                Generation = 3,
                Lanes = 64,
                TerminationV = 0.75,
            },
        ],
        Memory = new BoardMemory
        {
            ChipsetGib = 16,
            FirmwareGib = 32,
            Slots = 4,
            ModuleGib = 8,
            WantedGib = 16,
        },
        Cooling = new BoardCooling
        {
            OldDieC = 65,
            OldAirC = 25,
            OldW = 40,
            WarmestAirC = 35,
            TravelMm = 0.3,
            ClampN = 8,
        },
    };

    private static readonly Job Good = new()
    {
        Format = "graftbench-job-1",
        Id = "fit",
        Title = "Fit",
        Host = new Board
        {
            LengthMm = 100,
            WidthMm = 100,
            ThicknessMm = 1.6,
            Gives = Gives,
            Parts =
            [
                new Part
                {
                    Ref = "C5",
                    Kind = PartKind.CeramicCapacitor,
                    XMm = 65,
                    YMm = 50,
                    LengthMm = 2,
                    WidthMm = 1,
                    HeightMm = 1,
                },
            ],
        },
        Chips =
        [
            Old with
            {
                Id = "NEW",
                From = ChipPlace.Shelf,
                To = ChipPlace.Host,
                XMm = null,
                YMm = null,
                Top = BodyTop.BareDie,
                DieLengthMm = 10,
                DieWidthMm = 10,
                MoistureLevel = MoistureLevel.L3,
                BallAlloy = "SAC305",
                Seat = new Seat { HasParts = YesNo.No },
                Needs = Needs,
            },
            Old,
        ],
        Materials = new Materials { LandAlloy = "SAC305" },
    };

    private static FitRequest Request(Job job) =>
        new(job, FitPlanner.Main(job)!)
        {
            HostMap = Map(HostList),
            ChipMap = Map(HostList),
            Firmware = new Finding(Verdict.Ok, "firmware.knows", "image", "The image lists the chip."),
        };

    private static BallMap Map(string text) => BallMapReader.Read(text, BallView.Top).Packages.Single();

    private static Job With(
        Func<ChipNeeds, ChipNeeds>? needs = null,
        Func<BoardGives, BoardGives>? gives = null,
        Func<Chip, Chip>? chip = null
    )
    {
        Chip made = Good.Chips[0] with { Needs = (needs ?? (one => one))(Needs) };
        return Good with
        {
            Host = Good.Host with { Gives = (gives ?? (one => one))(Gives) },
            Chips = [(chip ?? (one => one))(made), Old],
        };
    }

    [Fact]
    public void Where_everything_is_known_and_fits_every_rule_is_ok()
    {
        FitSheet sheet = FitPlanner.Sheet(Request(Good));
        Assert.All(sheet.Rows, row => Assert.True(row.Verdict == Verdict.Ok, $"{row.Id}: {row.Findings[0].What}"));
        Assert.Equal(Verdict.Ok, sheet.Verdict);
        Assert.Equal("Yes: every rule was checked and passes.", sheet.Answer);
        Assert.Null(sheet.Next);
        Assert.Equal(16, sheet.MemoryGib);
        Assert.Equal(Verdict.Ok, FitPlanner.Summary(sheet).Verdict);
    }

    [Fact]
    public void Where_nothing_is_entered_every_rule_is_unknown_and_the_answer_says_so()
    {
        Job bare = Good with
        {
            Host = Good.Host with { Gives = null },
            Chips = [Good.Chips[0] with { Needs = null, Seat = null, MoistureLevel = MoistureLevel.Unknown }],
            Materials = new Materials(),
        };
        FitSheet sheet = FitPlanner.Sheet(new FitRequest(bare, bare.Chips[0]));
        Assert.All(sheet.Rows, row => Assert.Contains(row.Findings, finding => finding.Verdict == Verdict.Unknown));
        Assert.Equal(Verdict.Unknown, sheet.Verdict);
        Assert.Equal("Not known: nothing that decides it is entered.", sheet.Answer);
        QuestionSummary summary = FitPlanner.Summary(sheet);
        Assert.Equal(
            Verdict.Unknown,
            Planner.Plan(bare, DateTimeOffset.UnixEpoch, new ApartAnswers { Fit = summary }).Questions[0].Verdict
        );
        Assert.Single(summary.Findings, finding => finding.Code == FitPlanner.NotChecked);
    }

    /// <summary>What is changed, the rule that must see it, and its verdict.</summary>
    public static readonly TheoryData<string, Func<Job>, string, Verdict> Cases = new()
    {
        { "another body", () => With(chip: one => one with { BodyLengthMm = 21 }), "outline", Verdict.Blocker },
        {
            "the body off by a tolerance",
            () => With(chip: one => one with { BodyLengthMm = 20.2 }),
            "outline",
            Verdict.Ok
        },
        { "another pitch", () => With(chip: one => one with { PitchMm = 0.8 }), "outline", Verdict.Blocker },
        { "a ball more", () => With(chip: one => one with { BallCount = 8 }), "outline", Verdict.Blocker },
        { "rows not entered", () => With(chip: one => one with { Rows = null }), "outline", Verdict.Unknown },
        {
            "a capacitor under a larger body",
            () => With(chip: one => one with { BodyLengthMm = 30 }),
            "outline",
            Verdict.Blocker
        },
        { "rails disjoint", () => Rail(0, given => given with { SetV = 1.5 }), "rails", Verdict.Blocker },
        { "rails overlap in part", () => Rail(0, given => given with { SetV = 1.08 }), "rails", Verdict.FixFirst },
        {
            "overlap in part, measured inside",
            () => Rail(0, given => given with { SetV = 1.08, MeasuredV = 1.07 }),
            "rails",
            Verdict.Warning
        },
        {
            "overlap in part, measured outside",
            () => Rail(0, given => given with { SetV = 1.08, MeasuredV = 1.12 }),
            "rails",
            Verdict.Blocker
        },
        {
            "a tight rail inside",
            () => Rail(0, given => given with { SetV = 1.08, TolerancePercent = 1 }),
            "rails",
            Verdict.Ok
        },
        {
            "a rail that the board lacks",
            () => With(gives: one => one with { Rails = [one.Rails[0]] }),
            "rails",
            Verdict.Unknown
        },
        { "another coding table", () => Codes(one => one with { Table = "K-9" }), "codes", Verdict.Blocker },
        { "more lines than the regulator reads", () => Codes(one => one with { Lines = 8 }), "codes", Verdict.Blocker },
        {
            "a voltage above the regulator's",
            () => Codes(one => one with { Lines = 7, MostV = 1.6 }),
            "codes",
            Verdict.Blocker
        },
        { "steps between the regulator's", () => Codes(one => one with { StepV = 0.01 }), "codes", Verdict.Blocker },
        { "current over the share that counts", () => Current(45), "current", Verdict.FixFirst },
        { "current over the regulator", () => Current(51), "current", Verdict.Blocker },
        { "current just at the share", () => Current(40), "current", Verdict.Ok },
        {
            "faster than the regulator",
            () => Rail(0, given => given with { SlewAPerUs = 10 }),
            "current",
            Verdict.FixFirst
        },
        {
            "another load line",
            () => Rail(0, given => given with { LoadLineMilliOhm = 2 }),
            "current",
            Verdict.FixFirst
        },
        { "a die too hot", () => With(needs: one => one with { HottestDieC = 55 }), "heat", Verdict.FixFirst },
        {
            "hot only with a worse cooler",
            () => With(needs: one => one with { HottestDieC = 58 }),
            "heat",
            Verdict.Warning
        },
        { "no limit of the die", () => With(needs: one => one with { HottestDieC = null }), "heat", Verdict.Unknown },
        // The worked case of the thermal rule: 35 °C of air has no steady solution, 25 °C has.
        { "the worked case at 35 °C", () => Worked(35), "stability", Verdict.Blocker },
        { "the worked case at 25 °C, little to spare", () => Worked(25), "stability", Verdict.Warning },
        { "leakage not known", () => With(needs: one => one with { LeakageW = null }), "stability", Verdict.Unknown },
        {
            "a clock that the board lacks",
            () => With(needs: one => one with { ClockMhz = 200, Straps = null }),
            "clock",
            Verdict.Blocker
        },
        {
            "straps against the clock entered",
            () => With(needs: one => one with { ClockMhz = 100 }),
            "clock",
            Verdict.FixFirst
        },
        {
            "straps that the table lacks",
            () => With(needs: one => one with { Straps = "high high high" }),
            "clock",
            Verdict.Blocker
        },
        {
            "multiples out of reach",
            () => With(needs: one => one with { LeastClockRatio = 20, MostClockRatio = 30 }),
            "clock",
            Verdict.Blocker
        },
        { "multiples in part", () => With(needs: one => one with { MostClockRatio = 20 }), "clock", Verdict.Warning },
        { "another bus", () => Link(one => one with { Type = "SDR" }), "links", Verdict.Blocker },
        { "another termination", () => Link(one => one with { TerminationV = 0.9 }), "links", Verdict.Blocker },
        { "another generation", () => Link(one => one with { Generation = 2 }), "links", Verdict.Warning },
        { "lanes not entered", () => Link(one => one with { Lanes = null }), "links", Verdict.Unknown },
        { "a link that the board lacks", () => Link(one => one with { Name = "graphics" }), "links", Verdict.Blocker },
        {
            "an optional link that it lacks",
            () => Link(one => one with { Name = "graphics", Optional = YesNo.Yes }),
            "links",
            Verdict.Warning
        },
        {
            "too little memory",
            () => With(gives: one => one with { Memory = one.Memory! with { WantedGib = 20 } }),
            "memory",
            Verdict.FixFirst
        },
        {
            "a memory limit missing",
            () => With(gives: one => one with { Memory = one.Memory! with { FirmwareGib = null } }),
            "memory",
            Verdict.Unknown
        },
        {
            "too low for the cooler",
            () => With(chip: one => one with { BodyThicknessMm = 1.2 }),
            "mechanics",
            Verdict.FixFirst
        },
        // 15 psi is 103.4 kPa: one maker of modules; 10.34 N on a square centimetre.
        {
            "pressed at the limit",
            () => With(gives: one => one with { Cooling = one.Cooling! with { ClampN = 10.3 } }),
            "mechanics",
            Verdict.Ok
        },
        {
            "pressed over the limit",
            () => With(gives: one => one with { Cooling = one.Cooling! with { ClampN = 10.4 } }),
            "mechanics",
            Verdict.FixFirst
        },
        { "parts not looked at", () => With(chip: one => one with { Seat = null }), "underside", Verdict.Unknown },
        // 0.60 mm balls on a 0.50 pad stand 0.497 mm attached and 0.419 mm molten on a 0.45 land (worked before the code).
        { "a part lower than the standoff", () => Part(0.39), "underside", Verdict.Ok },
        { "a part between standoff and balls", () => Part(0.45), "underside", Verdict.Warning },
        { "a part higher than the balls", () => Part(0.52), "underside", Verdict.FixFirst },
        {
            "moisture level not known",
            () => With(chip: one => one with { MoistureLevel = MoistureLevel.Unknown }),
            "moisture",
            Verdict.Unknown
        },
        {
            "two alloys, amounts not known",
            () =>
                Good with
                {
                    Materials = new Materials { LandAlloy = "Sn63Pb37", BallDiameterMm = 0.6 },
                },
            "alloy",
            Verdict.Unknown
        },
        {
            "two alloys, amounts known",
            () =>
                With(chip: one =>
                    one with
                    {
                        Seat = new Seat
                        {
                            HasParts = YesNo.No,
                            PackagePadMm = 0.5,
                            BoardPadMm = 0.45,
                            DomeHeightMm = 0.05,
                        },
                    }
                ) with
                {
                    Materials = new Materials { LandAlloy = "Sn63Pb37", BallDiameterMm = 0.6 },
                },
            "alloy",
            Verdict.Warning
        },
        { "land alloy not known", () => Good with { Materials = new Materials() }, "alloy", Verdict.Unknown },
    };

    [Theory, MemberData(nameof(Cases))]
    public void A_rule_sees_what_is_changed(string what, Func<Job> job, string rule, Verdict expected)
    {
        FitSheet sheet = FitPlanner.Sheet(Request(job()));
        FitRow row = sheet.Rows.Single(one => one.Id == "fit." + rule);
        Assert.True(
            row.Verdict == expected,
            $"{what}: {row.Verdict}, {string.Join(" | ", row.Findings.Select(finding => $"{finding.Verdict} {finding.What} {finding.Value} {finding.Limit}"))}"
        );
        Assert.All(
            row.Findings.Where(finding => finding.Verdict is Verdict.Blocker or Verdict.FixFirst or Verdict.Unknown),
            finding => Assert.False(string.IsNullOrWhiteSpace(finding.Todo))
        );
    }

    [Fact]
    public void A_mirrored_list_is_seen_and_its_clashes_stop_the_job()
    {
        string mirrored = string.Join(
            '\n',
            HostList
                .Split('\n')
                .Select(line =>
                    line.Replace("1;", "x;", StringComparison.Ordinal)
                        .Replace("3;", "1;", StringComparison.Ordinal)
                        .Replace("x;", "3;", StringComparison.Ordinal)
                )
        );
        FitSheet sheet = FitPlanner.Sheet(Request(Good) with { ChipMap = Map(mirrored) });
        Assert.Contains(
            sheet.Rows.Single(row => row.Id == "fit.orientation").Findings,
            finding => finding.Code == "fit.list-mirrored"
        );
        Assert.Equal(Verdict.Blocker, sheet.Verdict);
        Assert.StartsWith("No. ball lists", sheet.Answer, StringComparison.Ordinal);
    }

    [Fact]
    public void A_rail_is_found_by_its_balls_and_joining_two_rails_stops_the_job()
    {
        string renamed = HostList.Replace("VIO;VIO", "VDDQ;VDDQ", StringComparison.Ordinal);
        Job job = With(needs: one => one with { Rails = [one.Rails[0], one.Rails[1] with { Name = "VDDQ" }] });
        FitSheet sheet = FitPlanner.Sheet(Request(job) with { ChipMap = Map(renamed) });
        RailWindow rail = sheet.Rails.Single(one => one.Name == "VDDQ");
        Assert.Equal((RailBasis.ByBalls, "VIO", Verdict.Ok), (rail.Basis, rail.OnBoard, rail.Verdict));

        string joined = HostList.Replace("VIO;VIO", "VCORE;VCORE", StringComparison.Ordinal);
        FitSheet both = FitPlanner.Sheet(Request(Good) with { ChipMap = Map(joined) });
        Assert.Contains(both.Findings, finding => finding is { Code: "fit.rails-joined", Verdict: Verdict.Blocker });
    }

    [Fact]
    public void Rails_come_from_a_ball_list_that_tells_voltages_where_the_job_names_none()
    {
        BallMap map = Map(
            """
            ball,signal,type,rail,Vmin,Vmax,Imax
            A1,VCC,power,VCORE,0.9,1.1,2
            A2,VCC,power,VCORE,0.95,1.2,3
            B1,GND,ground,,,,
            """
        );
        FitSheet sheet = FitPlanner.Sheet(
            Request(With(needs: one => one with { Rails = [] })) with
            {
                ChipMap = map,
                HostMap = null,
            }
        );
        RailWindow rail = Assert.Single(sheet.Rails);
        Assert.Equal(("VCORE", 0.95, 1.1, Verdict.Ok), (rail.Name, rail.LeastV, rail.MostV, rail.Verdict));
    }

    [Fact]
    public void A_waiver_by_name_lifts_a_rule_and_keeps_its_words()
    {
        Job job = Codes(one => one with { Table = "K-9" });
        Finding finding = FitPlanner.Sheet(Request(job)).Findings[0];
        Job waived = job with
        {
            Evidence =
            [
                new EvidenceEntry
                {
                    At = DateTimeOffset.UnixEpoch,
                    Who = "M. Brandt",
                    Kind = EvidenceKind.Waiver,
                    Note = "Both names mean one table: sheet of the regulator, page 9.",
                    Waives = finding.Code,
                    WaivesWhere = finding.Where,
                },
            ],
        };
        FitSheet sheet = FitPlanner.Sheet(Request(waived));
        Assert.Equal(Verdict.Warning, sheet.Verdict);
        Assert.Contains(
            "page 9",
            sheet.Rows.Single(row => row.Id == "fit.codes").Findings[0].What,
            StringComparison.Ordinal
        );
    }

    [Fact]
    public void Firmware_that_lacks_the_chip_is_fixed_first_and_no_image_is_unknown()
    {
        FitRequest request = Request(Good);
        FitSheet lacks = FitPlanner.Sheet(
            request with
            {
                Firmware = new Finding(
                    Verdict.FixFirst,
                    "firmware.knows",
                    "image",
                    "It does not list 906EA.",
                    Todo: "Get a newer image."
                ),
            }
        );
        Assert.Equal(Verdict.FixFirst, lacks.Verdict);
        Assert.Equal("Get a newer image.", lacks.Next);
        FitSheet none = FitPlanner.Sheet(request with { Firmware = null });
        Assert.Equal(Verdict.Unknown, none.Verdict);
    }

    private static Job Rail(int at, Func<GivenRail, GivenRail> change) =>
        With(gives: one => one with { Rails = [.. one.Rails.Select((rail, i) => i == at ? change(rail) : rail)] });

    private static Job Codes(Func<VoltageCodes, VoltageCodes> change) =>
        With(needs: one => one with { CoreCodes = change(one.CoreCodes!) });

    private static Job Current(double mostCurrentA) =>
        With(needs: one => one with { Rails = [one.Rails[0] with { MostCurrentA = mostCurrentA }, one.Rails[1]] });

    private static Job Link(Func<ChipLink, ChipLink> change) =>
        With(needs: one => one with { Links = [change(one.Links[0])] });

    private static Job Part(double heightMm) =>
        With(chip: one =>
            one with
            {
                BallDiameterMm = 0.6,
                Seat = new Seat
                {
                    PackagePadMm = 0.5,
                    BoardPadMm = 0.45,
                    Parts =
                    [
                        new SeatPart
                        {
                            Name = "C1",
                            XMm = 0,
                            YMm = 0,
                            HeightMm = heightMm,
                            PadDepthMm = 0,
                            MaskHeightMm = 0,
                        },
                    ],
                },
            }
        );

    private static Job Worked(double airC) =>
        With(
            needs: one => one with { SwitchingW = 28, LeakageW = 6, LeakageAtC = 85, LeakageDoublesDeltaK = 25 },
            gives: one =>
                one with
                {
                    Cooling = new BoardCooling { ThetaKPerW = 1.968, WarmestAirC = airC },
                }
        );

    // The same window on both sheets, as in 1.8 V and 5 %, passes: a machine's 1.8900000000000001 is no more than 1.89.
    [Theory]
    [InlineData(0.9, 5, 0.855, 0.945)]
    [InlineData(1.05, 5, 0.9975, 1.1025)]
    [InlineData(1.1, 5, 1.045, 1.155)]
    [InlineData(1.5, 5, 1.425, 1.575)]
    [InlineData(1.8, 5, 1.71, 1.89)]
    [InlineData(12, 5, 11.4, 12.6)]
    public void A_window_of_the_same_figures_passes(double setV, double percent, double leastV, double mostV)
    {
        Job job = Good with
        {
            Host = Good.Host with
            {
                Gives = Gives with
                {
                    Rails =
                    [
                        new GivenRail
                        {
                            Name = "VIO",
                            SetV = setV,
                            TolerancePercent = percent,
                        },
                    ],
                },
            },
            Chips =
            [
                .. Good.Chips.Select(chip =>
                    chip.Needs is null
                        ? chip
                        : chip with
                        {
                            Needs = Needs with
                            {
                                Rails =
                                [
                                    new NeededRail
                                    {
                                        Name = "VIO",
                                        LeastV = leastV,
                                        MostV = mostV,
                                    },
                                ],
                            },
                        }
                ),
            ],
        };
        Assert.Equal(Verdict.Ok, FitPlanner.Sheet(Request(job)).Rows.Single(row => row.Id == "fit.rails").Verdict);
    }

    [Fact]
    public void What_is_doubtful_in_a_list_stands_on_the_sheet_even_where_both_can_be_compared()
    {
        Finding doubt = new(Verdict.Warning, "fit.list", "ball list of the chip", "The list counts a row I.");
        FitRow row = FitPlanner
            .Sheet(Request(Good) with { MapFindings = [doubt] })
            .Rows.Single(one => one.Id == "fit.orientation");
        Assert.Contains(doubt, row.Findings);
        Assert.Equal(Verdict.Warning, row.Verdict);
    }

    [Fact]
    public void A_doubt_about_one_list_does_not_hide_that_the_other_is_missing()
    {
        Finding doubt = new(Verdict.Warning, "fit.list", "ball list of host", "The list counts a row I.");
        FitRow row = FitPlanner
            .Sheet(Request(Good) with { ChipMap = null, MapFindings = [doubt] })
            .Rows.Single(one => one.Id == "fit.orientation");
        Assert.Contains(row.Findings, finding => finding.Verdict == Verdict.Unknown);
    }
}
