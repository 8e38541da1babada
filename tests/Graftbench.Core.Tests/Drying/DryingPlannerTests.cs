using Graftbench.Core.Drying;
using Graftbench.Core.Findings;
using Graftbench.Core.Jobs;
using static Graftbench.Core.Tests.Drying.SampleJob;

namespace Graftbench.Core.Tests.Drying;

public class DryingPlannerTests
{
    private static DryingPlan Plan(Job job) => DryingPlanner.Plan(job, Now);

    private static SubjectDrying Host(Job job) => Plan(job).Subjects[0];

    [Fact]
    public void Advice_is_the_longer_of_table_and_diffusion()
    {
        SubjectDrying host = Host(Job(Board(Body("U5", 1.0), Body("U6", 1.4)), Chip(from: ChipPlace.Shelf)));

        BodyDrying thin = host.Bodies.Single(body => body.Ref == "U5");
        BodyDrying thick = host.Bodies.Single(body => body.Ref == "U6");
        Assert.Equal(9, thin.Table.Hours);
        Assert.True(thin.Diffusion!.SlabH < 9);
        Assert.Equal(9, thin.AdviceH!.Value, 1e-9);
        Assert.True(thick.AdviceH > 9);
        Assert.Equal(thick.Diffusion!.Hours, thick.AdviceH);
    }

    [Fact]
    public void At_70_degrees_the_standard_is_said_not_to_apply()
    {
        Job job = Job(Board(Body("U5", 1.0)), Chip(from: ChipPlace.Shelf));
        SubjectDrying host = Host(job with { Dryer = job.Dryer with { SetC = 70 } });

        Assert.False(host.Bodies[0].Table.Applies);
        Assert.Contains("does not apply at 70 °C", host.Bodies[0].Table.Says, StringComparison.Ordinal);
        // Never below the 125 °C cell carried over: fact sheet, check 32.
        Assert.True(host.Bodies[0].AdviceH >= 71.6 * 0.99);
    }

    [Theory]
    [InlineData(195.0, false)] // fact sheet, check 20: hottest body planned at 195 °C: no board bake required
    [InlineData(200.0, false)]
    [InlineData(205.0, true)] // 205 °C: required
    [InlineData(null, true)] // unknown is never no
    public void The_200_degree_rule_decides_on_the_board_bake(double? hottestC, bool required)
    {
        Job job = Job(Board(Body("U5")), Chip(from: ChipPlace.Shelf));
        SubjectDrying host = Host(job with { Wishes = new Wishes { HottestBodyC = hottestC } });

        Assert.Equal(required ? DryingState.ToDry : DryingState.NoBakeNeeded, host.State);
        Assert.Equal(required, host.AdviceH > 0);
        Assert.Equal(
            !required,
            host.Findings.Any(finding => finding.Code == "drying.no-board-bake" && finding.Verdict == Verdict.Ok)
        );
    }

    [Theory]
    [InlineData(90, Verdict.Blocker)] // fact sheet, check 41: coin cell on the board, bake at 90 °C: refuse
    [InlineData(55, Verdict.FixFirst)] // off the board before any bake
    public void A_coin_cell_on_the_board_stops_the_bake(double setC, Verdict verdict)
    {
        Job job = Job(Board(Body("U5"), Of("BT1", PartKind.CoinCell)), Chip(from: ChipPlace.Shelf));
        SubjectDrying host = Host(job with { Dryer = job.Dryer with { SetC = setC } });

        Finding finding = host.Findings.Single(finding => finding.Code == "drying.take-off-first");
        Assert.Equal(verdict, finding.Verdict);
        Assert.Contains("85 °C", finding.Limit, StringComparison.Ordinal);
        Assert.Equal("BT1", host.RemoveFirst.Single().Ref);
    }

    [Fact]
    public void A_cell_that_was_taken_off_is_gone()
    {
        Part cell = Of("BT1", PartKind.CoinCell) with { TakenOff = true };

        Assert.Empty(Host(Job(Board(Body("U5"), cell), Chip(from: ChipPlace.Shelf))).RemoveFirst);
    }

