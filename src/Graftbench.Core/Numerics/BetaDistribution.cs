namespace Graftbench.Core.Numerics;

/// <summary>The beta distribution.</summary>
public static class BetaDistribution
{
    private const int MostSteps = 10_000;

    /// <summary>Chance to stay at or below a value.</summary>
    /// <param name="valueFraction">Value, 0 to 1.</param>
    /// <param name="alpha">First shape, above 0.</param>
    /// <param name="beta">Second shape, above 0.</param>
    /// <remarks>
    /// Regularised incomplete beta function by Lentz's continued fraction, on the side where it converges fast (W. H. Press and
    /// others, Numerical Recipes, ch. 6.4).
    /// </remarks>
    public static double Cumulative(double valueFraction, double alpha, double beta)
    {
        Require.Within(valueFraction, 0, 1);
        Require.FinitePositive(alpha);
        Require.FinitePositive(beta);
        double x = valueFraction;
        if (x is 0 or 1)
        {
            return x;
        }
        double front = Math.Exp(
            ChiSquare.LogGamma(alpha + beta)
                - ChiSquare.LogGamma(alpha)
                - ChiSquare.LogGamma(beta)
                + (alpha * Math.Log(x))
                + (beta * Math.Log(1 - x))
        );
        return x < (alpha + 1) / (alpha + beta + 2)
            ? front * Continued(x, alpha, beta) / alpha
            : 1 - (front * Continued(1 - x, beta, alpha) / beta);
    }

    /// <summary>The value that is not exceeded with a given chance.</summary>
    /// <param name="chanceFraction">Chance, above 0 and below 1.</param>
    /// <param name="alpha">First shape, above 0.</param>
    /// <param name="beta">Second shape, above 0.</param>
    /// <remarks>Halving of the interval 0 to 1, which always ends; the cumulative chance rises without a break.</remarks>
    public static double Quantile(double chanceFraction, double alpha, double beta)
    {
        Require.FinitePositive(chanceFraction);
        Require.FinitePositive(1 - chanceFraction, nameof(chanceFraction));
        double low = 0;
        double high = 1;
        for (int step = 0; step < 200 && high - low > 1e-15; step++)
        {
            double middle = (low + high) / 2;
            (low, high) = Cumulative(middle, alpha, beta) < chanceFraction ? (middle, high) : (low, middle);
        }
        return (low + high) / 2;
    }

    private static double Continued(double x, double a, double b)
    {
        const double Tiny = 1e-300;
        double Safe(double value) => Math.Abs(value) < Tiny ? Tiny : value;
        double c = 1;
        double d = 1 / Safe(1 - ((a + b) * x / (a + 1)));
        double h = d;
        for (int m = 1; m < MostSteps; m++)
        {
            double even = m * (b - m) * x / ((a + (2 * m) - 1) * (a + (2 * m)));
            d = 1 / Safe(1 + (even * d));
            c = Safe(1 + (even / c));
            h *= d * c;
            double odd = -(a + m) * (a + b + m) * x / ((a + (2 * m)) * (a + (2 * m) + 1));
            d = 1 / Safe(1 + (odd * d));
            c = Safe(1 + (odd / c));
            h *= d * c;
            if (Math.Abs((d * c) - 1) < 1e-15)
            {
                break;
            }
        }
        return h;
    }
}
