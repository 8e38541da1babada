using Graftbench.Core.Inspection;
using Graftbench.Vision.Lattice;
using Graftbench.Vision.Pictures;

namespace Graftbench.Vision.Balls;

/// <summary>A picture with its field found, drawn flat, and every node measured.</summary>
internal sealed record FieldLook(
    PointLattice Lattice,
    FlatField Flat,
    BallOutline Outline,
    BallLook Look,
    SitePopulation Balls,
    IReadOnlyList<NodeLook> Nodes,
    double NoiseNumber
)
{
    /// <summary>Nodes around the frame of the lattice that are looked at as well.</summary>
    private const int Border = 1;

    /// <summary>Below this many pixels a step a picture is too coarse [px].</summary>
    public const double LeastPitchPx = 8;

    /// <summary>Finds and measures.</summary>
    /// <returns>What was found, or why not: a short code.</returns>
    public static (FieldLook? Look, PointLattice? Lattice, string? Why) Of(Picture picture, BallField field)
    {
        List<GreyLevel> levels = GreyPyramid.Of(picture);
        PointLattice? lattice = FieldFinder.Find(levels, field);
        if (lattice is null || !IsLattice(lattice))
        {
            return (null, null, "no-lattice");
        }
        if (lattice.PitchPx < LeastPitchPx)
        {
            return (null, lattice, "too-small");
        }
        int missingColumns = Math.Max(field.Columns, field.Rows) - Math.Max(lattice.ColumnCount, lattice.RowCount);
        int missingRows = Math.Min(field.Columns, field.Rows) - Math.Min(lattice.ColumnCount, lattice.RowCount);
        int border = Border + Math.Clamp(Math.Max(missingColumns, missingRows), 0, 6);
        (int I, int J) first = (-border - 1, -border - 1);
        (int I, int J) last = (lattice.ColumnCount + border, lattice.RowCount + border);
        int step = lattice.PitchPx >= 18 ? 24 : 18;
        while ((long)(last.I - first.I) * (last.J - first.J) * step * step > FlatField.MaxPixels)
        {
            step -= 2;
        }
        if (step < 10)
        {
            return (null, lattice, "too-small");
        }
        FlatField flat = FlatField.Draw(picture, levels, lattice.Map, first, last, step);
        double? nominal = field.BallDiameterMm / 2 / field.PitchMm;
        (BallOutline? outline, BallLook? look, HashSet<(int, int)> solid, string? why) = Learn(flat, lattice, nominal);
        if (outline is null || look is null)
        {
            return (null, lattice, why);
        }
        double noise = Noise(flat);
        HashSet<(int, int)> points = [.. lattice.Nodes.Select(node => (node.I, node.J))];
        List<NodeLook> nodes = [];
        for (int j = -border; j < lattice.RowCount + border; j++)
        {
            for (int i = -border; i < lattice.ColumnCount + border; i++)
            {
                if (SiteFit.At(flat, look, i, j, outline, noise) is { } fit)
                {
                    nodes.Add(Colours(flat, outline, i, j, fit, points.Contains((i, j))));
                }
            }
        }
        return SitePopulation.Of(nodes, look, solid) is { } balls
            ? (new FieldLook(lattice, flat, outline, look, balls, nodes, noise), lattice, null)
            : (null, lattice, "no-balls");
    }

    /// <summary>How far the colour of the very middle of a site is from that of the balls.</summary>
    public double MiddleColourDistance(NodeLook node)
    {
        (double red, double blue, _) = Inside(
            Flat,
            Flat.XPx(node.I + Outline.OffsetXSteps),
            Flat.YPx(node.J + Outline.OffsetYSteps),
            0.28 * Outline.RadiusSteps * Flat.StepPx
        );
        return Balls.ColourDistance(node with { Red = red, Blue = blue });
    }

    // Where places are of two kinds, outline and look are learnt again from the solid ones alone.
    private static (BallOutline?, BallLook?, HashSet<(int, int)>, string?) Learn(
        FlatField flat,
        PointLattice lattice,
        double? nominal
    )
    {
        IReadOnlyList<LatticeNode> nodes = lattice.Nodes;
        if (BallOutline.Of(flat, nodes, nominal) is not { } outline)
        {
            return (null, null, [], "no-outline");
        }
        for (int turn = 0; turn < 2; turn++)
        {
            List<(LatticeNode Node, float[] Samples, double Red, double Blue)> seen = Seen(flat, outline, nodes);
            bool[]? solid = PatchGroups.Split([.. seen.Select(one => (one.Samples, one.Red, one.Blue))]);
            if (solid is null)
            {
                break;
            }
            if (solid.Length == 0)
            {
                return (null, null, [], "two-kinds");
            }
            nodes = [.. seen.Where((_, at) => solid[at]).Select(one => one.Node)];
            if (BallOutline.Of(flat, nodes, nominal) is not { } again)
            {
                break;
            }
            outline = again;
        }
        List<(double, double, float[])> patches =
        [
            .. Seen(flat, outline, nodes).Select(one => ((double)one.Node.I, (double)one.Node.J, one.Samples)),
        ];
        return BallLook.Learn(patches) is { } look
            ? (outline, look, [.. nodes.Select(node => (node.I, node.J))], null)
            : (null, null, [], "no-look");
    }

    private static List<(LatticeNode Node, float[] Samples, double Red, double Blue)> Seen(
        FlatField flat,
        BallOutline outline,
        IReadOnlyList<LatticeNode> nodes
    )
    {
        List<(LatticeNode, float[], double, double)> seen = [];
        foreach (LatticeNode node in nodes)
        {
            float[] samples = new float[RoundPatch.Count];
            double x = flat.XPx(node.I + outline.OffsetXSteps);
            double y = flat.YPx(node.J + outline.OffsetYSteps);
            double radius = outline.RadiusSteps * flat.StepPx;
            if (RoundPatch.Take(flat, flat.Grey, x, y, radius, samples))
            {
                (double red, double blue, _) = Inside(flat, x, y, 0.6 * radius);
                seen.Add((node, samples, red, blue));
            }
        }
        return seen;
    }

    // What chance brings together is loose and full of holes.
    private static bool IsLattice(PointLattice lattice) =>
        lattice.Nodes.Count >= LatticeFinder.MinNodes
        && lattice.ResidualPx < 0.13 * lattice.PitchPx
        && lattice.FilledFraction > 0.2;

    private static NodeLook Colours(FlatField flat, BallOutline outline, int i, int j, SiteFit fit, bool hasPoint)
    {
        double x = flat.XPx(i + outline.OffsetXSteps + fit.XSteps);
        double y = flat.YPx(j + outline.OffsetYSteps + fit.YSteps);
        double reach = 0.6 * outline.RadiusSteps * flat.StepPx * Math.Min(fit.SizeRatio, 1);
        (double red, double blue, double grey) = Inside(flat, x, y, reach);
        return new NodeLook(i, j, fit, red, blue, grey, hasPoint);
    }

    private static (double Red, double Blue, double Grey) Inside(FlatField flat, double x, double y, double reach)
    {
        double red = 0;
        double blue = 0;
        double grey = 0;
        int count = 0;
        for (int v = (int)(y - reach); v <= y + reach; v++)
        {
            for (int u = (int)(x - reach); u <= x + reach; u++)
            {
                if (u >= 0 && v >= 0 && u < flat.WidthPx && v < flat.HeightPx)
                {
                    int at = v * flat.WidthPx + u;
                    red += flat.Red[at];
                    blue += flat.Blue[at];
                    grey += flat.Grey[at];
                    count++;
                }
            }
        }
        count = Math.Max(count, 1);
        return (red / count, blue / count, grey / count);
    }

    // Median of second differences along rows: edges are few, noise is everywhere. 1.4826 / sqrt(6) makes it a deviation.
    private static double Noise(FlatField flat)
    {
        List<double> differences = [];
        for (int y = 0; y < flat.HeightPx; y += 5)
        {
            for (int x = 1; x < flat.WidthPx - 1; x += 7)
            {
                int at = y * flat.WidthPx + x;
                if (flat.Seen[at - 1] && flat.Seen[at + 1])
                {
                    differences.Add(Math.Abs(flat.Grey[at - 1] - 2 * flat.Grey[at] + flat.Grey[at + 1]));
                }
            }
        }
        return Math.Max(SitePopulation.Median(differences) * 1.4826 / Math.Sqrt(6), 0.002);
    }
}
