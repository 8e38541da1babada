using Graftbench.Vision.Planes;

namespace Graftbench.Vision.Xray;

/// <summary>A site of the field, where the lattice puts it in the picture.</summary>
/// <param name="Name">Name of the ball.</param>
/// <param name="Row">Row from 0.</param>
/// <param name="Column">Column from 0.</param>
/// <param name="XPx">Place [px].</param>
/// <param name="YPx">Place [px].</param>
internal sealed record XraySite(string Name, int Row, int Column, double XPx, double YPx);

/// <summary>What was measured on the way and belongs to the whole picture.</summary>
/// <param name="Joints">Each joint, in the order of the sites.</param>
/// <param name="RadiusPx">Usual radius [px].</param>
/// <param name="BlurPx">Blur of picture and reading together, standard deviation [px].</param>
/// <param name="NoiseRatio">Noise of a pixel inside joints, by the attenuation of a joint.</param>
/// <param name="LevelNumber">Attenuation of a joint, natural logarithm.</param>
/// <param name="Sharpened">Whether edges carry a halo.</param>
internal sealed record SurveyResult(
    IReadOnlyList<JointReading> Joints,
    double RadiusPx,
    double BlurPx,
    double NoiseRatio,
    double LevelNumber,
    bool Sharpened
);

/// <summary>Measures every joint of a field whose places are known.</summary>
internal static partial class JointSurvey
{
    /// <summary>Radius below which voids are not read [px].</summary>
    public const double LeastRadiusPx = 8;

    private const double LeastSmoothingPx = 0.7;
    private const double MissingRatio = 0.25;
    private const double PresentRatio = 0.45;
    private const double JoinedRatio = 0.13;
    private const double MostDarkShare = 0.12;
    private const double MostMisfitRatio = 0.07;
    private const double LeastRingRatio = 0.025;
    private const double MostRingRatio = 0.05;
    private const double RingFactor = 5;
    private const int SectorsOfBridge = 3;
    private const double MostLevelRatio = 0.1;
    private const double LargestUnseenPercent = 4;
    private const double SaturatedShare = 0.04;
    private const double MostDoubtfulPercent = 10;
    private const double MostUncertaintyPercent = 7;
    private const double OverlapFraction = 0.4;

    private sealed class Joint
    {
        public required XraySite Site { get; init; }
        public JointOutline? Outline { get; set; }
        public JointPatch? Patch { get; set; }
        public double RawNoise { get; set; }
        public double Level { get; set; }
        public double DiscRatio { get; set; }
        public double SaturatedShare { get; set; }
        public List<string> JoinedWith { get; } = [];
        public bool UnlikeLevel { get; set; }
        public VoidReading? Voids { get; set; }
    }

