using Graftbench.Core.Findings;
using Graftbench.Core.Handover;
using Graftbench.Core.Jobs;
using Graftbench.Core.Planning;
using Graftbench.Core.Proof;
using Graftbench.Core.Tests.Drying;

namespace Graftbench.Core.Tests.Handover;

/// <summary>A hand-over that nothing stands against; each test changes what it is about.</summary>
internal sealed record Handovers(Job Job, HandoverFacts Facts, Func<JobPlan, JobPlan> Change)
{
    public static readonly DateTimeOffset Now = SampleJob.Now;

    public static Handovers Ready { get; } =
        new(
            SampleJob.Job(SampleJob.Board(), SampleJob.Chip()) with
            {
                Stage = JobStage.Soak,
                Shop = new Shop { Name = "Mill Lane Repairs", Technician = "T. Arden" },
                Machine = new Machine
                {
                    What = "Synthesiser",
                    Serial = "S-1",
                    Owner = "Customer 7",
                    Authority = "signed, folder 7",
                },
                Materials = new Materials { BallAlloy = "SAC305", LandAlloy = "SAC305" },
                History = new History
                {
                    Heats =
                    [
                        new Heat
                        {
                            Of = "U1",
                            At = Now.AddDays(-2),
                            Kind = HeatKind.Place,
                            AboveLiquidusS = 62,
                        },
                        new Heat
                        {
                            Of = "host",
                            At = Now.AddDays(-2),
                            Kind = HeatKind.Place,
                        },
                    ],
                },
                Evidence =
                [
                    new EvidenceEntry
                    {
                        At = Now.AddDays(-1),
                        Who = "T. Arden",
                        Kind = EvidenceKind.Log,
                        File = "soak.csv",
                        Sha256 = new string('a', 64),
                    },
                ],
                Handover = new HandoverNote
                {
                    WhatWasDone = "The sound chip was replaced.",
                    WhatWorks = "All voices.",
                    Limits = "Keep its vents free.",
                    WarrantyDays = 60,
                    WarrantyFrom = Now,
                    Exclusions = "Drops, liquid, opened by others.",
                    DataState = "Untouched.",
                    WasteTaken = "Old chip kept for disposal.",
                    ReportTo = "Mill Lane 3",
                    SoakHours = 6,
                    SoakLog = "soak.csv",
                },
            },
            new HandoverFacts
            {
                Readings = 12,
                FirstPower = Trace(TraceSignature.Busy, Verdict.Ok),
                Identity = new HandoverIdentity(IdentityState.Kept, ["serial numbers"]),
            },
            plan => plan
        );

    public static TraceAnswer Trace(TraceSignature signature, Verdict verdict) =>
        new(
            signature,
            "as it is",
            "reads",
            "do this",
            [],
            [],
            0.001,
            null,
            [new Finding(verdict, "trace.x", "supply current", "what")]
        );

    public Handovers With(Func<Job, Job> change) => this with { Job = change(Job) };

    public Handovers With(Func<HandoverNote, HandoverNote> change) =>
        With(job => job with { Handover = change(job.Handover!) });

    public Handovers With(Func<HandoverFacts, HandoverFacts> change) => this with { Facts = change(Facts) };

    /// <summary>With another answer to one of the nine questions.</summary>
    public Handovers Question(int number, Verdict verdict, params Finding[] raw) =>
        this with
        {
            Change = plan =>
            {
                JobPlan changed = Change(plan);
                return changed with
                {
                    Questions =
                    [
                        .. changed.Questions.Select(each =>
                            each.Number == number ? each with { Computed = true, Verdict = verdict } : each
                        ),
                    ],
                    Findings = [.. changed.Findings, .. raw.Select(finding => Waivers.Apply(Job, finding))],
                    Apart =
                        number == 7
                            ? changed.Apart! with
                            {
                                Proof = new QuestionSummary(verdict, "read", null, raw),
                            }
                            : changed.Apart,
                };
            },
        };

    public static EvidenceEntry Waiver(string code, string where, string note = "the owner wants it so") =>
        new()
        {
            At = Now.AddHours(-1),
            Who = "M. Brandt",
            Kind = EvidenceKind.Waiver,
            Waives = code,
            WaivesWhere = where,
            Note = note,
        };

    public Handovers Waived(string code, string where) =>
        With(job => job with { Evidence = [.. job.Evidence, Waiver(code, where)] });

    public JobPlan Plan
    {
        get
        {
            JobPlan plan = Planner.Plan(Job, Now);
            return Change(
                plan with
                {
                    // The nine answers are good; what the drying of the sample says is not what these tests are about.
                    Findings = [.. plan.Findings.Where(finding => finding.Code == "intake.no-authority")],
                    Drying = plan.Drying with { Findings = [] },
                    Questions =
                    [
                        .. plan.Questions.Select(each =>
                            each with
                            {
                                Computed = each.Number is not (4 or 10),
                                Verdict = Verdict.Ok,
                                Answer = "As it should be.",
                                Next = null,
                            }
                        ),
                    ],
                }
            );
        }
    }

    public HandoverAnswer Answer => HandoverPlanner.Answer(new HandoverRequest(Plan, Facts));
}
