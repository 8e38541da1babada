using Graftbench.Vision.Planes;

namespace Graftbench.Vision.Xray;

/// <summary>Attenuation of a joint without voids from its centre to past its outline, 1 in the middle.</summary>
/// <remarks>
/// Learned from all joints of the picture: a void takes solder out of the way and never adds any, so that at each distance the
/// solder is where most of the values gather, and towards the middle a joint never gets thinner. That holds whatever the
/// detector makes of the dose (hardened beam, gamma), because only the order of values is used.
/// </remarks>
internal sealed class ThicknessProfile
{
    private const int Bins = 60;
    private const double LastRatio = JointPatch.ReachRatio;
    private readonly double[] shape;

    private ThicknessProfile(double[] shape) => this.shape = shape;

    /// <summary>At a distance from the centre by the outline's.</summary>
    public double At(double rho)
    {
        double at = rho / LastRatio * Bins - 0.5;
        if (at <= 0)
        {
            return shape[0];
        }
        int i = (int)at;
        return i >= Bins - 1 ? shape[Bins - 1] : shape[i] + (at - i) * (shape[i + 1] - shape[i]);
    }

    /// <summary>Fall from one distance to a little farther, by distance: how steep it is there.</summary>
    public double Slope(double rho) => Math.Abs(At(rho + 0.03) - At(rho - 0.03)) / 0.06;

    /// <summary>Learns.</summary>
    /// <param name="patches">Joints whose <see cref="JointPatch.Level"/> is set.</param>
    public static ThicknessProfile Learn(IReadOnlyList<JointPatch> patches)
    {
        const int MostPerBin = 24000;
        List<float>[] pools = new List<float>[Bins];
        for (int i = 0; i < Bins; i++)
        {
            pools[i] = [];
        }
        long points = patches.Sum(patch => (long)patch.Side * patch.Side);
        int stride = Math.Max(1, (int)(points / ((long)Bins * MostPerBin)));
        int count = 0;
        foreach (JointPatch patch in patches)
        {
            for (int k = 0; k < patch.Value.Length; k++)
            {
                if (patch.Rho[k] >= LastRatio || ++count % stride != 0)
                {
                    continue;
                }
                pools[(int)(patch.Rho[k] / LastRatio * Bins)].Add((float)(patch.Value[k] / patch.Level));
            }
        }
        double[] values = new double[Bins];
        for (int i = 0; i < Bins; i++)
        {
            values[i] = pools[i].Count == 0 ? double.NaN : Solid([.. pools[i]]);
        }
        // Grid points near the centre are few: bins without any take the next one's.
        for (int i = Bins - 2; i >= 0; i--)
        {
            values[i] = double.IsNaN(values[i]) ? values[i + 1] : values[i];
        }
        // Never thinner towards the middle.
        for (int i = Bins - 2; i >= 0; i--)
        {
            values[i] = Math.Max(values[i], values[i + 1]);
        }
        double top = values[..(Bins / 6)].Average();
        return new ThicknessProfile([.. values.Select(value => top > 0 ? value / top : 0)]);
    }

    /// <summary>Level that makes the profile fit a joint, voids left out.</summary>
    public double LevelOf(JointPatch patch)
    {
        List<float> ratios = [];
        int stride = Math.Max(1, patch.Value.Length / 3000);
        for (int k = 0; k < patch.Value.Length; k += stride)
        {
            if (patch.Rho[k] < 0.8)
            {
                ratios.Add((float)(patch.Value[k] / At(patch.Rho[k])));
            }
        }
        return Solid([.. ratios]);
    }

    /// <summary>Where the values of solid solder lie, with a tail of voids below.</summary>
    internal static double Solid(float[] values)
    {
        Array.Sort(values);
        int from = 0;
        int to = values.Length;
        double middle = values[values.Length / 2];
        for (int round = 0; round < 12; round++)
        {
            int n = to - from;
            if (n < 8)
            {
                break;
            }
            // First look above the middle: a large void must not pull it down.
            middle = values[from + (round == 0 ? (int)(0.65 * n) : n / 2)];
            // The upper half is free of voids; what lies as far below as nothing lies above is one.
            double up = values[from + (int)((round == 0 ? 0.9 : 0.84) * n)] - middle;
            double least = middle - 2.5 * up;
            double most = middle + 3.5 * up;
            int nextFrom = LowerBound(values, least);
            int nextTo = LowerBound(values, most);
            if ((nextFrom == from && nextTo == to) || nextTo - nextFrom < values.Length / 5)
            {
                break;
            }
            (from, to) = (nextFrom, nextTo);
        }
        return middle;
    }

    private static int LowerBound(float[] values, double value)
    {
        int low = 0;
        int high = values.Length;
        while (low < high)
        {
            int mid = (low + high) / 2;
            if (values[mid] < value)
            {
                low = mid + 1;
            }
            else
            {
                high = mid;
            }
        }
        return low;
    }
}
