using Graftbench.Core.Facts;
using Graftbench.Core.Findings;
using Graftbench.Core.Heating;
using Graftbench.Core.Jobs;

namespace Graftbench.Core.Tests.Heating;

public class HeatLimitsOfTests
{
    private static IReadOnlyList<HeatLimit> Limits(Job job, HeatTask task = HeatTask.Place, string id = "G1")
    {
        BoardHeatModel model = BoardModelBuilder.Build(job, task, id, null, null);
        IReadOnlyList<HeatLimit> limits = HeatLimitsOf.Of(job, task, model);
        Assert.All(
            limits,
            limit =>
            {
                Assert.NotNull(ReferenceShelf.FindSource(limit.Source));
                Assert.True(limit.Scale > 0 && double.IsFinite(limit.Value), limit.Title);
                Assert.EndsWith(".", limit.Why, StringComparison.Ordinal);
                Assert.True(limit.Place is null || model.Places.Any(place => place.Name == limit.Place), limit.Place);
            }
        );
        return limits;
    }

    private static HeatLimit One(IReadOnlyList<HeatLimit> limits, HeatLimitKind kind, string? place = null) =>
        limits.Single(limit => limit.Kind == kind && (place is null || limit.Place == place));

    // alloy of balls and chip, coldest joint, hottest joint, body, time to peak, neighbours' solder (board not known: tin-lead).
    // 230 °C, above 190 °C, below 220 °C, below 180 °C: rework note; 245/220 °C: J-STD-020 by size (2.3 mm, 2818 mm³).
    public static readonly TheoryData<string, double, double, double, double> Sourced = new()
    {
        { "SAC305", 230, 250, 245, 480 },
        { "Sn63Pb37", 193, 220, 220, 360 },
        { "Sn42Bi58", 151, 250, 245, 480 },
    };

    [Theory, MemberData(nameof(Sourced))]
    public void Limits_follow_the_solder(string alloy, double coldestC, double hottestC, double bodyC, double toPeakS)
    {
        Job job = HeatJob.Job() with
        {
            Materials = new Materials { BallAlloy = alloy, BallDiameterMm = 0.6 },
            Chips = [HeatJob.Chip with { BallAlloy = alloy }],
        };
        IReadOnlyList<HeatLimit> limits = Limits(job);
        Assert.Equal(coldestC, One(limits, HeatLimitKind.ColdestJointPeak).Value);
        Assert.Equal(hottestC, One(limits, HeatLimitKind.HottestJointPeak).Value);
        Assert.Equal(bodyC, One(limits, HeatLimitKind.BodyPeak).Value);
        Assert.Equal(toPeakS, One(limits, HeatLimitKind.TimeToPeak).Value);
        Assert.Equal(60, One(limits, HeatLimitKind.MoltenTimeLeast).Value);
        Assert.Equal(150, One(limits, HeatLimitKind.MoltenTimeMost).Value);
        Assert.Equal(3, One(limits, HeatLimitKind.BodyRise).Value);
        Assert.Equal(6, One(limits, HeatLimitKind.BodyFall).Value);
    }

    [Fact]
    public void Wishes_of_the_job_go_before_the_tables()
    {
        HeatWishes wishes = new()
        {
            JointMarginDeltaK = 6,
            MoltenS = 45,
            JointSpreadDeltaK = 8,
            MaxHeatingS = 420,
        };
        Job job = HeatJob.Job() with { Wishes = new Wishes { Heat = wishes } };
        IReadOnlyList<HeatLimit> limits = Limits(job);
        Assert.Equal((226.0, "job-file"), Value(HeatLimitKind.ColdestJointPeak));
        Assert.Equal((45.0, "job-file"), Value(HeatLimitKind.MoltenTimeLeast));
        Assert.Equal((8.0, "job-file"), Value(HeatLimitKind.JointSpread));
        Assert.Equal((420.0, "job-file"), Value(HeatLimitKind.HeatingTime));

        (double, string) Value(HeatLimitKind kind) => (One(limits, kind).Value, One(limits, kind).Source);
    }

    [Theory]
    [InlineData(240.0, 240.0, "job-file")]
    [InlineData(250.0, 245.0, "reflow-class-sheet")]
    public void The_lower_of_class_and_own_limit_holds_for_the_chip(double ownC, double limitC, string source)
    {
        Job job = HeatJob.Job() with { Chips = [HeatJob.Chip with { PeakLimitC = ownC }] };
        HeatLimit body = One(Limits(job), HeatLimitKind.BodyPeak);
        Assert.Equal((limitC, source, true), (body.Value, body.Source, body.Hard));
    }

