namespace Graftbench.Core.Numerics;

/// <summary>Samples of independent normal numbers that cover each of them evenly; the same seed gives the same samples.</summary>
public static class LatinHypercube
{
    /// <summary>Draws samples: each number is cut into as many equally likely slices as there are samples, one from each.</summary>
    /// <param name="samples">Number of samples.</param>
    /// <param name="size">Numbers in a sample.</param>
    /// <param name="seed">Seed.</param>
    /// <returns>By sample, then number: mean 0, standard deviation 1.</returns>
    /// <remarks>
    /// M. D. McKay, R. J. Beckman, W. J. Conover, Technometrics 21 (1979) 239-245. Shuffles and places within slices come
    /// from the SplitMix64 generator (G. L. Steele, D. Lea, C. H. Flood, OOPSLA 2014).
    /// </remarks>
    public static double[][] Normal(int samples, int size, ulong seed)
    {
        double[][] drawn = new double[samples][];
        for (int k = 0; k < samples; k++)
        {
            drawn[k] = new double[size];
        }
        int[] slices = new int[samples];
        ulong state = seed;
        for (int j = 0; j < size; j++)
        {
            for (int k = 0; k < samples; k++)
            {
                slices[k] = k;
            }
            for (int k = samples - 1; k > 0; k--)
            {
                int other = (int)(Next(ref state) % (ulong)(k + 1));
                (slices[k], slices[other]) = (slices[other], slices[k]);
            }
            for (int k = 0; k < samples; k++)
            {
                double within = ((Next(ref state) >> 11) + 0.5) / (1UL << 53);
                drawn[k][j] = NormalQuantile((slices[k] + within) / samples);
            }
        }
        return drawn;
    }

    /// <summary>The number that a normal number of mean 0 and deviation 1 stays below with a given chance.</summary>
    /// <param name="chance">Chance, above 0 and below 1.</param>
    /// <remarks>Rational approximation by P. J. Acklam, relative error below 1.15e-9.</remarks>
    public static double NormalQuantile(double chance)
    {
        const double Edge = 0.02425;
        if (chance < Edge)
        {
            return Tail(Math.Sqrt(-2 * Math.Log(chance)));
        }
        if (chance > 1 - Edge)
        {
            return -Tail(Math.Sqrt(-2 * Math.Log(1 - chance)));
        }
        double q = chance - 0.5;
        double r = q * q;
        double above =
            (
                (
                    ((-3.969683028665376e+01 * r + 2.209460984245205e+02) * r - 2.759285104469687e+02) * r
                    + 1.383577518672690e+02
                ) * r
                - 3.066479806614716e+01
            ) * r
            + 2.506628277459239e+00;
        double below =
            (
                (
                    ((-5.447609879822406e+01 * r + 1.615858368580409e+02) * r - 1.556989798598866e+02) * r
                    + 6.680131188771972e+01
                ) * r
                - 1.328068155288572e+01
            ) * r
            + 1;
        return above * q / below;
    }

    private static double Tail(double q)
    {
        double above =
            (
                (
                    ((-7.784894002430293e-03 * q - 3.223964580411365e-01) * q - 2.400758277161838e+00) * q
                    - 2.549732539343734e+00
                ) * q
                + 4.374664141464968e+00
            ) * q
            + 2.938163982698783e+00;
        double below =
            (
                ((7.784695709041462e-03 * q + 3.224671290700398e-01) * q + 2.445134137142996e+00) * q
                + 3.754408661907416e+00
            ) * q
            + 1;
        return above / below;
    }

    internal static ulong Next(ref ulong state)
    {
        state += 0x9E3779B97F4A7C15;
        ulong z = state;
        z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9;
        z = (z ^ (z >> 27)) * 0x94D049BB133111EB;
        return z ^ (z >> 31);
    }
}
