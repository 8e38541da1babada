using System.Collections;
using System.Reflection;
using CsCheck;
using Graftbench.Core.Findings;
using Graftbench.Core.Handover;
using Graftbench.Core.Jobs;
using Graftbench.Core.Planning;
using Graftbench.Core.Proof;
using UglyToad.PdfPig;
using UglyToad.PdfPig.Content;

namespace Graftbench.Sheets.Tests.Sheet;

/// <summary>The owner's sheet: what it says, what it must never say, and that it fits its paper.</summary>
public class HandoverSheetTests
{
    private static readonly DateTimeOffset Now = new(2026, 11, 20, 9, 0, 0, TimeSpan.FromHours(1));

    /// <summary>Fields that an owner reads; everything else of a job is the shop's own.</summary>
    private static readonly HashSet<string> ForTheOwner = new(StringComparer.Ordinal)
    {
        "Id",
        "Machine.What",
        "Machine.Serial",
        "Machine.Owner",
        "Machine.Wish",
        "Shop.Name",
        "Shop.Technician",
        "Host.Serial",
        "Chips[].Marking",
        "Handover.WhatWasDone",
        "Handover.WhatWorks",
        "Handover.Limits",
        "Handover.ToldOwner",
        "Handover.Exclusions",
        "Handover.DataState",
        "Handover.WasteTaken",
        "Handover.ReportTo",
    };

    private static Board Board() =>
        new()
        {
            Name = "Main board",
            Serial = "D-11382",
            Origin = "the customer's",
            LengthMm = 200,
            WidthMm = 150,
            ThicknessMm = 1.6,
            Parts = [new Part { Ref = "BT1", Kind = PartKind.CoinCell }],
        };

    private static Job Job() =>
        new()
        {
            Format = JobFormat.Name,
            Id = "sequencer-4",
            Title = "Synthesiser of the loud one",
            Stage = JobStage.HandedOver,
            Shop = new Shop { Name = "Mill Lane Repairs", Technician = "T. Arden" },
            Machine = new Machine
            {
                What = "Music sequencer, rack case",
                Serial = "MS-00417",
                Owner = "Customer 0231",
                Authority = "order 118",
                Symptom = "no sound",
                Wish = "All eight voices again.",
            },
            Host = Board(),
            Donor = Board(),
            Chips =
            [
                new Chip
                {
                    Id = "U1",
                    Marking = "SV-8 A2",
                    From = ChipPlace.Donor,
                    To = ChipPlace.Host,
                    BodyLengthMm = 15,
                    BodyWidthMm = 15,
                    BodyThicknessMm = 1.2,
                    BallAlloy = "SAC305",
                },
            ],
            Bench = new Bench
            {
                Name = "Bench 1",
                Preheater = "plate",
                HotGas = "gun",
            },
            Dryer = new Dryer { Name = "oven", SetC = 90 },
            Materials = new Materials
            {
                BallAlloy = "Sn63Pb37",
                LandAlloy = "SAC305",
                Flux = "gel",
                Stencil = "0.6",
            },
            History = new History
            {
                Exposures =
                [
                    new Exposure
                    {
                        Of = "host",
                        Place = ExposurePlace.Room,
                        From = Now.AddDays(-9),
                        Note = "shelf",
                    },
                ],
                Heats =
                [
                    new Heat
                    {
                        Of = "U1",
                        At = Now.AddDays(-2),
                        Kind = HeatKind.Place,
                        AboveLiquidusS = 62,
                        Why = "why",
                        Decision = "who",
                    },
                ],
            },
            Evidence =
            [
                new EvidenceEntry
                {
                    At = Now.AddDays(-1),
                    Who = "M. Brandt",
                    Kind = EvidenceKind.Note,
                    Note = "internal",
                    File = "soak.csv",
                    Sha256 = new string('a', 64),
                },
                new EvidenceEntry
                {
                    At = Now.AddHours(-2),
                    Who = "M. Brandt",
                    Kind = EvidenceKind.Waiver,
                    Note = "do not care",
                    Waives = "handover.question",
                    WaivesWhere = "question 7, power",
                },
            ],
            Handover = new HandoverNote
            {
                WhatWasDone = "The voice chip was dead and was replaced by one from a donor board.",
                WhatWorks = "All eight voices, display and keys.",
                Limits = "Keep the vents free; switch it off over night.",
                ToldOwner = "On 19 November by telephone: one supply was not measured.",
                WarrantyDays = 60,
                WarrantyFrom = Now,
                HandedOverAt = Now,
                Exclusions = "Drops, liquid, opened by others.",
                DataState = "Your sounds were copied and are still in it.",
                WasteTaken = "The old chip is kept for disposal.",
                ReportTo = "Mill Lane 3, Monday to Friday",
                SoakHours = 6,
                SoakLog = "soak.csv",
            },
        };