    [Fact]
    public void The_weakest_part_caps_the_temperature_and_is_listed()
    {
        SubjectDrying host = Host(
            Job(Board(Body("U5"), Of("C9", PartKind.AluminiumElectrolytic)), Chip(from: ChipPlace.Shelf))
        );

        Assert.Equal(85, host.CapC);
        Assert.Equal(85, host.UsedC);
        Assert.Equal("C9", host.RemoveFirst.Single().Ref);
        Assert.Contains(
            host.Findings,
            finding => finding is { Code: "drying.too-hot-for-it", Verdict: Verdict.FixFirst }
        );
    }

    [Fact]
    public void A_limit_from_the_data_sheet_goes_before_the_kind()
    {
        SubjectDrying host = Host(
            Job(
                Board(Body("U5"), Of("C9", PartKind.AluminiumElectrolytic, bakeLimitC: 105)),
                Chip(from: ChipPlace.Shelf)
            )
        );

        Assert.Equal(105, host.CapC);
    }

    [Theory]
    [InlineData(LaminateKind.EpoxyTg110, null, 109)]
    [InlineData(LaminateKind.Unknown, null, 109)]
    [InlineData(LaminateKind.EpoxyTg110, 118.0, 117)]
    [InlineData(LaminateKind.EpoxyTg150, null, 125)]
    public void The_bake_stays_below_the_glass_transition(LaminateKind laminate, double? glassC, double capC) =>
        Assert.Equal(
            capC,
            Host(
                Job(
                    Board(Body("U5")) with
                    {
                        Laminate = laminate,
                        GlassTransitionC = glassC,
                    },
                    Chip(from: ChipPlace.Shelf)
                )
            ).CapC
        );

    [Fact]
    public void Parts_without_a_published_limit_are_unknown_not_ok()
    {
        SubjectDrying host = Host(
            Job(
                Board(Body("U5"), Of("J1", PartKind.PlasticPart), Of("J2", PartKind.PlasticPart)),
                Chip(from: ChipPlace.Shelf)
            )
        );

        Finding finding = host.Findings.Single(finding => finding.Code == "drying.no-published-limit");
        Assert.Equal(Verdict.Unknown, finding.Verdict);
        Assert.Contains("J1, J2", finding.What, StringComparison.Ordinal);
    }

    [Fact]
    public void A_spent_budget_blocks_hot_hours_and_offers_90_degrees()
    {
        // Fact sheet, check 11, in a whole job.
        Job job = Job(Board(Body("U5")), Chip(from: ChipPlace.Shelf));
        job = job with
        {
            History = new History
            {
                Exposures =
                [
                    In("host", ExposurePlace.Bake, -400, -304, 125),
                    In("host", ExposurePlace.Room, -304, null, 25, 50),
                ],
            },
            Dryer = job.Dryer with { SetC = 95 },
        };
        // The bake of 96 h dried it; 304 h in the room used the floor life up.
        SubjectDrying host = Host(job);

        Assert.Equal(0, host.Budget.LeftH);
        Finding blocker = host.Findings.Single(finding => finding.Code == "drying.bake-budget");
        Assert.Equal(Verdict.Blocker, blocker.Verdict);
        Assert.Contains("At 90 °C or below", blocker.Todo, StringComparison.Ordinal);
    }

    [Fact]
    public void Ready_at_is_start_plus_warm_up_plus_advice()
    {
        Job job = Job(Board(Body("U5", 1.0)), Chip(from: ChipPlace.Shelf)) with
        {
            Wishes = new Wishes { StartAt = Now.AddHours(10), LaminateMoisturePercent = 1 },
        };
        SubjectDrying host = Host(job);

        Assert.Equal(Now.AddHours(10), host.StartAt);
        Assert.Equal(Now.AddHours(10 + 0.5 + 9), host.ReadyAt!.Value, TimeSpan.FromSeconds(1));
    }

    [Fact]
    public void A_bake_that_runs_counts_down()
    {
        Job job = Job(Board(Body("U5", 1.0)), Chip(from: ChipPlace.Shelf)) with
        {
            Wishes = new Wishes { LaminateMoisturePercent = 1 },
            History = new History { Exposures = [In("host", ExposurePlace.Bake, -4, null, 125)] },
        };
        SubjectDrying host = Host(job);

        Assert.Equal(DryingState.InDryer, host.State);
        Assert.Equal(3.5, host.DoneH, 1e-9);
        Assert.Equal(Now.AddHours(9.5 - 4), host.ReadyAt!.Value, TimeSpan.FromSeconds(1));
    }

