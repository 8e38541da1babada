namespace Graftbench.Core.Tests.Physics.Heat;

/// <summary>Exact solutions of heat conduction, summed to the last digit.</summary>
/// <remarks>
/// F. P. Incropera and others, "Fundamentals of Heat and Mass Transfer", chapters 3 and 5 (slab with convection on both
/// faces, semi-infinite body, lumped body, fins); products of slabs for bodies of more dimensions: H. S. Carslaw, J. C.
/// Jaeger, "Conduction of Heat in Solids", 2nd ed. (1959), section 1.15.
/// </remarks>
internal static class TextbookHeat
{
    /// <summary>Share of the first difference to the gas that is left in a slab cooled or heated on both faces.</summary>
    /// <param name="place">Place from the middle over the half thickness, −1 to 1.</param>
    /// <param name="biot">h·l/k with the half thickness l.</param>
    /// <param name="fourier">a·t/l².</param>
    public static double SlabLeft(double place, double biot, double fourier)
    {
        double sum = 0;
        for (int n = 0; n < 400; n++)
        {
            double zeta = Root(biot, n);
            sum +=
                4
                * Math.Sin(zeta)
                / (2 * zeta + Math.Sin(2 * zeta))
                * Math.Exp(-zeta * zeta * fourier)
                * Math.Cos(zeta * place);
        }
        return sum;
    }

    /// <summary>Share of the way to the gas that a thick body has gone at a depth.</summary>
    public static double SemiInfinite(
        double depthM,
        double timeS,
        double filmWPerM2K,
        double wPerMK,
        double diffusivity
    )
    {
        double root = Math.Sqrt(diffusivity * timeS);
        double e = depthM / (2 * root);
        double b = filmWPerM2K * root / wPerMK;
        return Complement(e) - Math.Exp(filmWPerM2K * depthM / wPerMK + b * b) * Complement(e + b);
    }

    /// <summary>A lumped body whose gas climbs from its start at a steady rate, and stays from an end on.</summary>
    public static double LumpedRampC(double startC, double rateKPerS, double endS, double tauS, double timeS)
    {
        double Ramp(double t) => startC + rateKPerS * (t - tauS * (1 - Math.Exp(-t / tauS)));
        if (timeS <= endS)
        {
            return Ramp(timeS);
        }
        double gas = startC + rateKPerS * endS;
        return gas + (Ramp(endS) - gas) * Math.Exp((endS - timeS) / tauS);
    }

    /// <summary>Neumann's number λ: a front that melts into a thick body stands at 2λ√(a·t) from the face that is held hot.</summary>
    /// <remarks>Carslaw and Jaeger, section 11.2, same properties on both sides: λ√π = Sl/(e^(λ²) erf λ) − Ss/(e^(λ²) erfc λ).</remarks>
    /// <param name="hotStefan">c·(face − melting point)/latent heat.</param>
    /// <param name="coldStefan">c·(melting point − start)/latent heat.</param>
    public static double NeumannFront(double hotStefan, double coldStefan)
    {
        double low = 1e-6;
        double high = 3;
        for (int i = 0; i < 80; i++)
        {
            double middle = (low + high) / 2;
            double right =
                (hotStefan / (1 - Complement(middle)) - coldStefan / Complement(middle)) * Math.Exp(-middle * middle);
            (low, high) = right > middle * Math.Sqrt(Math.PI) ? (middle, high) : (low, middle);
        }
        return (low + high) / 2;
    }

    // ζ tan ζ = Bi, one root in each ((n)π, (n + ½)π): bisection.
    private static double Root(double biot, int n)
    {
        double low = n * Math.PI;
        double high = (n + 0.5) * Math.PI;
        for (int i = 0; i < 80; i++)
        {
            double middle = (low + high) / 2;
            if (middle * Math.Sin(middle) * (n % 2 == 0 ? 1 : -1) < biot * Math.Cos(middle) * (n % 2 == 0 ? 1 : -1))
            {
                low = middle;
            }
            else
            {
                high = middle;
            }
        }
        return (low + high) / 2;
    }

    // erfc by its series below 2 and its continued fraction above.
    private static double Complement(double x)
    {
        if (x < 2)
        {
            double term = x;
            double sum = x;
            for (int n = 1; n < 80; n++)
            {
                term *= -x * x / n;
                sum += term / (2 * n + 1);
            }
            return 1 - 2 / Math.Sqrt(Math.PI) * sum;
        }
        double fraction = x;
        for (int n = 120; n >= 1; n--)
        {
            fraction = x + n / 2.0 / fraction;
        }
        return Math.Exp(-x * x) / Math.Sqrt(Math.PI) / fraction;
    }
}
