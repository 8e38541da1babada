using Graftbench.Core.Heating;
using Graftbench.Core.Jobs;
using Graftbench.Core.Physics.Heat;
using Graftbench.Core.Tests.Heating;

namespace Graftbench.Core.Tests.Physics.Heat;

/// <summary>Cases at the ends of what a document may hold, and grids at the ends of what memory may hold.</summary>
public sealed class HardHeatTests
{
    private static readonly HeatMesh Rough = new(3, 0.6, 8, 12, 4, 0.6, 0, 2);

    public static readonly TheoryData<double, double, double, double, double> Ends = new()
    { // conductivity of the package, of the layer under it, film, duration s, step s
        { 5000, 0.001, 100, 300, 2 },
        { 0.001, 5000, 100, 300, 2 },
        { 5000, 0.001, 1e5, 300, 2 },
        { 5000, 5000, 1e5, 1, 1 },
        { 0.001, 0.001, 1e5, 1, 0.25 },
        { 110, 12, 90, 7200, 60 },
        { 5000, 0.001, 1e5, 7200, 60 },
    };

    [Theory, MemberData(nameof(Ends))]
    public void A_stiff_case_is_solved_or_says_that_it_is_not(
        double package,
        double layer,
        double film,
        double durationS,
        double stepS
    )
    {
        HeatCase heat = HeatCases.Planned(HeatCases.Misaligned, melts: true);
        heat = heat with
        {
            DurationS = durationS,
            TimesS = [durationS / 2, durationS],
            Boxes =
            [
                .. heat.Boxes.Select(box =>
                    box.Name switch
                    {
                        "die" or "substrate" => box with { InPlaneWPerMK = package, ThroughWPerMK = package },
                        "balls" => box with { InPlaneWPerMK = layer, ThroughWPerMK = layer },
                        _ => box,
                    }
                ),
            ],
            Films = [.. heat.Films.Select(f => f.Group == FilmGroup.Top ? f with { FilmWPerM2K = film } : f)],
        };
        HeatForecast forecast = HeatForecaster.Forecast(
            heat,
            Rough with
            {
                StepS = stepS,
            },
            withErrors: true,
            null,
            CancellationToken.None
        );
        Assert.True(forecast.Converged);
        Assert.All(forecast.Probes, p => Assert.All(p.TemperaturesC, t => Assert.InRange(t, 20, 275)));
        Assert.True(double.IsFinite(forecast.EnergyImbalanceFraction));
        Assert.True(forecast.MeshErrorDeltaK is >= 0 && forecast.StepErrorDeltaK is >= 0);
    }

    // A plate that conducts as well as any document may say warms as one body: closed form.
    [Fact]
    public void A_plate_of_the_best_conductor_warms_as_one_body()
    {
        HeatCase heat = new(
            "plate",
            25,
            300,
            [new HeatBox("plate", 0, 100, 0, 80, -1, 0, 5000, 5000, 2000, 1000)],
            [HeatCases.Film(Faces.Top, 20, "gas")],
            [],
            [HeatCases.Steady("gas", 225)],
            [new HeatProbe("p", 31, 17, 0)],
            []
        );
        FullRun run = HeatCases.Run(heat, new HeatMesh(2, 0, 2, 2, 3, 1, 0, 1));
        double exact = 225 - 200 * Math.Exp(-300 / (0.001 * 2e6 / 20));
        Assert.Equal(exact, run.ProbesC[0][^1], 0.05);
    }

    [Fact]
    public void A_solve_that_fails_gives_no_temperatures()
    {
        HeatCase heat = HeatCases.Read(HeatCases.BareBoard) with
        {
            Signals = [HeatCases.Steady("bot", double.NaN), HeatCases.Steady("amb", 25)],
            TimesS = [10],
        };
        HeatForecast forecast = HeatForecaster.Forecast(heat, Rough, withErrors: true, null, CancellationToken.None);
        Assert.False(forecast.Converged);
        Assert.Empty(forecast.Probes);
        Assert.Null(forecast.MeshErrorDeltaK);
    }

    [Fact]
    public void A_cancelled_run_stops()
    {
        using CancellationTokenSource source = new();
        source.Cancel();
        Assert.ThrowsAny<OperationCanceledException>(() =>
            HeatForecaster.Forecast(HeatCases.Read(HeatCases.BareBoard), Rough, withErrors: false, null, source.Token)
        );
    }

