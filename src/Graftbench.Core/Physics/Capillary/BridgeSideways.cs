namespace Graftbench.Core.Physics.Capillary;

/// <summary>How a molten joint answers to a sideways push: whether it stands straight, and how hard it centres.</summary>
/// <remarks>
/// A sideways bulge n(s) cos φ obeys n'' + (cos θ / r) n' + (k1² + k2² − 1/r² + (ρ g/γ) cos θ) n = 0 (project fact sheet
/// "seating mechanics", 3.2). With n(0) = 0, n'(0) = 1 the joint stands straight while n stays above 0. Pads moved apart by d have
/// n(L) = d sin θ_end, and the lower rim is then pulled back by π γ Rl sin θ0 · n'(0): stiffness k = π γ Rl sin θ0 sin θ_end / n(L).
/// For a straight cylinder that is π γ R / h, the energy of a sheared cylinder.
/// </remarks>
public static class BridgeSideways
{
    /// <summary>Above 0 the joint stands straight, below 0 it bulges out to one side.</summary>
    /// <param name="bridge">The drop.</param>
    /// <param name="gapMm">Gap [mm].</param>
    /// <returns>Least value of the sideways mode up to the upper rim, by the pad radius; null where there is no shape.</returns>
    public static double? MarginRatio(BridgeCase bridge, double gapMm) => Mode(bridge, gapMm)?.Least;

    /// <summary>Sideways force by sideways offset of the pads, for small offsets.</summary>
    /// <param name="bridge">The drop.</param>
    /// <param name="gapMm">Gap [mm].</param>
    /// <returns>Stiffness [mN/mm], above 0 where it centres; null where there is no shape or it does not stand straight.</returns>
    public static double? CentringMilliNPerMm(BridgeCase bridge, double gapMm)
    {
        ArgumentNullException.ThrowIfNull(bridge);
        if (Mode(bridge, gapMm) is not { Least: > 0 } mode)
        {
            return null;
        }
        double lower = bridge.Problem().Lower;
        return Math.PI * bridge.TensionNPerM * lower * Math.Sin(mode.StartAngle) * Math.Sin(mode.EndAngle) / mode.End;
    }

    private static (double Least, double End, double StartAngle, double EndAngle)? Mode(BridgeCase bridge, double gapMm)
    {
        ArgumentNullException.ThrowIfNull(bridge);
        Require.FinitePositive(gapMm);
        BridgeProblem problem = bridge.Problem();
        if (!LiquidBridge.Solve(in problem, gapMm / bridge.ScaleMm, out MeridianStart start, out _, out _))
        {
            return null;
        }
        const int Steps = 4 * BridgeProblem.Steps;
        double step = start.Length / Steps;
        Span<double> y = [problem.Lower, 0, start.Angle, 0, 1];
        Span<double> k = stackalloc double[20];
        Span<double> at = stackalloc double[5];
        double least = double.PositiveInfinity;
        for (int i = 0; i < Steps; i++)
        {
            for (int stage = 0; stage < 4; stage++)
            {
                double share = stage is 0 or 3 ? 1 : 0.5;
                for (int j = 0; j < 5; j++)
                {
                    at[j] = y[j] + (stage == 0 ? 0 : share * step * k[5 * (stage - 1) + j]);
                }
                Slopes(at, start.Pressure, problem.Bond, k.Slice(5 * stage, 5));
            }
            for (int j = 0; j < 5; j++)
            {
                y[j] += step / 6 * (k[j] + 2 * k[5 + j] + 2 * k[10 + j] + k[15 + j]);
            }
            if (i > Steps / 2)
            {
                least = Math.Min(least, y[3]);
            }
        }
        return (least, y[3], start.Angle, y[2]);
    }

    private static void Slopes(ReadOnlySpan<double> y, double pressure, double bond, Span<double> d)
    {
        (double s, double c) = Math.SinCos(y[2]);
        double k2 = s / y[0];
        double k1 = pressure - bond * y[1] - k2;
        d[0] = c;
        d[1] = s;
        d[2] = k1;
        d[3] = y[4];
        d[4] = -c / y[0] * y[4] - (k1 * k1 + k2 * k2 - 1 / (y[0] * y[0]) + bond * c) * y[3];
    }
}
