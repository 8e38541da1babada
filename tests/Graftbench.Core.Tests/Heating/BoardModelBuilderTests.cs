using CsCheck;
using Graftbench.Core.Findings;
using Graftbench.Core.Heating;
using Graftbench.Core.Jobs;
using Graftbench.Core.Physics.Heat;

namespace Graftbench.Core.Tests.Heating;

public class BoardModelBuilderTests
{
    private static readonly Nozzle Square45 = new() { Name = "45 square", LengthMm = 45 };

    private static BoardHeatModel Place(Job job, Nozzle? nozzle = null, double? flowPercent = null) =>
        Checked(BoardModelBuilder.Build(job, HeatTask.Place, "G1", nozzle ?? Square45, flowPercent));

    private static BoardHeatModel Checked(BoardHeatModel model)
    {
        ModelChecks.Whole(model);
        return model;
    }

    private static HeatBox Box(BoardHeatModel model, string name) => model.Case.Boxes.Single(box => box.Name == name);

    [Fact]
    public void A_whole_job_gives_a_chip_that_stands_on_its_board()
    {
        BoardHeatModel model = Place(HeatJob.Job());
        Assert.True(model.Usable);
        Assert.Equal((217, 220), (model.SolidusC, model.MoltenC));
        Assert.Equal((187.5, 222.5, 52.5, 87.5), (model.Chip.X0Mm, model.Chip.X1Mm, model.Chip.Y0Mm, model.Chip.Y1Mm));
        Assert.Equal((182.5, 227.5), (model.Nozzle.X0Mm, model.Nozzle.X1Mm));
        Assert.Equal((-1.6, 0), (Box(model, "board").Z0Mm, Box(model, "board").Z1Mm));
        Assert.Equal((0, 0.45), (Box(model, "balls").Z0Mm, Box(model, "balls").Z1Mm));
        Assert.Equal(2.75, Box(model, "die").Z1Mm, 9);
        Assert.Equal(["gas", "preheater", "room"], model.Case.Signals.Select(signal => signal.Name));
        Assert.All(model.Case.Signals, signal => Assert.Equal(22, signal.Points.Single().TemperatureC));
    }

    [Fact]
    public void The_ball_layer_holds_the_mass_of_the_balls()
    {
        // 1156 spheres of 0.6 mm in SAC305 (7.38 g/cm³): 1156 · π/6 · 0.6³ mm³ · 7.38e-3 g/mm³.
        BoardHeatModel model = Place(HeatJob.Job());
        HeatBox balls = Box(model, "balls");
        double grams =
            (balls.X1Mm - balls.X0Mm)
            * (balls.Y1Mm - balls.Y0Mm)
            * (balls.Z1Mm - balls.Z0Mm)
            * 1e-9
            * balls.DensityKgPerM3
            * 1e3;
        Assert.Equal(1156 * Math.PI / 6 * 0.216 * 7.38e-3, grams, 1e-9);
        Assert.Equal((65600, 217, 220), (balls.Melting!.LatentJPerKg, balls.Melting.SolidusC, balls.Melting.LiquidusC));
    }

    [Fact]
    public void Films_are_those_of_the_thermal_model_s_table()
    {
        BoardHeatModel model = Place(HeatJob.Job());
        (FilmGroup, Faces, double)[] films =
        [
            .. model.Case.Films.Select(film => (film.Group, film.Faces, film.FilmWPerM2K)),
        ];
        Assert.Equal(
            [
                (FilmGroup.Top, Faces.Top, 100),
                (FilmGroup.Top, Faces.Side, 50),
                (FilmGroup.Spill, Faces.Top, 35),
                (FilmGroup.Spill, Faces.Top, 12),
                (FilmGroup.Ambient, Faces.Top, 7),
                (FilmGroup.Bottom, Faces.Bottom, 18),
            ],
            films
        );
        HeatFilm near = model.Case.Films[2];
        Assert.Equal((172.5, 182.5), (near.Inside!.X0Mm, near.Outside!.X0Mm));
        Assert.Equal([0.6, 0.4], near.Sink.Select(share => share.ShareFraction));
        Assert.DoesNotContain("balls", model.Case.Films[1].OnlyBoxes);
    }

