using Graftbench.Core.Inspection;

namespace Graftbench.Vision.Balls;

/// <summary>What was decided about one node, before names and neighbours.</summary>
/// <param name="Class">Its class.</param>
/// <param name="ConfidenceFraction">How sure, 0 to 1.</param>
/// <param name="XSteps">Middle of the ball by the outline's middle at the node [steps].</param>
/// <param name="YSteps">Middle of the ball by the outline's middle at the node [steps].</param>
/// <param name="SizeRatio">Size by the median of the picture; null where none was measured.</param>
/// <param name="AwaySteps">How far it lies beside its site [steps]; null where none was measured.</param>
/// <param name="Why">Why it cannot be judged.</param>
internal readonly record struct NodeVerdict(
    SiteClass Class,
    double ConfidenceFraction,
    double XSteps,
    double YSteps,
    double? SizeRatio,
    double? AwaySteps,
    string? Why
)
{
    /// <summary>Whether it cannot be judged and yet looks like a ball.</summary>
    public bool MayBeBall { get; init; }
}

/// <summary>Decides what is at a node.</summary>
/// <remarks>
/// Three zones: as the balls of this picture are; flat and unlike them; and neither, which is left to the person. Limits
/// are in standard deviations of the balls of the same picture, so that a picture whose balls differ much decides less.
/// </remarks>
internal sealed class SiteJudge(FieldLook field)
{
    /// <summary>Smaller than this by the median is undersized.</summary>
    public const double UndersizedRatio = 0.80;

    /// <summary>Further off than this is off-centre [steps]: about a quarter of the diameter (common practice, no source).</summary>
    public const double OffCentreSteps = 0.135;

    private const double Usual = 3.0;
    private const double Unusual = 4.2;
    private const double OtherColour = 5.0;
    private const double BallColour = 3.6;
    private const double MiddleColour = 2.2;
    private const double CoreColour = 3.2;
    private const double FlatInside = 0.5;
    private const double SmearColour = 4.0;
    private const double ShadowRatio = 1.5;

    private readonly GroundLook ground = new(field);
    private readonly double usualSize = field.Balls.SizeRatio;
    private readonly double usualInside = SitePopulation.Median(
        field.Nodes.Where(node => field.Balls.Distance(node) < 1.5).Select(node => InsideSpread(field, node.I, node.J))
    );

    /// <summary>The ground between the balls.</summary>
    public GroundLook Ground => ground;

    /// <summary>Decides.</summary>
    public NodeVerdict Of(NodeLook node)
    {
        SiteFit fit = node.Fit;
        double distance = field.Balls.Distance(node);
        double amount = field.Balls.AmountRatio(node);
        double colour = field.Balls.ColourDistance(node);
        double size = fit.SizeRatio / usualSize;
        double away = field.Balls.Away(node);
        bool smeared = ground.ColourDistance(node.I, node.J) > SmearColour;
        bool shaded = ground.ShadeRatio(node.I, node.J) > ShadowRatio;
        NodeVerdict Say(SiteClass one, double sure, string? why = null) =>
            one is SiteClass.Missing or SiteClass.CannotJudge
                ? new NodeVerdict(one, sure, 0, 0, null, null, why)
                : new NodeVerdict(one, sure, fit.XSteps, fit.YSteps, size, away, why);
        if (distance < Usual && amount is > 0.4 and < 2.4 && (colour < BallColour || smeared))
        {
            double sure =
                Math.Clamp(0.999 - 0.012 * Math.Max(0, distance - 1), 0.9, 0.999) - (smeared || shaded ? 0.02 : 0);
            return Say(OfMeasures(size, away), sure);
        }
        BallCore.Found? core = BallCore.Find(field, node.I, node.J);
        if (core is { } seen && seen.Likeness > 0.9 && seen.Amount is > 0.42 and < 2.5 && colour < CoreColour)
        {
            fit = seen.Fit;
            size = seen.Fit.SizeRatio / usualSize;
            away = field.Balls.Away(node with { Fit = fit });
            double covered = field.MiddleColourDistance(node);
            bool beside = away > OffCentreSteps;
            // A look that is the same in every size does not tell the size.
            bool small = !beside && size < UndersizedRatio && seen.Likeness > seen.FullSizeLikeness + 0.03;
            // The edge of a bare land can look like the bright and dark side of a ball: a ball that is only a little off
            // still covers the middle of its site.
            if (beside && covered < MiddleColour && seen.Likeness > 0.95)
            {
                return Say(SiteClass.OffCentre, 0.88);
            }
            if (small)
            {
                return Say(SiteClass.Undersized, 0.9);
            }
            if (!beside && covered < MiddleColour)
            {
                return Say(
                    SiteClass.CannotJudge,
                    0.7,
                    "It looks like a ball and is not like the others: something lies on it or beside it."
                ) with
                {
                    MayBeBall = true,
                };
            }
        }
        if (smeared)
        {
            return Say(SiteClass.CannotJudge, 0.5, "Flux or dirt covers it.");
        }
        if (shaded)
        {
            return Say(SiteClass.CannotJudge, 0.5, "The edge of a shadow or of a glare runs through it.");
        }
        double inside = usualInside > 1e-9 ? InsideSpread(field, node.I, node.J) / usualInside : 1;
        bool unlike = distance > Unusual && fit.SolidLikeness < 0.95 * field.Balls.SolidLikeness;
        double coreLikeness = core?.Likeness ?? 0;
        bool flat = inside < FlatInside && coreLikeness < 0.82;
        // A small ball on a bare land: the middle has the colour of balls, what is around it has not.
        double middleColour = field.MiddleColourDistance(node);
        if (colour > CoreColour && middleColour < MiddleColour && coreLikeness > 0.6 && away < OffCentreSteps)
        {
            return Say(SiteClass.Undersized, 0.85) with { SizeRatio = null };
        }
        bool other = colour > OtherColour && middleColour > OtherColour && coreLikeness < 0.94;
        if (unlike && (flat || other))
        {
            double sure = Math.Clamp(
                0.95 + 0.008 * (distance - Unusual) + (colour > OtherColour ? 0.02 : 0),
                0.9,
                0.999
            );
            return Say(SiteClass.Missing, sure);
        }
        return Say(
            SiteClass.CannotJudge,
            0.5,
            "It is neither like the balls of this picture nor like an empty site."
        ) with
        {
            MayBeBall =
                coreLikeness > 0.6
                && colour < CoreColour
                && middleColour < MiddleColour
                && field.Balls.ContrastRatio(node) > 0.4,
        };
    }

