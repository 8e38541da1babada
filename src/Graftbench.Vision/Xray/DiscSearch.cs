using Graftbench.Vision.Planes;

namespace Graftbench.Vision.Xray;

/// <summary>A disc that stands out from its surroundings.</summary>
/// <param name="XPx">Centre [px].</param>
/// <param name="YPx">Centre [px].</param>
/// <param name="RadiusPx">Radius, rough [px].</param>
/// <param name="Contrast">How far it stands out, in grey.</param>
internal readonly record struct DiscCandidate(double XPx, double YPx, double RadiusPx, double Contrast);

/// <summary>The discs that look like the joints of one field, and on which side of grey they lie.</summary>
/// <param name="Discs">Candidates, strongest first; strays among them.</param>
/// <param name="RadiusPx">Their usual radius, rough [px].</param>
/// <param name="SpacingPx">Usual distance to the nearest neighbour [px].</param>
/// <param name="Bright">Whether they are brighter than their surroundings.</param>
internal sealed record DiscPopulation(
    IReadOnlyList<DiscCandidate> Discs,
    double RadiusPx,
    double SpacingPx,
    bool Bright
);

/// <summary>Looks for many like discs at regular distances, dark or bright, of any size.</summary>
/// <remarks>
/// Differences of Gaussian blurs over octaves; a disc of radius R answers most at σ ≈ R/√2 (scale-space blobs after
/// Lindeberg, 1998). The population that is many, alike in size, regular in distance and round wins; gaps between discs are
/// as many and as regular, but not round.
/// </remarks>
internal static class DiscSearch
{
    /// <summary>Longest side of the picture that is searched [px]; a larger one is averaged down.</summary>
    public const int MostSearchedPx = 1400;

    private const int MostCandidates = 6000;
    private const int StepsPerOctave = 3;
    private const double FirstSigmaPx = 1.2;
    private const double SameSizeRatio = 1.4;
    private const int FewestDiscs = 4;

    /// <summary>Searches; null where no such population is to be seen.</summary>
    public static DiscPopulation? Find(Plane grey)
    {
        int block = Math.Max(1, (int)Math.Ceiling(Math.Max(grey.WidthPx, grey.HeightPx) / (double)MostSearchedPx));
        Plane small = grey.Reduced(block);
        DiscPopulation? best = null;
        double bestScore = 0;
        (List<DiscCandidate> dark, List<DiscCandidate> bright) = Blobs(small);
        foreach ((List<DiscCandidate> all, bool isBright) in new[] { (dark, false), (bright, true) })
        {
            (DiscPopulation? population, double score) = Population(small, all, isBright);
            if (population is not null && score > bestScore)
            {
                bestScore = score;
                best = population;
            }
        }
        if (best is null)
        {
            return null;
        }
        double offset = (block - 1) / 2.0;
        return new DiscPopulation(
            [
                .. best.Discs.Select(disc => new DiscCandidate(
                    disc.XPx * block + offset,
                    disc.YPx * block + offset,
                    disc.RadiusPx * block,
                    disc.Contrast
                )),
            ],
            best.RadiusPx * block,
            best.SpacingPx * block,
            best.Bright
        );
    }

    private static (List<DiscCandidate> Dark, List<DiscCandidate> Bright) Blobs(Plane small)
    {
        List<DiscCandidate> dark = [];
        List<DiscCandidate> bright = [];
        Plane octave = small;
        double scale = 1;
        double ratio = Math.Pow(2, 1.0 / StepsPerOctave);
        while (Math.Min(octave.WidthPx, octave.HeightPx) >= 24)
        {
            // Two scales more on either side, so that every size of the octave has neighbours.
            Plane[] blurred = new Plane[StepsPerOctave + 3];
            for (int i = 0; i < blurred.Length; i++)
            {
                blurred[i] = octave.Blurred(FirstSigmaPx * Math.Pow(ratio, i));
            }
            Plane[] difference = new Plane[blurred.Length - 1];
            for (int i = 0; i < difference.Length; i++)
            {
                float[] values = new float[octave.Values.Length];
                for (int k = 0; k < values.Length; k++)
                {
                    values[k] = blurred[i + 1].Values[k] - blurred[i].Values[k];
                }
                difference[i] = new Plane(octave.WidthPx, octave.HeightPx, values);
            }
            for (int i = 1; i < difference.Length - 1; i++)
            {
                // The difference of two blurs answers like one of their geometric mean.
                double sigma = FirstSigmaPx * Math.Pow(ratio, i + 0.5);
                Peaks(difference, i, sigma * Math.Sqrt(2) * scale, scale, dark, bright);
            }
            octave = octave.Reduced(2);
            scale *= 2;
        }
        return (Strongest(dark), Strongest(bright));
    }

