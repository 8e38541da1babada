using Graftbench.Core.Inspection;
using Graftbench.Vision.Lattice;

namespace Graftbench.Vision.Balls;

/// <summary>Finds balls where the list has none: between sites, and on sites that are to be empty.</summary>
internal static class StrayFinder
{
    private const double MostAwaySteps = 0.2;

    public static List<StrayBall> Find(
        BallField field,
        FieldLook look,
        FieldPlacement way,
        Dictionary<(int, int), NodeVerdict> verdicts,
        HashSet<(int, int)> cells
    )
    {
        List<StrayBall> strays = [];
        foreach (NodeLook node in look.Nodes)
        {
            (int row, int column) = way.SiteOf(node.I, node.J);
            bool inFrame = row >= 0 && row < field.Rows && column >= 0 && column < field.Columns;
            NodeVerdict verdict = verdicts[(node.I, node.J)];
            if (
                inFrame
                && !field.Has(row, column)
                && verdict.Class is SiteClass.Present or SiteClass.Undersized or SiteClass.OffCentre
                && !(field.Has(row, column))
            )
            {
                strays.Add(
                    At(
                        look,
                        node.I + verdict.XSteps,
                        node.J + verdict.YSteps,
                        [field.NameOf(row, column)],
                        verdict.ConfidenceFraction
                    )
                );
            }
            if (Between(field, look, way, node, strays))
            {
                cells.Add((node.I, node.J));
            }
        }
        return strays;
    }

    private static bool Between(
        BallField field,
        FieldLook look,
        FieldPlacement way,
        NodeLook node,
        List<StrayBall> strays
    )
    {
        (double i, double j) = (node.I + 0.5, node.J + 0.5);
        List<string> near = [];
        bool inFrame = true;
        foreach ((int di, int dj) in ((int, int)[])[(0, 0), (1, 0), (0, 1), (1, 1)])
        {
            (int row, int column) = way.SiteOf(node.I + di, node.J + dj);
            inFrame &= row >= 0 && row < field.Rows && column >= 0 && column < field.Columns;
            if (inFrame)
            {
                near.Add(field.NameOf(row, column));
            }
        }
        if (!inFrame || SiteFit.At(look.Flat, look.Look, i, j, look.Outline, look.NoiseNumber) is not { } fit)
        {
            return false;
        }
        NodeLook seen = node with { Fit = fit };
        double solid = fit.SolidLikeness / Math.Max(look.Balls.SolidLikeness, 0.1);
        if (
            solid > 0.8
            && fit.WholeLikeness > 0.8
            && Math.Sqrt(fit.XSteps * fit.XSteps + fit.YSteps * fit.YSteps) < MostAwaySteps
            && look.Balls.AmountRatio(seen) > 0.4
            && look.Balls.ContrastRatio(seen) > 0.4
        )
        {
            strays.Add(
                At(
                    look,
                    i + fit.XSteps,
                    j + fit.YSteps,
                    near,
                    Math.Clamp(0.5 + 0.5 * solid * fit.WholeLikeness, 0.5, 0.99)
                )
            );
            return true;
        }
        return false;
    }

    private static StrayBall At(FieldLook look, double i, double j, IReadOnlyList<string> near, double sure)
    {
        (double x, double y) = look.Lattice.Map.ToPicture(i + look.Outline.OffsetXSteps, j + look.Outline.OffsetYSteps);
        return new StrayBall(x, y, near, sure);
    }
}
