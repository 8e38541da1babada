namespace Graftbench.Vision.Balls;

/// <summary>Finds balls that have run together: solder where all other gaps show the ground.</summary>
/// <remarks>
/// Gaps of one direction are compared with each other, since a shadow falls into all of them alike. A gap counts by what it
/// differs from the ground beside it, so that a shade or a film that covers both does not count.
/// </remarks>
internal sealed class NeckJudge
{
    private static readonly double[] Along = [-0.12, -0.06, 0, 0.06, 0.12];
    private static readonly double[] Across = [-0.38, -0.32, -0.18, -0.09, 0, 0.09, 0.18, 0.32, 0.38];
    private const int FirstInner = 2;
    private const int LastInner = 6;
    private const double LeastSpread = 0.07;
    private const double MostCounted = 8;

    /// <summary>A gap: between node (I, J) and the next along or below.</summary>
    public readonly record struct Neck(int I, int J, bool Down);

    /// <summary>What a gap was found to be.</summary>
    /// <param name="ScoreNumber">How far it is from what is usual.</param>
    /// <param name="ChangeNumber">By how much of the balls' contrast it differs.</param>
    /// <param name="Smeared">Whether the ground beside it is not usual either.</param>
    public readonly record struct Found(double ScoreNumber, double ChangeNumber, bool Smeared);

    private readonly Dictionary<Neck, Found> found = [];

    /// <summary>From this score and change on, balls are called joined.</summary>
    public double LimitNumber { get; private set; }

    /// <summary>What a gap was found to be; nothing where it was not seen.</summary>
    public Found Of(Neck neck) => found.GetValueOrDefault(neck);

    /// <summary>Whether a gap is bridged: 1 yes, 0 no, null unclear.</summary>
    public bool? Joined(Neck neck)
    {
        Found one = Of(neck);
        bool far = one.ScoreNumber > LimitNumber && one.ChangeNumber > 0.3;
        return far && !one.Smeared ? true
            : far ? null
            : false;
    }

    /// <summary>Measures gaps between nodes that have balls by the list.</summary>
    public static NeckJudge Of(FieldLook field, GroundLook ground, IEnumerable<Neck> necks)
    {
        NeckJudge judge = new();
        List<double> all = [];
        foreach (IGrouping<bool, Neck> group in necks.GroupBy(neck => neck.Down))
        {
            List<(Neck Neck, double[] Values)> seen = [];
            foreach (Neck neck in group)
            {
                if (Values(field, neck) is { } values)
                {
                    seen.Add((neck, values));
                }
            }
            if (seen.Count < 8)
            {
                continue;
            }
            int n = seen[0].Values.Length;
            double[] middle = new double[n];
            double[] spread = new double[n];
            for (int k = 0; k < n; k++)
            {
                int at = k;
                middle[k] = SitePopulation.Median(seen.Select(one => one.Values[at]));
                spread[k] = Math.Max(
                    1.4826 * SitePopulation.Median(seen.Select(one => Math.Abs(one.Values[at] - middle[at]))),
                    LeastSpread
                );
            }
            foreach ((Neck neck, double[] values) in seen)
            {
                double score = 0;
                double change = 0;
                for (int k = 0; k < n; k++)
                {
                    double away = (values[k] - middle[k]) / spread[k];
                    score += Math.Min(away * away, MostCounted * MostCounted);
                    change += Math.Pow(values[k] - middle[k], 2);
                }
                score = Math.Sqrt(score / n);
                all.Add(score);
                (double mi, double mj) = neck.Down ? (neck.I + 0.0, neck.J + 0.5) : (neck.I + 0.5, neck.J + 0.0);
                bool smeared =
                    ground.ColourDistance(mi + 0.5, mj) > 4
                    || ground.ColourDistance(mi, mj + 0.5) > 4
                    || ground.ShadeRatio(neck.I, neck.J) > 1.7;
                judge.found[neck] = new Found(score, Math.Sqrt(change / n), smeared);
            }
        }
        double usual = SitePopulation.Median(all);
        double scatter = 1.4826 * SitePopulation.Median(all.Select(one => Math.Abs(one - usual)));
        judge.LimitNumber = Math.Max(2.6, usual + 6 * scatter);
        return judge;
    }

    private static double[]? Values(FieldLook field, Neck neck)
    {
        FlatField flat = field.Flat;
        double contrast = Math.Max(field.Balls.LocalContrast(neck.I, neck.J), 1e-6);
        int inner = (LastInner - FirstInner + 1) * Along.Length;
        double[] values = new double[inner];
        double ground = 0;
        int at = 0;
        foreach (double along in Along)
        {
            for (int k = 0; k < Across.Length; k++)
            {
                (double i, double j) = neck.Down
                    ? (neck.I + Across[k], neck.J + 0.5 + along)
                    : (neck.I + 0.5 + along, neck.J + Across[k]);
                float value = flat.At(
                    flat.XPx(i + field.Outline.OffsetXSteps),
                    flat.YPx(j + field.Outline.OffsetYSteps)
                );
                if (float.IsNaN(value))
                {
                    return null;
                }
                if (k is >= FirstInner and <= LastInner)
                {
                    values[at++] = value;
                }
                else
                {
                    ground += value;
                }
            }
        }
        ground /= (Across.Length - (LastInner - FirstInner + 1)) * Along.Length;
        for (int k = 0; k < values.Length; k++)
        {
            values[k] = (values[k] - ground) / contrast;
        }
        return values;
    }
}
