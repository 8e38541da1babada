using Graftbench.Core.Findings;
using Graftbench.Vision.Planes;
using static System.FormattableString;

namespace Graftbench.Vision.BeforeAfter;

/// <summary>Lays two pictures of a board on each other and tells what moved or vanished.</summary>
/// <remarks>
/// Likeness is the correlation of brightness with its local mean and contrast taken out, so that light and exposure do not
/// count; parts that stand up lean a little with the camera, hence each part is compared where its surroundings are found.
/// </remarks>
public static partial class BoardComparer
{
    /// <summary>Longest side at which the pictures are compared [px].</summary>
    public const int MostComparedPx = 1600;

    private const double SameLikeness = 0.6;
    private const double GoneLikeness = 0.4;
    private const double MovedLikeness = 0.7;
    private const double SurelyAlike = 0.93;
    private const double UnlikeFactor = 4;
    private const int LeastCorePx = 6;
    private const double CoreByNoise = 4;
    private const double MostToneRatio = 0.75;
    private const double DoubtfulToneRatio = 0.55;
    private const double LeastContrast = 0.012;
    private const int LeastSidePx = 7;
    private const int CellPx = 26;
    private const double ChangedLikeness = 0.25;
    private const int MostAreas = 100;

    /// <summary>Compares.</summary>
    /// <param name="request">Pictures and parts.</param>
    /// <param name="cancel">Stops the work.</param>
    public static BoardComparison Compare(ComparisonRequest request, CancellationToken cancel = default)
    {
        ArgumentNullException.ThrowIfNull(request);
        Plane before = new(request.Before.WidthPx, request.Before.HeightPx, request.Before.Grey);
        Plane after = new(request.After.WidthPx, request.After.HeightPx, request.After.Grey);
        Registration? laid = Registration.Find(before, after, cancel);
        if (laid is null)
        {
            return Refused(request);
        }
        int block = Math.Max(1, (int)Math.Ceiling(Math.Max(before.WidthPx, before.HeightPx) / (double)MostComparedPx));
        (Plane a, Plane b, bool[] seen) = Overlaid(before, after, laid, block);
        double noise = Math.Max(Patch.Noise(a), Patch.Noise(b));
        PartComparison[] parts = LessAlike(
            Leaning([.. request.Parts.Select(part => Part(part, a, b, seen, block, noise))]),
            a,
            block
        );
        List<ChangedArea> areas = Areas(request, a, b, seen, block);
        IReadOnlyList<Finding> findings = Findings(request, parts, areas);
        int moved = parts.Count(part => part.Change == PartChange.Moved);
        int gone = parts.Count(part => part.Change == PartChange.Gone);
        int open = parts.Count(part => part.Change == PartChange.CannotJudge);
        (double x0, double y0) = laid.Map.ToPicture(before.WidthPx * 0.4, before.HeightPx * 0.5);
        (double x1, double y1) = laid.Map.ToPicture(before.WidthPx * 0.6, before.HeightPx * 0.5);
        return new BoardComparison(
            Invariant(
                $"{parts.Length} parts: {moved} moved, {gone} gone or changed, {open} cannot be judged; {areas.Count} other areas differ."
            ),
            true,
            laid.MatchNumber,
            laid.ResidualPx,
            Math.Atan2(y1 - y0, x1 - x0) * 180 / Math.PI,
            Math.Sqrt(Sq(x1 - x0) + Sq(y1 - y0)) / (0.2 * before.WidthPx),
            Corners(before, laid),
            parts,
            areas,
            findings
        );
    }

    private static List<PicturePoint> Corners(Plane before, Registration laid)
    {
        List<PicturePoint> corners = [];
        foreach ((int i, int j) in (ReadOnlySpan<(int, int)>)[(0, 0), (1, 0), (1, 1), (0, 1)])
        {
            (double x, double y) = laid.Map.ToPicture(i * (before.WidthPx - 1), j * (before.HeightPx - 1));
            corners.Add(new PicturePoint(x, y));
        }
        return corners;
    }

