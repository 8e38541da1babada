using Graftbench.Core.Drying;
using Graftbench.Core.Findings;
using Graftbench.Core.Jobs;
using static Graftbench.Core.Tests.Drying.SampleJob;

namespace Graftbench.Core.Tests.Drying;

/// <summary>Cases in which a careless planner says "dry", "no bake" or nothing although something was not checked.</summary>
public class CautiousAnswersTests
{
    private static readonly Job Plain = Job(Board(Body("U5", 1.4)), Chip(from: ChipPlace.Shelf)) with
    {
        Wishes = new Wishes { LaminateMoisturePercent = 1 },
    };

    private static SubjectDrying Host(Job job) => DryingPlanner.Plan(job, Now).Subjects[0];

    private static Job With(Job job, params Exposure[] exposures) =>
        job with
        {
            History = job.History with { Exposures = exposures },
        };

    private static Job Dryer(Job job, double? setC, double? spreadDeltaK = 0, double? warmUpMin = 0) =>
        job with
        {
            Dryer = job.Dryer with { SetC = setC, SpreadDeltaK = spreadDeltaK, WarmUpMin = warmUpMin },
        };

    [Fact]
    public void Going_into_the_dryer_does_not_shorten_the_bake()
    {
        Job job = Dryer(Plain, 70, spreadDeltaK: 3, warmUpMin: 45);
        SubjectDrying before = Host(job);
        SubjectDrying after = Host(With(job, In("host", ExposurePlace.Bake, -1.0 / 3600, null, 70)));

        Assert.Equal(67, before.UsedC);
        Assert.Equal(67, after.UsedC);
        Assert.Equal(0, (after.ReadyAt!.Value - before.ReadyAt!.Value).TotalMinutes, 1);
    }

    [Fact]
    public void Warm_up_is_no_bake()
    {
        Job job = Dryer(Plain, 90, warmUpMin: 60);
        double wholeH = Host(job).AdviceH!.Value;

        Assert.Equal(
            DryingState.InDryer,
            Host(With(job, In("host", ExposurePlace.Bake, -(wholeH + 0.5), null, 90))).State
        );
        Assert.Equal(
            DryingState.Dried,
            Host(With(job, In("host", ExposurePlace.Bake, -(wholeH + 1.01), null, 90))).State
        );
    }

    [Fact]
    public void A_bake_that_cannot_dry_gives_no_credit()
    {
        // 45 °C at 35 % RH keeps more than half of saturation.
        Exposure wet = In("host", ExposurePlace.Bake, -1001, -0.2, 45, 35);
        SubjectDrying host = Host(With(Dryer(Plain, 90), wet, In("host", ExposurePlace.Bake, -0.2, null, 90)));

        Assert.Equal(DryingState.InDryer, host.State);
        Assert.True(host.AdviceH > 20);
        Assert.Equal(FloorLifeState.Unknown, host.Bodies[0].FloorLife.State);
    }

    [Fact]
    public void Wet_storage_between_bakes_breaks_them_apart()
    {
        Job job = Dryer(Plain, 90);
        double wholeH = Host(job).AdviceH!.Value;
        SubjectDrying host = Host(
            With(
                job,
                In("host", ExposurePlace.Bake, -600, -600 + wholeH * 0.8, 90),
                In("host", ExposurePlace.DryCabinet, -600 + wholeH * 0.8, -wholeH * 0.3, 22, 50),
                In("host", ExposurePlace.Bake, -wholeH * 0.3, null, 90)
            )
        );

        Assert.Equal(DryingState.InDryer, host.State);
        Assert.True((host.ReadyAt!.Value - Now).TotalHours > wholeH * 0.6);
    }

