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

    // Ground that is brighter or darker than this by the ground around has the edge of a shadow in it. Black has no ratio.
    private const double MostShade = 1.25;
    private const double Floor = 0.05;

    /// <summary>A gap: between node (I, J) and the next along or below.</summary>
    public readonly record struct Neck(int I, int J, bool Down);

    /// <summary>What a gap was found to be.</summary>
    /// <param name="ScoreNumber">How far it is from what is usual.</param>
    /// <param name="ChangeNumber">By how much of the balls' contrast it differs.</param>
    /// <param name="Smeared">Whether the ground beside it is not usual either.</param>
    public readonly record struct Found(double ScoreNumber, double ChangeNumber, bool Smeared);

    private const double LeastChange = 0.3;
    private const double DoubtfulChange = 0.6;

    private readonly Dictionary<Neck, Found> found = [];
    private readonly HashSet<(int, int)> strayCells;

    private NeckJudge(HashSet<(int, int)> strayCells) => this.strayCells = strayCells;

    /// <summary>From this score and change on, balls are called joined.</summary>
    public double LimitNumber { get; private set; }

    /// <summary>What a gap was found to be; nothing where it was not seen.</summary>
    public Found Of(Neck neck) => found.GetValueOrDefault(neck);

    /// <summary>Whether a gap is bridged: 1 yes, 0 no, null unclear.</summary>
    /// <param name="neck">The gap.</param>
    /// <param name="doubtful">Whether a small ball or a stray beside it changes the shadows in it: then it must differ more.</param>
    public bool? Joined(Neck neck, bool doubtful)
    {
        Found one = Of(neck);
        bool near = doubtful || StrayBeside(neck, strayCells);
        bool far = one.ScoreNumber > LimitNumber && one.ChangeNumber > LeastChange;
        bool strong = one.ScoreNumber > 1.5 * LimitNumber && one.ChangeNumber > DoubtfulChange;
        return far && !one.Smeared && (strong || !near) ? true
            : far ? null
            : false;
    }

    /// <summary>Measures gaps between nodes that have balls by the list.</summary>
    /// <param name="field">The picture.</param>
    /// <param name="ground">Its ground.</param>
    /// <param name="necks">The gaps.</param>
    /// <param name="strays">Cells (between this node and the next ones) with a stray ball.</param>
    public static NeckJudge Of(FieldLook field, GroundLook ground, IEnumerable<Neck> necks, HashSet<(int, int)> strays)
    {
        NeckJudge judge = new(strays);
        List<double> all = [];
        foreach (IGrouping<bool, Neck> group in necks.GroupBy(neck => neck.Down))
        {
            List<(Neck Neck, double[] Values, bool Step)> seen = [];
            foreach (Neck neck in group)
            {
                if (Values(field, ground, neck) is { } values)
                {
                    seen.Add((neck, values.Values, values.Step));
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
            foreach ((Neck neck, double[] values, bool step) in seen)
            {
                // Every slice of the gap must differ: a ball that lies off its site fills a part of the gap only.
                int width = n / Along.Length;
                double score = double.MaxValue;
                double change = double.MaxValue;
                for (int slice = 0; slice < Along.Length; slice++)
                {
                    double far = 0;
                    double moved = 0;
                    for (int k = slice * width; k < (slice + 1) * width; k++)
                    {
                        double away = (values[k] - middle[k]) / spread[k];
                        far += Math.Min(away * away, MostCounted * MostCounted);
                        moved += Math.Pow(values[k] - middle[k], 2);
                    }
                    score = Math.Min(score, Math.Sqrt(far / width));
                    change = Math.Min(change, Math.Sqrt(moved / width));
                }
                all.Add(score);
                judge.found[neck] = new Found(score, change, step || Smeared(ground, neck, strays));
            }
        }
        double usual = SitePopulation.Median(all);
        double scatter = 1.4826 * SitePopulation.Median(all.Select(one => Math.Abs(one - usual)));
        judge.LimitNumber = Math.Max(2.6, usual + 6 * scatter);
        return judge;
    }

    private static bool StrayBeside(Neck neck, HashSet<(int, int)> strays) =>
        strays.Contains((neck.I, neck.J)) || strays.Contains(neck.Down ? (neck.I - 1, neck.J) : (neck.I, neck.J - 1));

    // The two places of ground beside the gap; one with a stray ball on it says nothing.
    private static bool Smeared(GroundLook ground, Neck neck, HashSet<(int, int)> strays)
    {
        (int I, int J) first = neck.Down ? (neck.I - 1, neck.J) : (neck.I, neck.J - 1);
        (int I, int J) second = (neck.I, neck.J);
        bool Odd((int I, int J) cell)
        {
            (double u, double v) = (cell.I + 0.5, cell.J + 0.5);
            double usual = ground.UsualLevel(u, v) + Floor;
            double level = (ground.Level(u, v) ?? usual - Floor) + Floor;
            return ground.ColourAt(u, v) > 4 || Math.Max(level, usual) / Math.Min(level, usual) > MostShade;
        }
        bool both = !strays.Contains(first) && !strays.Contains(second);
        double one = (ground.Level(first.I + 0.5, first.J + 0.5) ?? 0) + Floor;
        double other = (ground.Level(second.I + 0.5, second.J + 0.5) ?? 0) + Floor;
        return (both && Math.Max(one, other) / Math.Min(one, other) > MostShade)
            || (!strays.Contains(first) && Odd(first))
            || (!strays.Contains(second) && Odd(second));
    }

    // Brightness in the gap less that of the ground, by the balls' contrast. Ground that is not usual on one side (a stray
    // ball) is left out: of the two sides the one counts that is nearer to the ground of the whole field.
    private static (double[] Values, bool Step)? Values(FieldLook field, GroundLook look, Neck neck)
    {
        FlatField flat = field.Flat;
        double contrast = Math.Max(field.Balls.LocalContrast(neck.I, neck.J), 1e-6);
        double[] values = new double[(LastInner - FirstInner + 1) * Along.Length];
        double[] ground = new double[2];
        double[] slices = new double[Along.Length];
        int at = 0;
        for (int slice = 0; slice < Along.Length; slice++)
        {
            double along = Along[slice];
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
                    ground[k < FirstInner ? 0 : 1] += value / (FirstInner * Along.Length);
                    slices[slice] += value / (2 * FirstInner);
                }
            }
        }
        double usual = look.UsualLevel(neck.I + (neck.Down ? 0 : 0.5), neck.J + (neck.Down ? 0.5 : 0));
        double level = Math.Abs(ground[0] - usual) < Math.Abs(ground[1] - usual) ? ground[0] : ground[1];
        for (int k = 0; k < values.Length; k++)
        {
            values[k] = (values[k] - level) / contrast;
        }
        double before = (slices[0] + slices[1]) / 2 + Floor;
        double after = (slices[^1] + slices[^2]) / 2 + Floor;
        return (values, Math.Max(before, after) / Math.Min(before, after) > MostShade);
    }
}