    [Fact]
    public void A_weaker_flow_heats_less_and_is_less_sure()
    {
        BoardHeatModel full = Place(HeatJob.Job());
        BoardHeatModel half = Place(HeatJob.Job(), flowPercent: 50);
        Assert.Equal(100 * Math.Pow(0.5, 0.6), half.Case.Films[0].FilmWPerM2K, 9);
        Assert.True(Sd(half, "film.top") > Sd(full, "film.top"));
        Assert.Equal(0.20, Sd(full, "film.top"), 9);

        static double Sd(BoardHeatModel model, string code) =>
            model.Assumptions.Single(one => one.Code == code).LogSdRatio;
    }

    [Fact]
    public void A_film_from_a_trial_run_is_measured_and_surer()
    {
        Job job = HeatJob.Job();
        HeatTools tools = job.Bench.Heat;
        BoardHeatModel model = Place(
            job with
            {
                Bench = job.Bench with { Heat = tools with { Gas = tools.Gas with { FilmWPerM2K = 130 } } },
            }
        );
        HeatAssumption film = model.Assumptions.Single(one => one.Code == "film.top");
        Assert.Equal((true, 0.05, "job-file"), (film.Measured, film.LogSdRatio, film.Source));
        Assert.Equal(130, model.Case.Films[0].FilmWPerM2K);
    }

    // rotation, where A1 (row 1, column 1) lies from the centre: upper left at 0, counter-clockwise turns.
    [Theory]
    [InlineData(0, -16.5, 11.5)]
    [InlineData(90, -11.5, -16.5)]
    [InlineData(180, 16.5, -11.5)]
    [InlineData(270, 11.5, 16.5)]
    [InlineData(-90, 11.5, 16.5)]
    public void Corner_joints_turn_with_the_chip(double rotationDeg, double dxMm, double dyMm)
    {
        Chip chip = HeatJob.Chip with { BodyWidthMm = 25, Rows = 24, BallCount = 816, RotationDeg = rotationDeg };
        BoardHeatModel model = Place(HeatJob.Job() with { Chips = [chip] });
        HeatPlace a1 = model.Places.Single(place => place.Name == "joint 1,1");
        Assert.Equal((205 + dxMm, 70 + dyMm), (a1.XMm, a1.YMm));
        Assert.Equal(49, model.Places.Count(place => place.Kind == HeatPlaceKind.Joint));
        Assert.Contains(model.Places, place => place.Name == "joint 24,34");
        Assert.Equal(rotationDeg % 180 == 0 ? 35 : 25, model.Chip.X1Mm - model.Chip.X0Mm, 9);
    }

    [Fact]
    public void A_copper_poor_corner_conducts_less_and_a_rich_one_more()
    {
        CopperRegion[] regions =
        [
            new()
            {
                Amount = CopperAmount.Poor,
                XMm = 235,
                YMm = -10,
                LengthMm = 100,
                WidthMm = 65,
            },
            new()
            {
                Amount = CopperAmount.Rich,
                XMm = 0,
                YMm = 0,
                LengthMm = 120,
                WidthMm = 200,
                CopperThicknessMm = 0.3,
            },
        ];
        Job job = HeatJob.Job();
        BoardHeatModel model = Place(job with { Host = job.Host with { CopperRegions = regions } });
        Assert.Equal(BoardMixture.Of(1.6, 0.028).InPlaneWPerMK, Box(model, "region 1").InPlaneWPerMK, 9);
        Assert.Equal(BoardMixture.Of(1.6, 0.3).InPlaneWPerMK, Box(model, "region 2").InPlaneWPerMK, 9);
        Assert.Equal((235, 300, 0, 55), Sides(Box(model, "region 1")));

        static (double, double, double, double) Sides(HeatBox box) => (box.X0Mm, box.X1Mm, box.Y0Mm, box.Y1Mm);
    }

