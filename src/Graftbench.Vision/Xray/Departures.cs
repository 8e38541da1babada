using Graftbench.Vision.Planes;

namespace Graftbench.Vision.Xray;

/// <summary>How far solid joints of a picture lie off the learned profile, one standard deviation, by distance from the centre.</summary>
/// <remarks>
/// Taken from the side where joints are darker than the profile: no void makes them so. Noise, unlike shapes and outlines that
/// are a little off are all in it, whatever they come from.
/// </remarks>
internal sealed class Departures
{
    private const int Bins = 22;
    private const double LastRatio = 1.1;

    // Median of the half of a normal spread that lies on one side.
    private const double HalfMedian = 0.6745;
    private readonly double[] spread;

    private Departures(double[] spread) => this.spread = spread;

    /// <summary>At a distance from the centre by the outline's, by the whole thickness.</summary>
    public double At(double rho)
    {
        double at = Math.Clamp(rho / LastRatio * Bins - 0.5, 0, Bins - 1.001);
        int i = (int)at;
        return spread[i] + (at - i) * (spread[i + 1] - spread[i]);
    }

    /// <summary>Values by distance, while they are collected.</summary>
    public sealed class Pools
    {
        private readonly List<float>[] values = [.. Enumerable.Range(0, Bins).Select(_ => new List<float>())];

        /// <summary>Adds one.</summary>
        public void Add(double rho, double off)
        {
            if (rho < LastRatio)
            {
                values[(int)(rho / LastRatio * Bins)].Add((float)off);
            }
        }

        /// <summary>Takes the values of another.</summary>
        public void Add(Pools other)
        {
            for (int i = 0; i < Bins; i++)
            {
                values[i].AddRange(other.values[i]);
            }
        }

        /// <summary>The spread, or null where too little was collected.</summary>
        public Departures? Spread()
        {
            if (values.Any(list => list.Count < 8))
            {
                return null;
            }
            double[] own = [.. values.Select(list => Ranks.Median(list.ToArray()) / HalfMedian)];
            double[] smooth = new double[Bins];
            for (int i = 0; i < Bins; i++)
            {
                smooth[i] = (own[Math.Max(0, i - 1)] + 2 * own[i] + own[Math.Min(Bins - 1, i + 1)]) / 4;
            }
            return new Departures(smooth);
        }
    }
}