    /// <summary>Measures.</summary>
    /// <param name="light">Transmitted light, joints dark, 0 to 1.</param>
    /// <param name="sites">Sites.</param>
    /// <param name="radiusPx">Usual radius, rough [px].</param>
    /// <param name="pitchPx">Usual pitch [px].</param>
    /// <param name="floor">Level at or below which the picture is black through and through.</param>
    /// <param name="cancel">Stops the work.</param>
    public static SurveyResult Measure(
        Plane light,
        IReadOnlyList<XraySite> sites,
        double radiusPx,
        double pitchPx,
        double floor,
        CancellationToken cancel
    )
    {
        Plane raw = Attenuation(light, Lift(light, sites));
        Plane soft = raw.Blurred(LeastSmoothingPx);
        // Edges are followed in light itself: there they lie nearer to the outline than in its logarithm.
        Plane dark = Negative(light).Blurred(LeastSmoothingPx);
        Joint[] joints = [.. sites.Select(site => new Joint { Site = site })];
        double reach = pitchPx / 2;
        Each(joints, joint => Outline(joint, dark, radiusPx, reach), cancel);
        double usual = Ranks.Median(joints.Where(j => j.Outline is not null).Select(j => j.Outline!.RadiusPx));
        radiusPx = double.IsNaN(usual) ? radiusPx : usual;
        Each(joints, joint => Look(joint, raw, soft, light, radiusPx, reach, floor), cancel);
        double level = Ranks.Median(joints.Where(j => j.Outline is not null).Select(j => j.Level));
        double noise = Ranks.Median(joints.Where(j => j.Outline is not null).Select(j => j.RawNoise));
        if (!(level > 0))
        {
            return new SurveyResult([.. joints.Select(j => Lost(j.Site))], radiusPx, 0, double.NaN, 0, false);
        }
        // Noise of a pixel under a thirtieth of a joint: blur as much as that takes, never so much that voids drown.
        double wanted = noise / (0.03 * level) / (2 * Math.Sqrt(Math.PI));
        double smoothing = Math.Clamp(wanted, LeastSmoothingPx, Math.Max(LeastSmoothingPx, radiusPx / 8));
        if (smoothing > LeastSmoothingPx + 0.1)
        {
            soft = raw.Blurred(smoothing);
            dark = Negative(light).Blurred(smoothing);
            Each(joints, joint => Outline(joint, dark, radiusPx, reach), cancel);
        }
        double width = Ranks.Median(joints.Where(j => j.Outline is not null).Select(j => j.Outline!.EdgeWidthPx));
        (double blur, double inside) = EdgeModel.Solve(width, radiusPx, level, smoothing);
        Each(joints, joint => Cut(joint, soft, radiusPx, reach, inside, smoothing), cancel);
        foreach (Joint joint in joints)
        {
            joint.DiscRatio /= level;
        }
        Join(joints, soft, level);
        double ringLimit = Math.Clamp(
            RingFactor * Ranks.Median(joints.Where(j => j.Patch is not null).Select(j => j.Patch!.RingStep(0))),
            LeastRingRatio * level,
            MostRingRatio * level
        );
        bool sharpened = Voids(joints, radiusPx, blur, ringLimit, cancel);
        double area = Ranks.Median(joints.Where(j => j.Patch is not null).Select(j => j.Outline!.AreaPx2));
        double ellipticity = Ranks.Median(
            joints.Where(j => j.Patch is not null).Select(j => j.Outline!.EllipticityRatio)
        );
        return new SurveyResult(
            [.. joints.Select(joint => Reading(joint, radiusPx, ringLimit, area, ellipticity))],
            radiusPx,
            blur,
            noise / level,
            level,
            sharpened
        );
    }

    // A picture stretched until joints are nearly black has lost its true zero, and its logarithm is all noise there. So
    // much light is added that a joint lets a fifth through; profiles are learned from the picture itself either way.
    private static float Lift(Plane light, IReadOnlyList<XraySite> sites)
    {
        const double LeastThrough = 0.2;
        double joint = Ranks.Median(
            sites.Where(site => light.Holds(site.XPx, site.YPx)).Select(site => (double)light.At(site.XPx, site.YPx))
        );
        int stride = Math.Max(1, light.Values.Length / 20000);
        float[] some = [.. Enumerable.Range(0, light.Values.Length / stride).Select(i => light.Values[i * stride])];
        double open = Ranks.Quantile(some, 0.8);
        return double.IsNaN(joint) ? 0 : (float)Math.Max(0, (LeastThrough * open - joint) / (1 - LeastThrough));
    }

    /// <summary>Attenuation from light: the natural logarithm, Beer and Lambert.</summary>
    /// <param name="light">Light, 0 to 1.</param>
    /// <param name="lift">Added to the light before.</param>
    internal static Plane Attenuation(Plane light, float lift = 0)
    {
        const float Least = 1f / 2048;
        float[] values = new float[light.Values.Length];
        Parallel.For(
            0,
            light.HeightPx,
            y =>
            {
                int from = y * light.WidthPx;
                for (int i = from; i < from + light.WidthPx; i++)
                {
                    values[i] = -MathF.Log(Math.Max(Least, light.Values[i] + lift));
                }
            }
        );
        return new Plane(light.WidthPx, light.HeightPx, values);
    }

    private static Plane Negative(Plane light)
    {
        float[] values = new float[light.Values.Length];
        for (int i = 0; i < values.Length; i++)
        {
            values[i] = -light.Values[i];
        }
        return new Plane(light.WidthPx, light.HeightPx, values);
    }

