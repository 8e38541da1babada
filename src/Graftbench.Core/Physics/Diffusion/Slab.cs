namespace Graftbench.Core.Physics.Diffusion;

/// <summary>
/// A slab that starts uniformly moist and dries through both faces into air of no humidity. One closed face is the same
/// slab of twice the thickness. Everything hangs on one number, the Fourier number Fo = D·t/L².
/// </summary>
/// <remarks>[1] J. Crank, "The Mathematics of Diffusion", 2nd ed. (1975), eqs. 4.18 and 4.20.</remarks>
public static class Slab
{
    // Where the two series meet: each needs at most four terms for full double precision on its side.
    private const double ShortTimeLimitNumber = 0.06;

    /// <summary>Share of the first moisture that is still in the slab.</summary>
    /// <param name="fourierNumber">Fo = D·t/L² with L the thickness between the open faces, 0 or above.</param>
    /// <returns>Fraction left, 1 at Fo = 0, falling to 0.</returns>
    /// <remarks>
    /// Long times: R = Σ 8/((2n+1)²π²)·exp(−(2n+1)²π²Fo) [1, eq. 4.18]. Short times: R = 1 − 4·√Fo·(1/√π +
    /// 2·Σ (−1)ⁿ·ierfc(n/(2√Fo))) [1, eq. 4.20], where the sum is below 1e-15 for the first limit used here but for n = 1, 2.
    /// </remarks>
    /// <exception cref="ArgumentOutOfRangeException">Negative or not a number.</exception>
    public static double RemainingFraction(double fourierNumber)
    {
        Require.Within(fourierNumber, 0, double.MaxValue);
        if (fourierNumber == 0)
        {
            return 1;
        }
        if (fourierNumber < ShortTimeLimitNumber)
        {
            double root = Math.Sqrt(fourierNumber);
            double sum =
                ErrorFunction.IntegralOfComplement(1 / root / 2) - ErrorFunction.IntegralOfComplement(2 / root / 2);
            return 1 - 4 * root * (1 / Math.Sqrt(Math.PI) - 2 * sum);
        }
        double total = 0;
        for (int n = 0; n < 12; n++)
        {
            double odd = 2 * n + 1;
            double term = Math.Exp(-odd * odd * Math.PI * Math.PI * fourierNumber) / (odd * odd);
            total += term;
            if (term < total * 1e-17)
            {
                break;
            }
        }
        return 8 / (Math.PI * Math.PI) * total;
    }

    /// <summary>Fourier number at which a given share of the first moisture is left: the inverse of <see cref="RemainingFraction"/>.</summary>
    /// <param name="remainingFraction">Fraction left, above 0 and at most 1.</param>
    /// <returns>Fo, 0 at 1, rising without bound as the fraction falls.</returns>
    /// <exception cref="ArgumentOutOfRangeException">Not above 0, or above 1.</exception>
    public static double FourierNumber(double remainingFraction)
    {
        Require.Within(remainingFraction, double.Epsilon, 1);
        if (remainingFraction == 1)
        {
            return 0;
        }
        // First guess from the leading term of whichever series holds; then Newton on ln R, which is nearly straight.
        double loss = 1 - remainingFraction;
        double fo =
            remainingFraction > 0.5
                ? Math.PI * loss * loss / 16
                : -Math.Log(remainingFraction * Math.PI * Math.PI / 8) / (Math.PI * Math.PI);
        for (int i = 0; i < 30; i++)
        {
            double left = RemainingFraction(fo);
            double step = (left - remainingFraction) / RateNumber(fo);
            double next = Math.Max(fo / 4, fo + step);
            if (Math.Abs(next - fo) <= 1e-15 * fo)
            {
                return next;
            }
            fo = next;
        }
        return fo;
    }

    // −dR/dFo: 8·Σ exp(−(2n+1)²π²Fo), or its short-time form 2/√(πFo)·(1 + 2·Σ (−1)ⁿ exp(−n²/(4Fo))).
    private static double RateNumber(double fo)
    {
        if (fo < ShortTimeLimitNumber)
        {
            double alternating = -Math.Exp(-1 / (4 * fo)) + Math.Exp(-4 / (4 * fo));
            return 2 / Math.Sqrt(Math.PI * fo) * (1 + 2 * alternating);
        }
        double total = 0;
        for (int n = 0; n < 12; n++)
        {
            double odd = 2 * n + 1;
            total += Math.Exp(-odd * odd * Math.PI * Math.PI * fo);
        }
        return 8 * total;
    }
}