    private static List<DiscCandidate> Strongest(List<DiscCandidate> all) =>
        [.. all.OrderByDescending(disc => disc.Contrast).Take(MostCandidates)];

    private static void Peaks(
        Plane[] difference,
        int i,
        double radius,
        double scale,
        List<DiscCandidate> dark,
        List<DiscCandidate> bright
    )
    {
        const float Least = 0.004f;
        Plane here = difference[i];
        int width = here.WidthPx;
        for (int y = 1; y < here.HeightPx - 1; y++)
        {
            for (int x = 1; x < width - 1; x++)
            {
                float value = here.Values[y * width + x];
                // A dark disc rises when blurred.
                bool isDark = value > Least;
                if ((!isDark && value > -Least) || !IsPeak(difference, i, x, y, isDark ? 1 : -1))
                {
                    continue;
                }
                double dx = here[x + 1, y] - here[x - 1, y];
                double dy = here[x, y + 1] - here[x, y - 1];
                double dxx = here[x + 1, y] + here[x - 1, y] - 2 * value;
                double dyy = here[x, y + 1] + here[x, y - 1] - 2 * value;
                double dxy = (here[x + 1, y + 1] - here[x - 1, y + 1] - here[x + 1, y - 1] + here[x - 1, y - 1]) / 4;
                double determinant = dxx * dyy - dxy * dxy;
                // A ridge is no disc.
                if (determinant <= 0 || Math.Pow(dxx + dyy, 2) / determinant > 8)
                {
                    continue;
                }
                double sx = Math.Clamp(-dx / (2 * dxx), -0.7, 0.7);
                double sy = Math.Clamp(-dy / (2 * dyy), -0.7, 0.7);
                double offset = (scale - 1) / 2;
                (isDark ? dark : bright).Add(
                    new DiscCandidate((x + sx) * scale + offset, (y + sy) * scale + offset, radius, Math.Abs(value))
                );
            }
        }
    }

    private static bool IsPeak(Plane[] difference, int i, int x, int y, int sign)
    {
        float value = sign * difference[i][x, y];
        for (int k = -1; k <= 1; k++)
        {
            Plane plane = difference[i + k];
            for (int j = -1; j <= 1; j++)
            {
                for (int h = -1; h <= 1; h++)
                {
                    if ((k != 0 || j != 0 || h != 0) && sign * plane[x + h, y + j] > value)
                    {
                        return false;
                    }
                }
            }
        }
        return true;
    }