    [Fact]
    public void A_grid_that_is_too_large_is_refused_before_it_is_made()
    {
        // 200 crumbs, no two edges on one line: 400 lines each way.
        HeatCase bare = HeatCases.Read(HeatCases.BareBoard);
        HeatCase crumbs = bare with
        {
            Boxes =
            [
                bare.Boxes[0],
                .. Enumerable
                    .Range(0, 200)
                    .Select(i => new HeatBox(
                        $"crumb {i}",
                        0.97 * i,
                        0.97 * i + 0.4,
                        0.73 * i,
                        0.73 * i + 0.3,
                        0,
                        0.1 + 0.013 * i,
                        1,
                        1,
                        2000,
                        900
                    )),
            ],
        };
        JobProblem? refused = CaseForecaster.Refuse(crumbs, HeatMesh.Usual);
        Assert.NotNull(refused);
        Assert.Contains("2,000,000", refused.Allowed, StringComparison.Ordinal);
        Assert.Null(CaseForecaster.Refuse(bare, HeatMesh.Usual));
        Assert.Throws<InvalidOperationException>(() =>
            HeatForecaster.Forecast(crumbs, HeatMesh.Usual, withErrors: false, null, CancellationToken.None)
        );
    }

    // The most that documents may ask for: 600 boxes over 4 m with 0.001 mm layers, on every mesh.
    [Fact]
    public void The_largest_document_gives_a_count_and_no_overflow()
    {
        HeatCase most = HeatCases.Read(HeatCases.BareBoard) with
        {
            Boxes =
            [
                .. Enumerable
                    .Range(0, 600)
                    .Select(i => new HeatBox(
                        $"{i}",
                        -2000 + i,
                        2000 - i * 1.7,
                        -2000 + i * 1.3,
                        2000 - i,
                        -300 + i * 0.41,
                        300 - i * 0.3,
                        1,
                        1,
                        1,
                        10
                    )),
            ],
        };
        Assert.NotNull(CaseForecaster.Refuse(most, HeatMesh.Fine));
    }

    // The grid of plans draws edges of neighbours together; a small box with a probe on it must not vanish by that.
    [Fact]
    public void A_small_box_with_a_probe_on_it_is_read_and_not_the_air()
    {
        HeatCase heat = HeatCases.Read(HeatCases.Misaligned) with { TimesS = [10, 20] };
        heat = heat with
        {
            DurationS = 20,
            Boxes = [.. heat.Boxes, new HeatBox("crumb", 10, 11, 10, 11, 0, 0.3, 1, 1, 2000, 900)],
            Probes = [.. heat.Probes, new HeatProbe("crumb", 10.5, 10.5, 0.3)],
        };
        HeatForecast forecast = HeatForecaster.Forecast(
            heat,
            HeatMesh.Plan,
            withErrors: true,
            null,
            CancellationToken.None
        );
        Assert.True(forecast.Converged);
        Assert.All(forecast.Probes, p => Assert.All(p.TemperaturesC, t => Assert.InRange(t, 20, 200)));
        HeatNetwork network = HeatNetwork.Of(heat, HeatMesh.Plan, HeatFactors.Nominal);
        Assert.Contains((short)(heat.Boxes.Count - 1), network.BoxAt);
    }

    [Theory, InlineData(1), InlineData(2), InlineData(3), InlineData(4), InlineData(5)]
    public void A_board_of_five_hundred_neighbours_still_fits_a_plan_s_grid(int seed)
    {
        Random random = new(seed);
        Part[] parts =
        [
            .. Enumerable
                .Range(0, 500)
                .Select(i => new Part
                {
                    Ref = $"C{i}",
                    Kind = PartKind.CeramicCapacitor,
                    XMm = 10 + 280 * random.NextDouble(),
                    YMm = 10 + 180 * random.NextDouble(),
                    LengthMm = 1 + 8 * random.NextDouble(),
                    WidthMm = 1 + 8 * random.NextDouble(),
                    HeightMm = 0.5 + 9 * random.NextDouble(),
                }),
        ];
        BoardHeatModel model = BoardModelBuilder.Build(
            HeatJob.Job(parts),
            HeatTask.Place,
            "G1",
            new Nozzle { Name = "45 square", LengthMm = 45 },
            null
        );
        Assert.True(model.Usable);
        Assert.True(model.Case.Boxes.Count > 30, $"{model.Case.Boxes.Count} boxes");
        long points = HeatGrid.Of(HeatModels.Bare(model), HeatModels.MeshFor(model)).PointsNumber;
        TestContext.Current.SendDiagnosticMessage($"{points} points, {model.Case.Boxes.Count} boxes");
        Assert.InRange(points, 1000, 400_000);
        // A block that the grid has swallowed would be read in the air, at absolute zero.
        HeatNetwork network = HeatNetwork.Of(HeatModels.Bare(model), HeatModels.MeshFor(model), HeatFactors.Nominal);
        Assert.All(FieldSampler.Nearest(network, HeatModels.Points(model)).Covered, Assert.True);
    }
}