    [Fact]
    public void Copper_that_nobody_entered_is_assumed_from_the_layers_and_less_sure()
    {
        Job job = HeatJob.Job();
        BoardHeatModel model = Place(job with { Host = job.Host with { CopperThicknessMm = null, CopperLayers = 6 } });
        HeatAssumption copper = model.Assumptions.Single(one => one.Code == "board.copper");
        Assert.False(copper.Measured);
        Assert.True(copper.LogSdRatio > 0.35);
        // Six layers of 35 µm, half of each a plane: the 25 W/(m K) of a usual board, within 10 %.
        Assert.Equal(25, Box(model, "board").InPlaneWPerMK, 2.5);
    }

    [Fact]
    public void A_part_below_the_board_hangs_below_it()
    {
        Part part = HeatJob.Part("C1", PartKind.PolymerCapacitor, 205, 70) with { Side = BoardSide.Bottom };
        HeatBox box = Box(Place(HeatJob.Job(part)), "part C1");
        Assert.Equal((-3.6, -1.6), (box.Z0Mm, box.Z1Mm));
    }

    [Fact]
    public void A_part_keeps_its_heat_capacity_on_the_lattice()
    {
        Part part = HeatJob.Part("U2", PartKind.MouldedPackage, 150.3, 70.4) with
        {
            LengthMm = 10.2,
            WidthMm = 22.2,
            HeightMm = 1.2,
            RotationDeg = 90,
        };
        HeatBox box = Box(Place(HeatJob.Job(part)), "part U2");
        double heat =
            (box.X1Mm - box.X0Mm)
            * (box.Y1Mm - box.Y0Mm)
            * (box.Z1Mm - box.Z0Mm)
            * box.DensityKgPerM3
            * box.SpecificHeatJPerKgK;
        Assert.Equal(10.2 * 22.2 * 1.2 * 2100 * 900, heat, 1);
        Assert.True(box.X1Mm - box.X0Mm > box.Y1Mm - box.Y0Mm);
    }

    [Fact]
    public void A_block_never_touches_the_chip()
    {
        // 0.05 mm beside the chip's edge at 222.4 mm: rounding to whole millimetres must not make a bridge.
        Part part = HeatJob.Part("R1", PartKind.Other, 222.45 + 5, 70);
        Job job = HeatJob.Job(part) with { Chips = [HeatJob.Chip with { XMm = 204.9 }] };
        Assert.Equal(222.9, Box(Place(job), "part R1").X0Mm, 9);
    }

    [Fact]
    public void A_foil_keeps_the_spilled_gas_off_and_shines()
    {
        Part part = HeatJob.Part("C1", PartKind.AluminiumElectrolytic, 235, 70) with { Shield = HeatShield.Foil };
        BoardHeatModel model = Place(HeatJob.Job(part, HeatJob.Part("C2", PartKind.Other, 150, 70)));
        Assert.All(
            model.Case.Films.Where(film => film.Group == FilmGroup.Spill),
            film =>
            {
                Assert.DoesNotContain("part C1", film.OnlyBoxes);
                Assert.Contains("part C2", film.OnlyBoxes);
            }
        );
        Assert.Contains(
            model.Case.Radiation,
            patch => patch.EmissivityRatio == 0.15 && patch.OnlyBoxes.SequenceEqual(["part C1"])
        );
    }

