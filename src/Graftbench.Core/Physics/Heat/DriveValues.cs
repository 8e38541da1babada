namespace Graftbench.Core.Physics.Heat;

/// <summary>Signals as values at the ends of the steps, lags and factors applied.</summary>
internal sealed class DriveValues
{
    private readonly Dictionary<string, double[]> values = new(StringComparer.Ordinal);

    /// <summary>Samples every signal of a case at 0, step, 2·step ...</summary>
    /// <param name="heat">The case.</param>
    /// <param name="stepS">Step [s].</param>
    /// <param name="steps">Number of steps.</param>
    /// <param name="factors">Lags and excess over the room.</param>
    public DriveValues(HeatCase heat, double stepS, int steps, HeatFactors factors)
    {
        foreach (HeatSignal signal in heat.Signals)
        {
            (double lag, double excess) = signal.Name switch
            {
                HeatSignals.Gas => (factors.GasLagFactor, factors.GasExcessFactor),
                HeatSignals.Preheater => (factors.PreheaterLagFactor, factors.PreheaterExcessFactor),
                _ => (1, 1),
            };
            double[] sampled = new double[steps + 1];
            Sample(signal.Points, signal.LagS * lag, heat.StartC, stepS, sampled);
            if (excess != 1)
            {
                for (int n = 0; n < sampled.Length; n++)
                {
                    sampled[n] = heat.StartC + excess * (sampled[n] - heat.StartC);
                }
            }
            values[signal.Name] = sampled;
        }
    }

    /// <summary>A sink's temperature at the end of a step [°C].</summary>
    public double SinkC(IReadOnlyList<SignalShare> sink, int step)
    {
        double sum = 0;
        for (int s = 0; s < sink.Count; s++)
        {
            sum += sink[s].ShareFraction * values[sink[s].Signal][step];
        }
        return sum;
    }

    /// <summary>A sink's temperatures at all steps [°C], in an array of their own.</summary>
    public double[] SinksC(IReadOnlyList<SignalShare> sink)
    {
        double[] sum = new double[values.Count == 0 ? 0 : values.Values.First().Length];
        foreach (SignalShare share in sink)
        {
            Numerics.Dense.AddScaled(sum, share.ShareFraction, values[share.Signal]);
        }
        return sum;
    }

    /// <summary>The values of one signal.</summary>
    public ReadOnlySpan<double> Of(string signal) => values[signal];

    /// <summary>
    /// A set point followed with a first-order lag, exactly for straight lines: y(t+h) = u₁ − τs + (y − u₀ + τs)·e^(−h/τ).
    /// </summary>
    /// <param name="points">Set point.</param>
    /// <param name="lagS">τ [s]; 0 for no lag.</param>
    /// <param name="startC">Temperature of the device at time 0 where it lags [°C].</param>
    /// <param name="stepS">Distance of the samples [s].</param>
    /// <param name="sampledC">Written in full [°C].</param>
    public static void Sample(
        IReadOnlyList<SignalPoint> points,
        double lagS,
        double startC,
        double stepS,
        Span<double> sampledC
    )
    {
        if (!(lagS > 0))
        {
            for (int n = 0; n < sampledC.Length; n++)
            {
                sampledC[n] = At(points, n * stepS);
            }
            return;
        }
        double value = startC;
        double time = 0;
        int piece = 0;
        sampledC[0] = value;
        for (int n = 1; n < sampledC.Length; n++)
        {
            double end = n * stepS;
            while (time < end)
            {
                while (piece < points.Count && points[piece].TimeS <= time)
                {
                    piece++;
                }
                double until = piece < points.Count ? Math.Min(end, points[piece].TimeS) : end;
                (double from, double to) = Line(points, piece, time, until);
                double slope = (to - from) / (until - time);
                value = to - lagS * slope + (value - from + lagS * slope) * Math.Exp((time - until) / lagS);
                time = until;
            }
            sampledC[n] = value;
        }
    }

    // A jump counts from its own moment on.
    private static double At(IReadOnlyList<SignalPoint> points, double timeS)
    {
        int piece = 0;
        while (piece < points.Count && points[piece].TimeS <= timeS)
        {
            piece++;
        }
        return Line(points, piece, timeS, timeS).From;
    }

    private static (double From, double To) Line(IReadOnlyList<SignalPoint> points, int piece, double from, double to)
    {
        if (piece == 0)
        {
            return (points[0].TemperatureC, points[0].TemperatureC);
        }
        SignalPoint left = points[piece - 1];
        if (piece >= points.Count)
        {
            return (left.TemperatureC, left.TemperatureC);
        }
        SignalPoint right = points[piece];
        double slope = (right.TemperatureC - left.TemperatureC) / (right.TimeS - left.TimeS);
        return (left.TemperatureC + slope * (from - left.TimeS), left.TemperatureC + slope * (to - left.TimeS));
    }
}