    [Fact]
    public void A_long_break_moves_ready_at_by_its_length()
    {
        // Fact sheet, check 13, in a whole job.
        Job WithBreak(double minutes) =>
            Job(Board(Body("U5", 1.0)), Chip(from: ChipPlace.Shelf)) with
            {
                Wishes = new Wishes { LaminateMoisturePercent = 1 },
                History = new History
                {
                    Exposures =
                    [
                        In("host", ExposurePlace.Bake, -4, null, 125) with
                        {
                            Breaks = [new Break { From = Now.AddHours(-2), To = Now.AddHours(-2).AddMinutes(minutes) }],
                        },
                    ],
                },
            };

        Assert.Equal(20, (Host(WithBreak(20)).ReadyAt!.Value - Host(WithBreak(10)).ReadyAt!.Value).TotalMinutes, 0.01);
    }

    [Fact]
    public void A_finished_bake_is_dry_until_its_windows_end()
    {
        Job job = Job(Board(Body("U5", 1.0)), Chip(from: ChipPlace.Shelf)) with
        {
            Wishes = new Wishes { LaminateMoisturePercent = 1 },
            History = new History
            {
                Exposures =
                [
                    In("host", ExposurePlace.Bake, -24, -14, 125),
                    In("host", ExposurePlace.Room, -14, null, 25, 50),
                ],
            },
        };
        SubjectDrying host = Host(job);

        Assert.Equal(DryingState.Dried, host.State);
        Assert.Equal(0, host.AdviceH);
        Assert.Equal(Now.AddHours(168 - 14), host.Bodies[0].FloorLife.RunsOutAt!.Value, TimeSpan.FromSeconds(1));
        // The board itself: 24 h after its bake ended.
        Assert.Equal(Now.AddHours(24 - 14), host.UseBy!.Value, TimeSpan.FromSeconds(1));
    }

    [Fact]
    public void Chip_on_the_donor_shares_its_exposures_and_is_the_only_body_counted_there()
    {
        Job job = Job(Board(), Chip());
        job = job with { Donor = Board(Body("U9", 3, MoistureLevel.L5A)) };
        DryingPlan plan = Plan(job);

        Assert.Equal(["host", "donor"], plan.Subjects.Select(subject => subject.Id));
        Assert.Equal(["U1"], plan.Subjects[1].Bodies.Select(body => body.Ref));
    }

    [Fact]
    public void A_lifted_chip_stands_on_its_own_with_the_boards_past()
    {
        Job job = Job(Board(), Chip()) with
        {
            History = new History
            {
                Exposures =
                [
                    In("donor", ExposurePlace.Bake, -30, -10, 125),
                    In("donor", ExposurePlace.Room, -10, null, 25, 50),
                    In("U1", ExposurePlace.Room, -8, null, 25, 50),
                ],
                Heats =
                [
                    new Heat
                    {
                        Of = "U1",
                        At = Now.AddHours(-8),
                        Kind = HeatKind.Lift,
                    },
                ],
            },
        };
        DryingPlan plan = Plan(job);
        SubjectDrying chip = plan.Subjects.Single(subject => subject.Id == "U1");

        Assert.Empty(plan.Subjects.Single(subject => subject.Id == "donor").Bodies);
        Assert.Equal(FloorLifeState.Within, chip.Bodies[0].FloorLife.State);
    }

    [Fact]
    public void One_place_in_the_dryer_puts_the_donor_first_and_the_host_after_it()
    {
        Job job = Job(Board(Body("U5")), Chip());
        DryingPlan plan = Plan(job with { Dryer = job.Dryer with { BoardsAtOnce = 1 } });
        SubjectDrying host = plan.Subjects[0];
        SubjectDrying donor = plan.Subjects[1];

        Assert.Equal(donor.ReadyAt, host.StartAt);
        Assert.Equal(host.ReadyAt, plan.ReadyAt);
    }

