namespace Graftbench.Core.Numerics;

/// <summary>Climbs a function of a few dozen variables that has kinks and no slopes at hand: one parent, one child, a learned shape of step.</summary>
/// <remarks>
/// C. Igel, T. Suttorp, N. Hansen, "A computational efficient covariance matrix update and a (1+1)-CMA for evolution
/// strategies", GECCO 2006, 453-460. Draws come from the SplitMix64 generator, so the same input gives the same bits.
/// </remarks>
internal static class LocalEvolution
{
    private const double WantedSuccess = 2.0 / 11;
    private const double Smoothing = 1.0 / 12;
    private const double OftenSuccess = 0.44;

    /// <summary>The best place found within ±1 in every variable.</summary>
    /// <param name="size">Number of variables.</param>
    /// <param name="worth">What a place is worth; one that is no number is never taken.</param>
    /// <param name="evaluations">How often it may be asked.</param>
    /// <param name="seed">Seed.</param>
    /// <returns>The place; the middle where nothing better was found.</returns>
    public static double[] From(int size, Func<double[], double> worth, int evaluations, ulong seed)
    {
        double[] parent = new double[size];
        double[] child = new double[size];
        double[] draw = new double[size];
        double[] moved = new double[size];
        double[] shape = new double[size * size];
        for (int i = 0; i < size; i++)
        {
            shape[i * size + i] = 1;
        }
        double best = worth(parent);
        double width = 0.3;
        double success = WantedSuccess;
        double covariance = 2.0 / (size * size + 6);
        double damping = 1 + size / 2.0;
        ulong state = seed;
        for (int round = 1; round < evaluations && width > 1e-5; round++)
        {
            for (int j = 0; j < size; j++)
            {
                draw[j] = LatinHypercube.NormalQuantile(((LatinHypercube.Next(ref state) >> 11) + 0.5) / (1UL << 53));
            }
            for (int i = 0; i < size; i++)
            {
                moved[i] = Dense.Dot(shape.AsSpan(i * size, size), draw);
                child[i] = Math.Clamp(parent[i] + width * moved[i], -1, 1);
            }
            double tried = worth(child);
            bool better = tried >= best;
            success += Smoothing * ((better ? 1 : 0) - success);
            width = Math.Min(1, width * Math.Exp((success - WantedSuccess) / (damping * (1 - WantedSuccess))));
            if (!better)
            {
                continue;
            }
            best = tried;
            (parent, child) = (child, parent);
            if (success < OftenSuccess)
            {
                Stretch(shape, moved, draw, covariance);
            }
        }
        return parent;
    }

    // Rank-one update of the factor: A ← αA + β·(Az)zᵀ/|z|².
    private static void Stretch(double[] shape, double[] moved, double[] draw, double covariance)
    {
        int size = draw.Length;
        double square = Dense.Dot(draw, draw);
        double keep = Math.Sqrt(1 - covariance);
        double add = keep / square * (Math.Sqrt(1 + covariance * square / (1 - covariance)) - 1);
        for (int i = 0; i < size; i++)
        {
            for (int j = 0; j < size; j++)
            {
                shape[i * size + j] = keep * shape[i * size + j] + add * moved[i] * draw[j];
            }
        }
    }
}
