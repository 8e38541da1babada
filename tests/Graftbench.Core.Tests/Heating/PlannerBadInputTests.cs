using Graftbench.Core.Heating;
using Graftbench.Core.Jobs;

namespace Graftbench.Core.Tests.Heating;

public class PlannerBadInputTests
{
    private static readonly Dictionary<string, (HeatPlanState? State, Func<Job, Job> Change)> Jobs = new(
        StringComparer.Ordinal
    )
    {
        ["chip off the board"] = (HeatPlanState.NoAnswer, job => Chip(job, chip => chip with { XMm = 600 })),
        ["chip without a place"] = (HeatPlanState.NoAnswer, job => Chip(job, chip => chip with { XMm = null })),
        ["chip of no size"] = (HeatPlanState.NoAnswer, job => Chip(job, chip => chip with { BodyLengthMm = 0 })),
        ["board of no thickness"] = (HeatPlanState.NoAnswer, job => Host(job, host => host with { ThicknessMm = 0 })),
        ["board that is no number"] = (
            HeatPlanState.NoAnswer,
            job => Host(job, host => host with { LengthMm = double.NaN })
        ),
        ["no heater"] = (HeatPlanState.NoAnswer, job => Tools(job, _ => new HeatTools())),
        ["nozzle larger than the board"] = (null, job => Nozzle(job, 200)),
        ["nozzle of no size"] = (null, job => Nozzle(job, 0)),
        ["heater that stays cold"] = (
            HeatPlanState.NotPossible,
            job =>
                Tools(
                    job,
                    tools =>
                        tools with
                        {
                            Gas = tools.Gas with { MaxC = 60 },
                            Preheater = tools.Preheater with { MaxC = 40 },
                        }
                )
        ),
        ["heater whose lowest is above its highest"] = (
            null,
            job => Tools(job, tools => tools with { Gas = tools.Gas with { MinC = 300, MaxC = 100 } })
        ),
        ["limits below the room"] = (
            HeatPlanState.NotPossible,
            job =>
                Host(job, host => host with { Parts = [.. host.Parts.Select(part => part with { PeakLimitC = 10 })] })
        ),
        ["wishes beyond reason"] = (
            HeatPlanState.NotPossible,
            job =>
                job with
                {
                    Wishes = new Wishes
                    {
                        Heat = new HeatWishes
                        {
                            ChancePercent = 99.9,
                            JointMarginDeltaK = 40,
                            MaxHeatingS = 60,
                            MoltenS = 300,
                            JointSpreadDeltaK = 1,
                        },
                    },
                }
        ),
        ["five hundred neighbours"] = (null, job => Host(job, host => host with { Parts = Crowd(500) })),
    };

    public static TheoryData<string> Names => [.. Jobs.Keys];

    [Theory]
    [MemberData(nameof(Names))]
    public void Ends_with_a_plan_or_with_what_is_wrong_never_without_numbers(string name)
    {
        (HeatPlanState? state, Func<Job, Job> change) = Jobs[name];
        HeatRequest request = new(change(Plain()), HeatTask.Place, "G1")
        {
            Samples = 10,
            SearchRuns = 10,
            MostRemedies = 0,
            Workers = 2,
        };
        HeatPlan plan = HeatPlanner.Plan(request, new RoughModels(6), null, TestContext.Current.CancellationToken);
        if (state is not null)
        {
            Assert.Equal(state, plan.State);
        }
        Assert.NotEqual("", plan.Answer);
        Assert.NotEmpty(plan.Findings);
        if (plan.State != HeatPlanState.Planned)
        {
            Assert.Contains(plan.Findings, one => one.Verdict != Core.Findings.Verdict.Ok);
        }
        Assert.All(plan.Figures, one => Assert.True(double.IsFinite(one.Figure), one.ToString()));
        Assert.All(plan.Stages, one => Assert.True(double.IsFinite(one.DurationS) && one.DurationS > 0));
        Assert.All(
            plan.Curves?.Curves ?? [],
            one => Assert.All(one.TemperaturesC, t => Assert.True(double.IsFinite(t)))
        );
        Assert.DoesNotContain("NaN", plan.Answer, StringComparison.Ordinal);
        Assert.All(plan.Findings, one => Assert.DoesNotContain("NaN", one.What, StringComparison.Ordinal));
    }

    private static Job Plain() =>
        Tools(HeatJob.Job(), tools => tools with { Control = HeatControl.Stages, MaxStages = 2 }) with
        {
            Host = HeatJob.Board(HeatJob.Part("U7", PartKind.BallGridPackage, 60, 70)) with
            {
                LengthMm = 120,
                WidthMm = 100,
            },
            Chips =
            [
                HeatJob.Chip with
                {
                    XMm = 80,
                    YMm = 50,
                    BodyLengthMm = 20,
                    BodyWidthMm = 20,
                    Rows = 19,
                    Columns = 19,
                    BallCount = 361,
                    DieLengthMm = 8,
                    DieWidthMm = 8,
                },
            ],
        };

    private static Job Chip(Job job, Func<Chip, Chip> change) => job with { Chips = [change(job.Chips[0])] };

    private static Job Host(Job job, Func<Board, Board> change) => job with { Host = change(job.Host) };

    private static Job Tools(Job job, Func<HeatTools, HeatTools> change) =>
        job with
        {
            Bench = job.Bench with { Heat = change(job.Bench.Heat) },
        };

    private static Job Nozzle(Job job, double edgeMm) =>
        Tools(
            job,
            tools => tools with { Gas = tools.Gas with { Nozzles = [new Nozzle { Name = "odd", LengthMm = edgeMm }] } }
        );

    private static Part[] Crowd(int count) =>
        [
            .. Enumerable
                .Range(0, count)
                .Select(i => HeatJob.Part($"C{i}", PartKind.CeramicCapacitor, 2 + i % 25 * 4.6, 3 + i / 25 * 4.8, 2)),
        ];
}
