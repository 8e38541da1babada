namespace Graftbench.Vision.Xray;

/// <summary>What a blurred picture makes of the shadow of a round void, and back.</summary>
/// <remarks>
/// A sphere of gas takes away a path 2√(r² − d²). Its contour at a share of its depth encloses less than its shadow, blur draws
/// it wider. Two contours, of low and high share, tell how full the shadow is (a void squeezed flat between the lands is
/// full); what blur adds is taken back by the curve of a sphere blurred alike, computed once.
/// </remarks>
internal static class BubbleShape
{
    /// <summary>Share of the depth at which the wide contour is drawn.</summary>
    public const double LowShare = 0.35;

    /// <summary>Share of the depth at which the narrow contour is drawn.</summary>
    public const double HighShare = 0.7;

    // Narrow by wide contour: a sphere has 0.58, upright walls have 0.8 and more.
    private const double RoundFullness = 0.66;
    private const double FlatFullness = 0.86;
    private const double LeastRatio = 0.3;
    private const double MostRatio = 12;
    private const int Sizes = 40;

    // Blur 1: ln(seen radius) of spheres of rising true radius, for the low share.
    private static readonly Lazy<(double[] True, double[] Seen)> Curve = new(Compute);

    /// <summary>Area of the shadow from two contours [same unit as given].</summary>
    /// <param name="lowArea">Area inside the contour at <see cref="LowShare"/>.</param>
    /// <param name="highArea">Area inside the contour at <see cref="HighShare"/>.</param>
    /// <param name="blur">Standard deviation of the whole blur, in the root of the area's unit.</param>
    public static double Area(double lowArea, double highArea, double blur)
    {
        if (lowArea <= 0)
        {
            return 0;
        }
        // A void squeezed flat has upright walls: blur moves their half height nowhere, whatever its width.
        double full = Math.Clamp((highArea / lowArea - RoundFullness) / (FlatFullness - RoundFullness), 0, 1);
        double half = lowArea - (0.5 - LowShare) / (HighShare - LowShare) * (lowArea - highArea);
        return full * half + (1 - full) * Round(Extrapolated(lowArea, highArea), blur);
    }

    private static double Round(double seen, double blur)
    {
        if (blur <= 0)
        {
            return seen;
        }
        (double[] truth, double[] by) = Curve.Value;
        double ratio = Math.Sqrt(seen / Math.PI) / blur;
        if (ratio >= by[^1])
        {
            return seen * Math.Pow(truth[^1] / by[^1], 2);
        }
        if (ratio <= by[0])
        {
            return Math.PI * Math.Pow(truth[0] * blur, 2);
        }
        int i = Array.BinarySearch(by, ratio);
        i = i < 0 ? ~i - 1 : Math.Min(i, by.Length - 2);
        double part = (ratio - by[i]) / (by[i + 1] - by[i]);
        double r = truth[i] + part * (truth[i + 1] - truth[i]);
        return Math.PI * r * r * blur * blur;
    }

    // A(t) = A0·(1 − k·t²): k = 1 for a sphere, 0 for a void with upright walls.
    internal static double Extrapolated(double lowArea, double highArea)
    {
        double l = LowShare * LowShare;
        double h = HighShare * HighShare;
        double k = (lowArea - highArea) * l / (h - l);
        return lowArea + Math.Clamp(k, 0, 0.25 * lowArea);
    }

    private static (double[] True, double[] Seen) Compute()
    {
        double[] truth = new double[Sizes];
        double[] seen = new double[Sizes];
        double last = 0;
        for (int i = 0; i < Sizes; i++)
        {
            double r = LeastRatio * Math.Pow(MostRatio / LeastRatio, i / (Sizes - 1.0));
            double peak = Blurred(r, 0);
            double low = Math.PI * Math.Pow(Contour(r, LowShare * peak), 2);
            double high = Math.PI * Math.Pow(Contour(r, HighShare * peak), 2);
            truth[i] = r;
            // Kept rising, so that it can be turned round.
            seen[i] = last = Math.Max(last + 1e-9, Math.Sqrt(Extrapolated(low, high) / Math.PI));
        }
        return (truth, seen);
    }

    private static double Contour(double r, double level)
    {
        double low = 0;
        double high = r + 6;
        for (int i = 0; i < 50; i++)
        {
            double middle = (low + high) / 2;
            if (Blurred(r, middle) > level)
            {
                low = middle;
            }
            else
            {
                high = middle;
            }
        }
        return low;
    }

    // Chord of a sphere of radius r, blurred with standard deviation 1, at distance d from its middle.
    private static double Blurred(double r, double d)
    {
        const int Steps = 160;
        double sum = 0;
        for (int i = 0; i < Steps; i++)
        {
            // Equal steps in angle: the chord falls steeply at the rim.
            double angle = (i + 0.5) / Steps * Math.PI / 2;
            double s = r * Math.Sin(angle);
            double weight = r * Math.Cos(angle) * (Math.PI / 2 / Steps);
            double chord = 2 * r * Math.Cos(angle);
            sum += chord * s * Math.Exp(-(d - s) * (d - s) / 2) * BesselI0Scaled(d * s) * weight;
        }
        return sum;
    }

    // e^(−x)·I0(x), polynomials 9.8.1 and 9.8.2 of Abramowitz and Stegun, Handbook of Mathematical Functions (1964).
    private static double BesselI0Scaled(double x)
    {
        if (x < 3.75)
        {
            double t = x / 3.75;
            t *= t;
            double value =
                1
                + t
                    * (
                        3.5156229
                        + t * (3.0899424 + t * (1.2067492 + t * (0.2659732 + t * (0.0360768 + t * 0.0045813))))
                    );
            return value * Math.Exp(-x);
        }
        double u = 3.75 / x;
        double series =
            0.39894228
            + u
                * (
                    0.01328592
                    + u
                        * (
                            0.00225319
                            + u
                                * (
                                    -0.00157565
                                    + u
                                        * (
                                            0.00916281
                                            + u * (-0.02057706 + u * (0.02635537 + u * (-0.01647633 + u * 0.00392377)))
                                        )
                                )
                        )
                );
        return series / Math.Sqrt(x);
    }
}