    [Fact]
    public void A_break_of_days_is_time_in_the_room()
    {
        Job job = Dryer(Plain, 90);
        double wholeH = Host(job).AdviceH!.Value;
        Exposure bake = In("host", ExposurePlace.Bake, -(wholeH + 90), null, 90) with
        {
            Breaks = [new Break { From = Now.AddHours(-90), To = Now.AddHours(-0.001) }],
        };

        // 90 h of the rated 168 h at 25 °C / 50 % RH.
        Assert.Equal(90 / 168.0, Host(With(job, bake)).Bodies[0].FloorLife.UsedFraction!.Value, 0.01);
    }

    [Fact]
    public void A_running_bake_above_the_cap_is_a_blocker()
    {
        Job job = Job(Board(Body("U5"), Of("C9", PartKind.AluminiumElectrolytic)), Chip(from: ChipPlace.Shelf));
        SubjectDrying host = Host(With(Dryer(job, 60), In("host", ExposurePlace.Bake, -1, null, 110)));

        Assert.Contains(
            host.Findings,
            finding => finding is { Code: "drying.running-too-hot", Verdict: Verdict.Blocker }
        );
    }

    [Fact]
    public void A_cell_in_a_running_bake_is_held_against_its_temperature()
    {
        Job job = Job(Board(Body("U5"), Of("BT1", PartKind.CoinCell)), Chip(from: ChipPlace.Shelf));
        SubjectDrying host = Host(With(Dryer(job, 50), In("host", ExposurePlace.Bake, -1, null, 110)));

        Assert.Contains(
            host.Findings,
            finding => finding is { Code: "drying.take-off-first", Verdict: Verdict.Blocker }
        );
    }

    [Theory, InlineData(null), InlineData(40.0)]
    public void A_board_whose_laminate_has_no_answer_is_not_called_dry(double? setC)
    {
        // 40 °C heated room air keeps 0.29 % in the laminate, above the 0.10 % that may be left.
        SubjectDrying host = Host(Dryer(Job(Board(), Chip(from: ChipPlace.Shelf)), setC));

        Assert.Equal(DryingState.NoAnswer, host.State);
        Assert.Null(host.ReadyAt);
    }

    public static readonly TheoryData<double[], double[], double?, string> NoProof = new()
    { // hours before now, grams, balance error, why it proves nothing
        { [0.15, 0.1, 0.05, 0], [100.05, 100, 100, 100], 0.01, "four weighings in nine minutes" },
        { [50, 30, 25, 1], [100.5, 100, 100, 100], 0.01, "fell at once: nothing seen on the way" },
        {
            [50, 40, 30, 20, 10, 1],
            [300, 299.8, 299.7, 299.6, 299.6, 299.6],
            1,
            "balance coarser than what may be left"
        },
        { [60, 50, 40, 30, 20, 10], [300.4, 300.2, 300.1, 300.05, 300.03, 300.02], null, "balance not stated" },
        { [60, 50, 40, 30, 20, 1], [300.4, 300.15, 300.05, 300.02, 300.01, 300.17], 0.01, "rises at the end" },
    };

    [Theory, MemberData(nameof(NoProof))]
    public void Weighings_that_prove_nothing_end_nothing(double[] agoH, double[] weightG, double? balanceG, string why)
    {
        Job job = Dryer(Job(Board() with { ThicknessMm = 3.2 }, Chip(from: ChipPlace.Shelf)), 90);
        job = job with
        {
            History = new History
            {
                Exposures = [In("host", ExposurePlace.Bake, -61, null, 90)],
                Weighings =
                [
                    .. agoH.Zip(weightG)
                        .Select(point => new Weighing
                        {
                            Of = "host",
                            At = Now.AddHours(-point.First),
                            WeightG = point.Second,
                            BalanceErrorG = balanceG,
                        }),
                ],
            },
        };

        Assert.True(Host(job).State == DryingState.InDryer, why);
    }

