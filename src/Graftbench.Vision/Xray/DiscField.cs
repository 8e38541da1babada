using Graftbench.Core.Inspection;
using Graftbench.Vision.Lattice;
using Graftbench.Vision.Pictures;
using Graftbench.Vision.Planes;
using static System.FormattableString;

namespace Graftbench.Vision.Xray;

/// <summary>Why no field was found, and what to do.</summary>
/// <param name="Code">Last part of a finding's code.</param>
/// <param name="What">What is wrong.</param>
/// <param name="Todo">What to do.</param>
/// <param name="Value">The value found.</param>
/// <param name="Limit">The limit.</param>
internal sealed record FieldRefusal(string Code, string What, string Todo, string? Value = null, string? Limit = null);

/// <summary>A field of like discs laid on a ball field.</summary>
/// <param name="Population">The discs.</param>
/// <param name="Lattice">Their lattice.</param>
/// <param name="Fit">How the field lies on it.</param>
/// <param name="Way">The best way.</param>
internal sealed record DiscField(DiscPopulation Population, PointLattice Lattice, FieldFitting Fit, FieldPlacement Way)
{
    /// <summary>Least radius of a disc below which nothing is judged [px].</summary>
    public const double LeastRadiusPx = 4;

    private const int MostDiscs = 4000;

    /// <summary>Finds the field, or says why not.</summary>
    /// <param name="grey">Brightness.</param>
    /// <param name="field">The ball field.</param>
    /// <param name="view">From where it was taken.</param>
    /// <param name="a1">Where A1 lies in the picture; null where the field itself must tell.</param>
    /// <param name="discs">What the discs are called.</param>
    /// <param name="cancel">Stops the work.</param>
    public static (DiscField? Field, FieldRefusal? Refusal) Find(
        Plane grey,
        BallField field,
        BallView view,
        PictureCorner? a1,
        string discs,
        CancellationToken cancel
    )
    {
        DiscPopulation? population = DiscSearch.Find(grey);
        cancel.ThrowIfCancellationRequested();
        if (population is null)
        {
            return (
                null,
                new FieldRefusal(
                    "no-" + discs,
                    $"No {discs} are to be seen: nothing like many equal discs at equal distances.",
                    "Take a picture that shows the whole ball field, straight from above, not black and not white."
                )
            );
        }
        PointLattice? lattice = LatticeFinder.Find([
            .. population
                .Discs.Take(MostDiscs)
                .Select(disc => new LatticePoint(disc.XPx, disc.YPx, Math.Max(1e-6, disc.Contrast))),
        ]);
        if (lattice is null)
        {
            return (
                null,
                new FieldRefusal(
                    "no-lattice",
                    Invariant(
                        $"{population.Discs.Count} round spots were found, but no lattice of {discs} among them."
                    ),
                    "Take a picture that shows at least three rows and columns of the ball field, with little overlap."
                )
            );
        }
        if (population.RadiusPx < LeastRadiusPx)
        {
            return (
                null,
                new FieldRefusal(
                    "too-small",
                    $"The {discs} are too small in the picture.",
                    "Magnify more: take the field in several pictures, or read a larger copy.",
                    Invariant($"{2 * population.RadiusPx:0.0} px wide"),
                    Invariant($"at least {2 * LeastRadiusPx:0} px")
                )
            );
        }
        NodeEvidence evidence = NodeEvidence.Of(lattice, 2, grey.WidthPx, grey.HeightPx);
        FieldFitting fit = FieldFit.Fit(
            evidence,
            field,
            view,
            a1 is { } corner ? nodes => IsCorner(lattice.Map, nodes, corner) : null
        );
        if (fit.Best is { } way && fit.State is not (FieldFitState.NoFit or FieldFitState.PlaceUnknown))
        {
            if (evidence.BeyondNumber(way, field) is int beyond && beyond > NodeEvidence.MostBeyond(field))
            {
                return (
                    null,
                    new FieldRefusal(
                        "beyond",
                        Invariant(
                            $"{beyond} more {discs} stand in line outside of a field of {field.Rows} by {field.Columns}: names would be off by a row or column."
                        ),
                        "Check rows and columns."
                    )
                );
            }
            return (new DiscField(population, lattice, fit, way), null);
        }
        return (
            null,
            fit.State == FieldFitState.PlaceUnknown
                ? new FieldRefusal(
                    "cut-off",
                    "The picture shows only part of the field, and it fits in several places.",
                    "Take a picture that shows at least two sides of the field."
                )
                : new FieldRefusal(
                    "other-field",
                    Invariant(
                        $"The {discs} do not fit this field: {lattice.RowCount} by {lattice.ColumnCount} places are seen, {field.Rows} by {field.Columns} were given."
                    ),
                    "Check rows, columns and empty sites, or take a picture of the whole field."
                )
        );
    }

    /// <summary>Place of a site in the picture, with or without a ball.</summary>
    public PicturePoint At(int row, int column)
    {
        (int i, int j) = Way.NodeOf(row, column);
        (double x, double y) = Lattice.Map.ToPicture(i, j);
        return new PicturePoint(x, y);
    }

    private static bool IsCorner(PlaneMap map, IReadOnlyList<(int I, int J)> nodes, PictureCorner corner)
    {
        (double sx, double sy) = corner switch
        {
            PictureCorner.UpperLeft => (-1, -1),
            PictureCorner.UpperRight => (1, -1),
            PictureCorner.LowerRight => (1, 1),
            _ => (-1, 1),
        };
        double[] reach =
        [
            .. nodes.Select(node =>
            {
                (double x, double y) = map.ToPicture(node.I, node.J);
                return sx * x + sy * y;
            }),
        ];
        return reach[0] >= reach.Max() - 1e-9;
    }
}
