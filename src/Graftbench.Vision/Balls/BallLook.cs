using Graftbench.Core.Numerics;

namespace Graftbench.Vision.Balls;

/// <summary>How a ball looks at each place of the field, learnt from the picture itself.</summary>
/// <remarks>
/// What no flat thing explains is averaged over all places (<see cref="RoundPatch"/>): places without a ball add nothing to
/// it, so that the mean points to the look of a ball even where most are missing. It may change evenly across the field,
/// as a near lamp makes it change.
/// </remarks>
internal sealed class BallLook
{
    private readonly float[][] whole;
    private readonly double middleI;
    private readonly double middleJ;
    private readonly double scale;

    private BallLook(float[][] whole, double middleI, double middleJ, double scale, double solidFraction, double clear)
    {
        this.whole = whole;
        this.middleI = middleI;
        this.middleJ = middleJ;
        this.scale = scale;
        SolidFraction = solidFraction;
        LikenessMedian = clear;
    }

    /// <summary>How much of the look no flat thing explains, 0 to 1.</summary>
    public double SolidFraction { get; }

    /// <summary>How much of the look an evenly bright disc leaves unexplained, 0 to 1.</summary>
    public double UnexplainedFraction => FlatDisc.Unexplained(whole[0]);

    /// <summary>Median likeness of the places that look like a ball.</summary>
    public double LikenessMedian { get; }

    /// <summary>The look at a node.</summary>
    public void At(double i, double j, Span<float> look)
    {
        float u = (float)((i - middleI) / scale);
        float v = (float)((j - middleJ) / scale);
        for (int k = 0; k < look.Length; k++)
        {
            look[k] = whole[0][k] + u * whole[1][k] + v * whole[2][k];
        }
    }

    /// <summary>Learns it.</summary>
    /// <param name="patches">Samples of places, each with its node; brightness as it is.</param>
    public static BallLook? Learn(IReadOnlyList<(double I, double J, float[] Samples)> patches)
    {
        int n = RoundPatch.Count;
        if (patches.Count < 4)
        {
            return null;
        }
        double atI = patches.Average(patch => patch.I);
        double atJ = patches.Average(patch => patch.J);
        double reach = Math.Max(1, patches.Max(patch => Math.Max(Math.Abs(patch.I - atI), Math.Abs(patch.J - atJ))));
        // Every place counts alike, bright or shaded: its samples less their mean by the median size of its neighbours'.
        float[][] centred = [.. patches.Select(patch => Centred(patch.Samples))];
        float[] sizes = LocalSizes(patches, centred);
        float[][] solid = new float[patches.Count][];
        for (int p = 0; p < patches.Count; p++)
        {
            for (int k = 0; k < n; k++)
            {
                centred[p][k] /= sizes[p];
            }
            solid[p] = new float[n];
            RoundPatch.Solid(centred[p], solid[p]);
        }
        double[] weights = Enumerable.Repeat(1.0, patches.Count).ToArray();
        float[][] look = [];
        double[] likeness = new double[patches.Count];
        for (int turn = 0; turn < 6; turn++)
        {
            // The way it changes over the field is asked for only when it is known which places count.
            look = Fit(patches, solid, weights, atI, atJ, reach, even: turn < 3);
            float[] at = new float[n];
            for (int p = 0; p < patches.Count; p++)
            {
                Evaluate(look, (patches[p].I - atI) / reach, (patches[p].J - atJ) / reach, at);
                likeness[p] = RoundPatch.Likeness(solid[p], at);
                weights[p] = Math.Pow(Math.Max(0, likeness[p]), 2);
            }
        }
        double[] good = [.. likeness.Where(one => one > 0.4).Order()];
        for (int p = 0; p < patches.Count; p++)
        {
            weights[p] = likeness[p] > 0.4 ? weights[p] : 0;
        }
        if (good.Length < 4)
        {
            return null;
        }
        float[][] full = Fit(patches, centred, weights, atI, atJ, reach, even: false);
        float[] mid = new float[n];
        RoundPatch.Solid(full[0], mid);
        double fraction = Math.Sqrt(RoundPatch.Dot(mid, mid) / Math.Max(RoundPatch.Dot(full[0], full[0]), 1e-9));
        return new BallLook(full, atI, atJ, reach, fraction, good[good.Length / 2]);
    }

    private static float[] Centred(float[] samples)
    {
        float[] copy = [.. samples];
        RoundPatch.Centre(copy);
        return copy;
    }

    private static float[] LocalSizes(IReadOnlyList<(double I, double J, float[] Samples)> patches, float[][] centred)
    {
        float[] own = [.. centred.Select(one => MathF.Sqrt(RoundPatch.Dot(one, one) / one.Length))];
        float floor = Math.Max(own.Order().ElementAt(own.Length / 2) * 0.15f, 1e-4f);
        Dictionary<(int, int), int> at = [];
        for (int p = 0; p < patches.Count; p++)
        {
            at[((int)patches[p].I, (int)patches[p].J)] = p;
        }
        float[] sizes = new float[own.Length];
        List<float> around = [];
        for (int p = 0; p < own.Length; p++)
        {
            around.Clear();
            for (int di = -2; di <= 2; di++)
            {
                for (int dj = -2; dj <= 2; dj++)
                {
                    if (at.TryGetValue(((int)patches[p].I + di, (int)patches[p].J + dj), out int q))
                    {
                        around.Add(own[q]);
                    }
                }
            }
            around.Sort();
            sizes[p] = Math.Max(around[around.Count / 2], floor);
        }
        return sizes;
    }

    private static void Evaluate(float[][] look, double u, double v, Span<float> at)
    {
        for (int k = 0; k < at.Length; k++)
        {
            at[k] = look[0][k] + (float)u * look[1][k] + (float)v * look[2][k];
        }
    }

    // Weighted least squares of a + b·u + c·v for each sample; the 3 x 3 matrix is the same for all.
    private static float[][] Fit(
        IReadOnlyList<(double I, double J, float[] Samples)> patches,
        float[][] values,
        double[] weights,
        double atI,
        double atJ,
        double reach,
        bool even
    )
    {
        int n = RoundPatch.Count;
        double[] matrix = new double[9];
        double[][] right = [new double[n], new double[n], new double[n]];
        for (int p = 0; p < patches.Count; p++)
        {
            double[] row = [1, (patches[p].I - atI) / reach, (patches[p].J - atJ) / reach];
            for (int a = 0; a < 3; a++)
            {
                for (int b = 0; b < 3; b++)
                {
                    matrix[3 * a + b] += weights[p] * row[a] * row[b];
                }
                double w = weights[p] * row[a];
                for (int k = 0; k < n; k++)
                {
                    right[a][k] += w * values[p][k];
                }
            }
        }
        float[][] look = [new float[n], new float[n], new float[n]];
        // A small field or a lopsided one must not make the slopes wild.
        double calm = 4 + 0.02 * matrix[0];
        matrix[4] += calm;
        matrix[8] += calm;
        matrix[0] += 1e-9;
        DenseLu lu = new(matrix, 3);
        double[] x = new double[3];
        for (int k = 0; k < n; k++)
        {
            if (even || lu.Singular)
            {
                look[0][k] = (float)(right[0][k] / matrix[0]);
                continue;
            }
            double[] b = [right[0][k], right[1][k], right[2][k]];
            lu.Solve(b, x);
            look[0][k] = (float)x[0];
            look[1][k] = (float)x[1];
            look[2][k] = (float)x[2];
        }
        return look;
    }
}
