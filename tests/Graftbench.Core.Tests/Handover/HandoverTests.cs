using Graftbench.Core.Facts;
using Graftbench.Core.Findings;
using Graftbench.Core.Handover;
using Graftbench.Core.Jobs;
using Graftbench.Core.Planning;
using Graftbench.Core.Proof;

namespace Graftbench.Core.Tests.Handover;

public class HandoverTests
{
    private static readonly Handovers Ready = Handovers.Ready;

    private static Handovers Chip(Func<Chip, Chip> change) =>
        Ready.With((Job job) => job with { Chips = [.. job.Chips.Select(change)] });

    private static Handovers Heats(params Heat[] heats) =>
        Ready.With((Job job) => job with { History = new History { Heats = heats } });

    private static Heat Heat(HeatKind kind, double? aboveS = null, int day = -2, string of = "U1") =>
        new()
        {
            Of = of,
            At = Handovers.Now.AddDays(day),
            Kind = kind,
            AboveLiquidusS = aboveS,
            Decision = "decided",
        };

    private static Handovers Note(Func<HandoverNote, HandoverNote> change) => Ready.With(change);

    private static Handovers Facts(Func<HandoverFacts, HandoverFacts> change) => Ready.With(change);

    private static Handovers Trace(TraceSignature signature, Verdict verdict) =>
        Facts(facts => facts with { FirstPower = Handovers.Trace(signature, verdict) });

    private static Handovers Alloys(string? balls, string? lands, string? own = null) =>
        Chip(chip => chip with { BallAlloy = own })
            .With(
                (Job job) =>
                    job with
                    {
                        Materials = new Materials { BallAlloy = balls, LandAlloy = lands },
                    }
            );

