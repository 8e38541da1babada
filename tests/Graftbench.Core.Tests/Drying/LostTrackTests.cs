using Graftbench.Core.Drying;
using Graftbench.Core.Findings;
using Graftbench.Core.Jobs;
using static Graftbench.Core.Tests.Drying.SampleJob;

namespace Graftbench.Core.Tests.Drying;

/// <summary>A board that was dry and of which nobody wrote down where it lay since.</summary>
public class LostTrackTests
{
    private const double OutH = -3;

    private static readonly Exposure Baked = In("host", ExposurePlace.Bake, -60, OutH, 125);

    private static readonly Job Base = Job(Board(Body("U5", 1.4)), Chip(from: ChipPlace.Shelf)) with
    {
        OpenedAt = Now.AddDays(-10),
        Bench = new Bench(),
        Wishes = new Wishes { LaminateMoisturePercent = 1 },
    };

    private static SubjectDrying Host(params Exposure[] exposures) =>
        DryingPlanner.Plan(Base with { History = Base.History with { Exposures = exposures } }, Now).Subjects[0];

    [Fact]
    public void A_gap_after_the_bake_is_named_with_the_line_that_is_missing()
    {
        SubjectDrying host = Host(Baked);

        Assert.Equal(DryingState.ToDry, host.State);
        Assert.Equal(Now.AddHours(OutH), host.Bodies[0].FloorLife.LostAt);
        Finding gap = Assert.Single(host.Findings, finding => finding.Code == "drying.not-logged");
        Assert.Equal("Enter where the host board has been since 20 Nov 06:00: it may be dry still.", gap.Todo);
    }

    [Fact]
    public void Where_a_further_bake_would_not_fit_the_missing_line_is_named_first() =>
        Assert.StartsWith(
            "Enter where the host board has been since 20 Nov 06:00",
            Host(In("host", ExposurePlace.Bake, -96, OutH, 125)).Findings[0].Todo,
            StringComparison.Ordinal
        );

    [Fact]
    public void The_missing_line_makes_it_dry_again_also_where_the_room_is_not_described()
    {
        SubjectDrying host = Host(Baked, In("host", ExposurePlace.Room, OutH, null));

        Assert.Equal(DryingState.Dried, host.State);
        Assert.Null(host.Bodies[0].FloorLife.LostAt);
        Assert.DoesNotContain(host.Findings, finding => finding.Code == "drying.not-logged");
    }

    [Fact]
    public void A_room_before_the_first_bake_without_its_air_counts_for_nothing() =>
        Assert.Contains(
            "not logged",
            Host(In("host", ExposurePlace.Room, OutH, null)).Bodies[0].FloorLife.Says,
            StringComparison.Ordinal
        );

    [Fact]
    public void A_bake_from_before_the_job_says_nothing_of_the_room_it_lies_in_since()
    {
        Job job = Base with { OpenedAt = Now.AddHours(-2) };
        Exposure[] stays = [Baked, In("host", ExposurePlace.Room, OutH, null)];
        SubjectDrying host = DryingPlanner
            .Plan(job with { History = job.History with { Exposures = stays } }, Now)
            .Subjects[0];

        Assert.Equal(FloorLifeState.Unknown, host.Bodies[0].FloorLife.State);
    }

    [Fact]
    public void A_gap_with_later_lines_behind_it_is_not_said_to_go_on()
    {
        SubjectDrying host = Host(
            In("host", ExposurePlace.Bake, -300, -250, 125),
            In("host", ExposurePlace.Room, -248, null, 25, 50)
        );

        Assert.Null(host.Bodies[0].FloorLife.LostAt);
        Assert.DoesNotContain(host.Findings, finding => finding.Code == "drying.not-logged");
    }
}
