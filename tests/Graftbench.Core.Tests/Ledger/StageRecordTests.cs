using Graftbench.Core.Jobs;
using Graftbench.Core.Ledger;
using Graftbench.Core.Tests.Drying;

namespace Graftbench.Core.Tests.Ledger;

/// <summary>A job stands where its record shows it, and never goes back by itself.</summary>
public class StageRecordTests
{
    private static readonly Chip New = SampleJob.Chip("U1", ChipPlace.Shelf);
    private static readonly Chip Old = SampleJob.Chip("U1-old", ChipPlace.Host, ChipPlace.Scrap);

    private static Heat Did(HeatKind kind, string of, double atH) =>
        new()
        {
            Of = of,
            Kind = kind,
            At = SampleJob.Now.AddHours(atH),
        };

    /// <summary>Heats as kind:chip in their order, whether a bake was begun, the stage before, the stage after.</summary>
    [Theory]
    [InlineData("", false, JobStage.Intake, JobStage.Intake)]
    [InlineData("", true, JobStage.Intake, JobStage.Drying)]
    [InlineData("", true, JobStage.Lifting, JobStage.Lifting)]
    [InlineData("lift:U1-old", true, JobStage.Drying, JobStage.Preparing)]
    [InlineData("lift:U1-old place:U1", true, JobStage.Preparing, JobStage.Inspecting)]
    [InlineData("lift:U1-old place:U1", true, JobStage.Soak, JobStage.Soak)]
    // Lifted again after it was placed: no longer on the board, and what a person set stays.
    [InlineData("lift:U1-old place:U1 lift:U1", true, JobStage.Placing, JobStage.Placing)]
    public void A_job_moves_on_to_what_its_record_shows(string heats, bool baked, JobStage before, JobStage after)
    {
        Job job = SampleJob.Job(SampleJob.Board(), New, Old) with
        {
            OpenedAt = SampleJob.Now.AddDays(-9),
            Stage = before,
            History = new History
            {
                Exposures = baked ? [SampleJob.In("host", ExposurePlace.Bake, -100, -50, 125)] : [],
                Heats =
                [
                    .. heats
                        .Split(' ', StringSplitOptions.RemoveEmptyEntries)
                        .Select(
                            (heat, i) =>
                                Did(
                                    heat.StartsWith("lift", StringComparison.Ordinal) ? HeatKind.Lift : HeatKind.Place,
                                    heat[(heat.IndexOf(':', StringComparison.Ordinal) + 1)..],
                                    i - 10
                                )
                        ),
                ],
            },
        };

        Job bare = job with { History = new History() };
        Assert.Equal(after, StageRecord.Forward(bare, job).Stage);
        // A person who sets the job back is not overruled by a line that adds nothing new.
        Assert.Equal(JobStage.Intake, StageRecord.Forward(job, job with { Stage = JobStage.Intake }).Stage);
    }

    [Fact]
    public void A_bake_from_before_the_job_moves_nothing()
    {
        Job bare = SampleJob.Job(SampleJob.Board(), New, Old) with { OpenedAt = SampleJob.Now };
        Job baked = bare with
        {
            History = new History { Exposures = [SampleJob.In("host", ExposurePlace.Bake, -100, -50, 125)] },
        };
        Assert.Equal(JobStage.Intake, StageRecord.Forward(bare, baked).Stage);
    }

    [Fact]
    public void A_chip_still_on_its_donor_is_not_prepared_yet()
    {
        Job job = SampleJob.Job(SampleJob.Board(), SampleJob.Chip(), Old) with { Stage = JobStage.Drying };
        Job lifted = job with { History = new History { Heats = [Did(HeatKind.Lift, "U1-old", -5)] } };
        Assert.Equal(JobStage.Drying, StageRecord.Forward(job, lifted).Stage);
        Job both = lifted with
        {
            History = new History { Heats = [.. lifted.History.Heats, Did(HeatKind.Lift, "U1", -4)] },
        };
        Assert.Equal(JobStage.Preparing, StageRecord.Forward(lifted, both).Stage);
    }
}
