using Graftbench.Core.Heating;
using Graftbench.Core.Physics.Heat;

namespace Graftbench.Core.Tests.Heating;

/// <summary>A node of a lumped network.</summary>
/// <param name="Place">What a trace reports for it.</param>
/// <param name="CapacityJ">Heat capacity [J/K].</param>
/// <param name="Gas">Conductance to the gas [W/K].</param>
/// <param name="Preheater">Conductance to the bottom heater [W/K].</param>
/// <param name="Room">Conductance to the room [W/K].</param>
internal sealed record LumpedNode(HeatPlace Place, double CapacityJ, double Gas, double Preheater, double Room);

/// <summary>A few lumps of heat with conductances between them: linear, by the trapezoidal rule at 1 s.</summary>
internal sealed class LumpedRunner(
    IReadOnlyList<LumpedNode> nodes,
    IReadOnlyList<(int A, int B, double G)> links,
    double roomC,
    double gasLagS,
    double preheaterLagS
) : IHeatRunner
{
    private int runs;

    public int Runs => runs;

    public IReadOnlyList<HeatPlace> Places { get; } = [.. nodes.Select(node => node.Place)];

    public HeatTrace Run(HeatSchedule schedule, HeatFactors factors)
    {
        Interlocked.Increment(ref runs);
        int size = nodes.Count;
        int steps = (int)Math.Ceiling(schedule.DurationS);
        double[] gas = Lagged(schedule.Gas, gasLagS * factors.GasLagFactor, steps, factors.GasExcessFactor);
        double[] preheater = Lagged(
            schedule.Preheater,
            preheaterLagS * factors.PreheaterLagFactor,
            steps,
            factors.PreheaterExcessFactor
        );
        double[,] rate = new double[size, size];
        double[] fromGas = new double[size];
        double[] fromPreheater = new double[size];
        double[] fromRoom = new double[size];
        for (int i = 0; i < size; i++)
        {
            double capacity = nodes[i].CapacityJ;
            fromGas[i] = nodes[i].Gas * factors.TopFactor / capacity;
            fromPreheater[i] = nodes[i].Preheater * factors.BottomFactor / capacity;
            fromRoom[i] = nodes[i].Room * factors.AmbientFactor / capacity;
            rate[i, i] = -(fromGas[i] + fromPreheater[i] + fromRoom[i]);
        }
        foreach ((int a, int b, double g) in links)
        {
            rate[a, a] -= g / nodes[a].CapacityJ;
            rate[a, b] += g / nodes[a].CapacityJ;
            rate[b, b] -= g / nodes[b].CapacityJ;
            rate[b, a] += g / nodes[b].CapacityJ;
        }
        double[,] inverse = Inverse(rate, size);
        double[][] trace = [.. nodes.Select(_ => new double[steps + 1])];
        double[] now = [.. Enumerable.Repeat(roomC, size)];
        double[] right = new double[size];
        for (int i = 0; i < size; i++)
        {
            trace[i][0] = roomC;
        }
        for (int step = 1; step <= steps; step++)
        {
            for (int i = 0; i < size; i++)
            {
                double sum = now[i];
                for (int j = 0; j < size; j++)
                {
                    sum += rate[i, j] * now[j] / 2;
                }
                sum += fromGas[i] * (gas[step] + gas[step - 1]) / 2;
                sum += fromPreheater[i] * (preheater[step] + preheater[step - 1]) / 2;
                right[i] = sum + fromRoom[i] * roomC;
            }
            for (int i = 0; i < size; i++)
            {
                double sum = 0;
                for (int j = 0; j < size; j++)
                {
                    sum += inverse[i, j] * right[j];
                }
                now[i] = sum;
                trace[i][step] = sum;
            }
        }
        return new HeatTrace(1, trace);
    }

    private double[] Lagged(IReadOnlyList<SignalPoint> points, double lagS, int steps, double excess)
    {
        double[] values = new double[steps + 1];
        values[0] = lagS > 0 ? roomC : After(points, 0);
        for (int step = 1; step <= steps; step++)
        {
            // Straight line over the step, its jump at the start taken as already made.
            double a = After(points, step - 1);
            double b = Before(points, step);
            double e = lagS > 0 ? Math.Exp(-1 / lagS) : 0;
            double slope = b - a;
            values[step] = b - slope * lagS + (values[step - 1] - a + slope * lagS) * e;
        }
        return [.. values.Select(value => roomC + (value - roomC) * excess)];
    }

    private static double After(IReadOnlyList<SignalPoint> points, double timeS)
    {
        int last = points.Count - 1;
        while (last > 0 && points[last].TimeS > timeS)
        {
            last--;
        }
        if (last == points.Count - 1)
        {
            return points[last].TemperatureC;
        }
        SignalPoint from = points[last];
        SignalPoint to = points[last + 1];
        return from.TemperatureC
            + (to.TemperatureC - from.TemperatureC) * (timeS - from.TimeS) / (to.TimeS - from.TimeS);
    }

    private static double Before(IReadOnlyList<SignalPoint> points, double timeS)
    {
        int next = 0;
        while (next < points.Count - 1 && points[next].TimeS < timeS)
        {
            next++;
        }
        if (next == 0 || points[next].TimeS < timeS)
        {
            return points[next].TemperatureC;
        }
        SignalPoint from = points[next - 1];
        SignalPoint to = points[next];
        return from.TemperatureC
            + (to.TemperatureC - from.TemperatureC) * (timeS - from.TimeS) / (to.TimeS - from.TimeS);
    }

    // Inverse of I − rate/2 by Gauss and Jordan.
    private static double[,] Inverse(double[,] rate, int size)
    {
        double[,] a = new double[size, 2 * size];
        for (int i = 0; i < size; i++)
        {
            for (int j = 0; j < size; j++)
            {
                a[i, j] = (i == j ? 1 : 0) - rate[i, j] / 2;
            }
            a[i, size + i] = 1;
        }
        for (int k = 0; k < size; k++)
        {
            double pivot = a[k, k];
            for (int j = 0; j < 2 * size; j++)
            {
                a[k, j] /= pivot;
            }
            for (int i = 0; i < size; i++)
            {
                double factor = i == k ? 0 : a[i, k];
                for (int j = 0; factor != 0 && j < 2 * size; j++)
                {
                    a[i, j] -= factor * a[k, j];
                }
            }
        }
        double[,] inverse = new double[size, size];
        for (int i = 0; i < size; i++)
        {
            for (int j = 0; j < size; j++)
            {
                inverse[i, j] = a[i, size + j];
            }
        }
        return inverse;
    }
}