    [Fact]
    public void Tape_changes_nothing()
    {
        Part part = HeatJob.Part("C1", PartKind.Other, 235, 70);
        BoardHeatModel bare = Place(HeatJob.Job(part));
        BoardHeatModel taped = Place(HeatJob.Job(part with { Shield = HeatShield.Tape }));
        Assert.Equal(bare.Case.Films.Count, taped.Case.Films.Count);
        Assert.All(taped.Case.Films.Where(film => film.Group == FilmGroup.Spill), film => Assert.Empty(film.OnlyBoxes));
    }

    [Fact]
    public void Heater_zones_and_the_rest_cover_the_board_once()
    {
        Job job = HeatJob.Job();
        HeatTools tools = job.Bench.Heat;
        HeaterZone[] zones =
        [
            new()
            {
                Name = "left",
                XMm = -20,
                YMm = 20,
                LengthMm = 120,
                WidthMm = 160,
            },
            new()
            {
                Name = "middle",
                XMm = 100,
                YMm = 20,
                LengthMm = 100,
                WidthMm = 160,
                SharePercent = 60,
            },
            new()
            {
                Name = "off",
                XMm = 200,
                YMm = 20,
                LengthMm = 100,
                WidthMm = 160,
                SharePercent = 0,
            },
        ];
        BoardHeatModel model = Place(
            job with
            {
                Bench = job.Bench with { Heat = tools with { Preheater = tools.Preheater with { Zones = zones } } },
            }
        );
        List<HeatFilm> films = [.. model.Case.Films.Where(film => film.Faces == Faces.Bottom)];
        double areaMm2 = films.Sum(film =>
            (film.Inside!.X1Mm - film.Inside.X0Mm) * (film.Inside.Y1Mm - film.Inside.Y0Mm)
        );
        Assert.Equal(300 * 200, areaMm2, 6);
        Assert.Equal(
            [1, 0.6],
            films.Where(film => film.Group == FilmGroup.Bottom).Select(film => film.Sink[0].ShareFraction)
        );
    }

    [Fact]
    public void A_round_nozzle_is_the_square_of_equal_area()
    {
        BoardHeatModel model = Place(
            HeatJob.Job(),
            new Nozzle
            {
                Name = "round",
                LengthMm = 50,
                Round = true,
            }
        );
        double edgeMm = model.Nozzle.X1Mm - model.Nozzle.X0Mm;
        Assert.Equal(Math.PI * 25 * 25, edgeMm * edgeMm, 6);
    }

    [Theory]
    [InlineData(50, false)]
    [InlineData(49, true)]
    [InlineData(40, true)]
    public void A_round_nozzle_that_misses_the_corners_is_said_so(double acrossMm, bool said)
    {
        // The diagonal of 35 x 35 mm is 49.5 mm; the square of equal area covers the chip from 39.5 mm on.
        Nozzle round = new()
        {
            Name = "round",
            LengthMm = acrossMm,
            Round = true,
        };
        Assert.Equal(said, Place(HeatJob.Job(), round).Findings.Any(one => one.Code == NozzleLayout.CornersCode));
    }

    [Fact]
    public void Walls_outside_a_nozzle_that_is_too_small_get_only_what_spills_over()
    {
        BoardHeatModel model = Place(HeatJob.Job(), new Nozzle { Name = "small", LengthMm = 25 });
        List<HeatFilm> walls = [.. model.Case.Films.Where(film => film.OnlyBoxes.Contains("substrate"))];
        Assert.All(walls, film => Assert.Equal(Faces.Side, film.Faces));
        // 0.5 · 100 under the nozzle; 0.5 · 35 and 0.5 · 12 in the rings; 7 to the room, as the walls of neighbours.
        Assert.Equal([50, 17.5, 6, 7], walls.Select(film => film.FilmWPerM2K));
        RectMm reached = model.Nozzle;
        Assert.Equal(reached, walls[0].Inside);
        Assert.Equal((reached, 0.6), (walls[1].Outside, walls[1].Sink[0].ShareFraction));
        Assert.Equal(reached, walls[3].Outside);
    }