    // The picture after as if taken like the one before, both in the smaller size.
    private static (Plane Before, Plane After, bool[] Seen) Overlaid(
        Plane before,
        Plane after,
        Registration laid,
        int block
    )
    {
        Plane a = before.Reduced(block).Blurred(0.7);
        (double u, double v, _) = laid.Map.StepAt(before.WidthPx / 2.0, before.HeightPx / 2.0);
        // A finer picture after is blurred as much as the one before was by making it smaller.
        double shrink = block * (u + v) / 2;
        Plane soft = after.Blurred(Math.Max(0.7, 0.45 * shrink));
        float[] values = new float[a.Values.Length];
        bool[] seen = new bool[a.Values.Length];
        double shift = (block - 1) / 2.0;
        Parallel.For(
            0,
            a.HeightPx,
            y =>
            {
                for (int x = 0; x < a.WidthPx; x++)
                {
                    (double px, double py) = laid.Map.ToPicture(x * block + shift, y * block + shift);
                    int k = y * a.WidthPx + x;
                    seen[k] = soft.Holds(px, py);
                    values[k] = soft.At(px, py);
                }
            }
        );
        return (a, new Plane(a.WidthPx, a.HeightPx, values), seen);
    }

    private static PartComparison Part(WatchedPart part, Plane a, Plane b, bool[] seen, int block, double noise)
    {
        int left = (int)Math.Round(part.Area.LeftPx / block);
        int top = (int)Math.Round(part.Area.TopPx / block);
        int width = (int)Math.Round(part.Area.WidthPx / block);
        int height = (int)Math.Round(part.Area.HeightPx / block);
        PartComparison No(string why, double? likeness = null) =>
            new(part.Name, part.Area, PartChange.CannotJudge, 0.5, likeness, null, null, why);
        if (Math.Min(width, height) < LeastSidePx)
        {
            return No(
                Invariant($"it is only {Math.Min(width, height) * block} px wide in the picture: take it nearer")
            );
        }
        int reach = (int)Math.Ceiling(0.75 * Math.Max(width, height)) + 4;
        if (!Inside(a, seen, left - 2, top - 2, width + 4, height + 4))
        {
            return No("it does not lie in both pictures");
        }
        double contrast = Patch.Contrast(a, left, top, width, height);
        if (contrast < LeastContrast)
        {
            return No("it looks the same all over: nothing to hold on to");
        }
        // Its surroundings say where the board is found here; a tall part may lean by a little more.
        (double nearX, double nearY) = Around(a, b, seen, left, top, width, height);
        (double stay, _, _) = Patch.Best(a, b, left, top, width, height, nearX, nearY, 1.5);
        (double best, double bx, double by) = Patch.Best(a, b, left, top, width, height, nearX, nearY, reach);
        double move = Math.Sqrt(Sq(bx - nearX) + Sq(by - nearY));
        double least = Math.Max(2, 0.08 * Math.Min(width, height));
        if (best >= MovedLikeness && move > least && best - stay > 0.04)
        {
            return new PartComparison(
                part.Name,
                part.Area,
                PartChange.Moved,
                Math.Clamp(0.5 + (best - MovedLikeness) + 2 * (best - stay), 0.5, 0.99),
                stay,
                (bx - nearX) * block,
                (by - nearY) * block,
                null
            );
        }
        // Bare pads have the bright ends of a part; what is printed between them is the part's own.
        int coreX = left + (int)Math.Round(0.28 * width);
        int coreY = top + (int)Math.Round(0.28 * height);
        int coreW = width - 2 * (coreX - left);
        int coreH = height - 2 * (coreY - top);
        if (
            Math.Min(coreW, coreH) >= LeastCorePx
            && Patch.Contrast(a, coreX, coreY, coreW, coreH) > Math.Max(2 * LeastContrast, CoreByNoise * noise)
            && Patch.Best(a, b, coreX, coreY, coreW, coreH, nearX, nearY, 2) is { Likeness: < GoneLikeness } core
            && best < MovedLikeness + 0.27
        )
        {
            return new PartComparison(
                part.Name,
                part.Area,
                PartChange.Gone,
                Math.Clamp(0.5 + (GoneLikeness - core.Likeness) / 2, 0.5, 0.95),
                stay,
                null,
                null,
                null
            );
        }
        double tone = Patch.Tone(a, b, left, top, width, height, nearX, nearY);
        if (tone > MostToneRatio && stay < SurelyAlike)
        {
            // Bare pads look like a part with bright ends, but not as bright or dark in between.
            return new PartComparison(
                part.Name,
                part.Area,
                PartChange.Gone,
                Math.Clamp(0.5 + (tone - MostToneRatio) / 2, 0.5, 0.95),
                stay,
                null,
                null,
                null
            );
        }
        if (stay >= SameLikeness && tone > DoubtfulToneRatio && stay < SurelyAlike + 0.04)
        {
            return No("it looks alike, but brighter or darker against the board than before", stay);
        }
        if (stay >= SameLikeness)
        {
            return new PartComparison(
                part.Name,
                part.Area,
                PartChange.Same,
                Math.Clamp(0.5 + (stay - SameLikeness), 0.5, 0.99),
                stay,
                null,
                null,
                null
            );
        }
        return best < GoneLikeness || (stay < GoneLikeness && best < MovedLikeness)
            ? new PartComparison(
                part.Name,
                part.Area,
                PartChange.Gone,
                Math.Clamp(0.5 + (GoneLikeness - stay), 0.5, 0.99),
                stay,
                null,
                null,
                null
            )
            : No("both pictures are neither alike nor clearly different there: a reflection or a shadow", stay);
    }