    [Fact]
    public void A_weight_at_rest_in_the_room_is_no_bake()
    {
        double[] timeH = [0, 8, 16, 24, 32, 40, 48, 56];
        Job job = Dryer(Job(Board() with { ThicknessMm = 3.2 }, Chip(from: ChipPlace.Shelf)), 90) with
        {
            History = new History
            {
                Weighings =
                [
                    .. timeH.Select(t => new Weighing
                    {
                        Of = "host",
                        At = Now.AddHours(-60 + t),
                        WeightG = 80 + 0.4 * Math.Exp(-t / 6),
                        BalanceErrorG = 0.01,
                    }),
                ],
            },
        };

        Assert.Equal(DryingState.ToDry, Host(job).State);
    }

    [Fact]
    public void Use_by_takes_the_climate_of_the_room()
    {
        // Ball-grid body, level 3, 30 °C / 80 % RH: 4 days in the published block, not the rated 7.
        Chip chip = Chip(from: ChipPlace.Shelf) with
        {
            BodyThicknessMm = 1.4,
        };
        Job job = Job(Board(), chip) with
        {
            Bench = new Bench { RoomC = 30, RoomHumidityPercent = 80 },
        };
        SubjectDrying loose = DryingPlanner.Plan(job, Now).Subjects.Single(subject => subject.Id == "U1");

        Assert.Equal(96, (loose.UseBy!.Value - loose.ReadyAt!.Value).TotalHours, 1e-3);
    }

    [Fact]
    public void Without_a_published_figure_there_is_no_use_by()
    {
        Chip chip = Chip(from: ChipPlace.Shelf) with { BodyThicknessMm = 0.9 };
        Job job = Job(Board(), chip) with
        {
            Bench = new Bench { RoomC = 30, RoomHumidityPercent = 80 },
        };

        Assert.Null(DryingPlanner.Plan(job, Now).Subjects.Single(subject => subject.Id == "U1").UseBy);
    }

    [Fact]
    public void Over_by_takes_the_longest_of_its_readings()
    {
        // 300 h at 30/60 against 168 h, then six minutes where a life is short.
        FloorLifeClock clock = FloorLifeLog
            .Walk(
                BakeTableTests.Body(1.2, MoistureLevel.L3, ballGrid: true),
                [
                    In("U1", ExposurePlace.DryBag, -400, -300.1),
                    In("U1", ExposurePlace.Room, -300.1, -0.1, 30, 60),
                    In("U1", ExposurePlace.Room, -0.1, null, 35, 90),
                ],
                firstBagIsMakers: true,
                new Climate(25, 50),
                Now
            )
            .Clock;

        Assert.Equal(FloorLifeState.LongOver, clock.State);
        Assert.True(clock.OverByH >= 132);
    }

    [Fact]
    public void One_dryer_holds_one_temperature_at_a_time()
    {
        Job job = Dryer(Job(Board(Body("U5"), Of("C9", PartKind.AluminiumElectrolytic)), Chip()), 120);
        DryingPlan plan = DryingPlanner.Plan(job, Now);
        SubjectDrying host = plan.Subjects[0];
        SubjectDrying donor = plan.Subjects[1];

        Assert.NotEqual(host.UsedC, donor.UsedC);
        Assert.True(host.StartAt >= donor.ReadyAt || donor.StartAt >= host.ReadyAt);
    }

    [Fact]
    public void The_set_point_to_choose_leaves_room_for_the_spread()
    {
        Job job = Dryer(
            Job(Board(Body("U5")) with { Laminate = LaminateKind.EpoxyTg110 }, Chip(from: ChipPlace.Shelf)),
            120,
            spreadDeltaK: 4
        );
        SubjectDrying host = Host(job);
        Finding finding = host.Findings.Single(finding => finding.Code == "drying.too-hot-for-it");

        // Cap 109 °C: set 105, hottest 109, coldest 101.
        Assert.Contains("Set it to 105 °C", finding.Todo, StringComparison.Ordinal);
        Assert.Equal(101, host.UsedC);
    }

    [Fact]
    public void The_budget_counts_the_hottest_parts()
    {
        Job job = Dryer(Plain, 92, spreadDeltaK: 3);
        SubjectDrying host = Host(With(job, In("host", ExposurePlace.Bake, -600, -505, 125)));

        Assert.Equal(95, host.Budget.SpentH, 1e-6);
        Assert.Contains(host.Findings, finding => finding.Code == "drying.bake-budget");
    }

