using Graftbench.Core.Findings;
using Graftbench.Core.Heating;
using Graftbench.Core.Jobs;
using Graftbench.Core.Planning;
using Graftbench.Tests.Shared;

namespace Graftbench.Core.Tests.Planning;

/// <summary>Question 3 says what the heat plan says, and never more than it knows.</summary>
public class HeatQuestionTests
{
    private static readonly DateTimeOffset Now = new(2026, 11, 25, 14, 30, 0, TimeSpan.FromHours(1));

    private static readonly Chip Chip = new()
    {
        Id = "U1",
        From = ChipPlace.Host,
        To = ChipPlace.Host,
        BodyLengthMm = 27,
        BodyWidthMm = 27,
        BodyThicknessMm = 2.3,
        XMm = 82,
        YMm = 52,
    };

    private static readonly Job Job = new()
    {
        Format = JobFormat.Name,
        Id = "a",
        Title = "A",
        Host = new Board
        {
            LengthMm = 180,
            WidthMm = 110,
            ThicknessMm = 1.6,
            Parts =
            [
                new Part
                {
                    Ref = "C1",
                    Kind = PartKind.CeramicCapacitor,
                    XMm = 60,
                    YMm = 52,
                    LengthMm = 3,
                    WidthMm = 2,
                },
            ],
        },
        Chips = [Chip],
    };

    private static QuestionAnswer Answer(HeatPlan? heat, Job? job = null) =>
        Planner
            .Plan(job ?? Job, Now, new ApartAnswers { Heat = heat })
            .Questions.Single(question => question.Number == 3);

    private static HeatPlan Plan(HeatPlanState state = HeatPlanState.Planned) =>
        HeatPlans.Of(Job.Host, Chip, HeatTask.Place, state) with
        {
            Findings = [],
        };

    [Fact]
    public void Without_a_plan_it_is_not_computed_and_unknown()
    {
        QuestionAnswer answer = Answer(null);
        Assert.False(answer.Computed);
        Assert.Equal(Verdict.Unknown, answer.Verdict);
    }

    [Fact]
    public void A_plan_is_its_answer_and_says_where_the_probe_goes()
    {
        HeatPlan heat = Plan();
        QuestionAnswer answer = Answer(heat);
        Assert.Equal((true, Verdict.Ok, heat.Answer), (answer.Computed, answer.Verdict, answer.Answer));
        Assert.Contains(heat.Probes[0].Where, answer.Next, StringComparison.Ordinal);
        Assert.Same(heat, Planner.Plan(Job, Now, new ApartAnswers { Heat = heat }).Heat);
    }

    [Theory]
    [InlineData(HeatPlanState.NotPossible, Verdict.FixFirst)]
    [InlineData(HeatPlanState.NoAnswer, Verdict.Unknown)]
    public void What_is_no_plan_is_never_ok(HeatPlanState state, Verdict atLeast)
    {
        QuestionAnswer answer = Answer(Plan(state) with { Figures = [] });
        Assert.Equal(atLeast, answer.Verdict);
    }

    [Theory]
    [InlineData(-0.1, Verdict.Blocker)]
    [InlineData(double.NaN, Verdict.Unknown)]
    public void A_plan_that_passes_a_hard_limit_is_none(double margin, Verdict expected)
    {
        HeatPlan heat = Plan();
        HeatFigure hard = heat.Figures.First(figure => figure.Limit.Hard) with { Margin = margin };
        Assert.Equal(expected, Answer(heat with { Figures = [hard] }).Verdict);
    }

    [Fact]
    public void Findings_count_with_those_of_the_job_and_a_waiver_leaves_a_warning()
    {
        HeatPlan heat = HeatPlans.Of(Job.Host, Chip, HeatTask.Place, HeatPlanState.NotPossible) with { Figures = [] };
        Finding finding = heat.Findings[0];
        Assert.Equal(Verdict.Blocker, Answer(heat).Verdict);
        Assert.Equal(finding.Todo, Answer(heat).Next);
        Job waived = Job with
        {
            Evidence =
            [
                new EvidenceEntry
                {
                    At = Now,
                    Who = "T. Arden",
                    Kind = EvidenceKind.Waiver,
                    Note = "The part is replaced anyway.",
                    Waives = finding.Code,
                    WaivesWhere = finding.Where,
                },
            ],
        };
        // The plan itself still is not possible.
        Assert.Equal(Verdict.FixFirst, Answer(heat, waived).Verdict);
        Assert.Contains("common-practice", Planner.Plan(Job, Now, new ApartAnswers { Heat = heat }).SourceIds);
    }
}