    /// <summary>
    /// Every item of the checklist on both sides: what is so, code, place where there are several, verdict. Limits: soak 2 to
    /// 24 h, warranty 30 to 90 days (common practice, no source); 3 passes of a chip (makers, data/heat-guidelines.csv).
    /// </summary>
    private static readonly (string Name, Func<Handovers> Job, string Code, string? Where, Verdict Verdict)[] Items =
    [
        ("authority there", () => Ready, "handover.authority", null, Verdict.Ok),
        (
            "no authority",
            () => Ready.With((Job job) => job with { Machine = job.Machine with { Authority = " " } }),
            "intake.no-authority",
            null,
            Verdict.FixFirst
        ),
        ("question good", () => Ready, "handover.question", "question 7, power", Verdict.Ok),
        (
            "question unknown",
            () => Ready.Question(7, Verdict.Unknown),
            "handover.question",
            "question 7, power",
            Verdict.Unknown
        ),
        (
            "question blocked",
            () => Ready.Question(7, Verdict.Blocker),
            "handover.question",
            "question 7, power",
            Verdict.Blocker
        ),
        (
            "question to fix",
            () => Ready.Question(1, Verdict.FixFirst),
            "handover.question",
            "question 1, fit",
            Verdict.FixFirst
        ),
        (
            "question with a warning",
            () => Ready.Question(6, Verdict.Warning),
            "handover.question",
            "question 6, pictures",
            Verdict.Warning
        ),
        ("melted", () => Ready, "handover.question", "question 4, melt", Verdict.Ok),
        (
            "melt not recorded",
            () => Heats(Heat(HeatKind.Place)),
            "handover.question",
            "question 4, melt",
            Verdict.Unknown
        ),
        ("no placing", () => Heats(Heat(HeatKind.Lift, 60)), "handover.question", "question 4, melt", Verdict.Unknown),
        (
            "newest heat never melted",
            () => Heats(Heat(HeatKind.Place, 60, -3), Heat(HeatKind.Again, 0, -1)),
            "handover.question",
            "question 4, melt",
            Verdict.FixFirst
        ),
        ("chip within guideline", () => Ready, "handover.heats", "chip U1", Verdict.Ok),
        (
            "chip over guideline",
            () => Heats(Heat(HeatKind.Lift), Heat(HeatKind.BallAttach, null, -1), Heat(HeatKind.Place, 60, 0)),
            "handover.heats",
            "chip U1",
            Verdict.Warning
        ),
        (
            "no heat on record",
            () => Heats(Heat(HeatKind.Lift, of: "host")),
            "handover.heats",
            "chip U1",
            Verdict.Unknown
        ),
        ("no lead", () => Ready, "handover.lead", null, Verdict.Ok),
        ("leaded balls", () => Alloys("Sn63Pb37", "SAC305"), "handover.lead", null, Verdict.Warning),
        ("leaded lands", () => Alloys("SAC305", "Sn63Pb37"), "handover.lead", null, Verdict.Warning),
        ("leaded before", () => Alloys("SAC305", "SAC305", "Sn63Pb37"), "handover.lead", null, Verdict.Warning),
        ("own balls leaded", () => Alloys(null, "SAC305", "Sn63Pb37"), "handover.lead", null, Verdict.Warning),
        ("alloy of lands unknown", () => Alloys("SAC305", null), "handover.lead", null, Verdict.Unknown),
        ("alloy not in the table", () => Alloys("lead-free mix", "SAC305"), "handover.lead", null, Verdict.Unknown),
        ("alloy by its lead", () => Alloys("SnPbX", "SAC305"), "handover.lead", null, Verdict.Warning),
        ("first power good", () => Ready, "handover.first-power", null, Verdict.Ok),
        (
            "no trace",
            () => Facts(facts => facts with { FirstPower = null }),
            "handover.first-power",
            null,
            Verdict.Unknown
        ),
        (
            "trace shows nothing",
            () => Trace(TraceSignature.Unknown, Verdict.Unknown),
            "handover.first-power",
            null,
            Verdict.Unknown
        ),
        (
            "busy with a remark",
            () => Trace(TraceSignature.Busy, Verdict.Warning),
            "handover.first-power",
            null,
            Verdict.Warning
        ),
        (
            "stays at standby",
            () => Trace(TraceSignature.Standby, Verdict.Warning),
            "handover.first-power",
            null,
            Verdict.FixFirst
        ),
        (
            "climbs",
            () => Trace(TraceSignature.SlowClimb, Verdict.Blocker),
            "handover.first-power",
            null,
            Verdict.Blocker
        ),
        ("soaked", () => Ready, "handover.soak", null, Verdict.Ok),
        ("soak of 2 h", () => Note(note => note with { SoakHours = 2 }), "handover.soak", null, Verdict.Ok),
        ("short soak", () => Note(note => note with { SoakHours = 1.9 }), "handover.soak", null, Verdict.Warning),
        ("no soak", () => Note(note => note with { SoakHours = 0 }), "handover.soak", null, Verdict.Unknown),
        ("soak not said", () => Note(note => note with { SoakHours = null }), "handover.soak", null, Verdict.Unknown),
        ("log not named", () => Note(note => note with { SoakLog = null }), "handover.soak", null, Verdict.Warning),
        ("log not there", () => Note(note => note with { SoakLog = "x.csv" }), "handover.soak", null, Verdict.Warning),
        ("identity kept", () => Ready, "handover.identity", null, Verdict.Ok),
        (
            "firmware untouched",
            () => Facts(facts => facts with { Identity = new HandoverIdentity(IdentityState.Untouched, []) }),
            "handover.identity",
            null,
            Verdict.Ok
        ),
        (
            "identity not proven",
            () => Facts(facts => facts with { Identity = new HandoverIdentity(IdentityState.NotProven, []) }),
            "handover.identity",
            null,
            Verdict.Unknown
        ),
        (
            "firmware not looked at",
            () => Facts(facts => facts with { Identity = null }),
            "handover.identity",
            null,
            Verdict.Unknown
        ),
        ("readings taken", () => Ready, "handover.readings", null, Verdict.Ok),
        ("no readings", () => Facts(facts => facts with { Readings = 0 }), "handover.readings", null, Verdict.FixFirst),
        (
            "readings not known",
            () => Facts(facts => facts with { Readings = null }),
            "handover.readings",
            null,
            Verdict.Unknown
        ),
        ("warranty", () => Ready, "handover.warranty", null, Verdict.Ok),
        (
            "warranty missing",
            () => Note(note => note with { WarrantyDays = null }),
            "handover.warranty",
            null,
            Verdict.FixFirst
        ),
        ("no warranty", () => Note(note => note with { WarrantyDays = 0 }), "handover.warranty", null, Verdict.Warning),
        ("30 days", () => Note(note => note with { WarrantyDays = 30 }), "handover.warranty", null, Verdict.Ok),
        ("29 days", () => Note(note => note with { WarrantyDays = 29 }), "handover.warranty", null, Verdict.Warning),
        ("90 days", () => Note(note => note with { WarrantyDays = 90 }), "handover.warranty", null, Verdict.Ok),
        ("91 days", () => Note(note => note with { WarrantyDays = 91 }), "handover.warranty", null, Verdict.Warning),
        ("data state", () => Ready, "handover.text", "hand-over, state of the data", Verdict.Ok),
        (
            "no data state",
            () => Note(note => note with { DataState = null }),
            "handover.text",
            "hand-over, state of the data",
            Verdict.FixFirst
        ),
        ("waste", () => Ready, "handover.text", "hand-over, waste", Verdict.Ok),
        (
            "no waste",
            () => Note(note => note with { WasteTaken = " " }),
            "handover.text",
            "hand-over, waste",
            Verdict.FixFirst
        ),
        (
            "nothing done",
            () => Note(note => note with { WhatWasDone = null }),
            "handover.text",
            "hand-over, what was done",
            Verdict.FixFirst
        ),
        (
            "nothing works",
            () => Note(note => note with { WhatWorks = null }),
            "handover.text",
            "hand-over, what works now",
            Verdict.FixFirst
        ),
        (
            "nowhere to report",
            () => Note(note => note with { ReportTo = null }),
            "handover.text",
            "hand-over, where trouble is reported",
            Verdict.FixFirst
        ),
        (
            "no limits",
            () => Note(note => note with { Limits = null }),
            "handover.text",
            "hand-over, limits",
            Verdict.Warning
        ),
        (
            "no exclusions",
            () => Note(note => note with { Exclusions = null }),
            "handover.text",
            "hand-over, what the warranty does not cover",
            Verdict.Warning
        ),
        ("names", () => Ready, "handover.names", null, Verdict.Ok),
        (
            "no serial number",
            () => Ready.With((Job job) => job with { Machine = job.Machine with { Serial = null } }),
            "handover.names",
            null,
            Verdict.Warning
        ),
        ("nothing set aside", () => Ready, "handover.owner-told", null, Verdict.Ok),
        (
            "set aside and not told",
            () => Ready.Question(7, Verdict.Blocker).Waived("handover.question", "question 7, power"),
            "handover.owner-told",
            null,
            Verdict.FixFirst
        ),
        (
            "set aside and told",
            () =>
                Ready
                    .With((HandoverNote note) => note with { ToldOwner = "On 19 Nov by telephone." })
                    .Question(7, Verdict.Blocker)
                    .Waived("handover.question", "question 7, power"),
            "handover.owner-told",
            null,
            Verdict.Ok
        ),
        (
            "not told cannot be set aside",
            () =>
                Ready
                    .Waived("handover.question", "question 7, power")
                    .Waived("handover.owner-told", "hand-over")
                    .Question(7, Verdict.Blocker),
            "handover.owner-told",
            null,
            Verdict.FixFirst
        ),
    ];