    [Fact]
    public void A_neighbour_is_held_to_its_own_limit_even_where_the_table_says_less()
    {
        Part own = HeatJob.Part("U2", PartKind.MouldedPackage, 150, 70) with { PeakLimitC = 240 };
        Part kind = HeatJob.Part("U3", PartKind.MouldedPackage, 120, 70);
        IReadOnlyList<HeatLimit> limits = Limits(HeatJob.Job(own, kind));
        HeatLimit told = One(limits, HeatLimitKind.NeighbourPeak, "U2");
        Assert.Equal((240.0, "job-file"), (told.Value, told.Source));
        Assert.Contains("220 °C", told.Why, StringComparison.Ordinal);
        Assert.Equal(220, One(limits, HeatLimitKind.NeighbourPeak, "U3").Value);
    }

    [Fact]
    public void A_cell_stays_at_its_published_limit_whatever_the_job_says()
    {
        // Below 85 °C at the cell, never through reflow (a lithium cell maker's guide).
        Part cell = HeatJob.Part("BT1", PartKind.CoinCell, 150, 70) with
        {
            PeakLimitC = 260,
        };
        HeatLimit peak = One(Limits(HeatJob.Job(cell)), HeatLimitKind.NeighbourPeak, "BT1");
        Assert.Equal((85.0, true), (peak.Value, peak.Hard));
    }

    [Fact]
    public void One_chip_of_unknown_alloy_keeps_the_board_from_counting_as_lead_free()
    {
        Job job = HeatJob.Job(HeatJob.Part("U2", PartKind.BallGridPackage, 150, 70));
        Chip known = HeatJob.Chip with { Id = "G2", From = ChipPlace.Host, To = ChipPlace.Scrap };
        Chip unknown = known with { Id = "G3", BallAlloy = null };
        Job leadFree = job with { Chips = [HeatJob.Chip, known] };
        Job doubtful = job with { Chips = [HeatJob.Chip, known, unknown] };
        Assert.Equal(200, One(Limits(leadFree), HeatLimitKind.NeighbourSolid).Value);
        Assert.Equal(180, One(Limits(doubtful), HeatLimitKind.NeighbourSolid).Value);
    }

    [Theory]
    [InlineData(null, 225)]
    // The maker's own peak moves the level with it.
    [InlineData(245.0, 240)]
    public void A_peak_that_holds_for_seconds_only_is_counted_within_5_kelvin_of_it(double? ownC, double aboveC)
    {
        Part can = HeatJob.Part("C9", PartKind.AluminiumElectrolytic, 175, 70, 8) with { PeakLimitC = ownC };
        HeatLimit time = One(Limits(HeatJob.Job(can)), HeatLimitKind.NeighbourTime, "C9");
        Assert.Equal((5.0, "s", aboveC), (time.Value, time.Unit, time.AboveC));
        Assert.True(time.Hard);
        // A part that never comes near its peak has more room than the search asks for.
        Assert.True(time.Value / time.Scale > ScheduleOptimiser.MarginCap);
    }

    [Fact]
    public void Two_parts_of_one_name_count_as_the_one_that_must_be_off_and_as_solid_where_one_must_be()
    {
        Part capacitor = HeatJob.Part("X1", PartKind.FilmCapacitorPolypropylene, 150, 70) with
        {
            StaySolid = YesNo.Yes,
        };
        Part supercapacitor = HeatJob.Part("X1", PartKind.Supercapacitor, 150, 40) with { PeakLimitC = 150 };
        IReadOnlyList<HeatLimit> limits = Limits(HeatJob.Job(capacitor, supercapacitor));
        Assert.Contains(limits, one => one is { Kind: HeatLimitKind.NeighbourPeak, Value: 150, Hard: true });
        Assert.Contains(limits, one => one.Kind == HeatLimitKind.NeighbourSolid);
    }

    [Theory]
    [InlineData(PartKind.LcFilter, 3.3)]
    [InlineData(PartKind.Crystal, 3)]
    [InlineData(PartKind.MouldedPackage, 3)]
    public void Every_kind_with_a_published_rise_is_held_to_it(PartKind kind, double riseKPerS)
    {
        Part part = HeatJob.Part("Y1", kind, 150, 70, 3.2);
        Assert.Equal(riseKPerS, One(Limits(HeatJob.Job(part)), HeatLimitKind.NeighbourRise, "Y1").Value);
    }

    [Fact]
    public void A_ceramic_capacitor_rises_by_at_most_4_kelvin_a_second()
    {
        Part part = HeatJob.Part("C1", PartKind.CeramicCapacitor, 150, 70, 3.2);
        HeatLimit rise = One(Limits(HeatJob.Job(part)), HeatLimitKind.NeighbourRise, "C1");
        Assert.Equal((4.0, "mlcc-rework-faq"), (rise.Value, rise.Source));
        // 4.5 °C/s is beyond it (maker's figure).
        Assert.True(4.5 > rise.Value);
    }