    [Fact]
    public void A_loose_chip_lies_on_its_back_with_the_balls_up()
    {
        BoardHeatModel model = Checked(
            BoardModelBuilder.Build(HeatJob.Job(), HeatTask.AttachBalls, "G1", Square45, null)
        );
        HeatBox balls = Box(model, "balls");
        Assert.Equal(model.Case.Boxes.Max(box => box.Z1Mm), balls.Z1Mm);
        Assert.Equal(0, Box(model, "die").Z0Mm, 9);
        Assert.Equal(0, model.Places.Single(place => place.Kind == HeatPlaceKind.BodyTop).ZMm);
        Assert.Contains(model.Assumptions, one => one.Code == "carrier");
    }

    [Fact]
    public void A_lidded_chip_has_air_between_die_and_rim()
    {
        Chip chip = HeatJob.Chip with { Top = BodyTop.Lid, BodyThicknessMm = 3.2 };
        BoardHeatModel model = Place(HeatJob.Job() with { Chips = [chip] });
        Assert.Equal(Box(model, "lid").Z1Mm, Box(model, "substrate").Z1Mm + 2.0, 9);
        Assert.True(Box(model, "die attach").Z1Mm <= Box(model, "air under the lid").Z1Mm + 1e-9);
        Assert.Contains(model.Case.Radiation, patch => patch.OnlyBoxes.SequenceEqual(["lid"]));
    }

    [Fact]
    public void A_chip_from_a_donor_goes_where_the_old_one_sits()
    {
        Chip moved = HeatJob.Chip with { From = ChipPlace.Donor, XMm = 50, YMm = 60 };
        Chip old = HeatJob.Chip with { Id = "OLD", From = ChipPlace.Host, To = ChipPlace.Scrap, XMm = 120, YMm = 80 };
        Job job = HeatJob.Job() with { Chips = [moved, old], Donor = HeatJob.Board() };
        Assert.Equal(120 - 17.5, Place(job).Chip.X0Mm);
        BoardHeatModel lift = Checked(BoardModelBuilder.Build(job, HeatTask.Lift, "G1", Square45, null));
        Assert.Equal(50 - 17.5, lift.Chip.X0Mm);
        Job told = job with { Chips = [moved with { HostXMm = 90, HostYMm = 70 }, old] };
        Assert.Equal(90 - 17.5, Place(told).Chip.X0Mm);
    }

    public static readonly TheoryData<string, string> BadInput = new()
    {
        { "no-place", "heat.chip-without-place" },
        { "off-board", "heat.chip-off-board" },
        { "copper", "heat.board-thinner-than-copper" },
        { "nozzle", "heat.nozzle-larger-than-board" },
        { "small-nozzle", "heat.nozzle-smaller-than-chip" },
        { "no-heater", "heat.no-heater" },
        { "cold-limit", "heat.limit-below-room" },
        { "cell", "heat.cell-on-board" },
        { "alloy", "heat.alloy-not-in-table" },
        { "no-alloy", "heat.alloy-unknown" },
        { "mixed", "heat.mixed-alloys" },
        { "bismuth", "heat.lead-meets-bismuth" },
        { "crowd", "heat.parts-left-out" },
        { "shelf-lift", "heat.nothing-to-lift" },
        { "no-chip", "heat.no-such-chip" },
        { "nan", "heat.size-missing" },
        { "balls", "heat.balls-do-not-fit" },
        { "field", "heat.ball-field-beyond-body" },
        { "substrate", "heat.substrate-thicker-than-body" },
        { "heater-beside", "heat.heater-beside-board" },
        { "unknown-limit", "heat.part-without-limit" },
        { "under", "heat.part-where-the-chip-goes" },
        { "covered", "heat.nozzle-over-parts" },
        { "unplaced", "heat.part-without-place" },
    };