    private static void Each(Joint[] joints, Action<Joint> work, CancellationToken cancel) =>
        Parallel.ForEach(joints, new ParallelOptions { CancellationToken = cancel }, work);

    private static void Outline(Joint joint, Plane soft, double radiusPx, double reach)
    {
        joint.Outline = null;
        XraySite site = joint.Site;
        if (!soft.Holds(site.XPx, site.YPx))
        {
            return;
        }
        JointOutline? found = JointOutline.Follow(soft, site.XPx, site.YPx, radiusPx, 1.1 * reach);
        if (
            found is not null
            && found.EdgeFraction >= 0.5
            && Math.Pow(found.XPx - site.XPx, 2) + Math.Pow(found.YPx - site.YPx, 2) < Math.Pow(0.5 * reach, 2)
            && soft.Holds(found.XPx - found.RadiusPx, found.YPx - found.RadiusPx)
            && soft.Holds(found.XPx + found.RadiusPx, found.YPx + found.RadiusPx)
        )
        {
            joint.Outline = found;
        }
    }

    // Rough level, noise and saturation, with or without an outline.
    private static void Look(
        Joint joint,
        Plane raw,
        Plane soft,
        Plane light,
        double radiusPx,
        double reach,
        double floor
    )
    {
        double x = joint.Outline?.XPx ?? joint.Site.XPx;
        double y = joint.Outline?.YPx ?? joint.Site.YPx;
        double r = joint.Outline?.RadiusPx ?? radiusPx;
        List<float> inside = [];
        List<float> second = [];
        List<float> upright = [];
        int black = 0;
        int half = (int)(0.75 * r);
        int step = Math.Max(1, half / 24);
        for (int j = -half; j <= half; j += step)
        {
            for (int i = -half; i <= half; i += step)
            {
                int px = (int)Math.Round(x) + i;
                int py = (int)Math.Round(y) + j;
                if (i * i + j * j > half * half || px < 2 || px >= raw.WidthPx - 2 || py < 2 || py >= raw.HeightPx - 2)
                {
                    continue;
                }
                inside.Add(soft[px, py]);
                second.Add((float)((raw[px - 2, py] + raw[px + 2, py] - 2 * raw[px, py]) / Math.Sqrt(6)));
                upright.Add((float)((raw[px, py - 2] + raw[px, py + 2] - 2 * raw[px, py]) / Math.Sqrt(6)));
                black += light[px, py] <= floor ? 1 : 0;
            }
        }
        List<float> around = [];
        double ring = Math.Min(1.45 * r, Math.Max(1.15 * r, reach));
        for (int k = 0; k < 48; k++)
        {
            double angle = 2 * Math.PI * k / 48;
            around.Add(soft.At(x + ring * Math.Cos(angle), y + ring * Math.Sin(angle)));
        }
        joint.SaturatedShare = inside.Count == 0 ? 0 : black / (double)inside.Count;
        // Lines of a detector may be noisy as a whole: that shows in one direction only.
        joint.RawNoise = Math.Max(NoiseOf(second), NoiseOf(upright));
        float[] values = [.. inside];
        double background = Ranks.Median([.. around]);
        joint.Level = values.Length == 0 ? 0 : Ranks.Quantile(values, 0.7) - background;
        joint.DiscRatio = values.Length == 0 ? 0 : Ranks.Median(values) - background;
    }

    private static double NoiseOf(List<float> differences)
    {
        if (differences.Count == 0)
        {
            return 0;
        }
        float middle = (float)Ranks.Median([.. differences]);
        return Ranks.NormalByDeviation * Ranks.Median([.. differences.Select(one => Math.Abs(one - middle))]);
    }