    [Fact]
    public void Heated_now_says_what_is_left_and_is_not_ok()
    {
        SubjectDrying host = Host(Job(Board(Body("U5")), Chip(from: ChipPlace.Shelf)));

        Assert.Equal(1, host.Bodies[0].IfHeatedNow.MeanFraction, 1e-6);
        Assert.Contains(host.Findings, finding => finding is { Code: "drying.not-dry", Verdict: Verdict.FixFirst });
    }

    [Fact]
    public void A_dryer_too_cold_or_too_wet_gives_no_time()
    {
        Job job = Job(Board(Body("U5", level: MoistureLevel.L5A)), Chip(from: ChipPlace.Shelf));

        SubjectDrying cold = Host(job with { Dryer = job.Dryer with { SetC = 35 } });
        SubjectDrying wet = Host(
            job with
            {
                Dryer = job.Dryer with { SetC = 60, Air = DryerAir.Stated, HumidityPercent = 20 },
            }
        );
        SubjectDrying unset = Host(job with { Dryer = job.Dryer with { SetC = null } });

        Assert.All([cold, wet, unset], subject => Assert.Equal(DryingState.NoAnswer, subject.State));
        Assert.All([cold, wet, unset], subject => Assert.Null(subject.ReadyAt));
        Assert.Contains("never dry in this air", wet.AdviceWhy, StringComparison.Ordinal);
    }

    [Fact]
    public void An_unknown_level_takes_the_most_sensitive_row_and_says_so()
    {
        SubjectDrying host = Host(Job(Board(Body("U5", 1.0, MoistureLevel.Unknown)), Chip(from: ChipPlace.Shelf)));

        Assert.Equal(48, host.Bodies[0].Table.Hours);
        Assert.Contains(
            host.Findings,
            finding => finding is { Code: "drying.level-unknown", Verdict: Verdict.Unknown }
        );
    }

    [Fact]
    public void Planes_in_the_board_make_its_hours_no_proof()
    {
        SubjectDrying host = Host(
            Job(Board(Body("U5")) with { CopperLayers = 6, SolidPlanes = YesNo.Unknown }, Chip(from: ChipPlace.Shelf))
        );

        Assert.True(host.Laminate!.PlanesBarIt);
        Assert.Contains(
            host.Findings,
            finding => finding is { Code: "drying.laminate-planes", Verdict: Verdict.Unknown }
        );
    }

    [Fact]
    public void A_weight_at_rest_ends_the_wait_for_the_laminate()
    {
        Job job = Job(Board() with { ThicknessMm = 3.2 }, Chip(from: ChipPlace.Shelf)) with
        {
            History = new History { Exposures = [In("host", ExposurePlace.Bake, -60, null, 90)] },
        };
        double[] timeH = [0, 8, 16, 24, 32, 40, 48, 56];
        List<Weighing> weighings = timeH
            .Select(t => new Weighing
            {
                Of = "host",
                At = Now.AddHours(-60 + t),
                WeightG = 80 + 0.4 * Math.Exp(-t / 6),
                BalanceErrorG = 0.01,
            })
            .ToList();

        SubjectDrying before = Host(job);
        SubjectDrying after = Host(job with { History = job.History with { Weighings = weighings } });

        Assert.Equal(DryingState.InDryer, before.State);
        Assert.Equal(DryingState.Dried, after.State);
    }

    [Fact]
    public void Two_hundred_bodies_are_planned_and_all_come_back()
    {
        Part[] parts = Enumerable.Range(1, 200).Select(i => Body($"U{i}", 0.6 + 0.02 * (i % 100))).ToArray();

        Assert.Equal(200, Host(Job(Board(parts), Chip(from: ChipPlace.Shelf))).Bodies.Count);
    }

    [Fact]
    public void Calendar_runs_forward_and_ends_with_use_by()
    {
        DryingPlan plan = Plan(Job(Board(Body("U5"), Of("BT1", PartKind.CoinCell)), Chip()));

        Assert.Equal(
            plan.Calendar.OrderBy(entry => entry.From).Select(entry => entry.From),
            plan.Calendar.Select(entry => entry.From)
        );
        Assert.All(plan.Calendar, entry => Assert.True(entry.To >= entry.From));
        Assert.Contains(plan.Calendar, entry => entry.What.StartsWith("take off BT1", StringComparison.Ordinal));
        Assert.Equal("use by", plan.Calendar[^1].What);
    }
}
