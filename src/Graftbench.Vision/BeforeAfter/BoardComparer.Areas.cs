using Graftbench.Core.Findings;
using Graftbench.Vision.Planes;
using static System.FormattableString;

namespace Graftbench.Vision.BeforeAfter;

/// <summary>Areas without a listed part that differ, and what all of it means.</summary>
public static partial class BoardComparer
{
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
