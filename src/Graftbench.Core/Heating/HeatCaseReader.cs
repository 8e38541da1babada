using Graftbench.Core.Jobs;
using Graftbench.Core.Physics.Heat;

namespace Graftbench.Core.Heating;

/// <summary>What reading a heat case gave.</summary>
/// <param name="Case">The case; null as soon as there is one problem.</param>
/// <param name="Problems">All problems in document order.</param>
/// <param name="NotListed">How many more problems there were than the list holds.</param>
public sealed record HeatCaseReading(HeatCase? Case, IReadOnlyList<JobProblem> Problems, int NotListed);

/// <summary>Reads a heat case from its document (<c>graftbench-heat-1</c>).</summary>
public static class HeatCaseReader
{
    private const double ReportEveryS = 10;

    /// <summary>Reads a document. Never throws on what the text holds.</summary>
    /// <param name="utf8">The document.</param>
    public static HeatCaseReading Read(ReadOnlySpan<byte> utf8)
    {
        (HeatCaseDocument? document, JobReading reading) = DocumentReader<HeatCaseDocument>.Read(
            utf8,
            HeatCaseChecks.Run
        );
        return new HeatCaseReading(document is null ? null : Convert(document), reading.Problems, reading.NotListed);
    }

    /// <summary>The physics' case of a document that was found in order.</summary>
    private static HeatCase Convert(HeatCaseDocument document) =>
        new(
            document.Name ?? "heat case",
            document.StartC,
            document.DurationS,
            [.. document.Boxes.Select(Box)],
            [.. document.Films.Select(Film)],
            [.. document.Radiation.Select(Patch)],
            [
                .. document.Signals.Select(signal => new HeatSignal(
                    signal.Name,
                    [.. signal.Points.Select(point => new SignalPoint(point.TimeS, point.TemperatureC))],
                    signal.LagS
                )),
            ],
            [.. document.Probes.Select(probe => new HeatProbe(probe.Name, probe.XMm, probe.YMm, probe.ZMm))],
            document.TimesS.Count > 0
                ? document.TimesS
                : [.. Enumerable.Range(1, (int)(document.DurationS / ReportEveryS)).Select(n => n * ReportEveryS)]
        );

    private static HeatBox Box(CaseBox box) =>
        new(
            box.Name,
            box.X0Mm,
            box.X1Mm,
            box.Y0Mm,
            box.Y1Mm,
            box.Z0Mm,
            box.Z1Mm,
            box.InPlaneWPerMK,
            box.ThroughWPerMK,
            box.DensityKgPerM3,
            box.SpecificHeatJPerKgK,
            box.Role switch
            {
                CaseRole.Board => BoxRole.Board,
                CaseRole.Substrate => BoxRole.Substrate,
                CaseRole.Balls => BoxRole.Balls,
                _ => BoxRole.Other,
            },
            box.Melting is { } melting ? new Melting(melting.LatentJPerKg, melting.SolidusC, melting.LiquidusC) : null
        );

    // A document has no uncertain factors, so the group does not matter.
    private static HeatFilm Film(CaseFilm film) =>
        new(
            FacesOf(film.Faces),
            film.FilmWPerM2K,
            Sink(film.Sink),
            FilmGroup.Ambient,
            Rect(film.Inside),
            Rect(film.Outside),
            film.OnlyBoxes
        );

    private static HeatRadiation Patch(CaseRadiation patch) =>
        new(
            FacesOf(patch.Faces),
            patch.EmissivityRatio,
            Sink(patch.Sink),
            Rect(patch.Inside),
            Rect(patch.Outside),
            patch.OnlyBoxes
        );

    private static Faces FacesOf(CaseFaces faces) =>
        faces switch
        {
            CaseFaces.Top => Faces.Top,
            CaseFaces.Bottom => Faces.Bottom,
            _ => Faces.Side,
        };

    private static List<SignalShare> Sink(IReadOnlyList<CaseShare> shares) =>
        [.. shares.Select(share => new SignalShare(share.Signal, share.ShareFraction))];

    private static RectMm? Rect(CaseRect? rect) =>
        rect is null ? null : new RectMm(rect.X0Mm, rect.X1Mm, rect.Y0Mm, rect.Y1Mm);
}
