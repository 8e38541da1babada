using Graftbench.Core.Physics.Heat;

namespace Graftbench.Core.Heating;

/// <summary>Set points over time and what a device with a lag makes of them.</summary>
internal static class SetPoints
{
    /// <summary>Set point at a time; after a jump that falls on it.</summary>
    public static double AtC(IReadOnlyList<SignalPoint> points, double timeS)
    {
        int last = points.Count - 1;
        while (last > 0 && points[last].TimeS > timeS)
        {
            last--;
        }
        if (last == points.Count - 1 || timeS <= points[last].TimeS)
        {
            return points[last].TemperatureC;
        }
        SignalPoint from = points[last];
        SignalPoint to = points[last + 1];
        return from.TemperatureC
            + (to.TemperatureC - from.TemperatureC) * (timeS - from.TimeS) / (to.TimeS - from.TimeS);
    }

    /// <summary>Temperature of a device with a first-order lag, exact on straight lines.</summary>
    /// <param name="points">Set points.</param>
    /// <param name="startC">Where it starts [°C].</param>
    /// <param name="lagS">Lag [s].</param>
    /// <param name="timesS">When, rising from 0 [s].</param>
    public static double[] LaggedC(IReadOnlyList<SignalPoint> points, double startC, double lagS, double[] timesS)
    {
        double[] found = new double[timesS.Length];
        double nowC = startC;
        double nowS = 0;
        int next = 0;
        for (int i = 0; i < timesS.Length; i++)
        {
            while (next < points.Count && points[next].TimeS <= timesS[i])
            {
                if (points[next].TimeS > nowS)
                {
                    nowC = After(points, nowS, points[next].TimeS, nowC, lagS);
                    nowS = points[next].TimeS;
                }
                next++;
            }
            if (timesS[i] > nowS)
            {
                nowC = After(points, nowS, timesS[i], nowC, lagS);
                nowS = timesS[i];
            }
            found[i] = nowC;
        }
        return found;
    }

    // Over a stretch without a corner inside it: set point a + s·t, so T = a + s(t − τ) + (T₀ − a + sτ)e^(−t/τ).
    private static double After(IReadOnlyList<SignalPoint> points, double fromS, double toS, double startC, double lagS)
    {
        double a = AtC(points, fromS);
        double middle = AtC(points, (fromS + toS) / 2);
        double slope = (middle - a) * 2 / (toS - fromS);
        double t = toS - fromS;
        return lagS <= 0 ? a + slope * t : a + slope * (t - lagS) + (startC - a + slope * lagS) * Math.Exp(-t / lagS);
    }
}
