namespace Graftbench.Vision.Xray;

/// <summary>Where the edge of a blurred lens looks steepest, and how wide it looks.</summary>
/// <remarks>
/// Light through a truncated ball falls inward from the outline as exp(−L·min(1, 2√(2Rx)/h)), x the distance inside. Blurred,
/// the steepest place lies inside of the outline: 0.765 blurs for a faint lens (maximum of the root's slope), less for a dark
/// one. The height is taken as 1.35 radii (common practice of collapsed joints, no source); an upright wall would have its
/// steepest place on the outline itself.
/// </remarks>
internal static class EdgeModel
{
    private const double HeightByRadius = 1.35;

    /// <summary>Blur from the width of the seen edge, and how far inside of the outline it is steepest.</summary>
    /// <param name="halfWidthPx">From the steepest place outward to half that steepness [px].</param>
    /// <param name="radiusPx">Radius of the joint [px].</param>
    /// <param name="level">Attenuation of the whole joint.</param>
    /// <param name="leastBlurPx">Blur that is in any case [px].</param>
    public static (double BlurPx, double InsidePx) Solve(
        double halfWidthPx,
        double radiusPx,
        double level,
        double leastBlurPx
    )
    {
        double low = Math.Max(0.3, leastBlurPx);
        double high = Math.Max(low, radiusPx / 2);
        for (int i = 0; i < 24; i++)
        {
            double middle = (low + high) / 2;
            if (Look(middle, radiusPx, level).HalfWidthPx < halfWidthPx)
            {
                low = middle;
            }
            else
            {
                high = middle;
            }
        }
        double blur = (low + high) / 2;
        return (blur, Look(blur, radiusPx, level).InsidePx);
    }

    /// <summary>Steepest place and half width of a lens blurred.</summary>
    internal static (double InsidePx, double HalfWidthPx) Look(double blurPx, double radiusPx, double level)
    {
        // In blurs; places from outside in.
        const double Step = 0.05;
        const double From = -4;
        const int Places = 160;
        double[] steep = new double[Places];
        double rootRate = 2 * Math.Sqrt(2 * blurPx / radiusPx) / HeightByRadius;
        // Over v = √x the root's slope has no pole.
        double lastV = Math.Min(1 / rootRate, 3.2);
        const int Parts = 60;
        for (int k = 0; k < Parts; k++)
        {
            double v = (k + 0.5) / Parts * lastV;
            double drop = level * rootRate * Math.Exp(-level * rootRate * v) * lastV / Parts;
            for (int i = 0; i < Places; i++)
            {
                double d = From + i * Step - v * v;
                steep[i] += drop * Math.Exp(-d * d / 2);
            }
        }
        int peak = Array.IndexOf(steep, steep.Max());
        int outer = peak;
        while (outer > 0 && steep[outer] > steep[peak] / 2)
        {
            outer--;
        }
        double part = (steep[peak] / 2 - steep[outer]) / Math.Max(1e-12, steep[outer + 1] - steep[outer]);
        double inside = From + peak * Step;
        return (inside * blurPx, (inside - (From + (outer + part) * Step)) * blurPx);
    }
}
