using Graftbench.Core.Drying;
using Graftbench.Core.Facts;
using Graftbench.Core.Findings;
using Graftbench.Core.Jobs;
using Graftbench.Core.Ledger;
using Graftbench.Core.Planning;

namespace Graftbench.Sheets.Tests;

/// <summary>Plans built by hand: their numbers are invented, only their shape is that of real ones.</summary>
internal static class Plans
{
    private static readonly DateTimeOffset Now = Answers.Now;

    private static readonly string[] Asked =
    [
        "Will this chip work on this board?",
        "Are the boards and the chip dry?",
        "What settings melt every joint and spare the rest?",
        "Is it molten now?",
        "Which balls, and how much solder on the lands?",
        "Is every ball where it should be? Did every joint form?",
        "Is it safe to power?",
        "Will the firmware know the chip, and is it still the same machine?",
        "It does not work: what do I test next?",
        "May I hand it over? What happened, months later?",
    ];

    public static IReadOnlyList<QuestionAnswer> Questions(Verdict drying) =>
        [
            .. Asked.Select(
                (question, i) =>
                    i == 1
                        ? new QuestionAnswer(
                            2,
                            question,
                            true,
                            drying,
                            "Ready Sun 29 Nov 15:30, 4 d 1 h at 65 °C",
                            "Take six parts off, then start the dryer"
                        )
                        : new QuestionAnswer(i + 1, question, false, Verdict.Unknown, "", null)
            ),
        ];

    /// <summary>A plan as most are: two boards, one chip, some findings of every verdict.</summary>
    public static JobPlan Typical()
    {
        Job job = new()
        {
            Format = JobFormat.Name,
            Id = "arcade-video-1",
            Title = "Graphics chip of a four-player arcade board",
            OpenedAt = Now.AddDays(-2),
            Stage = JobStage.Drying,
            Shop = new Shop { Name = "Lantern Lane Repairs", Technician = "M. Okafor" },
            Machine = new Machine
            {
                What = "Four-player arcade cabinet",
                Serial = "AC-2041",
                Owner = "Customer 118",
                Symptom = "No picture after warm-up; stripes for a minute when cold.",
                Wish = "Run again for the spring fair.",
            },
            Host = Boards.Arcade(),
            Donor = Boards.Arcade() with { Name = "Arcade video board, donor", Serial = "AVB-0398", Parts = [] },
            Chips = [Boards.Chip(), Boards.Chip("U1-old") with { From = ChipPlace.Host, To = ChipPlace.Scrap }],
            Evidence =
            [
                new EvidenceEntry
                {
                    At = Now.AddHours(-3),
                    Who = "M. Okafor",
                    Kind = EvidenceKind.Waiver,
                    Waives = "ledger.over-guideline",
                    WaivesWhere = "chip U1",
                    Note = "Owner accepts the risk; no other chip to be had.",
                },
            ],
        };
        Finding[] findings =
        [
            new(
                Verdict.FixFirst,
                "drying.cell-on-board",
                "host board, BT1",
                "A coin cell sits on the board that goes into the dryer.",
                "65 °C",
                "60 °C",
                "test-cells-limit",
                "Take BT1 off before drying."
            ),
            new(
                Verdict.Warning,
                "ledger.over-guideline",
                "chip U1",
                "The plan passes the guideline of three heats.",
                "5 to 7",
                "3",
                "test-three-reflows",
                "Decide it and write down why."
            ),
            new(
                Verdict.Warning,
                "drying.table-not-for-65",
                "chip U1",
                "The bake table has no column for 65 °C.",
                "65 °C",
                "40, 90 or 125 °C",
                "test-j-std-033"
            ),
            new(
                Verdict.Unknown,
                "drying.finish-unknown",
                "host board",
                "The finish of the lands is not stated, so solderability after the bake cannot be judged."
            ),
            new(
                Verdict.Ok,
                "drying.budget",
                "chip U1",
                "Hours above 90 °C are inside the limit.",
                "0 h",
                "96 h",
                "test-j-std-033"
            ),
        ];
        return new JobPlan(
            job,
            Now,
            Questions(Verdict.FixFirst),
            Drying(findings),
            new HeatLedger(
                [
                    new HeatAccount(
                        "U1",
                        "Chip U1",
                        [
                            new Heat
                            {
                                Of = "U1",
                                At = Now.AddDays(-1),
                                Kind = HeatKind.Clean,
                                PeakC = 231,
                                AboveLiquidusS = 70,
                                Why = "solder levelled",
                            },
                        ],
                        2,
                        1,
                        [
                            new PlannedHeat(HeatKind.Lift, 1, 1, "test-common-practice"),
                            new PlannedHeat(HeatKind.BallAttach, 1, 3, "test-common-practice"),
                        ],
                        3,
                        5,
                        3,
                        "test-three-reflows"
                    ),
                    new HeatAccount(
                        "host",
                        "Host board",
                        [],
                        2,
                        2,
                        [new PlannedHeat(HeatKind.Lift, 1, 1, "test-common-practice")],
                        2,
                        3,
                        6,
                        "test-board-six"
                    ),
                ],
                [findings[1]]
            ),
            [
                new Caution(
                    "Flux fume",
                    "Extract at the source; rosin fume limit 0.05 mg/m³ over 8 h.",
                    "C",
                    "test-hse-fume",
                    CautionWhen.Heating
                ),
                new Caution(
                    "Lithium cells",
                    "Never above 60 °C; take them off before drying.",
                    "M",
                    "test-common-practice",
                    CautionWhen.Lithium
                ),
            ],
            findings,
            ["test-j-std-033", "test-three-reflows", "test-cells-limit", "test-common-practice"]
        );
    }

