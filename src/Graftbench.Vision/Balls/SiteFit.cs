namespace Graftbench.Vision.Balls;

/// <summary>How well a ball fits at a place, and where and how large it then is.</summary>
/// <param name="XSteps">Middle by the outline's middle at the node [steps].</param>
/// <param name="YSteps">Middle by the outline's middle at the node [steps].</param>
/// <param name="SizeRatio">Size by that of the balls of the picture.</param>
/// <param name="WholeLikeness">How alike the whole patch is, -1 to 1.</param>
/// <param name="SolidLikeness">How alike it is in what no flat thing explains, -1 to 1.</param>
/// <param name="SolidAmountRatio">How much of the solid look there is, by brightness as it is; 1: as much as the look.</param>
/// <param name="NoiseRatio">Standard deviation of chance in that amount.</param>
/// <param name="Contrast">Standard deviation of the patch.</param>
internal readonly record struct SiteFit(
    double XSteps,
    double YSteps,
    double SizeRatio,
    double WholeLikeness,
    double SolidLikeness,
    double SolidAmountRatio,
    double NoiseRatio,
    double Contrast
)
{
    private const double MostAwaySteps = 0.32;
    private const double LeastSize = 0.45;
    private const double MostSize = 1.3;

    /// <summary>Fits a ball at a place.</summary>
    /// <param name="flat">The flat field.</param>
    /// <param name="look">How a ball looks.</param>
    /// <param name="i">Place [steps].</param>
    /// <param name="j">Place [steps].</param>
    /// <param name="outline">Middle and size of the balls of this picture.</param>
    /// <param name="noise">Standard deviation of chance in a sample.</param>
    /// <param name="wide">Whether to look for balls that are off or small.</param>
    /// <returns>The best fit; null where a part is outside of what was seen.</returns>
    public static SiteFit? At(
        FlatField flat,
        BallLook look,
        double i,
        double j,
        BallOutline outline,
        double noise,
        bool wide = true
    )
    {
        float[] want = new float[RoundPatch.Count];
        look.At(i, j, want);
        double x0 = flat.XPx(i + outline.OffsetXSteps);
        double y0 = flat.YPx(j + outline.OffsetYSteps);
        double radius = outline.RadiusSteps * flat.StepPx;
        float[] got = new float[RoundPatch.Count];
        double Value(double dx, double dy, double size)
        {
            if (
                Math.Sqrt(dx * dx + dy * dy) > MostAwaySteps
                || size < LeastSize
                || size > MostSize
                || !RoundPatch.Take(flat, flat.Grey, x0 + dx * flat.StepPx, y0 + dy * flat.StepPx, radius * size, got)
            )
            {
                return -2;
            }
            RoundPatch.Centre(got);
            return RoundPatch.Likeness(got, want);
        }
        double nominal = Value(0, 0, 1);
        if (nominal < -1)
        {
            return null;
        }
        (double X, double Y, double S, double V) best = Climb(Value, (0, 0, 1, nominal));
        if (wide && best.V < 0.85)
        {
            foreach (double size in (double[])[1, 0.75, 0.58])
            {
                (double X, double Y, double S, double V) coarse = (0, 0, size, -2);
                for (int b = -2; b <= 2; b++)
                {
                    for (int a = -2; a <= 2; a++)
                    {
                        double value = Value(a * 0.12, b * 0.12, size);
                        if (value > coarse.V)
                        {
                            coarse = (a * 0.12, b * 0.12, size, value);
                        }
                    }
                }
                coarse = Climb(Value, coarse);
                // A ball where it belongs goes before a better likeness elsewhere.
                if (coarse.V > best.V + 0.06)
                {
                    best = coarse;
                }
            }
        }
        Value(best.X, best.Y, best.S);
        float[] solid = new float[RoundPatch.Count];
        float[] wantSolid = new float[RoundPatch.Count];
        RoundPatch.Solid(got, solid);
        RoundPatch.Solid(want, wantSolid);
        double size2 = RoundPatch.Dot(wantSolid, wantSolid);
        return new SiteFit(
            best.X,
            best.Y,
            best.S,
            best.V,
            RoundPatch.Likeness(solid, wantSolid),
            size2 > 1e-12 ? RoundPatch.Dot(solid, wantSolid) / size2 : 0,
            size2 > 1e-12 ? noise / Math.Sqrt(size2) : double.PositiveInfinity,
            Math.Sqrt(RoundPatch.Dot(got, got) / got.Length)
        );
    }

    private static (double X, double Y, double S, double V) Climb(
        Func<double, double, double, double> value,
        (double X, double Y, double S, double V) from
    )
    {
        double step = 0.06;
        for (int turn = 0; turn < 4; turn++)
        {
            bool moved = true;
            for (int k = 0; k < 4 && moved; k++)
            {
                moved = false;
                foreach (
                    (double dx, double dy, double ds) in ((double, double, double)[])
                        [
                            (step, 0, 0),
                            (-step, 0, 0),
                            (0, step, 0),
                            (0, -step, 0),
                            (0, 0, 1.5 * step),
                            (0, 0, -1.5 * step),
                        ]
                )
                {
                    double v = value(from.X + dx, from.Y + dy, from.S + ds);
                    if (v > from.V)
                    {
                        from = (from.X + dx, from.Y + dy, from.S + ds, v);
                        moved = true;
                    }
                }
            }
            step /= 2;
        }
        return from;
    }
}