/// <summary>Boards of a few lumps, with limits.</summary>
internal static class LumpedBoard
{
    public const double RoomC = 25;

    /// <summary>One joint that is its own chip: time constant <paramref name="tauS"/> to the gas.</summary>
    public static LumpedRunner OneNode(double tauS) =>
        new(
            [
                new(new("joint 1,1", HeatPlaceKind.Joint, null, 50, 50, 0.2), tauS, 1, 0, 0),
                new(new("body top", HeatPlaceKind.BodyTop, null, 50, 50, 2), tauS, 1, 0, 0),
            ],
            [],
            RoomC,
            0,
            0
        );

    /// <summary>A 35 mm chip on a board: centre and corner joints, board beside it, a neighbour, probes.</summary>
    /// <param name="edge">Gas that the worst corner gets, 1 as much as the others.</param>
    public static LumpedRunner Chip(double edge = 0.9) =>
        new(
            [
                new(new("joint C", HeatPlaceKind.Joint, "U1", 100, 75, 0.2), 1.2, 0.028, 0, 0),
                new(new("joint SW", HeatPlaceKind.Joint, "U1", 84, 59, 0.2), 1.2, 0.028 * edge, 0, 0),
                new(new("joint SE", HeatPlaceKind.Joint, "U1", 116, 59, 0.2), 1.2, 0.027, 0, 0),
                new(new("joint NW", HeatPlaceKind.Joint, "U1", 84, 91, 0.2), 1.2, 0.027, 0, 0),
                new(new("joint NE", HeatPlaceKind.Joint, "U1", 116, 91, 0.2), 1.2, 0.028, 0, 0),
                new(new("body top", HeatPlaceKind.BodyTop, "U1", 100, 75, 2), 1.0, 0.02, 0, 0),
                new(new("underside", HeatPlaceKind.Underside, null, 100, 75, -1.6), 5.0, 0, 0.075, 0),
                new(new("board", HeatPlaceKind.BoardTop, null, 125, 75, 0), 40, 0.02, 0.4, 0.05),
                new(new("U7", HeatPlaceKind.NeighbourBody, "U7", 140, 75, 1), 3, 0.004, 0, 0.004),
                new(new("probe left", HeatPlaceKind.Probe, null, 77.5, 75, 0), 2, 0.01, 0.02, 0.002),
                new(new("probe far", HeatPlaceKind.Probe, null, 190, 140, 0), 2, 0, 0.02, 0.008),
            ],
            [
                (0, 1, 0.02),
                (0, 2, 0.02),
                (0, 3, 0.02),
                (0, 4, 0.02),
                (0, 5, 0.05),
                (0, 6, 0.05),
                (1, 6, 0.03),
                (2, 6, 0.03),
                (3, 6, 0.03),
                (4, 6, 0.03),
                (6, 7, 0.04),
                (7, 8, 0.02),
                (7, 9, 0.02),
                (1, 9, 0.01),
                (7, 10, 0.02),
            ],
            RoomC,
            8,
            25
        );

    public static HeatLimit Limit(
        HeatLimitKind kind,
        double value,
        double scale,
        bool hard = true,
        string? place = null
    ) =>
        new(
            kind,
            place,
            kind.ToString(),
            value,
            kind.ToString().EndsWith("Peak", StringComparison.Ordinal) ? "°C" : "",
            scale,
            hard,
            Core.Facts.Confidence.Computed,
            "test",
            "test"
        );

    /// <summary>Limits like those of the worked example of the planning method.</summary>
    public static IReadOnlyList<HeatLimit> Limits(double bodyC = 250, double neighbourC = 195) =>
        [
            Limit(HeatLimitKind.ColdestJointPeak, 230, 5),
            Limit(HeatLimitKind.HottestJointPeak, 248, 5),
            Limit(HeatLimitKind.MoltenTimeLeast, 45, 15),
            Limit(HeatLimitKind.MoltenTimeMost, 110, 15),
            Limit(HeatLimitKind.JointSpread, 10, 2, hard: false),
            Limit(HeatLimitKind.BodyPeak, bodyC, 5),
            Limit(HeatLimitKind.BodyRise, 2.5, 0.4),
            Limit(HeatLimitKind.NeighbourPeak, neighbourC, 6, place: "U7"),
            Limit(HeatLimitKind.UndersidePeak, 245, 5),
            Limit(HeatLimitKind.HeatingTime, 420, 15),
        ];
}
