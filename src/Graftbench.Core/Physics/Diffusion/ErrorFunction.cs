namespace Graftbench.Core.Physics.Diffusion;

/// <summary>The complementary error function and its first integral, as far as diffusion needs them.</summary>
internal static class ErrorFunction
{
    // ierfc(6.5) is below 1e-20: nothing beside the 1/√π that it is added to.
    private const double NegligibleFrom = 6.5;

    /// <summary>ierfc(x) = exp(−x²)/√π − x·erfc(x) for x of 1 and above.</summary>
    /// <remarks>
    /// By the continued fraction of erfc (Abramowitz and Stegun, "Handbook of Mathematical Functions" (1964), eq. 7.1.14),
    /// evaluated backwards from a depth that falls with x: relative error of erfc below 1e-14 for x ≥ 1.9. Smaller x lie outside the
    /// short-time series that calls this.
    /// </remarks>
    public static double IntegralOfComplement(double x)
    {
        if (x > NegligibleFrom)
        {
            return 0;
        }
        // erfc(x) = exp(−x²)/√π · 1/(x + (1/2)/(x + 1/(x + (3/2)/(x + 2/(x + ...))))).
        double tail = x;
        for (int k = (int)(20 + 400 / (x * x)); k >= 1; k--)
        {
            tail = x + k / 2.0 / tail;
        }
        return Math.Exp(-x * x) / Math.Sqrt(Math.PI) * (1 - x / tail);
    }
}