    [Theory, MemberData(nameof(BadInput))]
    public void Bad_input_is_a_finding(string sort, string code)
    {
        Job job = HeatJob.Job();
        Chip chip = HeatJob.Chip;
        HeatTask task = HeatTask.Place;
        Nozzle nozzle = Square45;
        string id = "G1";
        switch (sort)
        {
            case "no-place":
                job = HeatJob.Job(HeatJob.Part("C1", PartKind.Other, 50, 50)) with
                {
                    Chips = [chip with { XMm = null }],
                };
                break;
            case "off-board":
                job = job with { Chips = [chip with { XMm = 290 }] };
                break;
            case "copper":
                job = job with { Host = job.Host with { ThicknessMm = 0.4, CopperThicknessMm = 0.5 } };
                break;
            case "nozzle":
                nozzle = Square45 with { LengthMm = 200, WidthMm = 210 };
                break;
            case "small-nozzle":
                nozzle = Square45 with { LengthMm = 30 };
                break;
            case "no-heater":
                job = job with { Bench = new Bench() };
                break;
            case "cold-limit":
                job = HeatJob.Job(HeatJob.Part("C1", PartKind.Other, 50, 50) with { PeakLimitC = 20 });
                break;
            case "cell":
                job = HeatJob.Job(HeatJob.Part("BT1", PartKind.CoinCell, 50, 50));
                break;
            case "alloy":
                job = job with { Materials = job.Materials with { BallAlloy = "SAC309" } };
                break;
            case "no-alloy":
                job = job with { Materials = new Materials(), Chips = [chip with { BallAlloy = null }] };
                break;
            case "mixed":
                job = job with { Materials = job.Materials with { LandAlloy = "Sn63Pb37" } };
                break;
            case "bismuth":
                job = job with { Materials = job.Materials with { BallAlloy = "Sn42Bi58", LandAlloy = "Sn63Pb37" } };
                break;
            case "crowd":
                job = HeatJob.Job([
                    .. Enumerable
                        .Range(0, 500)
                        .Select(i =>
                            HeatJob.Part($"C{i}", PartKind.CeramicCapacitor, 5 + i % 60 * 5, 120 + i / 60 * 8, 3.2)
                        ),
                ]);
                break;
            case "shelf-lift":
                task = HeatTask.Lift;
                break;
            case "no-chip":
                id = "X9";
                break;
            case "nan":
                job = job with { Host = job.Host with { ThicknessMm = double.NaN } };
                break;
            case "balls":
                job = job with { Materials = new Materials { BallDiameterMm = 1.5 } };
                break;
            case "field":
                job = job with { Chips = [chip with { PitchMm = 1.27 }] };
                break;
            case "substrate":
                job = job with { Chips = [chip with { SubstrateThicknessMm = 2.4 }] };
                break;
            case "heater-beside":
                BottomHeater beside = new()
                {
                    LengthMm = 50,
                    WidthMm = 50,
                    XMm = -200,
                    YMm = 10,
                    MaxC = 300,
                };
                job = job with { Bench = job.Bench with { Heat = job.Bench.Heat with { Preheater = beside } } };
                break;
            case "unknown-limit":
                job = HeatJob.Job(HeatJob.Part("L1", PartKind.Other, 240, 70));
                break;
            case "under":
                job = HeatJob.Job(HeatJob.Part("U1", PartKind.BallGridPackage, 205, 70, 35));
                break;
            case "covered":
                job = HeatJob.Job(HeatJob.Part("C1", PartKind.CeramicCapacitor, 225, 70, 3));
                break;
            case "unplaced":
                job = HeatJob.Job(HeatJob.Part("C1", PartKind.Other, 50, 50) with { XMm = null });
                break;
        }
        BoardHeatModel model = Checked(BoardModelBuilder.Build(job, task, id, nozzle, null));
        Finding finding = model.Findings.First(one => one.Code == code);
        Assert.False(string.IsNullOrWhiteSpace(finding.Todo), code);
        Assert.Equal(Finding.WorstFirst(model.Findings), model.Findings);
    }