    private static DryingPlan Drying(IReadOnlyList<Finding> findings) =>
        new(
            Now,
            Now.AddMinutes(45),
            new DryerClimate(65, 6.3, "Room air of 25 °C and 50 % RH, heated to 65 °C.", 5, 1),
            [
                Subject("host", "Host board", 95.2, "U7"),
                Subject("U1", "Chip U1", 53, "U1") with
                {
                    Laminate = null,
                    RemoveFirst = [],
                },
            ],
            Now.AddHours(97),
            Answers.FourDays(),
            findings,
            [
                new Assumption(
                    "host board, U7",
                    "Body thickness 2.0 mm: the job does not say it.",
                    "test-common-practice"
                ),
            ]
        );

    public static SubjectDrying Subject(string id, string title, double adviceH, string body) =>
        new(
            id,
            title,
            DryingState.ToDry,
            65,
            id == "host" ? 105 : null,
            id == "host" ? "C12, aluminium electrolytic" : null,
            [
                new RemoveFirst("BT1", PartKind.CoinCell, 60, "No lithium cell above 60 °C.", "test-cells-limit"),
                new RemoveFirst("BT2", PartKind.LithiumPack, 60, "No lithium cell above 60 °C.", "test-cells-limit"),
                new RemoveFirst("C40", PartKind.Supercapacitor, 60, "Loses electrolyte.", "test-common-practice"),
                new RemoveFirst(
                    "L1",
                    PartKind.LabelOrTape,
                    null,
                    "Lifts and sticks elsewhere; its limit is not known.",
                    "test-common-practice"
                ),
            ],
            [Body(body, adviceH), Body("U2", adviceH / 2), Body("U3", adviceH / 2)],
            new LaminateDrying(
                14,
                30,
                0.1,
                0.35,
                0.02,
                true,
                210,
                "Solid planes bar the way: these hours are no proof.",
                "test-fr4-study"
            ),
            adviceH,
            $"{body} by diffusion; the table has no column for 65 °C.",
            Now.AddMinutes(45),
            Now.AddHours(adviceH + 1.75),
            Now.AddHours(adviceH + 1.75 + 72),
            "72 h after low-temperature pre-bakes in print",
            0,
            new BakeBudget(0, 96, 0, 0),
            id == "host" ? Answers.Losing() : null,
            []
        );

    public static BodyDrying Body(string name, double adviceH) =>
        new(
            name,
            MoistureLevel.L3,
            true,
            2.3,
            name != "U7",
            true,
            Answers.Clock(FloorLifeState.LongOver, 9.5, null),
            new TableAnswer(
                false,
                null,
                "No column for 65 °C in Table 4-1 of revision B and later.",
                null,
                "test-j-std-033"
            ),
            new DiffusionAnswer(
                adviceH,
                adviceH * 0.8,
                adviceH * 1.3,
                adviceH * 0.9,
                adviceH,
                0.26,
                0.06,
                2.3,
                8e-13,
                "Slab, both faces open, 0.444 eV.",
                "test-fit-033"
            ),
            adviceH,
            "diffusion decides",
            new MoistureLeft(
                0.94,
                1,
                0.26,
                2.189,
                "Nearly saturated: 2.19 MPa of steam at the lead-free melt. Do not heat."
            ),
            Answers.Slab(2.3, adviceH * 1.4, 0.06),
            []
        );

    /// <summary>A job that says next to nothing.</summary>
    public static JobPlan Empty()
    {
        Job job = new()
        {
            Format = JobFormat.Name,
            Id = "e",
            Title = "E",
            Host = new Board
            {
                LengthMm = 100,
                WidthMm = 60,
                ThicknessMm = 1.6,
            },
        };
        DryingPlan drying = new(
            Now,
            Now,
            new DryerClimate(null, null, "The job names no dryer.", 5, 1),
            [],
            null,
            [],
            [],
            []
        );
        return new JobPlan(job, Now, Questions(Verdict.Unknown), drying, new HeatLedger([], []), [], [], []);
    }