    public static TheoryData<string> Names => [.. Items.Select(item => item.Name)];

    [Theory, MemberData(nameof(Names))]
    public void Each_item_of_the_checklist_is_judged_on_both_sides(string name)
    {
        (_, Func<Handovers> job, string code, string? where, Verdict verdict) = Items.Single(item => item.Name == name);
        HandoverAnswer answer = job().Answer;
        Finding finding = Assert.Single(
            answer.Findings,
            one => one.Code == code && (where is null || one.Where == where)
        );
        Assert.Equal(verdict, finding.Verdict);
        Assert.True(
            verdict == Verdict.Ok || finding.Todo is not null || code == "handover.warranty",
            "says what to do"
        );
        Assert.NotNull(ReferenceShelf.FindSource(finding.Source!));
        // Unknown is never ok; a stop stops.
        Assert.True(verdict is not (Verdict.Blocker or Verdict.FixFirst) || !answer.MayHandOver);
        Assert.True(verdict != Verdict.Unknown || answer.Verdict != Verdict.Ok);
    }

    [Fact]
    public void Where_nothing_stands_against_it_it_may_be_handed_over()
    {
        HandoverAnswer answer = Ready.Answer;
        Assert.Equal("It may be handed over.", answer.Answer);
        Assert.Equal(Verdict.Ok, answer.Verdict);
        Assert.All(answer.Tests, test => Assert.Equal(HandoverOutcome.Good, test.Outcome));
        Assert.Equal(12, answer.Tests.Count);
        // 60 days from 20 November 2026: 19 January 2027, by the calendar.
        Assert.Equal(new DateTime(2027, 1, 19), answer.Warranty!.Until!.Value.Date);
    }