    // balls, lands, first melt, molten, whether the work stops. 176.5 °C: end of freezing with lead (quaternary eutectic 177 to
    // 178 °C); 95 °C: tin-bismuth-lead eutectic, measured 95 to 96 °C. Molten: the higher of the two alloys.
    [Theory]
    [InlineData("SAC305", "Sn63Pb37", 176.5, 220, false)]
    [InlineData("Sn63Pb37", "SAC305", 176.5, 220, false)]
    [InlineData("Sn42Bi58", "SAC305", 138, 220, false)]
    [InlineData("Sn42Bi58", "Sn63Pb37", 95, 183, true)]
    [InlineData("SAC305", "SAC305", 217, 220, false)]
    public void Two_alloys_in_a_joint_are_held_to_the_worse_of_both(
        string balls,
        string lands,
        double solidusC,
        double moltenC,
        bool stops
    )
    {
        Job job = HeatJob.Job();
        BoardHeatModel model = Place(
            job with
            {
                Materials = job.Materials with { BallAlloy = balls, LandAlloy = lands },
            }
        );
        Assert.Equal((solidusC, moltenC), (model.SolidusC, model.MoltenC));
        Assert.Equal(stops, model.Findings.Any(finding => finding.Verdict == Verdict.Blocker));
    }

    // Ball of 0.6 mm, dome πh(3a² + h²)/6 of the other alloy on a land of 0.5 mm, half of it more or less (two standard
    // deviations of the usual 25 %). Full melt between the rows of the fact sheet 'solder alloys', 3.4, and 3 K (6 K for bismuth): tin-lead with
    // 4.4 % SAC305; SAC305 with 10.7 % tin-lead; SAC305 with 0.5 %, which stays below the worse of both; tin-bismuth with 8.5 %.
    [Theory]
    [InlineData("Sn63Pb37", "SAC305", 0.04, 176.5, 182.82 + 0.44 * 2.24 + 3, 0.3)]
    [InlineData("SAC305", "Sn63Pb37", 0.2, 176.5, 215.06 - 0.07 * 4.56 + 3, 0.3)]
    [InlineData("SAC305", "Sn63Pb37", 0.01, 176.5, 220, 1e-9)]
    [InlineData("Sn42Bi58", "SAC305", 0.08, 137.1, 140.3 + 0.85 * 6.7 + 6, 1)]
    public void Two_alloys_of_known_amounts_are_held_to_their_mixture(
        string balls,
        string lands,
        double domeMm,
        double solidusC,
        double moltenC,
        double toleranceC
    )
    {
        BoardHeatModel model = Place(Known(balls, lands, domeMm));
        Assert.Equal(solidusC, model.SolidusC, 0.2);
        Assert.Equal(moltenC, model.MoltenC, toleranceC);
        Finding mixed = model.Findings.Single(finding => finding.Code == "heat.mixed-alloys");
        Assert.Contains("by the amounts entered", mixed.What, StringComparison.Ordinal);
        Assert.DoesNotContain(model.Findings, finding => finding.Verdict == Verdict.Blocker);
    }

    [Fact]
    public void Known_amounts_do_not_let_lead_meet_bismuth_nor_hide_an_assumed_one()
    {
        BoardHeatModel refused = Place(Known("Sn42Bi58", "Sn63Pb37", 0.02));
        Assert.Equal((95, 183), (refused.SolidusC, refused.MoltenC));
        Assert.Contains(refused.Findings, finding => finding.Code == "heat.lead-meets-bismuth");
        BoardHeatModel bare = Place(Known("Sn63Pb37", "SAC305", 0));
        Assert.Equal((176.5, 220), (bare.SolidusC, bare.MoltenC));
        Assert.Contains(
            bare.Findings,
            finding =>
                finding.Code == "heat.mixed-alloys" && finding.What.Contains("not entered", StringComparison.Ordinal)
        );
    }

