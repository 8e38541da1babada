using Graftbench.Core.Facts;
using Graftbench.Core.Heating;
using Graftbench.Core.Jobs;
using Graftbench.Core.Physics.Heat;

namespace Graftbench.Core.Tests.Heating;

/// <summary>
/// A worked planning example, solved once with another program (its own grid, reduction and quadratic programs): 300 x 200 x
/// 1.6 mm board, 35 mm flip-chip package among neighbours, nothing melts. Its neighbour package is not described, so it is
/// left out here with its limit.
/// </summary>
internal static class PublishedPlanExample
{
    public const double MoltenC = 220;

    private static readonly SignalShare[] Gas = [new(HeatSignals.Gas, 1)];
    private static readonly SignalShare[] Preheater = [new(HeatSignals.Preheater, 1)];
    private static readonly SignalShare[] Room = [new(HeatSignals.Room, 1)];

    /// <summary>Set points within the example's bounds.</summary>
    public static HeatTools Tools { get; } =
        new()
        {
            Gas = new GasTool { MinC = 25, MaxC = 330 },
            Preheater = new BottomHeater { MinC = 25, MaxC = 260 },
        };

    /// <summary>The example's settings: durations, gas and bottom heater at the ends of five straight lines.</summary>
    public static double[] Settings { get; } = [59, 68, 85, 73, 62, 60, 151, 225, 282, 292, 113, 180, 229, 245, 250];

    /// <summary>Its limits with the units that they are measured in.</summary>
    public static IReadOnlyList<HeatLimit> Limits() =>
        [
            Limit(HeatLimitKind.ColdestJointPeak, null, 230, 5),
            Limit(HeatLimitKind.HottestJointPeak, null, 248, 5),
            Limit(HeatLimitKind.MoltenTimeLeast, null, 45, 15),
            Limit(HeatLimitKind.JointSpread, null, 10, 2),
            Limit(HeatLimitKind.BodyPeak, "body top", 250, 5),
            Limit(HeatLimitKind.BodyRise, "body top", 2.5, 0.4),
            Limit(HeatLimitKind.NeighbourPeak, "coil", 210, 8),
            Limit(HeatLimitKind.NeighbourPeak, "connector", 140, 8),
            Limit(HeatLimitKind.UndersidePeak, "underside", 245, 5),
            Limit(HeatLimitKind.HeatingTime, null, 420, 15),
        ];

    /// <summary>Board, package and heaters.</summary>
    public static BoardHeatModel Model(double overhangMm, double topFilm, double bottomFilm)
    {
        RectMm chip = new(187.5, 222.5, 52.5, 87.5);
        RectMm nozzle = chip.Grown(overhangMm);
        RectMm near = nozzle.Grown(10);
        RectMm far = nozzle.Grown(30);
        RectMm heater = new(10, 290, 10, 190);
        HeatBox[] boxes =
        [
            new("board", 0, 300, 0, 200, -1.6, 0, 25, 0.35, 2500, 800, BoxRole.Board),
            new("poor", 235, 300, 0, 55, -1.6, 0, 6, 0.32, 2050, 930, BoxRole.Board),
            new("rich", 0, 120, 0, 200, -1.6, 0, 40, 0.42, 2900, 720, BoxRole.Board),
            new("balls", 187.5, 222.5, 52.5, 87.5, 0, 0.45, 0.04692, 12.78, 1625, 230, BoxRole.Balls),
            new("substrate", 187.5, 222.5, 52.5, 87.5, 0.45, 1.65, 22, 0.7, 2100, 1000, BoxRole.Substrate),
            new("underfill", 197.5, 212.5, 62.5, 77.5, 1.65, 1.75, 0.8, 1.6, 1900, 1000),
            new("die", 197.5, 212.5, 62.5, 77.5, 1.75, 2.55, 110, 110, 2330, 770),
            new("conn", 180, 230, 111, 119, 0, 6, 0.3, 0.3, 1500, 1200),
            new("coil", 159, 171, 64, 76, 0, 5, 12, 12, 5000, 650),
        ];
        HeatFilm[] films =
        [
            new(Faces.Top, topFilm, Gas, FilmGroup.Top, nozzle, null, []),
            new(Faces.Side, topFilm / 2, Gas, FilmGroup.Top, nozzle, null, ["substrate", "underfill", "die"]),
            new(Faces.Top, 0.35 * topFilm, Mixed(0.6), FilmGroup.Spill, near, nozzle, []),
            new(Faces.Top, 0.12 * topFilm, Mixed(0.3), FilmGroup.Spill, far, near, []),
            new(Faces.Top, 7, Room, FilmGroup.Ambient, null, nozzle, []),
            new(Faces.Bottom, bottomFilm, Preheater, FilmGroup.Bottom, heater, null, []),
            new(Faces.Bottom, 5, Room, FilmGroup.Ambient, null, heater, []),
            new(Faces.Side, 7, Room, FilmGroup.Ambient, null, null, ["conn", "coil"]),
        ];
        HeatRadiation[] radiation =
        [
            new(Faces.Bottom, 0.75, Preheater, heater, null, []),
            new(Faces.Bottom, 0.85, Room, null, heater, []),
            new(Faces.Top, 0.85, Room, null, nozzle, []),
            new(Faces.Top, 0.6, Gas, nozzle, null, []),
        ];
        List<HeatPlace> places =
        [
            Joint("c", 205, 70),
            Joint("sw", 189, 54),
            Joint("se", 221, 54),
            Joint("nw", 189, 86),
            Joint("ne", 221, 86),
            Joint("e", 221, 70),
            Joint("w", 189, 70),
            new("body top", HeatPlaceKind.BodyTop, "G1", 205, 70, 2.55),
            new("underside", HeatPlaceKind.Underside, null, 205, 70, -1.6),
            new("coil", HeatPlaceKind.NeighbourBody, "L1", 165, 70, 5),
            new("connector", HeatPlaceKind.NeighbourBody, "J1", 205, 115, 6),
        ];
        HeatSignal[] signals =
        [
            new(HeatSignals.Gas, [new SignalPoint(0, 25)]),
            new(HeatSignals.Preheater, [new SignalPoint(0, 25)]),
            new(HeatSignals.Room, [new SignalPoint(0, 25)]),
        ];
        return new BoardHeatModel(
            new HeatCase("worked example", 25, 0, boxes, films, radiation, signals, [], []),
            places,
            nozzle,
            chip,
            25,
            8,
            25,
            217,
            MoltenC,
            [],
            []
        );
    }

    private static SignalShare[] Mixed(double gasFraction) =>
        [new(HeatSignals.Gas, gasFraction), new(HeatSignals.Room, 1 - gasFraction)];

    private static HeatPlace Joint(string name, double xMm, double yMm) =>
        new($"joint {name}", HeatPlaceKind.Joint, "G1", xMm, yMm, 0.225);

    private static HeatLimit Limit(HeatLimitKind kind, string? place, double value, double scale) =>
        new(kind, place, kind.ToString(), value, "", scale, true, Confidence.Computed, "t", "t");
}