    private static (DiscPopulation? Population, double Score) Population(
        Plane small,
        List<DiscCandidate> all,
        bool bright
    )
    {
        DiscPopulation? best = null;
        double bestScore = 0;
        double[] sizes = [.. all.Select(disc => Math.Round(disc.RadiusPx, 3)).Distinct().Order()];
        foreach (double size in sizes)
        {
            List<DiscCandidate> alike =
            [
                .. all.Where(disc =>
                    disc.RadiusPx > size / SameSizeRatio * 0.999 && disc.RadiusPx < size * SameSizeRatio * 1.001
                ),
            ];
            if (alike.Count < FewestDiscs)
            {
                continue;
            }
            // Noise makes many weak ones; half of the strong ones' contrast is a joint at the least.
            double strong = alike[Math.Min(alike.Count - 1, alike.Count / 20 + 2)].Contrast;
            List<DiscCandidate> kept = [.. alike.Where(disc => disc.Contrast > 0.4 * strong)];
            kept = Apart(kept);
            if (kept.Count < FewestDiscs)
            {
                continue;
            }
            double[] nearest = Nearest(kept);
            double spacing = Ranks.Median(nearest);
            double radius = Ranks.Median(kept.Select(disc => disc.RadiusPx));
            double regular = nearest.Count(d => Math.Abs(d - spacing) < 0.12 * spacing) / (double)kept.Count;
            double round = Ranks.Median(kept.Select(disc => Roundness(small, disc)));
            if (spacing < 1.7 * radius || spacing > 12 * radius)
            {
                continue;
            }
            double contrast = Ranks.Median(kept.Select(disc => disc.Contrast));
            double score = kept.Count * regular * regular * round * round * contrast;
            if (score > bestScore)
            {
                bestScore = score;
                best = new DiscPopulation(kept, radius, spacing, bright);
            }
        }
        return (best, bestScore);
    }

    // One candidate a place: the strongest.
    private static List<DiscCandidate> Apart(List<DiscCandidate> all)
    {
        List<DiscCandidate> kept = [];
        Dictionary<(int, int), List<DiscCandidate>> cells = [];
        if (all.Count == 0)
        {
            return kept;
        }
        double cell = Math.Max(1, 1.2 * Ranks.Median(all.Select(disc => disc.RadiusPx)));
        foreach (DiscCandidate disc in all)
        {
            (int cx, int cy) = ((int)(disc.XPx / cell), (int)(disc.YPx / cell));
            bool taken = false;
            for (int j = -1; j <= 1 && !taken; j++)
            {
                for (int i = -1; i <= 1 && !taken; i++)
                {
                    taken =
                        cells.TryGetValue((cx + i, cy + j), out List<DiscCandidate>? list)
                        && list.Exists(other =>
                            Math.Pow(other.XPx - disc.XPx, 2) + Math.Pow(other.YPx - disc.YPx, 2) < cell * cell
                        );
                }
            }
            if (taken)
            {
                continue;
            }
            kept.Add(disc);
            if (!cells.TryGetValue((cx, cy), out List<DiscCandidate>? own))
            {
                cells[(cx, cy)] = own = [];
            }
            own.Add(disc);
        }
        return kept;
    }

    private static double[] Nearest(List<DiscCandidate> discs)
    {
        // Sorted along x, the search ends where x alone is farther than the best so far.
        DiscCandidate[] sorted = [.. discs.OrderBy(disc => disc.XPx)];
        double[] nearest = new double[sorted.Length];
        for (int i = 0; i < sorted.Length; i++)
        {
            double least = double.MaxValue;
            for (int step = -1; step <= 1; step += 2)
            {
                for (int j = i + step; j >= 0 && j < sorted.Length; j += step)
                {
                    double dx = sorted[i].XPx - sorted[j].XPx;
                    if (dx * dx >= least)
                    {
                        break;
                    }
                    double dy = sorted[i].YPx - sorted[j].YPx;
                    least = Math.Min(least, dx * dx + dy * dy);
                }
            }
            nearest[i] = Math.Sqrt(least);
        }
        return nearest;
    }

    // 1 where a circle around it is all surroundings, towards 0 where parts of the circle look like itself.
    private static double Roundness(Plane small, DiscCandidate disc)
    {
        double inside = small.At(disc.XPx, disc.YPx);
        double sum = 0;
        double square = 0;
        const int Rays = 16;
        for (int k = 0; k < Rays; k++)
        {
            double angle = 2 * Math.PI * k / Rays;
            double value =
                small.At(
                    disc.XPx + 1.45 * disc.RadiusPx * Math.Cos(angle),
                    disc.YPx + 1.45 * disc.RadiusPx * Math.Sin(angle)
                ) - inside;
            sum += value;
            square += value * value;
        }
        double mean = sum / Rays;
        double variance = Math.Max(0, square / Rays - mean * mean);
        return mean * mean / (mean * mean + 4 * variance + 1e-12);
    }
}