    private static Job Known(string balls, string lands, double domeMm)
    {
        Job job = HeatJob.Job();
        return job with
        {
            Materials = job.Materials with { BallAlloy = balls, LandAlloy = lands },
            Chips =
            [
                job.Chips[0] with
                {
                    BallAlloy = balls,
                    Seat = new Seat
                    {
                        PackagePadMm = 0.5,
                        BoardPadMm = 0.5,
                        DomeHeightMm = domeMm,
                    },
                },
            ],
        };
    }

    [Fact]
    public void Five_hundred_neighbours_stay_a_bounded_model()
    {
        Part[] parts =
        [
            .. Enumerable.Range(0, 600).Select(i => HeatJob.Part($"C{i}", PartKind.Other, i % 30 * 10, i / 30 * 10, 9)),
        ];
        BoardHeatModel model = Place(HeatJob.Job(parts));
        Assert.Equal(60, model.Case.Boxes.Count(box => box.Name.StartsWith("part ", StringComparison.Ordinal)));
        Assert.Equal(200, model.Places.Count(place => place.Kind == HeatPlaceKind.NeighbourBody));
    }

    [Fact]
    public void Any_job_gives_a_whole_model_or_findings()
    {
        Gen<double?> size = Gen.OneOf(Gen.Double[0.1, 60].Select(v => (double?)v), Gen.Const((double?)null));
        Gen<double> wide = Gen.OneOf(Gen.Double[-50, 350], Gen.Const(0.0), Gen.Const(1e9));
        Gen<Part> part =
            from kind in Gen.Enum<PartKind>()
            from x in wide
            from y in wide
            from length in size
            from width in size
            from height in size
            from turn in Gen.Double[-360, 360]
            from shield in Gen.Enum<HeatShield>()
            from side in Gen.Enum<BoardSide>()
            select new Part
            {
                Ref = "P",
                Kind = kind,
                XMm = x,
                YMm = y,
                LengthMm = length,
                WidthMm = width,
                HeightMm = height,
                RotationDeg = turn,
                Shield = shield,
                Side = side,
            };
        Gen<Chip> chip =
            from length in Gen.Double[1, 60]
            from width in Gen.Double[1, 60]
            from thickness in Gen.Double[0.2, 10]
            from substrate in size
            from die in size
            from ball in size
            from pitch in Gen.Double[0.2, 2.54]
            from rows in Gen.Int[1, 100]
            from turn in Gen.Double[-360, 360]
            from top in Gen.Enum<BodyTop>()
            select HeatJob.Chip with
            {
                BodyLengthMm = length,
                BodyWidthMm = width,
                BodyThicknessMm = thickness,
                SubstrateThicknessMm = substrate,
                DieLengthMm = die,
                DieThicknessMm = die,
                BallDiameterMm = ball,
                StandoffMm = null,
                PitchMm = pitch,
                Rows = rows,
                Columns = rows,
                BallCount = null,
                RotationDeg = turn,
                Top = top,
            };
        Gen.Select(chip, part.Array[0, 12], Gen.Enum<HeatTask>(), Gen.Double[0.1, 10], size, Gen.Double[0.1, 400])
            .Sample(
                (one, parts, task, thicknessMm, copperMm, nozzleMm) =>
                {
                    Job job = HeatJob.Job(parts);
                    job = job with
                    {
                        Chips = [one with { From = task == HeatTask.Lift ? ChipPlace.Host : ChipPlace.Shelf }],
                        Host = job.Host with { ThicknessMm = thicknessMm, CopperThicknessMm = copperMm },
                        Materials = new Materials(),
                    };
                    Nozzle nozzle = new() { Name = "n", LengthMm = nozzleMm };
                    ModelChecks.Whole(BoardModelBuilder.Build(job, task, "G1", nozzle, 40));
                },
                iter: 300
            );
    }
}
