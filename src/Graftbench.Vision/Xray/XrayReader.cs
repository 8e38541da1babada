using Graftbench.Core.Findings;
using Graftbench.Core.Inspection;
using Graftbench.Vision.Lattice;
using Graftbench.Vision.Planes;
using static System.FormattableString;

namespace Graftbench.Vision.Xray;

/// <summary>Reads voids, joined, missing and odd joints from an X-ray picture of a package.</summary>
/// <remarks>
/// Joints are found as a population of like discs, laid on the ball field by their lattice, then each is measured against
/// the thickness that all of them share. See docs/models/xray.md for how far the figures were checked.
/// </remarks>
public static class XrayReader
{
    /// <summary>Least radius of a joint in the picture below which nothing is judged [px].</summary>
    public const double LeastRadiusPx = 4;

    private const int MostDiscs = 4000;

    /// <summary>Reads.</summary>
    /// <param name="request">Picture, field and limit.</param>
    /// <param name="cancel">Stops the work.</param>
    /// <exception cref="OperationCanceledException">It was stopped.</exception>
    public static XrayReading Read(XrayRequest request, CancellationToken cancel = default)
    {
        ArgumentNullException.ThrowIfNull(request);
        Plane grey = new(request.Picture.WidthPx, request.Picture.HeightPx, request.Picture.Grey);
        DiscPopulation? population = DiscSearch.Find(grey);
        cancel.ThrowIfCancellationRequested();
        if (population is null)
        {
            return Refused(
                request,
                "xray.no-joints",
                "No joints are to be seen: nothing like many equal discs at equal distances.",
                "Take a picture that shows the whole ball field, straight from above, not black and not white."
            );
        }
        PointLattice? lattice = LatticeFinder.Find([
            .. population
                .Discs.Take(MostDiscs)
                .Select(disc => new LatticePoint(disc.XPx, disc.YPx, Math.Max(1e-6, disc.Contrast))),
        ]);
        if (lattice is null)
        {
            return Refused(
                request,
                "xray.no-lattice",
                Invariant($"{population.Discs.Count} round spots were found, but no lattice of joints among them."),
                "Take a picture that shows at least three rows and columns of the ball field, with little overlap."
            );
        }
        if (population.RadiusPx < LeastRadiusPx)
        {
            return Refused(
                request,
                "xray.too-small",
                "Joints are too small in the picture.",
                "Magnify more: take the field in several pictures, or read a larger copy.",
                Invariant($"{2 * population.RadiusPx:0.0} px wide"),
                Invariant($"at least {2 * LeastRadiusPx:0} px, {2 * JointSurvey.LeastRadiusPx:0} px for voids")
            );
        }
        FieldFitting fit = FieldFit.Fit(
            NodeEvidence.Of(lattice, 2, grey.WidthPx, grey.HeightPx),
            request.Field,
            request.View,
            request.A1 is { } corner ? nodes => IsCorner(lattice.Map, nodes, corner) : null
        );
        if (fit.Best is not { } way || fit.State is FieldFitState.NoFit or FieldFitState.PlaceUnknown)
        {
            return Refused(
                request,
                fit.State == FieldFitState.PlaceUnknown ? "xray.cut-off" : "xray.other-field",
                fit.State == FieldFitState.PlaceUnknown
                    ? "The picture shows only part of the field, and it fits in several places."
                    : Invariant(
                        $"The joints do not fit this field: {lattice.RowCount} by {lattice.ColumnCount} places are seen, {request.Field.Rows} by {request.Field.Columns} were given."
                    ),
                fit.State == FieldFitState.PlaceUnknown
                    ? "Take a picture that shows at least two sides of the field."
                    : "Check rows, columns and empty sites, or take a picture of the whole field."
            );
        }
        return Measured(request, grey, population, lattice, fit, way, cancel);
    }

    private static XrayReading Measured(
        XrayRequest request,
        Plane grey,
        DiscPopulation population,
        PointLattice lattice,
        FieldFitting fit,
        FieldPlacement way,
        CancellationToken cancel
    )
    {
        Plane light = population.Bright ? Inverted(grey) : grey;
        BallField field = request.Field;
        List<XraySite> sites = [];
        List<PicturePoint> all = [];
        for (int row = 0; row < field.Rows; row++)
        {
            for (int column = 0; column < field.Columns; column++)
            {
                (int i, int j) = way.NodeOf(row, column);
                (double x, double y) = lattice.Map.ToPicture(i, j);
                all.Add(new PicturePoint(x, y));
                if (field.Has(row, column))
                {
                    sites.Add(new XraySite(field.NameOf(row, column), row, column, x, y));
                }
            }
        }
        SurveyResult survey = JointSurvey.Measure(
            light,
            sites,
            population.RadiusPx,
            lattice.PitchPx,
            Floor(light),
            cancel
        );
        IReadOnlyList<StraySpot> strays = StrayFinder.Find(
            light,
            survey.Joints,
            all,
            survey.RadiusPx,
            survey.LevelNumber
        );
        bool sure = fit.State == FieldFitState.Found;
        double pxPerMm = lattice.PitchPx / field.PitchMm;
        double radius = Ranks.Median(
            survey.Joints.Where(joint => joint.RadiusPx is not null).Select(joint => joint.RadiusPx!.Value)
        );
        XrayReading reading = new(
            "",
            true,
            sure,
            population.Bright,
            pxPerMm,
            double.IsFinite(radius) ? 2 * radius / pxPerMm : null,
            survey.BlurPx,
            double.IsFinite(survey.NoiseRatio) ? survey.NoiseRatio : null,
            survey.Sharpened,
            request.Limit,
            survey.Joints,
            strays,
            [],
            XrayReading.NeverPromised
        );
        IReadOnlyList<Finding> findings = XrayFindings.Of(request, reading, fit.State);
        return reading with { Findings = findings, Answer = XrayFindings.Answer(reading, findings) };
    }

    private static Plane Inverted(Plane grey)
    {
        float[] values = new float[grey.Values.Length];
        for (int i = 0; i < values.Length; i++)
        {
            values[i] = 1 - grey.Values[i];
        }
        return new Plane(grey.WidthPx, grey.HeightPx, values);
    }

    // Where many pixels share the very lowest value the detector, or whoever stretched the picture, cut off.
    private static double Floor(Plane light)
    {
        float lowest = light.Values.Min();
        long at = light.Values.LongCount(value => value <= lowest + 0.5f / 255);
        return at > light.Values.Length / 500 ? lowest + 0.5 / 255 : 0.5 / 255;
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

    private static XrayReading Refused(
        XrayRequest request,
        string code,
        string what,
        string todo,
        string? value = null,
        string? limit = null
    ) =>
        new(
            "Cannot judge this picture: " + what,
            false,
            false,
            false,
            null,
            null,
            null,
            null,
            false,
            request.Limit,
            [],
            [],
            [new Finding(Verdict.Unknown, code, request.Name, what, value, limit, null, todo)],
            XrayReading.NeverPromised
        );
}
