using Graftbench.Vision.Planes;

namespace Graftbench.Vision.Xray;

/// <summary>What was measured of a joint, put into words: state, voids, or why not.</summary>
internal static partial class JointSurvey
{
    private static JointReading Reading(Joint joint, double radiusPx, double ringLimit, double area, double ellipticity)
    {
        XraySite site = joint.Site;
        JointOutline? outline = joint.Outline;
        (JointSight state, double confidence, string? why) = State(joint, area, ellipticity);
        if (state is JointSight.Missing || outline is null)
        {
            return Lost(site) with
            {
                State = state,
                ConfidenceFraction = confidence,
                WhyNot = state is JointSight.Missing ? null : why,
            };
        }
        string? noVoids = why ?? NoVoids(joint, radiusPx, ringLimit);
        VoidReading? voids = noVoids is null ? joint.Voids : null;
        return new JointReading(
            site.Name,
            site.Row,
            site.Column,
            outline.XPx,
            outline.YPx,
            state,
            confidence,
            outline.RadiusPx,
            outline.AreaPx2 / area,
            outline.EllipticityRatio,
            outline.RoughPx / outline.RadiusPx,
            joint.JoinedWith,
            voids?.SharePercent,
            voids is null ? null : Uncertainty(voids),
            voids is null ? null : voids.Spots.Select(spot => spot.AreaPercent).DefaultIfEmpty(0).Max(),
            voids?.LeastPercent,
            voids?.Spots ?? [],
            noVoids,
            Line(outline)
        );
    }

    // Beside noise: voids that overlap are read as one and too small. By a renderer of another hand more than a third of a true 25 %
    // and more was lost in some joints.
    private static double Uncertainty(VoidReading voids) =>
        Math.Sqrt(
            (voids.UncertaintyPercent * voids.UncertaintyPercent)
                + (OverlapFraction * voids.SharePercent * OverlapFraction * voids.SharePercent)
        );

    private static (JointSight State, double Confidence, string? Why) State(
        Joint joint,
        double area,
        double ellipticity
    )
    {
        if (joint.DiscRatio < MissingRatio)
        {
            return (JointSight.Missing, Math.Clamp(1 - joint.DiscRatio / (2 * MissingRatio), 0.5, 0.99), null);
        }
        if (joint.Outline is not { } outline || joint.Patch is null)
        {
            return joint.DiscRatio < PresentRatio
                ? (JointSight.CannotJudge, 0.5, "something is there, too faint for a joint")
                : (JointSight.CannotJudge, 0.5, "it has no outline of its own: another part's shadow lies over it");
        }
        if (joint.JoinedWith.Count > 0)
        {
            return (JointSight.Joined, 0.9, null);
        }
        double by = outline.AreaPx2 / area;
        if (
            by is < 0.6 or > 1.6
            || outline.EllipticityRatio - ellipticity > 0.22
            || outline.RoughPx > 0.08 * outline.RadiusPx + 0.5
        )
        {
            return (JointSight.Odd, 0.8, null);
        }
        return (JointSight.Present, Math.Clamp(outline.EdgeFraction, 0.5, 0.99), null);
    }

    private static string? NoVoids(Joint joint, double radiusPx, double ringLimit)
    {
        if (radiusPx < LeastRadiusPx)
        {
            return "too few pixels: a joint is "
                + FormattableString.Invariant($"{2 * radiusPx:0} px wide, {2 * LeastRadiusPx:0} are needed");
        }
        if (joint.SaturatedShare > SaturatedShare)
        {
            return "the picture is black there through and through: thickness cannot be read";
        }
        if (joint.Patch!.RingStep(SectorsOfBridge * joint.JoinedWith.Count) > ringLimit)
        {
            return "another part's shadow crosses it or its surroundings";
        }
        if (joint.Voids is not { } voids)
        {
            return "no usual thickness to compare with";
        }
        if (voids.DarkShare > MostDarkShare || joint.UnlikeLevel)
        {
            return "another part's shadow lies over it";
        }
        if (voids.DoubtfulPercent > MostDoubtfulPercent)
        {
            return "a wide, shallow spot there is rather another part's shadow than a void";
        }
        if (voids.LeastPercent > LargestUnseenPercent || voids.MisfitRatio > MostMisfitRatio)
        {
            return "noise hides voids of "
                + FormattableString.Invariant($"{Math.Max(voids.LeastPercent, LargestUnseenPercent):0} % and less");
        }
        return voids.UncertaintyPercent > MostUncertaintyPercent + 0.08 * voids.SharePercent
            ? "the edges of its voids cannot be told from noise"
            : null;
    }

    private static JointReading Lost(XraySite site) =>
        new(
            site.Name,
            site.Row,
            site.Column,
            site.XPx,
            site.YPx,
            JointSight.CannotJudge,
            0.5,
            null,
            null,
            null,
            null,
            [],
            null,
            null,
            null,
            null,
            [],
            "no joints were found in the picture",
            []
        );

    private static List<PicturePoint> Line(JointOutline outline)
    {
        const int Points = 48;
        List<PicturePoint> line = [];
        for (int k = 0; k < Points; k++)
        {
            double angle = 2 * Math.PI * k / Points;
            double c = Math.Cos(angle);
            double s = Math.Sin(angle);
            double r = outline.At(c, s);
            line.Add(new PicturePoint(outline.XPx + r * c, outline.YPx + r * s));
        }
        return line;
    }
}