    [Fact]
    public void What_was_not_tested_stays_so_beside_warnings_and_is_counted()
    {
        HandoverAnswer answer = Ready
            .Question(6, Verdict.Warning)
            .Question(3, Verdict.Unknown)
            .With((HandoverFacts facts) => facts with { FirstPower = null })
            .Answer;
        Assert.True(answer.MayHandOver);
        Assert.Equal(Verdict.Unknown, answer.Verdict);
        Assert.StartsWith(
            "It may be handed over; 2 of 12 tests were not made",
            answer.Answer,
            StringComparison.Ordinal
        );
    }

    [Fact]
    public void A_stop_that_was_set_aside_is_still_wrong_to_the_owner()
    {
        Finding stop = new(Verdict.Blocker, "proof.rail-low", "VCORE", "VCORE is low.", Source: "common-practice");
        Handovers waived = Ready.Waived("proof.rail-low", "VCORE").Question(7, Verdict.Warning, stop);
        HandoverAnswer answer = waived.Answer;
        Assert.Equal(HandoverOutcome.Wrong, answer.Tests.Single(test => test.Id == "question-7").Outcome);
        Assert.False(answer.MayHandOver);
        Assert.Equal("handover.owner-told", Assert.Single(answer.Stops).Code);
        Finding row = Assert.Single(answer.Findings, finding => finding.Code == "handover.waiver");
        Assert.Contains(
            "Set aside by M. Brandt, 2026-11-20: the owner wants it so",
            row.What,
            StringComparison.Ordinal
        );
        Assert.True(waived.With((HandoverNote note) => note with { ToldOwner = "Told." }).Answer.MayHandOver);
    }

    [Fact]
    public void An_unknown_that_was_set_aside_was_still_not_tested()
    {
        Finding open = new(Verdict.Unknown, "proof.rail-unknown", "V3", "V3 was not read.", Source: "common-practice");
        HandoverAnswer answer = Ready.Waived("proof.rail-unknown", "V3").Question(7, Verdict.Warning, open).Answer;
        Assert.Equal(HandoverOutcome.NotTested, answer.Tests.Single(test => test.Id == "question-7").Outcome);
        Assert.Equal(Verdict.Unknown, answer.Findings.Single(finding => finding.Where == "question 7, power").Verdict);
    }

    [Fact]
    public void Handed_over_it_says_so_and_until_when()
    {
        HandoverAnswer answer = Ready
            .With((Job job) => job with { Stage = JobStage.HandedOver })
            .With((HandoverNote note) => note with { HandedOverAt = Handovers.Now })
            .Answer;
        Assert.Equal("Handed over 20 Nov 2026; warranty until 19 Jan 2027.", answer.Answer);
    }

