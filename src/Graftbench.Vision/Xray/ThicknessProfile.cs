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
    private const int TurnRings = 14;
    private const int TurnSectors = 24;
    private const double TurnLast = 1.08;
    private const int FewestForTurns = 30;

    // Overshoot outside of the outline by which a sharpened picture is known, by the whole thickness.
    private const double HaloRatio = 0.02;
    private readonly double[] shape;
    private readonly double[]? turns;

    private ThicknessProfile(double[] shape, double[]? turns, double halo)
    {
        this.shape = shape;
        this.turns = turns;
        Halo = halo;
    }

    /// <summary>How much brighter than its surroundings the outside of the outline is, by the whole thickness.</summary>
    public double Halo { get; }

    /// <summary>Whether the picture was sharpened.</summary>
    public bool Sharpened => Halo > HaloRatio;

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

    /// <summary>At a place, what all joints have alike on one side included: a slanted view.</summary>
    /// <param name="rho">Distance from the centre by the outline's.</param>
    /// <param name="turn">Direction, 0 to 1 for the whole round.</param>
    public double At(double rho, double turn)
    {
        double value = At(rho);
        if (turns is null)
        {
            return value;
        }
        double ring = Math.Clamp(rho / TurnLast * TurnRings - 0.5, 0, TurnRings - 1.001);
        double sector = turn * TurnSectors - 0.5;
        sector = sector < 0 ? sector + TurnSectors : sector;
        int r = (int)ring;
        int s = (int)sector % TurnSectors;
        int next = (s + 1) % TurnSectors;
        double fs = sector - (int)sector;
        double inner = turns[r * TurnSectors + s] * (1 - fs) + turns[r * TurnSectors + next] * fs;
        double outer = turns[(r + 1) * TurnSectors + s] * (1 - fs) + turns[(r + 1) * TurnSectors + next] * fs;
        return value + inner + (ring - r) * (outer - inner);
    }

    /// <summary>The same profile with what joints have alike by direction.</summary>
    /// <param name="patches">Joints whose <see cref="JointPatch.Level"/> is set.</param>
    public ThicknessProfile WithTurns(IReadOnlyList<JointPatch> patches)
    {
        const int MostPerCell = 2500;
        if (patches.Count < FewestForTurns)
        {
            return this;
        }
        long points = patches.Sum(patch => (long)patch.Side * patch.Side);
        int stride = Math.Max(1, (int)(points / ((long)TurnRings * TurnSectors * MostPerCell)));
        List<float>[] pools = [.. Enumerable.Range(0, TurnRings * TurnSectors).Select(_ => new List<float>())];
        int count = 0;
        foreach (JointPatch patch in patches)
        {
            for (int k = 0; k < patch.Value.Length; k++)
            {
                if (patch.Rho[k] >= TurnLast || ++count % stride != 0)
                {
                    continue;
                }
                int ring = (int)(patch.Rho[k] / TurnLast * TurnRings);
                int sector = Math.Min(TurnSectors - 1, (int)(patch.Turn[k] * TurnSectors));
                pools[ring * TurnSectors + sector].Add((float)(patch.Value[k] / patch.Level - At(patch.Rho[k])));
            }
        }
        double[] cells = [.. pools.Select(pool => pool.Count < 40 ? 0 : Solid([.. pool]))];
        for (int ring = 0; ring < TurnRings; ring++)
        {
            // Only what differs by direction; the mean around is the profile's own.
            Span<double> row = cells.AsSpan(ring * TurnSectors, TurnSectors);
            double mean = 0;
            foreach (double cell in row)
            {
                mean += cell / TurnSectors;
            }
            for (int k = 0; k < row.Length; k++)
            {
                row[k] -= mean;
            }
        }
        return new ThicknessProfile(shape, cells, Halo);
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
        double top = values[..(Bins / 6)].Average();
        double halo = top > 0 ? -values[(int)(Bins / LastRatio * 1.02)..].Min() / top : 0;
        // Never thinner towards the middle. Sharpening draws a dark rim inside of the outline: there the rim stays out.
        int from = halo > HaloRatio ? Bins / 2 : Bins - 1;
        for (int i = from - 1; i >= 0; i--)
        {
            values[i] = Math.Max(values[i], values[i + 1]);
        }
        top = values[..(Bins / 6)].Average();
        return new ThicknessProfile([.. values.Select(value => top > 0 ? value / top : 0)], null, halo);
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