    [Fact]
    public void Logged_humidity_of_a_running_bake_counts()
    {
        Job job = Dryer(Plain, 70);
        SubjectDrying damp = Host(With(job, In("host", ExposurePlace.Bake, -1, null, 70, 12)));
        SubjectDrying dry = Host(With(job, In("host", ExposurePlace.Bake, -1, null, 70, 1)));

        Assert.True(damp.AdviceH > dry.AdviceH * 1.2);
    }

    [Fact]
    public void Level_6_can_be_ready_and_must_be_used_at_once()
    {
        Job job = Dryer(Job(Board(Body("U5", 1.0, MoistureLevel.L6)), Chip(from: ChipPlace.Shelf)), 125) with
        {
            Wishes = new Wishes { LaminateMoisturePercent = 1 },
        };
        SubjectDrying host = Host(With(job, In("host", ExposurePlace.Bake, -40, null, 125)));

        Assert.Equal(DryingState.Dried, host.State);
        Assert.Contains("time on its label", host.Bodies[0].FloorLife.Says, StringComparison.Ordinal);
    }

    [Fact]
    public void Half_an_hour_unlogged_after_the_end_does_not_start_the_bake_again()
    {
        Job job = Dryer(Plain, 90);
        double wholeH = Host(job).AdviceH!.Value;
        SubjectDrying host = Host(With(job, In("host", ExposurePlace.Bake, -(wholeH + 0.6), -0.5, 90)));

        Assert.Equal(DryingState.Dried, host.State);
    }

    [Fact]
    public void A_placed_chip_bakes_with_the_host()
    {
        Job job = Dryer(Job(Board(), Chip(from: ChipPlace.Shelf)), 125) with
        {
            History = new History
            {
                Heats =
                [
                    new Heat
                    {
                        Of = "U1",
                        At = Now.AddHours(-20),
                        Kind = HeatKind.Place,
                    },
                ],
                Exposures = [In("host", ExposurePlace.Bake, -10, null, 125)],
            },
        };
        DryingPlan plan = DryingPlanner.Plan(job, Now);

        Assert.DoesNotContain(plan.Subjects, subject => subject.Id == "U1");
        Assert.Equal(["U1"], plan.Subjects[0].Bodies.Select(body => body.Ref));
    }

    [Fact]
    public void A_board_without_parts_is_unknown()
    {
        DryingPlan plan = DryingPlanner.Plan(Job(Board(Body("U5")), Chip()), Now);

        Assert.Contains(
            plan.Findings,
            finding => finding is { Code: "drying.no-parts", Where: "donor board", Verdict: Verdict.Unknown }
        );
    }

    [Fact]
    public void Level_1_beyond_its_climate_is_said()
    {
        Chip chip = Chip(from: ChipPlace.Shelf) with { MoistureLevel = MoistureLevel.L1 };
        Job job = With(Dryer(Job(Board(), chip), 125), In("U1", ExposurePlace.Room, -10, null, 31, 60));
        SubjectDrying loose = DryingPlanner.Plan(job, Now).Subjects.Single(subject => subject.Id == "U1");

        Assert.Equal(0, loose.AdviceH);
        Assert.Contains(
            loose.Findings,
            finding => finding is { Code: "drying.level-1-climate", Verdict: Verdict.Unknown }
        );
    }

