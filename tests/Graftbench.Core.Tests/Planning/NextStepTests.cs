using Graftbench.Core.Findings;
using Graftbench.Core.Jobs;
using Graftbench.Core.Planning;
using Graftbench.Core.Tests.Drying;

namespace Graftbench.Core.Tests.Planning;

public class NextStepTests
{
    [Theory]
    // Questions with something to do, as number:verdict; the stage; the one that comes next.
    [InlineData("1:unknown 2:fix-first 7:blocker", JobStage.Intake, 7)]
    [InlineData("1:unknown 2:fix-first 3:fix-first", JobStage.Intake, 2)]
    [InlineData("1:unknown 5:warning 10:unknown", JobStage.Soak, 10)]
    [InlineData("1:unknown 7:unknown", JobStage.FirstPower, 7)]
    [InlineData("1:unknown 5:warning", JobStage.Drying, 1)]
    [InlineData("1:unknown", JobStage.Placing, 3)]
    [InlineData("1:ok", JobStage.Drying, 1)]
    [InlineData("1:unknown 9:warning 10:unknown", JobStage.Returned, 9)]
    [InlineData("1:unknown 10:unknown", JobStage.Returned, 9)]
    // After the hand-over nothing is to do but what the sheet itself asks for.
    [InlineData("1:unknown 2:fix-first", JobStage.HandedOver, null)]
    [InlineData("1:unknown 10:unknown", JobStage.HandedOver, 10)]
    // Nothing is open: the first that nobody has answered, what the first heat destroys before it.
    [InlineData("", JobStage.Drying, 1)]
    public void What_stops_the_work_comes_first_then_what_the_stage_waits_for(
        string open,
        JobStage stage,
        int? expected
    )
    {
        JobPlan plan = Planner.Plan(
            SampleJob.Job(SampleJob.Board(), SampleJob.Chip()) with
            {
                Stage = stage,
            },
            SampleJob.Now
        );
        Dictionary<int, Verdict> verdicts = open.Split(' ', StringSplitOptions.RemoveEmptyEntries)
            .Select(one => one.Split(':'))
            .ToDictionary(
                pair => int.Parse(pair[0], System.Globalization.CultureInfo.InvariantCulture),
                pair => Enum.Parse<Verdict>(pair[1].Replace("-", "", StringComparison.Ordinal), ignoreCase: true)
            );
        plan = plan with
        {
            Questions =
            [
                .. plan.Questions.Select(question =>
                    verdicts.TryGetValue(question.Number, out Verdict verdict)
                        ? question with
                        {
                            Computed = true,
                            Verdict = verdict,
                            Next = "do it",
                        }
                        : question with
                        {
                            Next = null,
                        }
                ),
            ],
        };
        Assert.Equal(expected, NextStep.Of(plan)?.Number);
    }

    [Theory]
    [InlineData(true, 1)]
    [InlineData(false, 2)]
    public void What_is_in_the_dryer_waits_by_itself_and_other_work_comes_next(bool inDryer, int expected)
    {
        Job job = SampleJob.Job(SampleJob.Board(SampleJob.Body("U5")), SampleJob.Chip());
        Exposure[] dried =
        [
            .. new[] { "host", "donor" }.Select(of => SampleJob.In(of, ExposurePlace.Bake, -1, null, 125)),
        ];
        JobPlan plan = Planner.Plan(
            job with
            {
                Stage = JobStage.Drying,
                History = job.History with { Exposures = inDryer ? dried : [] },
            },
            SampleJob.Now
        );

        Assert.Equal(Verdict.FixFirst, plan.Questions[1].Verdict);
        Assert.Equal(expected, NextStep.Of(plan)!.Number);
    }

    [Theory]
    [InlineData(JobStage.Placing, "before the chip is placed")]
    [InlineData(JobStage.Inspecting, "from all four sides")]
    public void The_picture_that_is_asked_for_is_one_that_can_still_be_taken(JobStage stage, string expected)
    {
        JobPlan plan = Planner.Plan(
            SampleJob.Job(SampleJob.Board(), SampleJob.Chip()) with
            {
                Stage = stage,
            },
            SampleJob.Now
        );
        plan = plan with
        {
            Questions =
            [
                .. plan.Questions.Select(question => question with { Next = null, Computed = question.Number != 6 }),
            ],
        };
        Assert.Contains(expected, NextStep.Of(plan)!.Next, StringComparison.Ordinal);
    }
}