    /// <summary>A subject without an answer, with numbers that are not numbers.</summary>
    public static JobPlan NoAnswer()
    {
        JobPlan plan = Typical();
        SubjectDrying subject = Subject("host", "Host board", double.NaN, "U7") with
        {
            State = DryingState.NoAnswer,
            AdviceH = null,
            UsedC = null,
            StartAt = null,
            ReadyAt = null,
            UseBy = null,
            UseByWhy = null,
            Laminate = new LaminateDrying(
                null,
                null,
                0.1,
                0.35,
                null,
                false,
                null,
                "The air is too wet.",
                "test-fr4-study"
            ),
            Bodies = [Body("U7", 1) with { Diffusion = null, AdviceH = null, Profile = null }],
            Weighing = new WeighingTrend([], false, null, null, null, null, null, null, null, false, "No weighings."),
        };
        return plan with { Drying = plan.Drying with { Subjects = [subject], ReadyAt = null, Calendar = [] } };
    }

    /// <summary>Eighty days in a dry cabinet.</summary>
    public static JobPlan EightyDays()
    {
        JobPlan plan = Typical();
        return plan with
        {
            Drying = plan.Drying with
            {
                Subjects = [Subject("host", "Host board", 79 * 24, "U7")],
                Calendar = Answers.EightyDays(),
                ReadyAt = Now.AddDays(79),
            },
        };
    }

    /// <summary>Two hundred bodies on the board and as many findings.</summary>
    public static JobPlan TwoHundred()
    {
        JobPlan plan = Typical();
        Board board = Boards.TwoHundred();
        BodyDrying body = Body("U7", 40);
        SubjectDrying subject = Subject("host", "Host board", 95, "U7") with
        {
            Bodies = [.. board.Parts.Select((part, i) => body with { Ref = part.Ref, AdviceH = 40 + (i % 6) })],
            RemoveFirst =
            [
                .. board
                    .Parts.Take(40)
                    .Select(part => new RemoveFirst(
                        part.Ref,
                        part.Kind,
                        60,
                        "Invented limit.",
                        "test-common-practice"
                    )),
            ],
        };
        Finding[] findings =
        [
            .. board.Parts.Select(
                (part, i) =>
                    new Finding(
                        (Verdict)(i % 5),
                        "test.finding",
                        "host board, " + part.Ref,
                        $"Finding number {i + 1}.",
                        "1 mm",
                        "2 mm",
                        "test-j-std-033",
                        "Look."
                    )
            ),
        ];
        return plan with
        {
            Job = plan.Job with { Host = board, Chips = [Boards.Chip("U1", 120, 70) with { From = ChipPlace.Host }] },
            Drying = plan.Drying with { Subjects = [subject] },
            Findings = [.. findings.OrderBy(finding => finding.Verdict)],
        };
    }

    /// <summary>Text that tries to break out of the page, of a line, of the font and of the reading direction.</summary>
    public const string Hostile =
        "<script>alert(1)</script>\" onload='x' style=\"x\" & ]]> --> \u202Egnp.exe\u202C \uD83D\uDE00 \u05E9\u05DC\u05D5\u05DD \u0645\u0631\u062D\u0628\u0627 \u4F60\u597D \0\u0007 end";

    /// <summary>The typical plan with every free text hostile and one of them as long as the document allows.</summary>
    public static JobPlan HostileText()
    {
        JobPlan plan = Typical();
        string endless = string.Concat(Enumerable.Repeat("Ж1x≤", 1000));
        Job job = plan.Job with
        {
            Title = Hostile,
            Shop = new Shop { Name = Hostile, Technician = Hostile },
            Machine = new Machine
            {
                What = Hostile,
                Serial = Hostile,
                Owner = Hostile,
                Authority = Hostile,
                Symptom = endless,
                Wish = Hostile,
            },
            Host = Boards.Arcade() with
            {
                Name = Hostile,
                Parts =
                [
                    .. Boards.Arcade().Parts.Select(part => part with { Ref = part.Ref + "<b>\u202E\uD83D\uDE00" }),
                ],
            },
            Chips = [Boards.Chip() with { Marking = Hostile }],
        };
        Finding[] findings =
        [
            .. plan.Findings.Select(finding =>
                finding with
                {
                    Where = Hostile,
                    What = endless,
                    Value = Hostile,
                    Limit = Hostile,
                    Source = Hostile,
                    Todo = Hostile,
                }
            ),
        ];
        return plan with
        {
            Job = job,
            Findings = findings,
            Drying = plan.Drying with
            {
                Calendar = [.. plan.Drying.Calendar.Select(entry => entry with { What = Hostile })],
                Subjects =
                [
                    .. plan.Drying.Subjects.Select(subject => subject with { Title = Hostile, AdviceWhy = endless }),
                ],
            },
        };
    }
}
