using Graftbench.Core.Findings;
using Graftbench.Core.Inspection;
using Graftbench.Vision.Lattice;
using Graftbench.Vision.Pictures;

namespace Graftbench.Vision.Balls;

/// <summary>What is asked about a picture.</summary>
/// <param name="Field">The ball field.</param>
/// <param name="View">From where the picture was taken.</param>
/// <param name="A1">Where A1 lies, if a person said so.</param>
public sealed record BallRequest(BallField Field, BallView View, PictureCorner? A1 = null);

/// <summary>Checks every site of a ball field in a picture.</summary>
/// <remarks>
/// The lattice is found among round spots; the field is laid on it; how a ball looks is learnt from the picture itself; each
/// site is held against the others and against being flat. See docs/models/pictures.md for how well that does.
/// </remarks>
public static class BallCheck
{
    // Agreement of the sites with the list below which the picture is taken for another package.
    private const double EnoughAgreementFraction = 0.6;

    // A look that an evenly bright disc explains this well is no proof of solid balls: bare lands in rendered pictures
    // leave at most 0.042 when they are alike, balls 0.066 and more.
    private const double LeastUnexplainedFraction = 0.055;
    private const double LeastLikeness = 0.74;
    private const double LeastBallFraction = 0.25;
    private const double LeastPitchPx = 11;
    private const double MostUnclearFraction = 0.35;

    /// <summary>Checks.</summary>
    /// <param name="picture">The picture.</param>
    /// <param name="name">What findings call it.</param>
    /// <param name="request">What is asked.</param>
    public static BallReport Check(Picture picture, string name, BallRequest request)
    {
        ArgumentNullException.ThrowIfNull(picture);
        ArgumentNullException.ThrowIfNull(name);
        ArgumentNullException.ThrowIfNull(request);
        BallReport empty = new(name, picture.WidthPx, picture.HeightPx, request.View, false, [], [], [], null);
        (FieldLook? look, PointLattice? lattice, string? why) = FieldLook.Of(picture, request.Field);
        if (look is null)
        {
            return empty with { Findings = PictureFindings.NotFound(picture, name, lattice, why!) };
        }
        List<Finding> poor = PictureFindings.Poor(
            picture,
            name,
            look,
            LeastPitchPx,
            LeastLikeness,
            LeastUnexplainedFraction,
            LeastBallFraction
        );
        if (poor.Count > 0)
        {
            return empty with { Findings = poor };
        }
        SiteJudge judge = new(look);
        Dictionary<(int, int), NodeVerdict> verdicts = look.Nodes.ToDictionary(
            node => (node.I, node.J),
            node => judge.Of(node)
        );
        NodeEvidence evidence = Evidence(look, verdicts);
        FieldFitting fit = FieldFit.Fit(evidence, request.Field, request.View, Corner(request.A1, look.Lattice));
        List<Finding> findings = [];
        if (
            fit.State
                is FieldFitState.NoFit
                    or FieldFitState.Mirrored
                    or FieldFitState.PlaceUnknown
                    or FieldFitState.CornerUnknown
            || fit.Best is null
        )
        {
            return empty with { Findings = [PictureFindings.NoPlace(name, request, look, fit)] };
        }
        if (fit.AgreementFraction < EnoughAgreementFraction)
        {
            return empty with
            {
                Findings = [PictureFindings.NoPlace(name, request, look, fit with { State = FieldFitState.NoFit })],
            };
        }
        FieldPlacement way = fit.Best.Value;
        if (evidence.BeyondNumber(way, request.Field) is int beyond && beyond > NodeEvidence.MostBeyond(request.Field))
        {
            return empty with { Findings = [PictureFindings.Beyond(name, request.Field, beyond)] };
        }
        HashSet<(int, int)> strayCells = [];
        List<StrayBall> strays = StrayFinder.Find(request.Field, look, way, verdicts, strayCells);
        List<SiteFinding> sites = SiteList.Of(picture, request.Field, look, way, verdicts, judge, strayCells);
        int inPicture = sites.Count(site => site.Why != SiteList.Outside);
        int unclear = sites.Count(site => site.Class == SiteClass.CannotJudge && site.Why != SiteList.Outside);
        if (unclear > MostUnclearFraction * inPicture)
        {
            return empty with { Findings = [PictureFindings.Unclear(picture, name, unclear, inPicture)] };
        }
        findings.AddRange(PictureFindings.Summary(name, sites, strays));
        return new BallReport(
            name,
            picture.WidthPx,
            picture.HeightPx,
            request.View,
            true,
            Finding.WorstFirst(findings),
            sites,
            strays,
            Pose(request.Field, look, way, fit)
        );
    }

    private static NodeEvidence Evidence(FieldLook look, Dictionary<(int, int), NodeVerdict> verdicts)
    {
        int left = look.Nodes.Min(node => node.I);
        int top = look.Nodes.Min(node => node.J);
        int columns = look.Nodes.Max(node => node.I) - left + 1;
        int rows = look.Nodes.Max(node => node.J) - top + 1;
        double[] signs = new double[columns * rows];
        foreach (NodeLook node in look.Nodes)
        {
            // A bare land is as good as a ball to say that the list has a site there.
            signs[(node.J - top) * columns + node.I - left] = verdicts[(node.I, node.J)].Class switch
            {
                SiteClass.Missing => node.HasPoint ? 0.3 : -1,
                SiteClass.CannotJudge => node.HasPoint ? 0.3 : -0.5,
                _ => 1,
            };
        }
        return new NodeEvidence(columns, rows, left, top, signs);
    }

    private static Func<IReadOnlyList<(int I, int J)>, bool>? Corner(PictureCorner? corner, PointLattice lattice)
    {
        if (corner is not { } wanted)
        {
            return null;
        }
        return corners =>
        {
            (double X, double Y)[] places = [.. corners.Select(node => lattice.Map.ToPicture(node.I, node.J))];
            (double sx, double sy) = wanted switch
            {
                PictureCorner.UpperLeft => (-1.0, -1.0),
                PictureCorner.UpperRight => (1.0, -1.0),
                PictureCorner.LowerRight => (1.0, 1.0),
                _ => (-1.0, 1.0),
            };
            double first = sx * places[0].X + sy * places[0].Y;
            return places.Skip(1).All(place => sx * place.X + sy * place.Y <= first);
        };
    }

    private static FieldPose Pose(BallField field, FieldLook look, FieldPlacement way, FieldFitting fit)
    {
        PointLattice lattice = look.Lattice;
        (double u, double v, _) = lattice.Map.StepAt((lattice.ColumnCount - 1) / 2.0, (lattice.RowCount - 1) / 2.0);
        return new FieldPose(
            lattice.PitchPx,
            look.Outline.RadiusSteps * look.Balls.SizeRatio,
            Math.Acos(Math.Min(u, v) / Math.Max(u, v)) * 180 / Math.PI,
            fit.MarginSites,
            [.. FieldFit.Corners(way, field).Select(node => lattice.Map.ToPicture(node.I, node.J))]
        );
    }
}