    private static (JobPlan Plan, HandoverAnswer Answer) Planned(Job job, string mark = "inside")
    {
        Finding inner = new(Verdict.FixFirst, mark, mark, mark, mark, mark, "common-practice", mark);
        QuestionSummary summary = new(Verdict.FixFirst, mark, mark, [inner]);
        JobPlan plan = Planner.Plan(
            job,
            Now,
            new ApartAnswers
            {
                Fit = summary,
                Inspection = summary with { Verdict = Verdict.Ok, Findings = [] },
                Proof = summary,
                NextTest = summary with { Verdict = Verdict.Unknown },
                HandoverFacts = new HandoverFacts
                {
                    Readings = 12,
                    FirstPower = new TraceAnswer(
                        TraceSignature.Busy,
                        mark,
                        mark,
                        mark,
                        [new TraceFigure(mark, mark, mark)],
                        [],
                        0.001,
                        null,
                        [inner with { Verdict = Verdict.Warning }]
                    ),
                    Identity = new HandoverIdentity(IdentityState.Kept, ["serial numbers", "network addresses"]),
                },
            }
        );
        return (plan, plan.Apart!.HandedOver!);
    }

    private static string Html(Job job, string mark = "inside")
    {
        (JobPlan plan, HandoverAnswer answer) = Planned(job, mark);
        return HandoverSheet.Html(plan, answer);
    }

    private static PdfDocument Pdf(Job job, string mark = "inside")
    {
        (JobPlan plan, HandoverAnswer answer) = Planned(job, mark);
        return PdfDocument.Open(HandoverSheetPdf.Write(plan, answer));
    }

    private static string Text(PdfDocument pdf) => Squeezed(string.Concat(pdf.GetPages().Select(page => page.Text)));

    private static string Squeezed(string text) => string.Concat(text.Where(c => !char.IsWhiteSpace(c)));

    [Fact]
    public void It_says_in_plain_words_what_an_owner_must_know()
    {
        string html = Html(Job());
        Assert.All(
            new[]
            {
                "Music sequencer, rack case",
                "MS-00417",
                "D-11382",
                "SV-8 A2",
                "T. Arden",
                "Mill Lane Repairs",
                "20 November 2026",
                "You asked for: All eight voices again.",
                "The voice chip was dead and was replaced by one from a donor board.",
                "All eight voices, display and keys.",
                "NOT tested, so nothing is promised about it:",
                "Whether the firmware knows the chip in every point",
                "A supply or signal does not read as it should.",
                "What you were told: On 19 November by telephone",
                "Keep the vents free",
                "carried over and read back: serial numbers, network addresses.",
                "holds LEAD (Sn63Pb37 with SAC305)",
                "By the record, the chip has had about 2 soldering heats, its making assumed as one of them; the guideline is 3",
                "How many soldering heats the board has had was not recorded.",
                "60 days on the work and its solder joints, from 20 November 2026 until 19 January 2027.",
                "Not covered: Drops, liquid, opened by others.",
                "Data: Your sounds were copied",
                "Old parts and waste: The old chip is kept for disposal.",
                "switch it off, unplug it and keep it off",
                "Report it to: Mill Lane 3",
                "It ran for 6 h after the work.",
            },
            words => Assert.Contains(words, html, StringComparison.Ordinal)
        );
    }

    /// <summary>What is entered, what the sheet says.</summary>
    public static readonly TheoryData<string?, string?, string> Solders = new()
    {
        { "SAC305", "SAC305", "holds no lead (SAC305)" },
        { "Sn63Pb37", "SAC305", "holds LEAD (Sn63Pb37 with SAC305)" },
        { "SAC305", null, "It is not known whether the solder under the chip holds lead" },
        { "PbX <b>", "SAC305", "holds LEAD (SAC305)" },
    };

    [Theory, MemberData(nameof(Solders))]
    public void Lead_is_said_where_it_is_and_where_nobody_knows(string? balls, string? lands, string says) =>
        Assert.Contains(
            says,
            Html(
                Job() with
                {
                    Materials = new Materials { BallAlloy = balls, LandAlloy = lands },
                }
            ),
            StringComparison.Ordinal
        );

    [Fact]
    public void What_is_not_ready_is_called_a_draft()
    {
        Assert.Contains("DRAFT: this work is not ready", Html(Job()), StringComparison.Ordinal);
        Job empty = Job() with { Handover = null, Stage = JobStage.Soak };
        string html = Html(empty);
        Assert.Contains("DRAFT", html, StringComparison.Ordinal);
        Assert.Contains("Not stated yet.", html, StringComparison.Ordinal);
        Assert.Contains("Whether it keeps working for hours.", html, StringComparison.Ordinal);
    }

