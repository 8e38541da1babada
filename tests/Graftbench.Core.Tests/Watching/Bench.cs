using Graftbench.Core.Heating;
using Graftbench.Core.Physics.Heat;
using Graftbench.Core.Tests.Heating;
using Graftbench.Core.Watching;

namespace Graftbench.Core.Tests.Watching;

/// <summary>An invented bench for the tests of the watch: the worked planning example's board, with joints that melt.</summary>
internal static class Bench
{
    public static WatchProbe Board5 { get; } = Probe("board", 182.5, 70, 0);

    public static WatchProbe Top { get; } = Probe("top", 205, 70, 2.55);

    public static WatchProbe Underside { get; } = Probe("underside", 205, 70, -1.6);

    public static WatchProbe Diagonal { get; } = Probe("diagonal", 228.2, 46.8, 0);

    /// <summary>The board with a nozzle that reaches beyond the chip by so much.</summary>
    public static BoardHeatModel Model(bool melts, double overhangMm, double topFilm, double bottomFilm)
    {
        BoardHeatModel model = PublishedPlanExample.Model(overhangMm, topFilm, bottomFilm);
        return melts
            ? model with
            {
                Case = model.Case with
                {
                    Boxes =
                    [
                        .. model.Case.Boxes.Select(box =>
                            box.Role == BoxRole.Balls ? box with { Melting = new Melting(59_000, 217, 220) } : box
                        ),
                    ],
                },
            }
            : model;
    }

    public static WatchProbe Probe(string channel, double xMm, double yMm, double zMm) =>
        new(channel, new HeatPlace(channel, HeatPlaceKind.Probe, null, xMm, yMm, zMm));

    /// <summary>Five straight lines and then held, as the worked example has them.</summary>
    public static HeatSchedule Schedule(double gasPeakC, double preheaterPeakC, double holdS) =>
        new(
            [
                new(0, 25),
                new(60, 60),
                new(140, 150),
                new(230, 220),
                new(290, gasPeakC - 5),
                new(340, gasPeakC),
                new(340 + holdS, gasPeakC),
            ],
            [
                new(0, 25),
                new(60, 120),
                new(140, 170),
                new(230, preheaterPeakC - 20),
                new(340, preheaterPeakC),
                new(340 + holdS, preheaterPeakC),
            ],
            340 + holdS
        );

    /// <summary>Feeds a watch with a simulated heat and hands every second's estimate on.</summary>
    public static void Follow(LiveEstimator estimator, SimulatedHeat heat, Action<LiveEstimate, int> seen)
    {
        int next = 0;
        for (int k = 1; k < heat.ColdestC.Count; k++)
        {
            while (next < heat.Readings.Count && heat.Readings[next].TimeS <= k * heat.StepS)
            {
                estimator.Add(heat.Readings[next++]);
            }
            seen(estimator.AdvanceTo(k * heat.StepS), k);
        }
    }
}
