using Graftbench.Core.Heating;
using Graftbench.Core.Physics.Heat;

namespace Graftbench.Core.Tests.Heating;

public class RunFiguresTests
{
    private static readonly HeatPlace[] Places =
    [
        new("joint 1,1", HeatPlaceKind.Joint, "U1", 0, 0, 0),
        new("joint 1,2", HeatPlaceKind.Joint, "U1", 1, 0, 0),
        new("body top", HeatPlaceKind.BodyTop, "U1", 0, 0, 2),
        new("underside", HeatPlaceKind.Underside, null, 0, 0, -1.6),
        new("U7", HeatPlaceKind.NeighbourBody, "U7", 9, 0, 1),
    ];

    // Straight lines, so that every figure follows by hand: rows of (seconds, °C).
    private static readonly (double S, double C)[][] Rows =
    [
        [(0, 25), (100, 225), (120, 225), (160, 145)], // 2 K/s up, hold, 2 K/s down
        [(0, 25), (100, 235), (120, 235), (160, 145)],
        [(0, 25), (100, 245), (120, 247), (160, 127)], // 3 K/s down
        [(0, 25), (120, 215), (160, 150)],
        [(0, 25), (160, 105)],
    ];

    // kind, place, figure: by hand from the lines above, full melt 220 °C, class liquidus 217 °C (J-STD-020, table 5-2).
    public static readonly TheoryData<HeatLimitKind, string?, double> ByHand = new()
    {
        { HeatLimitKind.ColdestJointPeak, null, 225 },
        { HeatLimitKind.HottestJointPeak, null, 235 },
        { HeatLimitKind.MoltenTimeLeast, null, 5 / 2.0 + 20 + 5 / 2.0 },
        { HeatLimitKind.MoltenTimeMost, "body top", 28 / 2.2 + 20 + 30 / 3.0 },
        { HeatLimitKind.JointSpread, null, 10 },
        { HeatLimitKind.BodyPeak, null, 247 },
        { HeatLimitKind.BodyRise, null, 2.2 },
        { HeatLimitKind.BodyFall, null, 3 },
        { HeatLimitKind.TimeToPeak, null, 120 },
        { HeatLimitKind.NeighbourPeak, "U7", 105 },
        { HeatLimitKind.NeighbourRise, "U7", 0.5 },
        { HeatLimitKind.UndersidePeak, null, 215 },
        { HeatLimitKind.HeatingTime, null, 120 },
    };

    [Theory, MemberData(nameof(ByHand))]
    public void Figures_of_straight_lines_are_those_worked_out_by_hand(
        HeatLimitKind kind,
        string? place,
        double expected
    )
    {
        Assert.Equal(expected, Figure(kind, place, smooth: false), 1e-9);
    }

    [Fact]
    public void The_smooth_time_above_stays_near_the_exact_one()
    {
        double exact = Figure(HeatLimitKind.MoltenTimeLeast, null, smooth: false);
        Assert.Equal(exact, Figure(HeatLimitKind.MoltenTimeLeast, null, smooth: true), 0.6);
    }

    [Fact]
    public void Steps_do_not_round_the_molten_time()
    {
        double[] row = [210, 224, 214];
        Assert.Equal(4.0 / 14 * 2 + 4.0 / 10 * 2, RunFigures.Above(row, 220, 2, smooth: false), 1e-12);
    }

    [Fact]
    public void A_limit_about_a_place_that_is_not_there_is_a_bug_and_named() =>
        Assert.Contains(
            "C12",
            Assert
                .Throws<ArgumentException>(() =>
                    new RunFigures(Places, [LumpedBoard.Limit(HeatLimitKind.NeighbourPeak, 1, 1, place: "C12")], 220)
                )
                .Message,
            StringComparison.Ordinal
        );

    private static double Figure(HeatLimitKind kind, string? place, bool smooth)
    {
        double[][] rows =
        [
            .. Rows.Select(row =>
                Enumerable
                    .Range(0, 161)
                    .Select(s => SetPoints.AtC([.. row.Select(point => new SignalPoint(point.S, point.C))], s))
                    .ToArray()
            ),
        ];
        double[] figures = new double[1];
        new RunFigures(Places, [LumpedBoard.Limit(kind, 1, 1, place: place)], 220).Compute(
            new HeatTrace(1, rows),
            120,
            smooth,
            figures
        );
        return figures[0];
    }
}