    private static SiteClass OfMeasures(double size, double away) =>
        away > OffCentreSteps ? SiteClass.OffCentre
        : size < UndersizedRatio ? SiteClass.Undersized
        : SiteClass.Present;

    // Spread of brightness well inside, by that of the light there.
    private static double InsideSpread(FieldLook field, int i, int j)
    {
        float[] samples = new float[RoundPatch.Count];
        bool seen = RoundPatch.Take(
            field.Flat,
            field.Flat.Grey,
            field.Flat.XPx(i + field.Outline.OffsetXSteps),
            field.Flat.YPx(j + field.Outline.OffsetYSteps),
            field.Outline.RadiusSteps * field.Flat.StepPx,
            samples
        );
        if (!seen)
        {
            return 0;
        }
        Span<float> inner = samples.AsSpan(0, RoundPatch.InnerRings * RoundPatch.Angles);
        RoundPatch.Centre(inner);
        return Math.Sqrt(RoundPatch.Dot(inner, inner) / inner.Length) / Math.Max(field.Balls.LocalContrast(i, j), 1e-6);
    }
}

/// <summary>Looks for a ball by its inside alone, whatever lies around it: a small ball on a bare land, a ball beside its land.</summary>
internal static class BallCore
{
    private const int Rings = 6;
    private const double FullSize = 0.85;

    /// <summary>What was found.</summary>
    /// <param name="Fit">Place and size.</param>
    /// <param name="Likeness">How alike its inside is.</param>
    /// <param name="Amount">How much of it there is, by the balls around.</param>
    /// <param name="FullSizeLikeness">The best likeness of a ball of usual size.</param>
    public readonly record struct Found(SiteFit Fit, double Likeness, double Amount, double FullSizeLikeness);

    /// <summary>The best inside, with its likeness and its amount by that of the balls.</summary>
    public static Found? Find(FieldLook field, int i, int j)
    {
        FlatField flat = field.Flat;
        float[] look = new float[RoundPatch.Count];
        field.Look.At(i, j, look);
        float[] want = look[..(Rings * RoundPatch.Angles)];
        RoundPatch.Centre(want);
        double wanted = RoundPatch.Dot(want, want);
        float[] got = new float[RoundPatch.Count];
        double x0 = flat.XPx(i + field.Outline.OffsetXSteps);
        double y0 = flat.YPx(j + field.Outline.OffsetYSteps);
        double radius = field.Outline.RadiusSteps * flat.StepPx;
        (double X, double Y, double S, double V) best = (0, 0, 1, -2);
        double full = -1;
        foreach (double size in (double[])[1, 0.85, 0.7, 0.6, 0.5])
        {
            for (int b = -4; b <= 4; b++)
            {
                for (int a = -4; a <= 4; a++)
                {
                    (double dx, double dy) = (0.07 * a, 0.07 * b);
                    if (
                        a * a + b * b > 17
                        || !RoundPatch.Take(
                            flat,
                            flat.Grey,
                            x0 + dx * flat.StepPx,
                            y0 + dy * flat.StepPx,
                            radius * size,
                            got
                        )
                    )
                    {
                        continue;
                    }
                    Span<float> inner = got.AsSpan(0, want.Length);
                    RoundPatch.Centre(inner);
                    double likeness = RoundPatch.Likeness(inner, want);
                    full = size >= FullSize ? Math.Max(full, likeness) : full;
                    if (likeness > best.V)
                    {
                        best = (dx, dy, size, likeness);
                    }
                }
            }
        }
        if (best.V < -1)
        {
            return null;
        }
        RoundPatch.Take(flat, flat.Grey, x0 + best.X * flat.StepPx, y0 + best.Y * flat.StepPx, radius * best.S, got);
        Span<float> at = got.AsSpan(0, want.Length);
        RoundPatch.Centre(at);
        double local = field.Balls.LocalContrast(i, j);
        float[] whole = [.. look];
        RoundPatch.Centre(whole);
        double contrast = Math.Sqrt(RoundPatch.Dot(whole, whole) / whole.Length);
        // The look is in units of the contrast around: bring it to the brightness here.
        double amount = wanted > 1e-12 ? RoundPatch.Dot(at, want) / wanted * contrast / Math.Max(local, 1e-9) : 0;
        return new Found(new SiteFit(best.X, best.Y, best.S, best.V, best.V, amount, 0, 0), best.V, amount, full);
    }
}