    [Theory]
    [InlineData(MoistureLevel.Unknown, MoistureLevel.L3, true)]
    [InlineData(MoistureLevel.L3, MoistureLevel.L3, false)]
    // Not known, but thin: the other one decides.
    [InlineData(MoistureLevel.L3, MoistureLevel.Unknown, false)]
    public void A_label_that_would_shorten_the_bake_is_asked_for_before_the_bake(
        MoistureLevel thick,
        MoistureLevel thin,
        bool asks
    )
    {
        Job job = Dryer(Plain with { Host = Board(Body("U5", 2, thick), Body("U6", 0.6, thin)) }, 90);
        Finding wet = Assert.Single(Host(job).Findings, finding => finding.Code == "drying.not-dry");

        Assert.Equal(asks, wet.Todo!.StartsWith("Look up the moisture level of U5", StringComparison.Ordinal));
        Assert.Contains("Dry the host board first", wet.Todo, StringComparison.Ordinal);
    }

    [Fact]
    public void Board_and_chip_baked_apart_from_each_other_do_not_add_up()
    {
        Job job = Dryer(Plain, 125);
        Exposure[] apart =
        [
            In("host", ExposurePlace.Bake, -400, -340, 125),
            In("U1", ExposurePlace.Bake, -400, -350, 125),
        ];
        Heat placed = new()
        {
            Of = "U1",
            Kind = HeatKind.Place,
            At = Now.AddHours(-300),
        };
        Job after = With(job, apart) with { Stage = JobStage.Placing };
        after = after with { History = after.History with { Heats = [placed] } };

        // The standard's limit is one part's. Baked together afterwards it is 70 h for what was on the board and 60 h for the chip.
        Assert.Equal(60, Host(after).Budget.SpentH, 1e-6);
        Job together = after with
        {
            History = after.History with { Exposures = [.. apart, In("host", ExposurePlace.Bake, -200, -190, 125)] },
        };
        Assert.Equal(70, Host(together).Budget.SpentH, 1e-6);
    }

    [Fact]
    public void A_chip_takes_its_own_bakes_onto_the_board()
    {
        Job job = Dryer(Plain, 125);
        Heat placed = new()
        {
            Of = "U1",
            Kind = HeatKind.Place,
            At = Now.AddHours(-300),
        };
        Job after = With(
            job,
            In("U1", ExposurePlace.Bake, -400, -340, 125),
            In("host", ExposurePlace.Bake, -200, -150, 125)
        );
        after = after with { Stage = JobStage.Placing, History = after.History with { Heats = [placed] } };

        Assert.Equal(110, Host(after).Budget.SpentH, 1e-6);
    }

    [Fact]
    public void A_chip_lifted_and_placed_again_keeps_what_it_spent_on_its_board()
    {
        Job job = Job(Board(Body("U5")), Chip(from: ChipPlace.Host)) with { Stage = JobStage.Placing };
        job = Dryer(
            With(job, In("host", ExposurePlace.Bake, -400, -340, 125), In("U1", ExposurePlace.Bake, -300, -280, 125)),
            125
        );
        Heat lifted = new()
        {
            Of = "U1",
            Kind = HeatKind.Lift,
            At = Now.AddHours(-320),
        };
        Heat placed = new()
        {
            Of = "U1",
            Kind = HeatKind.Place,
            At = Now.AddHours(-250),
        };
        job = job with
        {
            History = job.History with
            {
                Heats = [lifted, placed],
                Exposures = [.. job.History.Exposures, In("host", ExposurePlace.Bake, -200, -170, 125)],
            },
        };

        // 60 h on the host, 20 h loose, 30 h on the host again.
        Assert.Equal(110, Host(job).Budget.SpentH, 1e-6);
    }

    [Fact]
    public void What_overheated_one_part_is_not_hidden_by_another_that_spent_more()
    {
        Job job = Dryer(
            With(Plain, In("host", ExposurePlace.Bake, -400, -350, 120), In("U1", ExposurePlace.Bake, -400, -380, 135)),
            120
        );
        job = job with
        {
            Stage = JobStage.Placing,
            History = job.History with
            {
                Heats =
                [
                    new Heat
                    {
                        Of = "U1",
                        Kind = HeatKind.Place,
                        At = Now.AddHours(-300),
                    },
                ],
            },
        };

        Assert.Equal(20, Host(job).Budget.OverheatedH, 1e-6);
    }
}
