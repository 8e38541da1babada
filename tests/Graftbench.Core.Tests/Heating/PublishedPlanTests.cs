using Graftbench.Core.Heating;
using Graftbench.Core.Jobs;
using Graftbench.Core.Physics.Heat;

namespace Graftbench.Core.Tests.Heating;

public class PublishedPlanTests(ITestOutputHelper output)
{
    // Kind, place, printed figure, how far ours may be off. The example's own grid and reduction are good for a few kelvin; a
    // degree at the end of a slow rise is several seconds above 220 °C. Where its coil and connector stand is not printed:
    // they are put where its board has them in another example.
    private static readonly (HeatLimitKind Kind, string? Place, double Printed, double Within)[] Figures =
    [
        (HeatLimitKind.ColdestJointPeak, null, 232.3, 3),
        (HeatLimitKind.HottestJointPeak, null, 241.3, 3),
        (HeatLimitKind.JointSpread, null, 9.1, 1.5),
        (HeatLimitKind.BodyPeak, "body top", 247.7, 3),
        (HeatLimitKind.MoltenTimeLeast, null, 60, 15),
        (HeatLimitKind.BodyRise, "body top", 1.1, 0.15),
        (HeatLimitKind.NeighbourPeak, "coil", 183, 6),
        (HeatLimitKind.NeighbourPeak, "connector", 119, 8),
        (HeatLimitKind.UndersidePeak, "underside", 235, 3),
    ];

    [Fact]
    public void Its_settings_give_its_figures_and_ours_are_as_good()
    {
        BoardHeatModel model = PublishedPlanExample.Model(overhangMm: 9, topFilm: 90, bottomFilm: 28);
        IReadOnlyList<HeatLimit> limits = PublishedPlanExample.Limits();
        ScheduleOptimiser search = Search(model, limits);
        ScheduleAnswer printed = search.At(PublishedPlanExample.Settings);
        Show("printed settings", limits, printed);
        foreach ((HeatLimitKind kind, string? place, double figure, double within) in Figures)
        {
            int i = limits.ToList().FindIndex(limit => limit.Kind == kind && limit.Place == place);
            Assert.True(
                Math.Abs(printed.Figures[i] - figure) <= within,
                $"{kind} {place}: {printed.Figures[i]:0.0}, printed {figure}"
            );
        }
        ScheduleAnswer ours = search.Solve(400);
        Show("ours", limits, ours);
        Assert.True(ours.Possible);
        Assert.True(Smallest(limits, ours) >= Smallest(limits, printed) - 0.02);
    }

    // The example with an overhang of 2 mm: "no schedule with the coldest joint above 215 °C and a spread below 18 K inside these
    // bounds". Ours trades the body's limit for the coldest joint and comes to 227 °C, 17 K and 255 °C: inside the bounds there is none.
    [Fact]
    public void With_its_narrow_nozzle_there_are_no_settings_and_the_spread_is_what_stands_in_the_way()
    {
        BoardHeatModel model = PublishedPlanExample.Model(overhangMm: 2, topFilm: 115, bottomFilm: 18);
        IReadOnlyList<HeatLimit> limits = PublishedPlanExample.Limits();
        ScheduleAnswer ours = Search(model, limits).Solve(800);
        Show("narrow nozzle", limits, ours);
        Assert.False(ours.Possible);
        int spread = limits.ToList().FindIndex(limit => limit.Kind == HeatLimitKind.JointSpread);
        Assert.InRange(ours.Figures[spread], 16, 20);
    }

    private static ScheduleOptimiser Search(BoardHeatModel model, IReadOnlyList<HeatLimit> limits) =>
        new(
            new RoughModels(2).Reduced(model, rough: true),
            BenchSettings.Of(PublishedPlanExample.Tools, HeatTask.Place, 25, PublishedPlanExample.MoltenC),
            limits,
            PublishedPlanExample.MoltenC,
            2,
            default
        );

    private static double Smallest(IReadOnlyList<HeatLimit> limits, ScheduleAnswer answer) =>
        answer.Figures.Select((figure, i) => RunFigures.Margin(limits[i], figure) / limits[i].Scale).Min();

    private void Show(string what, IReadOnlyList<HeatLimit> limits, ScheduleAnswer answer) =>
        output.WriteLine(
            $"{what}: {string.Join(", ", answer.Values.Select(v => $"{v:0}"))} -> {string.Join(", ", limits.Select((limit, i) => $"{limit.Kind} {limit.Place} {answer.Figures[i]:0.0}"))}; smallest margin {Smallest(limits, answer):0.00}"
        );
}
