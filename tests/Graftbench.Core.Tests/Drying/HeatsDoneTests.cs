using Graftbench.Core.Drying;
using Graftbench.Core.Findings;
using Graftbench.Core.Jobs;
using Graftbench.Core.Ledger;
using Graftbench.Core.Planning;
using static Graftbench.Core.Tests.Drying.SampleJob;

namespace Graftbench.Core.Tests.Drying;

/// <summary>A board that has had its last heat need not be dry any more; what counts is whether it was.</summary>
public class HeatsDoneTests
{
    // Baked for four days, placed from the maker's bag three hours after it was opened, a week ago.
    private static Job Placed(JobStage stage, bool baked = true, params Heat[] more)
    {
        Job job = Job(Board(Body("U5", 1.0)), Chip(from: ChipPlace.Shelf));
        return job with
        {
            Stage = stage,
            History = new History
            {
                Exposures =
                [
                    .. baked ? [In("host", ExposurePlace.Bake, -270, -174, 125)] : Array.Empty<Exposure>(),
                    In("host", ExposurePlace.Room, -174, null, 22, 40),
                    In("U1", ExposurePlace.DryBag, -500, -171),
                    In("U1", ExposurePlace.Room, -171, -168, 22, 40),
                ],
                Heats =
                [
                    new Heat
                    {
                        Of = "U1",
                        At = Now.AddHours(-168),
                        Kind = HeatKind.Place,
                    },
                    .. more,
                ],
            },
        };
    }

    [Theory]
    [InlineData(JobStage.Placing, true, DryingState.ToDry, null)]
    [InlineData(JobStage.Inspecting, true, DryingState.NoHeatLeft, "drying.was-dry")]
    [InlineData(JobStage.Soak, true, DryingState.NoHeatLeft, "drying.was-dry")]
    [InlineData(JobStage.Returned, true, DryingState.NoHeatLeft, "drying.was-dry")]
    [InlineData(JobStage.Soak, false, DryingState.NoHeatLeft, "drying.heated-not-dry")]
    public void After_the_last_heat_it_counts_whether_it_was_dry_then(
        JobStage stage,
        bool baked,
        DryingState state,
        string? code
    )
    {
        DryingPlan plan = DryingPlanner.Plan(Placed(stage, baked), Now);
        SubjectDrying host = Assert.Single(plan.Subjects);
        Assert.Equal(state, host.State);
        if (code is null)
        {
            return;
        }
        Assert.Equal(code, Assert.Single(plan.Findings).Code);
        Assert.Null(plan.ReadyAt);
        QuestionAnswer answer = Planner.Plan(Placed(stage, baked), Now).Questions[1];
        Assert.Equal(baked ? Verdict.Ok : Verdict.Unknown, answer.Verdict);
        Assert.Contains("no heat of this job is left", answer.Answer, StringComparison.OrdinalIgnoreCase);
    }

    [Fact]
    public void A_chip_that_was_lifted_again_brings_the_question_back()
    {
        Heat again = new()
        {
            Of = "U1",
            At = Now.AddHours(-2),
            Kind = HeatKind.Lift,
        };
        DryingPlan plan = DryingPlanner.Plan(Placed(JobStage.Inspecting, true, again), Now);
        Assert.DoesNotContain(plan.Subjects, subject => subject.State == DryingState.NoHeatLeft);
    }

    [Fact]
    public void A_donor_whose_chips_are_off_is_not_dried_for_its_own_sake()
    {
        Job job = Job(Board(Body("U5", 1.0)), Chip());
        Assert.Equal(DryingState.ToDry, Donor(job).State);
        job = job with
        {
            History = new History
            {
                Heats =
                [
                    new Heat
                    {
                        Of = "U1",
                        At = Now.AddHours(-5),
                        Kind = HeatKind.Lift,
                    },
                ],
            },
        };
        Assert.Equal(DryingState.NoHeatLeft, Donor(job).State);
        // Nothing says that it was dry when it was heated.
        Assert.Equal("drying.heated-not-dry", Assert.Single(Donor(job).Findings).Code);
    }

    [Fact]
    public void Steps_before_one_that_was_done_are_not_to_come()
    {
        HeatAccount chip = HeatBook.Of(Placed(JobStage.Soak)).Accounts.Single(account => account.Id == "U1");
        Assert.Equal((1, 0), (chip.SpentNumber, chip.PlannedHighNumber));
    }

    [Fact]
    public void A_board_heated_wet_is_not_hidden_by_another_that_needs_no_bake()
    {
        // The lift from the donor was never written down; by the record the donor has nothing left to dry for.
        Job shelf = Placed(JobStage.Soak, baked: false);
        Job job = shelf with
        {
            Donor = Board(),
            Chips = [shelf.Chips[0] with { From = ChipPlace.Donor }],
            Wishes = new Wishes { LaminateMoisturePercent = 1 },
        };
        JobPlan plan = Planner.Plan(job, Now);

        Assert.Equal(Verdict.Unknown, plan.Questions[1].Verdict);
        Assert.Equal("Not known to have been dry at the last heat.", plan.Questions[1].Answer);
    }

    private static SubjectDrying Donor(Job job) =>
        DryingPlanner.Plan(job, Now).Subjects.Single(subject => subject.Id == "donor");
}