    private static void Cut(Joint joint, Plane soft, double radiusPx, double reach, double insidePx, double smoothing)
    {
        if (joint.Outline is not { } outline || joint.Level <= 0 || outline.RadiusPx < 0.35 * radiusPx)
        {
            joint.Outline = joint.Level > 0 ? joint.Outline : null;
            return;
        }
        joint.Outline = outline = outline with { RadiusPx = outline.RadiusPx + insidePx };
        joint.Patch = JointPatch.Cut(soft, outline, reach);
        // White noise under a normal blur; a fifth more for what is not white.
        joint.Patch.Noise = 1.2 * joint.RawNoise / Math.Max(1, 2 * Math.Sqrt(Math.PI) * smoothing);
        List<float> solid = [];
        for (int k = 0; k < joint.Patch.Value.Length; k++)
        {
            if (joint.Patch.Rho[k] < 0.7)
            {
                solid.Add(joint.Patch.Value[k]);
            }
        }
        joint.Patch.Level = Math.Max(1e-6, Ranks.Quantile([.. solid], 0.7));
    }

    private static void Join(Joint[] joints, Plane soft, double level)
    {
        Dictionary<(int, int), Joint> at = joints
            .Where(j => j.Outline is not null && j.DiscRatio > MissingRatio)
            .ToDictionary(j => (j.Site.Row, j.Site.Column));
        foreach (Joint a in at.Values)
        {
            foreach ((int down, int right) in new[] { (0, 1), (1, 0), (1, 1), (1, -1) })
            {
                if (!at.TryGetValue((a.Site.Row + down, a.Site.Column + right), out Joint? b))
                {
                    continue;
                }
                double ridge = BridgeFinder.RidgeRatio(soft, a.Outline!, b.Outline!, level);
                if (ridge > JoinedRatio)
                {
                    a.JoinedWith.Add(b.Site.Name);
                    b.JoinedWith.Add(a.Site.Name);
                }
            }
        }
    }

    private static bool Voids(Joint[] joints, double radiusPx, double blur, double ringLimit, CancellationToken cancel)
    {
        Joint[] whole = [.. joints.Where(j => j.Patch is not null && j.DiscRatio > MissingRatio)];
        JointPatch[] clean =
        [
            .. whole
                .Where(j =>
                    j.JoinedWith.Count == 0
                    && j.Patch!.RingStep(0) < ringLimit
                    && j.SaturatedShare < SaturatedShare
                    && Math.Abs(j.Outline!.RadiusPx / radiusPx - 1) < 0.3
                )
                .Select(j => j.Patch!),
        ];
        if (clean.Length < 3)
        {
            clean = [.. whole.Select(j => j.Patch!)];
        }
        if (clean.Length == 0)
        {
            return false;
        }
        ThicknessProfile profile = ThicknessProfile.Learn(clean);
        for (int round = 0; round < 2; round++)
        {
            foreach (JointPatch patch in clean)
            {
                patch.Level = Math.Max(1e-6, profile.LevelOf(patch));
            }
            profile = ThicknessProfile.Learn(clean);
        }
        profile = profile.WithTurns(clean);
        Departures? departures = Measured(clean, profile, cancel);
        double usual = Ranks.Median(clean.Select(patch => patch.Level));
        double scatter = Ranks.Spread(clean.Select(patch => patch.Level));
        Each(
            whole,
            joint =>
            {
                joint.Patch!.Level = Math.Max(1e-6, profile.LevelOf(joint.Patch));
                double off = Math.Abs(joint.Patch.Level - usual);
                joint.UnlikeLevel = off > Math.Max(MostLevelRatio * usual, 6 * scatter);
                joint.Voids = VoidFinder.Find(joint.Patch, profile, blur, departures);
            },
            cancel
        );
        return profile.Sharpened;
    }

    // A share of the joints says enough, and the order of work must not change the result.
    private static Departures? Measured(JointPatch[] clean, ThicknessProfile profile, CancellationToken cancel)
    {
        const int Enough = 120;
        int stride = Math.Max(1, clean.Length / Enough);
        JointPatch[] some = [.. clean.Where((_, i) => i % stride == 0)];
        Departures.Pools[] pools = new Departures.Pools[some.Length];
        Parallel.For(
            0,
            some.Length,
            new ParallelOptions { CancellationToken = cancel },
            i =>
            {
                pools[i] = new Departures.Pools();
                VoidFinder.Collect(some[i], profile, pools[i]);
            }
        );
        Departures.Pools all = new();
        foreach (Departures.Pools pool in pools)
        {
            all.Add(pool);
        }
        return all.Spread();
    }
}