    [Fact]
    public void A_return_asks_for_readings_first()
    {
        HandoverAnswer answer = Ready.With((Job job) => job with { Stage = JobStage.Returned }).Answer;
        Assert.Equal(Verdict.Unknown, answer.Verdict);
        Assert.StartsWith("It came back. There are no readings", answer.Answer, StringComparison.Ordinal);
        Assert.StartsWith("Take readings of the return", answer.Next, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(JobStage.FirstPower, false, false)]
    [InlineData(JobStage.FirstPower, true, true)]
    [InlineData(JobStage.Soak, false, true)]
    [InlineData(JobStage.Returned, false, true)]
    public void It_is_asked_once_it_is_in_sight(JobStage stage, bool entered, bool asked) =>
        Assert.Equal(
            asked,
            HandoverPlanner.IsBegun(Ready.Job with { Stage = stage, Handover = entered ? new HandoverNote() : null })
        );

    [Fact]
    public void A_plan_takes_the_answer_in_and_says_nothing_twice()
    {
        JobPlan plan = Planner.Plan(
            Ready.Job with
            {
                Machine = new Machine(),
            },
            Handovers.Now,
            new ApartAnswers { HandoverFacts = new HandoverFacts() }
        );
        QuestionAnswer ten = plan.Questions[9];
        Assert.True(ten.Computed);
        Assert.Equal(plan.Apart!.HandedOver!.Answer, ten.Answer);
        Assert.Single(plan.Findings, finding => finding.Code == "intake.no-authority");
        Assert.Contains(plan.Findings, finding => finding.Code == "handover.first-power");
        Assert.DoesNotContain(plan.Findings, finding => finding.Code == "handover.question");
        Assert.All(plan.SourceIds, id => Assert.NotNull(ReferenceShelf.FindSource(id)));
        // Without being asked for, question 10 is as it was.
        Assert.False(Planner.Plan(Ready.Job, Handovers.Now).Questions[9].Computed);
    }

    /// <summary>Field with its value, what the reader says.</summary>
    [Theory]
    [InlineData("\"warrantyDays\": 3651", "handover.warrantyDays")]
    [InlineData("\"warrantyDays\": -1", "handover.warrantyDays")]
    [InlineData("\"warrantyDays\": 1.5", "handover.warrantyDays")]
    [InlineData("\"soakHours\": 2001", "handover.soakHours")]
    [InlineData("\"handedOverAt\": \"2031-01-01T10:00:00+01:00\"", "handover.handedOverAt")]
    [InlineData("\"handedOverAt\": \"2026-09-30T10:00:00+01:00\"", "handover.handedOverAt")]
    [InlineData("\"warrantyFrom\": \"2026-09-30T10:00:00+01:00\"", "handover.warrantyFrom")]
    [InlineData("\"warrantyFrom\": \"2028-01-01T10:00:00+01:00\"", "handover.warrantyFrom")]
    [InlineData("\"waranty\": 3", "handover.waranty")]
    public void What_cannot_be_is_refused_where_it_stands(string field, string path)
    {
        string text = $$"""
            {
              "format": "graftbench-job-1", "id": "a", "title": "A", "openedAt": "2026-10-01T10:00:00+01:00",
              "host": { "lengthMm": 120, "widthMm": 80, "thicknessMm": 1.6 },
              "chips": [
                { "id": "U1", "from": "shelf", "to": "host", "bodyLengthMm": 10, "bodyWidthMm": 10, "bodyThicknessMm": 1.2 }
              ],
              "handover": { {{field}} }
            }
            """;
        JobReading reading = JobReader.Read(System.Text.Encoding.UTF8.GetBytes(text), Handovers.Now);
        Assert.Null(reading.Job);
        Assert.Equal(path, Assert.Single(reading.Problems).Path);
    }
}
