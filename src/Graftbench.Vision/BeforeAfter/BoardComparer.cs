using Graftbench.Core.Findings;
using Graftbench.Vision.Planes;
using static System.FormattableString;

namespace Graftbench.Vision.BeforeAfter;

/// <summary>Lays two pictures of a board on each other and tells what moved or vanished.</summary>
/// <remarks>
/// Likeness is the correlation of brightness with its local mean and contrast taken out, so that light and exposure do not
/// count; parts that stand up lean a little with the camera, hence each part is compared where its surroundings are found.
/// </remarks>
public static class BoardComparer
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

    private static List<ChangedArea> Areas(ComparisonRequest request, Plane a, Plane b, bool[] seen, int block)
    {
        int columns = a.WidthPx / CellPx;
        int rows = a.HeightPx / CellPx;
        double[] likeness = new double[columns * rows];
        Parallel.For(
            0,
            rows,
            r =>
            {
                for (int c = 0; c < columns; c++)
                {
                    likeness[r * columns + c] = Cell(request, a, b, seen, c * CellPx, r * CellPx, block);
                }
            }
        );
        bool[] taken = new bool[likeness.Length];
        List<ChangedArea> areas = [];
        for (int k = 0; k < likeness.Length; k++)
        {
            if (taken[k] || !(likeness[k] < ChangedLikeness))
            {
                continue;
            }
            // Cells side by side that differ are one area.
            Queue<int> open = new([k]);
            taken[k] = true;
            List<int> cells = [];
            while (open.TryDequeue(out int cell))
            {
                cells.Add(cell);
                int cx = cell % columns;
                int cy = cell / columns;
                for (int j = Math.Max(0, cy - 1); j <= Math.Min(rows - 1, cy + 1); j++)
                {
                    for (int i = Math.Max(0, cx - 1); i <= Math.Min(columns - 1, cx + 1); i++)
                    {
                        int next = j * columns + i;
                        if (!taken[next] && likeness[next] < ChangedLikeness + 0.15)
                        {
                            taken[next] = true;
                            open.Enqueue(next);
                        }
                    }
                }
            }
            int left = cells.Min(cell => cell % columns);
            int top = cells.Min(cell => cell / columns);
            int right = cells.Max(cell => cell % columns) + 1;
            int bottom = cells.Max(cell => cell / columns) + 1;
            double least = cells.Min(cell => likeness[cell]);
            areas.Add(
                new ChangedArea(
                    new PictureArea(
                        left * CellPx * block,
                        top * CellPx * block,
                        (right - left) * CellPx * block,
                        (bottom - top) * CellPx * block
                    ),
                    least,
                    Math.Clamp(0.5 + (ChangedLikeness - least) * 0.6 + 0.05 * cells.Count, 0.5, 0.95)
                )
            );
        }
        return [.. areas.OrderBy(area => area.LikenessNumber).Take(MostAreas)];
    }

    // Likeness of a cell; NaN where there is nothing to compare or a listed part or the ignored area lies.
    private static double Cell(ComparisonRequest request, Plane a, Plane b, bool[] seen, int left, int top, int block)
    {
        double x = (left + CellPx / 2.0) * block;
        double y = (top + CellPx / 2.0) * block;
        double half = CellPx / 2.0 * block;
        bool Near(PictureArea area) =>
            x > area.LeftPx - half
            && x < area.LeftPx + area.WidthPx + half
            && y > area.TopPx - half
            && y < area.TopPx + area.HeightPx + half;
        if (request.Ignored.Any(Near) || request.Parts.Any(part => Near(part.Area)))
        {
            return double.NaN;
        }
        if (!Inside(a, seen, left - 5, top - 5, CellPx + 10, CellPx + 10))
        {
            return double.NaN;
        }
        double before = Patch.Contrast(a, left, top, CellPx, CellPx);
        double after = Patch.Contrast(b, left, top, CellPx, CellPx);
        // Bare laminate is noise in both; what stands out in one of them counts.
        if (Math.Max(before, after) < 3 * LeastContrast)
        {
            return double.NaN;
        }
        return Patch.Best(a, b, left, top, CellPx, CellPx, 0, 0, 4).Likeness;
    }

    private static bool Inside(Plane a, bool[] seen, int left, int top, int width, int height) =>
        left >= 0
        && top >= 0
        && left + width <= a.WidthPx
        && top + height <= a.HeightPx
        && seen[top * a.WidthPx + left]
        && seen[top * a.WidthPx + left + width - 1]
        && seen[(top + height - 1) * a.WidthPx + left]
        && seen[(top + height - 1) * a.WidthPx + left + width - 1];

    private static IReadOnlyList<Finding> Findings(
        ComparisonRequest request,
        PartComparison[] parts,
        IReadOnlyList<ChangedArea> areas
    )
    {
        List<Finding> findings = [];
        foreach (PartComparison part in parts)
        {
            findings.Add(
                part.Change switch
                {
                    PartChange.Moved => new Finding(
                        Verdict.FixFirst,
                        "compare.moved",
                        part.Name,
                        "It is no longer where it was.",
                        Move(part, request.PxPerMm),
                        Source: "common-practice",
                        Todo: "Look at it under the microscope; set it again before power."
                    ),
                    PartChange.Gone => new Finding(
                        Verdict.FixFirst,
                        "compare.gone",
                        part.Name,
                        "It is gone, or does not look like itself any more.",
                        Invariant($"likeness {part.LikenessNumber:0.00}"),
                        Source: "common-practice",
                        Todo: "Look for it; a part that left its place must be found and set again before power."
                    ),
                    PartChange.CannotJudge => new Finding(
                        Verdict.Unknown,
                        "compare.unknown",
                        part.Name,
                        $"Cannot be judged: {part.WhyNot}.",
                        Todo: "Look at it yourself, or take both pictures nearer and in the same light."
                    ),
                    _ => new Finding(
                        Verdict.Ok,
                        "compare.same",
                        part.Name,
                        "It is where it was.",
                        Invariant($"likeness {part.LikenessNumber:0.00}")
                    ),
                }
            );
        }
        findings.AddRange(
            areas.Select(area => new Finding(
                Verdict.Warning,
                "compare.area",
                Invariant($"at ({area.Area.LeftPx:0}, {area.Area.TopPx:0})"),
                Invariant(
                    $"An area of {area.Area.WidthPx:0} by {area.Area.HeightPx:0} px looks different: something moved, came or left, or shines."
                ),
                Invariant($"likeness {area.LikenessNumber:0.00}"),
                Todo: "Compare it by eye."
            ))
        );
        return Finding.WorstFirst(findings);
    }

    private static string Move(PartComparison part, double? pxPerMm)
    {
        double distance = Math.Sqrt(Sq(part.MoveXPx ?? 0) + Sq(part.MoveYPx ?? 0));
        return pxPerMm is { } scale && scale > 0
            ? Invariant($"{distance / scale:0.00} mm")
            : Invariant($"{distance:0} px");
    }

    private static BoardComparison Refused(ComparisonRequest request) =>
        new(
            "The two pictures cannot be laid on each other.",
            false,
            0,
            null,
            null,
            null,
            [],
            [
                .. request.Parts.Select(part => new PartComparison(
                    part.Name,
                    part.Area,
                    PartChange.CannotJudge,
                    0.5,
                    null,
                    null,
                    null,
                    "the pictures cannot be laid on each other"
                )),
            ],
            [],
            [
                new Finding(
                    Verdict.Unknown,
                    "compare.no-registration",
                    "pictures",
                    "Too few details agree between both pictures: another board, another side, blurred, or from too different a distance.",
                    Invariant($"fewer than {Registration.FewestMatches} details agree"),
                    Todo: "Take the picture after like the one before: same side, distance and direction, in focus."
                ),
            ]
        );

    private static double Sq(double value) => value * value;
}