    [Fact]
    public void Joints_of_ball_grid_neighbours_stay_solid_unless_the_job_lets_them_melt()
    {
        Part part = HeatJob.Part("U2", PartKind.BallGridPackage, 150, 70);
        HeatLimit solid = One(Limits(HeatJob.Job(part)), HeatLimitKind.NeighbourSolid);
        Assert.Equal((180.0, "U2 joint"), (solid.Value, solid.Place));
        Assert.Contains("not known", solid.Why, StringComparison.Ordinal);
        Assert.DoesNotContain(
            Limits(HeatJob.Job(part with { StaySolid = YesNo.No })),
            limit => limit.Kind == HeatLimitKind.NeighbourSolid
        );
        Part lead = HeatJob.Part("J1", PartKind.ConnectorHeatProof, 150, 70) with { StaySolid = YesNo.Yes };
        Assert.Equal(180, One(Limits(HeatJob.Job(lead)), HeatLimitKind.NeighbourSolid).Value);
    }

    [Fact]
    public void A_board_that_is_known_to_be_lead_free_may_have_200_degrees_at_its_neighbours()
    {
        Job job = HeatJob.Job(HeatJob.Part("U2", PartKind.BallGridPackage, 150, 70));
        job = job with { Materials = job.Materials with { LandAlloy = "SAC305" } };
        Assert.Equal(200, One(Limits(job), HeatLimitKind.NeighbourSolid).Value);
        Job soft = job with { Materials = job.Materials with { LandAlloy = "Sn42Bi58" } };
        Assert.Equal(135, One(Limits(soft), HeatLimitKind.NeighbourSolid).Value);
    }

    [Fact]
    public void Parts_that_are_taken_off_or_have_no_figure_have_no_limit()
    {
        Part off = HeatJob.Part("C1", PartKind.AluminiumElectrolytic, 150, 70) with { TakenOff = true };
        Part unknown = HeatJob.Part("L1", PartKind.Other, 120, 70);
        Assert.DoesNotContain(Limits(HeatJob.Job(off, unknown)), limit => limit.Kind == HeatLimitKind.NeighbourPeak);
    }

    [Fact]
    public void Lifting_from_a_donor_spares_the_chip_and_lets_the_board_go()
    {
        Chip chip = HeatJob.Chip with { From = ChipPlace.Donor };
        Board donor = HeatJob.Board(HeatJob.Part("C1", PartKind.AluminiumElectrolytic, 150, 70));
        Job job = HeatJob.Job() with { Chips = [chip], Donor = donor };
        IReadOnlyList<HeatLimit> limits = Limits(job, HeatTask.Lift);
        Assert.Equal(225, One(limits, HeatLimitKind.ColdestJointPeak).Value);
        Assert.Equal(15, One(limits, HeatLimitKind.MoltenTimeLeast).Value);
        Assert.True(One(limits, HeatLimitKind.BodyPeak).Hard);
        Assert.False(One(limits, HeatLimitKind.NeighbourPeak).Hard);
        Assert.False(One(limits, HeatLimitKind.UndersidePeak).Hard);
        Assert.DoesNotContain(
            limits,
            limit => limit.Kind is HeatLimitKind.HottestJointPeak or HeatLimitKind.JointSpread
        );
    }

    [Fact]
    public void Lifting_a_scrap_chip_spares_the_host_and_lets_the_chip_go()
    {
        Chip chip = HeatJob.Chip with { From = ChipPlace.Host, To = ChipPlace.Scrap };
        Job job = HeatJob.Job(HeatJob.Part("C1", PartKind.AluminiumElectrolytic, 150, 70)) with { Chips = [chip] };
        IReadOnlyList<HeatLimit> limits = Limits(job, HeatTask.Lift);
        Assert.False(One(limits, HeatLimitKind.BodyPeak).Hard);
        Assert.True(One(limits, HeatLimitKind.NeighbourPeak).Hard);
        Assert.True(One(limits, HeatLimitKind.UndersidePeak).Hard);
    }

    [Fact]
    public void A_loose_chip_has_no_board_to_spare()
    {
        IReadOnlyList<HeatLimit> limits = Limits(
            HeatJob.Job(HeatJob.Part("C1", PartKind.Other, 150, 70)),
            HeatTask.AttachBalls
        );
        Assert.Equal(30, One(limits, HeatLimitKind.MoltenTimeLeast).Value);
        Assert.DoesNotContain(
            limits,
            limit => limit.Kind is HeatLimitKind.UndersidePeak or HeatLimitKind.NeighbourPeak
        );
    }

    [Theory]
    [InlineData(LaminateKind.Unknown, 245)]
    [InlineData(LaminateKind.EpoxyTg150, 260)]
    public void The_underside_is_held_to_what_its_laminate_is_known_to_stand(LaminateKind laminate, double limitC)
    {
        Job job = HeatJob.Job();
        job = job with { Host = job.Host with { Laminate = laminate } };
        Assert.Equal(limitC, One(Limits(job), HeatLimitKind.UndersidePeak).Value);
    }

    [Fact]
    public void Without_a_model_there_are_no_limits() =>
        Assert.Empty(Limits(HeatJob.Job() with { Chips = [HeatJob.Chip with { XMm = null }] }));
}