    [Fact]
    public void The_pdf_says_the_same_on_one_or_two_pages_and_nothing_runs_off()
    {
        using PdfDocument pdf = Pdf(Job());
        Assert.InRange(pdf.NumberOfPages, 1, 2);
        string text = Text(pdf);
        Assert.Contains(Squeezed("What was tested, and what could not be"), text, StringComparison.Ordinal);
        Assert.Contains(Squeezed("Owner or on the owner's behalf, date"), text, StringComparison.Ordinal);
        Inside(pdf);
    }

    /// <summary>Fills every text of the job that is not the owner's; gives how many there were.</summary>
    private static int Mark(object thing, string path, string mark)
    {
        int marked = 0;
        foreach (PropertyInfo property in thing.GetType().GetProperties().Where(one => one.CanWrite))
        {
            string at = path.Length == 0 ? property.Name : $"{path}.{property.Name}";
            if (property.PropertyType == typeof(string))
            {
                if (!ForTheOwner.Contains(at) && at is not ("Format" or "Materials.BallAlloy" or "Materials.LandAlloy"))
                {
                    property.SetValue(thing, mark);
                    marked++;
                }
            }
            else if (property.GetValue(thing) is IEnumerable list and not string)
            {
                foreach (object each in list)
                {
                    marked += each.GetType().IsClass && each is not string ? Mark(each, at + "[]", mark) : 0;
                }
            }
            else if (
                property.PropertyType.IsClass
                && property.GetValue(thing) is { } inner
                && inner.GetType().Namespace == "Graftbench.Core.Jobs"
            )
            {
                marked += Mark(inner, at, mark);
            }
        }
        return marked;
    }

    [Fact]
    public void Nothing_of_the_shop_ever_stands_on_it()
    {
        Gen.String[Gen.Char['q', 'z'], 12, 30]
            .Sample(
                mark =>
                {
                    Job job = Job();
                    Assert.True(Mark(job, "", mark) > 35);
                    string html = Html(job, mark);
                    Assert.DoesNotContain(mark, html, StringComparison.OrdinalIgnoreCase);
                    Assert.Contains("All eight voices, display and keys.", html, StringComparison.Ordinal);
                    using PdfDocument pdf = Pdf(job, mark);
                    Assert.DoesNotContain(mark, Text(pdf), StringComparison.OrdinalIgnoreCase);
                },
                iter: 20
            );
        // No code of a finding either, nor the verdicts' own words.
        string typical = Html(Job());
        Assert.All(
            new[] { "handover.", "drying.", "heats.", "Fix first", "Blocker", "Waived", "Set aside" },
            word => Assert.DoesNotContain(word, typical, StringComparison.Ordinal)
        );
    }

    private static Job Filled(Func<int, string> text)
    {
        Job job = Job();
        return job with
        {
            Machine = new Machine
            {
                What = text(120),
                Serial = text(80),
                Owner = text(120),
                Authority = "there",
                Wish = text(2000),
            },
            Shop = new Shop { Name = text(120), Technician = text(80) },
            Host = job.Host with { Serial = text(80) },
            Chips = [job.Chips[0] with { Marking = text(120) }],
            Handover = job.Handover! with
            {
                WhatWasDone = text(800),
                WhatWorks = text(500),
                Limits = text(500),
                ToldOwner = text(500),
                Exclusions = text(400),
                DataState = text(250),
                WasteTaken = text(250),
                ReportTo = text(200),
            },
        };
    }

    [Fact]
    public void Every_field_as_long_as_it_may_be_still_fits_two_pages()
    {
        const string Words =
            "The chip was taken off, its lands were cleaned, and another one was put on with new balls. ";
        Job job = Filled(length => string.Concat(Enumerable.Repeat(Words, 30))[..length]);
        using PdfDocument pdf = Pdf(job);
        Assert.InRange(pdf.NumberOfPages, 1, 2);
        Inside(pdf);
    }

    [Theory]
    [InlineData("<script>alert(1)</script>&\"'")]
    [InlineData("W")]
    [InlineData("\u202E\u0000\u0007\uD800 x")]
    [InlineData("שלום <img src=x onerror=y> ")]
    public void Hostile_text_stays_text_and_on_the_page(string piece)
    {
        Job job = Filled(length => string.Concat(Enumerable.Repeat(piece, (length / piece.Length) + 1))[..length]);
        string html = Html(job);
        Assert.DoesNotContain("<script", html, StringComparison.OrdinalIgnoreCase);
        Assert.DoesNotContain("<img", html, StringComparison.OrdinalIgnoreCase);
        Assert.DoesNotContain("\u202E", html, StringComparison.Ordinal);
        Assert.DoesNotContain("\u0000", html, StringComparison.Ordinal);
        Assert.DoesNotContain("\u0007", html, StringComparison.Ordinal);
        using PdfDocument pdf = Pdf(job);
        Assert.InRange(pdf.NumberOfPages, 1, 4);
        Inside(pdf);
    }

    private static void Inside(PdfDocument pdf)
    {
        foreach (Page page in pdf.GetPages())
        {
            Assert.NotEmpty(page.Letters);
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
}
