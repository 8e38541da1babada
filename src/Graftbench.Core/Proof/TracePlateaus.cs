using Graftbench.Core.Numerics;

namespace Graftbench.Core.Proof;

/// <summary>A trace cut into plateaus, with its noise.</summary>
/// <param name="TimeS">Times of the samples that were cut, from 0 [s].</param>
/// <param name="CurrentA">Their currents [A].</param>
/// <param name="NoiseA">Noise from sample to sample [A].</param>
/// <param name="Plateaus">Plateaus.</param>
internal sealed record CutTrace(double[] TimeS, double[] CurrentA, double NoiseA, IReadOnlyList<TracePlateau> Plateaus);

/// <summary>Finds the plateaus of a trace.</summary>
internal static class TracePlateaus
{
    /// <summary>Most samples that are cut exactly; a longer trace is thinned to the means of equal pieces.</summary>
    public const int MostCut = 3000;

    private const double LeastNoiseA = 0.0005;
    private const int LeastStretch = 3;

    /// <summary>Cuts a trace.</summary>
    /// <remarks>
    /// Steps: <see cref="ChangePoints"/> with the price c·σ²·ln n for each. σ is the noise from sample to sample, 1.4826 times
    /// the median absolute difference of neighbours over √2, so that steps do not count; at least 0.5 mA.
    /// </remarks>
    public static CutTrace Cut(CurrentTrace trace, double penaltyNumber)
    {
        (double[] times, double[] currents) = Thinned(trace);
        double noise = NoiseA(currents);
        double penalty = penaltyNumber * noise * noise * Math.Log(Math.Max(currents.Length, 3));
        IReadOnlyList<int> starts = ChangePoints.Find(currents, penalty, Math.Min(LeastStretch, currents.Length));
        List<TracePlateau> plateaus = [];
        for (int i = 0; i < starts.Count; i++)
        {
            int to = i + 1 < starts.Count ? starts[i + 1] : currents.Length;
            ReadOnlySpan<double> part = currents.AsSpan(starts[i]..to);
            double mean = Mean(part);
            plateaus.Add(
                new TracePlateau(
                    times[starts[i]],
                    to < times.Length ? times[to] : times[^1],
                    mean,
                    Deviation(part, mean)
                )
            );
        }
        return new CutTrace(times, currents, noise, plateaus);
    }

    /// <summary>Standard deviation about a mean.</summary>
    public static double Deviation(ReadOnlySpan<double> values, double mean)
    {
        double sum = 0;
        foreach (double value in values)
        {
            sum += (value - mean) * (value - mean);
        }
        return values.Length < 2 ? 0 : Math.Sqrt(sum / (values.Length - 1));
    }

    /// <summary>Mean of some values.</summary>
    public static double Mean(ReadOnlySpan<double> values)
    {
        double sum = 0;
        foreach (double value in values)
        {
            sum += value;
        }
        return sum / values.Length;
    }

    private static (double[] TimeS, double[] CurrentA) Thinned(CurrentTrace trace)
    {
        int all = trace.TimeS.Count;
        int piece = (all + MostCut - 1) / MostCut;
        int count = all / piece;
        double[] times = new double[count];
        double[] currents = new double[count];
        for (int i = 0; i < count; i++)
        {
            times[i] = trace.TimeS[i * piece] - trace.TimeS[0];
            for (int k = 0; k < piece; k++)
            {
                currents[i] += trace.CurrentA[(i * piece) + k] / piece;
            }
        }
        return (times, currents);
    }

    private static double NoiseA(double[] currents)
    {
        double[] steps = [.. currents.Skip(1).Select((value, i) => Math.Abs(value - currents[i])).Order()];
        return steps.Length == 0 ? LeastNoiseA : Math.Max(LeastNoiseA, 1.4826 * steps[steps.Length / 2] / Math.Sqrt(2));
    }
}
