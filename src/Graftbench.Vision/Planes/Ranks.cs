namespace Graftbench.Vision.Planes;

/// <summary>Medians and their kin; the spans that are given get sorted.</summary>
internal static class Ranks
{
    /// <summary>Standard deviation of a normal spread by its median absolute deviation.</summary>
    public const double NormalByDeviation = 1.4826;

    /// <summary>Quantile by the nearest rank; NaN for nothing.</summary>
    public static double Quantile(Span<float> values, double fraction)
    {
        if (values.IsEmpty)
        {
            return double.NaN;
        }
        values.Sort();
        return values[Math.Clamp((int)(fraction * values.Length), 0, values.Length - 1)];
    }

    /// <summary>Median; NaN for nothing.</summary>
    public static double Median(Span<float> values) => Quantile(values, 0.5);

    /// <summary>Median; NaN for nothing.</summary>
    public static double Median(IEnumerable<double> values)
    {
        double[] sorted = [.. values];
        Array.Sort(sorted);
        return sorted.Length == 0 ? double.NaN
            : sorted.Length % 2 == 1 ? sorted[sorted.Length / 2]
            : (sorted[sorted.Length / 2 - 1] + sorted[sorted.Length / 2]) / 2;
    }

    /// <summary>Standard deviation from the median absolute deviation; NaN for nothing.</summary>
    public static double Spread(IEnumerable<double> values)
    {
        double[] all = [.. values];
        double middle = Median(all);
        return NormalByDeviation * Median(all.Select(value => Math.Abs(value - middle)));
    }
}