    // What noise and registering take from the likeness goes with 1 by the contrast squared and is alike for all parts: one
    // that lost much more is not simply the same, though nothing clear happened to it.
    private static PartComparison[] LessAlike(PartComparison[] parts, Plane a, int block)
    {
        const int Enough = 8;
        double Loss(PartComparison part)
        {
            double contrast = Patch.Contrast(
                a,
                (int)Math.Round(part.Area.LeftPx / block),
                (int)Math.Round(part.Area.TopPx / block),
                (int)Math.Round(part.Area.WidthPx / block),
                (int)Math.Round(part.Area.HeightPx / block)
            );
            return (1 - (part.LikenessNumber ?? 1)) * contrast * contrast;
        }
        double[] losses = [.. parts.Where(part => part.Change == PartChange.Same).Select(Loss)];
        if (losses.Length < Enough)
        {
            return parts;
        }
        double most = UnlikeFactor * Math.Max(Ranks.Median(losses), 1e-5);
        return
        [
            .. parts.Select(part =>
                part.Change == PartChange.Same && Loss(part) > most
                    ? part with
                    {
                        Change = PartChange.CannotJudge,
                        ConfidenceFraction = 0.5,
                        WhyNot = "it looks less like itself than the other parts do",
                    }
                    : part
            ),
        ];
    }

    // Small moves that are all the same way are the camera's, not the parts': what stands up leans.
    private static PartComparison[] Leaning(PartComparison[] parts)
    {
        const int Enough = 3;
        bool IsSmall(PartComparison part) =>
            part.Change == PartChange.Moved
            && Math.Sqrt(Sq(part.MoveXPx ?? 0) + Sq(part.MoveYPx ?? 0))
                < Math.Max(5, 0.3 * Math.Min(part.Area.WidthPx, part.Area.HeightPx));
        PartComparison[] small = [.. parts.Where(IsSmall)];
        if (small.Length < Enough)
        {
            return parts;
        }
        double x = Ranks.Median(small.Select(part => part.MoveXPx ?? 0));
        double y = Ranks.Median(small.Select(part => part.MoveYPx ?? 0));
        double length = Math.Sqrt(x * x + y * y);
        bool Along(PartComparison part)
        {
            double mx = part.MoveXPx ?? 0;
            double my = part.MoveYPx ?? 0;
            return mx * x + my * y > 0.7 * length * Math.Sqrt(mx * mx + my * my);
        }
        return length < 1 || small.Count(Along) < Enough
            ? parts
            :
            [
                .. parts.Select(part =>
                    IsSmall(part) && Along(part)
                        ? part with
                        {
                            Change = PartChange.CannotJudge,
                            ConfidenceFraction = 0.5,
                            WhyNot =
                                "it stands a little aside, but so do other parts, all the same way: the camera stood elsewhere",
                        }
                        : part
                ),
            ];
    }

    // Where the surroundings of a part are found again, the part itself left out.
    private static (double X, double Y) Around(Plane a, Plane b, bool[] seen, int left, int top, int width, int height)
    {
        List<double> xs = [];
        List<double> ys = [];
        int w = Math.Max(width, 16);
        int h = Math.Max(height, 16);
        foreach (
            (int i, int j) in (ReadOnlySpan<(int, int)>)
                [(-1, -1), (0, -1), (1, -1), (-1, 0), (1, 0), (-1, 1), (0, 1), (1, 1)]
        )
        {
            int l = left + i * (w + 3);
            int t = top + j * (h + 3);
            if (!Inside(a, seen, l - 4, t - 4, w + 8, h + 8) || Patch.Contrast(a, l, t, w, h) < LeastContrast)
            {
                continue;
            }
            (double likeness, double x, double y) = Patch.Best(a, b, l, t, w, h, 0, 0, 4);
            if (likeness > 0.75)
            {
                xs.Add(x);
                ys.Add(y);
            }
        }
        return xs.Count < 2 ? (0, 0) : (Ranks.Median(xs), Ranks.Median(ys));
    }
}
