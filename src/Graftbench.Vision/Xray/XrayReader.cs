using Graftbench.Core.Findings;
using Graftbench.Core.Inspection;
using Graftbench.Vision.Lattice;
using Graftbench.Vision.Pictures;
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
    private const double MostChromaFraction = 0.08;

    /// <summary>Reads.</summary>
    /// <param name="request">Picture, field and limit.</param>
    /// <param name="cancel">Stops the work.</param>
    /// <exception cref="OperationCanceledException">It was stopped.</exception>
    public static XrayReading Read(XrayRequest request, CancellationToken cancel = default)
    {
        ArgumentNullException.ThrowIfNull(request);
        if (ChromaFraction(request.Picture) is > MostChromaFraction and double colour)
        {
            return Refused(
                request,
                "xray.coloured",
                "This picture is coloured; an X-ray picture is grey.",
                "Give the detector's own grey picture; a photograph of balls belongs to the ball check.",
                Invariant($"{100 * colour:0} % colour on average"),
                Invariant($"at most {100 * MostChromaFraction:0} %")
            );
        }
        Plane grey = new(request.Picture.WidthPx, request.Picture.HeightPx, request.Picture.Grey);
        (DiscField? found, FieldRefusal? refusal) = DiscField.Find(
            grey,
            request.Field,
            request.View,
            request.A1,
            "joints",
            cancel
        );
        return found is null
            ? Refused(request, "xray." + refusal!.Code, refusal.What, refusal.Todo, refusal.Value, refusal.Limit)
            : Measured(request, grey, found, cancel);
    }

    // Mean distance of the strongest from the weakest channel, by white.
    private static double ChromaFraction(Picture picture)
    {
        if (picture.Rgb is not { } rgb)
        {
            return 0;
        }
        long sum = 0;
        long count = 0;
        for (int i = 0; i + 2 < rgb.Length; i += 3 * 7)
        {
            sum +=
                Math.Max(rgb[i], Math.Max(rgb[i + 1], rgb[i + 2])) - Math.Min(rgb[i], Math.Min(rgb[i + 1], rgb[i + 2]));
            count++;
        }
        return sum / (255.0 * count);
    }

    private static XrayReading Measured(XrayRequest request, Plane grey, DiscField found, CancellationToken cancel)
    {
        DiscPopulation population = found.Population;
        double pitchPx = found.Lattice.PitchPx;
        Plane light = population.Bright ? Inverted(grey) : grey;
        BallField field = request.Field;
        List<XraySite> sites = [];
        List<PicturePoint> all = [];
        for (int row = 0; row < field.Rows; row++)
        {
            for (int column = 0; column < field.Columns; column++)
            {
                PicturePoint at = found.At(row, column);
                all.Add(at);
                if (field.Has(row, column))
                {
                    sites.Add(new XraySite(field.NameOf(row, column), row, column, at.XPx, at.YPx));
                }
            }
        }
        SurveyResult survey = JointSurvey.Measure(light, sites, population.RadiusPx, pitchPx, Floor(light), cancel);
        IReadOnlyList<StraySpot> strays = StrayFinder.Find(
            light,
            survey.Joints,
            all,
            survey.RadiusPx,
            survey.LevelNumber
        );
        bool sure = found.Fit.State == FieldFitState.Found;
        double pxPerMm = pitchPx / field.PitchMm;
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
            [.. survey.Joints.Select(joint => Inside(joint, light, population.RadiusPx))],
            strays,
            [],
            XrayReading.NeverPromised
        );
        IReadOnlyList<Finding> findings = XrayFindings.Of(request, reading, found.Fit.State);
        return reading with { Findings = findings, Answer = XrayFindings.Answer(reading, findings) };
    }

    // What the picture does not show is not missing.
    private static JointReading Inside(JointReading joint, Plane light, double radiusPx) =>
        joint.State == JointSight.Missing
        && (
            joint.XPx < radiusPx
            || joint.YPx < radiusPx
            || joint.XPx > light.WidthPx - 1 - radiusPx
            || joint.YPx > light.HeightPx - 1 - radiusPx
        )
            ? joint with
            {
                State = JointSight.CannotJudge,
                ConfidenceFraction = 0.5,
                WhyNot = "it lies outside of the picture",
            }
            : joint;

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
