using System.Globalization;
using Graftbench.Core.Drying;
using Graftbench.Core.Facts;
using Graftbench.Core.Jobs;
using Graftbench.Core.Physics.Capillary;
using static System.FormattableString;

namespace Graftbench.Core.Joints;

/// <summary>A request made from a document, and what had to be assumed.</summary>
/// <param name="Request">The request; null where something that cannot be assumed is missing.</param>
/// <param name="Assumptions">What was assumed.</param>
/// <param name="Missing">What is missing, each a field's name.</param>
public sealed record JointRequestMade(
    JointRequest? Request,
    IReadOnlyList<Assumption> Assumptions,
    IReadOnlyList<string> Missing
);

/// <summary>Makes requests from documents.</summary>
public static class JointRequests
{
    private const double NoWarpageMm = 0;
    private const double PercentWhole = 100;
    private const string Estimate = "graftbench-estimate";

    /// <summary>Of a chip of a job, for its place on the host.</summary>
    /// <param name="job">The job.</param>
    /// <param name="chip">The chip.</param>
    /// <param name="trials">Packages to draw.</param>
    public static JointRequestMade Of(Job job, Chip chip, int trials = 2000)
    {
        ArgumentNullException.ThrowIfNull(job);
        ArgumentNullException.ThrowIfNull(chip);
        return Make(
            $"chip {chip.Id}",
            chip.Seat ?? new Seat(),
            job.Materials.BallDiameterMm ?? chip.BallDiameterMm,
            chip.PitchMm,
            chip.Rows,
            chip.Columns,
            trials,
            (job.Materials.BallAlloy ?? chip.BallAlloy, job.Materials.LandAlloy),
            job.Wishes.Heat.JointMarginDeltaK
        );
    }

    /// <summary>Of a document of its own.</summary>
    /// <param name="document">The document.</param>
    public static JointRequestMade Of(JointCaseDocument document)
    {
        ArgumentNullException.ThrowIfNull(document);
        return Make(
            document.Name ?? "package",
            document.Seat,
            document.BallDiameterMm,
            document.PitchMm,
            document.Rows,
            document.Columns,
            document.Trials,
            (document.BallAlloy, document.LandAlloy)
        );
    }

    /// <summary>Places of a regular field, from the lowest row, with its empty middle left out.</summary>
    internal static IEnumerable<(string Name, double X, double Y)> Field(
        double pitch,
        int rows,
        int columns,
        int emptyRows,
        int emptyColumns
    )
    {
        for (int row = 0; row < rows; row++)
        {
            for (int column = 0; column < columns; column++)
            {
                bool inside =
                    Math.Abs(2 * row - rows + 1) < emptyRows && Math.Abs(2 * column - columns + 1) < emptyColumns;
                if (!inside)
                {
                    yield return (
                        Invariant($"r{rows - row}c{column + 1}"),
                        (column - (columns - 1) / 2.0) * pitch,
                        (row - (rows - 1) / 2.0) * pitch
                    );
                }
            }
        }
    }

    private static JointRequestMade Make(
        string subject,
        Seat seat,
        double? ball,
        double? pitch,
        int? rows,
        int? columns,
        int trials,
        (string? Ball, string? Land) alloys,
        double? marginDeltaK = null
    )
    {
        List<string> missing = [];
        bool listed = seat.Sites.Count > 0;
        Need(ball is null && !(listed && seat.Sites.All(site => site.BallDiameterMm is not null)), "ballDiameterMm");
        Need(
            seat.PackagePadMm is null && !(listed && seat.Sites.All(site => site.PackagePadMm is not null)),
            "seat.packagePadMm"
        );
        Need(
            seat.BoardPadMm is null && !(listed && seat.Sites.All(site => site.BoardPadMm is not null)),
            "seat.boardPadMm"
        );
        Need(pitch is null, "pitchMm");
        Need(!listed && rows is null, "rows");
        Need(!listed && columns is null, "columns");
        if (missing.Count > 0)
        {
            return new JointRequestMade(null, [], missing);
        }
        List<Assumption> assumed = [];
        double dome =
            seat.DomeHeightMm
            ?? (
                listed && seat.Sites.All(site => site.DomeHeightMm is not null)
                    ? 0
                    : Assume("solder on the lands", "none, bare lands, the cautious side", Estimate, 0)
            );
        JointFigure uneven = JointFacts.Figure("dome-spread");
        double spread =
            seat.DomeSpreadPercent
            ?? Assume("evenness of that solder", Invariant($"{uneven.Value:0} %"), uneven.Source, uneven.Value);
        JointSite[] sites = listed
            ?
            [
                .. seat.Sites.Select(
                    (site, i) =>
                        Site(
                            site.Name ?? Invariant($"{i + 1}"),
                            site.XMm,
                            site.YMm,
                            site.BallDiameterMm ?? ball!.Value,
                            site.DomeHeightMm ?? dome,
                            site.PackagePadMm ?? seat.PackagePadMm!.Value,
                            site.BoardPadMm ?? seat.BoardPadMm!.Value,
                            site.LandHeightMm
                        )
                ),
            ]
            :
            [
                .. Field(pitch!.Value, rows!.Value, columns!.Value, seat.EmptyRows, seat.EmptyColumns)
                    .Select(at =>
                        Site(
                            at.Name,
                            at.X,
                            at.Y,
                            ball!.Value,
                            dome,
                            seat.PackagePadMm!.Value,
                            seat.BoardPadMm!.Value,
                            0
                        )
                    ),
            ];
        double size = ball ?? seat.Sites.Max(site => site.BallDiameterMm ?? 0);
        (double usualTolerance, string toleranceSource) = JointFacts.Tolerance(size);
        double tolerance =
            seat.Spread.BallToleranceMm
            ?? Assume(
                "tolerance of the balls",
                Invariant($"±{usualTolerance:0.000} mm"),
                toleranceSource,
                usualTolerance
            );
        (double warpage, double warpageSd) = Warpage(pitch!.Value);
        JointFigure byBall = JointFacts.Figure("weight-by-ball");
        double weight =
            seat.PackageG
            ?? Assume(
                "weight of the package",
                Invariant($"{byBall.Value * sites.Length:0.0} g by its balls"),
                byBall.Source,
                byBall.Value * sites.Length
            );
        JointSolder solder = SeatSolders.Of(
            seat.Solder,
            new SolderSaid(
                alloys.Ball,
                alloys.Land,
                size,
                seat.BoardPadMm ?? seat.Sites.Max(site => site.BoardPadMm ?? 0),
                dome > 0 ? dome : seat.Sites.Select(site => site.DomeHeightMm ?? 0).DefaultIfEmpty(0).Max(),
                marginDeltaK
            )
        );
        if (seat.ColdWarpageMm is null)
        {
            Assume("warpage at room temperature", "flat", Estimate, NoWarpageMm);
        }
        double padSd = Usual(seat.Spread.PadRadiusSdMm, "pad-radius-scatter");
        double landSd = Usual(seat.Spread.LandHeightSdMm, "land-height-scatter");
        AssumeParts();
        JointRequest request = new(
            subject,
            solder,
            sites,
            [
                .. seat.Parts.Select(part => new JointStop(
                    part.Name,
                    part.XMm,
                    part.YMm,
                    StopHeightMm(part),
                    FilmMm(part),
                    part.HeightErrorMm ?? Value("part-height-error")
                )),
            ],
            seat.Parts.Count > 0 || seat.HasParts == YesNo.No,
            new JointLoad(weight, seat.LidG, seat.PressG, seat.CentreXMm, seat.CentreYMm, seat.PackageG is not null),
            warpage,
            seat.ColdWarpageMm ?? NoWarpageMm,
            seat.HotWarpageMm is not null,
            new JointSpread(tolerance / 3, padSd, landSd, spread, warpageSd, seat.Spread.MissingPercent / 100),
            pitch!.Value,
            seat.OriginalStandoffMm,
            new JointGoal(seat.WantedChancePercent / 100, trials)
        )
        {
            ColdWarpageKnown = seat.ColdWarpageMm is not null,
        };
        return new JointRequestMade(request, assumed, []);

        void Need(bool absent, string field)
        {
            if (absent)
            {
                missing.Add(field);
            }
        }

        double Assume(string what, string figure, string source, double value)
        {
            assumed.Add(new Assumption(subject, $"{what}: {figure}", source));
            return value;
        }

        double Usual(double? entered, string figure)
        {
            JointFigure usual = JointFacts.Figure(figure);
            return entered
                ?? Assume(
                    char.ToLowerInvariant(usual.Title[0]) + usual.Title[1..],
                    Invariant($"{usual.Value:0.000} mm"),
                    usual.Source,
                    usual.Value
                );
        }

        void AssumeParts()
        {
            (string Name, string Figure, Func<SeatPart, double?> Of)[] figures =
            [
                ("height off by", "part-height-error", part => part.HeightErrorMm),
                ("film under it", "part-film", part => part.FilmMm),
                ("pads below the package's mask by", "part-pad-depth", part => part.PadDepthMm),
                ("board's mask over the lands by", "part-mask-height", part => part.MaskHeightMm),
            ];
            foreach ((string name, string figure, Func<SeatPart, double?> of) in figures)
            {
                SeatPart[] without = [.. seat.Parts.Where(part => of(part) is null)];
                if (without is [{ } first, ..])
                {
                    JointFigure usual = JointFacts.Figure(figure);
                    Assume(
                        without.Length == 1 ? $"part {first.Name}"
                            : without.Length == seat.Parts.Count ? "parts underneath"
                            : $"{without.Length} of the parts underneath",
                        Invariant($"{name} {usual.Value:0.00} mm"),
                        usual.Source,
                        0
                    );
                }
            }
            if (seat.Parts is [{ } only])
            {
                Assume(
                    $"part {only.Name}",
                    Invariant($"stops at a gap of {StopHeightMm(only):0.00} mm"),
                    "job-file",
                    0
                );
            }
        }

        (double Mm, double SdMm) Warpage(double pitchMm)
        {
            if (seat.HotWarpageMm is { } entered)
            {
                JointFigure share = JointFacts.Figure("warpage-scatter");
                double usualMm = Math.Max(
                    Value("warpage-scatter-least"),
                    share.Value / PercentWhole * Math.Abs(entered)
                );
                return (
                    entered,
                    seat.Spread.WarpageSdMm
                        ?? Assume(
                            "scatter of the warpage",
                            Invariant($"{usualMm:0.000} mm, one standard deviation"),
                            share.Source,
                            usualMm
                        )
                );
            }
            (double limit, string source) = JointFacts.WarpageLimit(pitchMm);
            double sdMm = seat.Spread.WarpageSdMm ?? limit / 2;
            Assume(
                "warpage at reflow",
                Invariant(
                    $"not known: drawn around flat, either way, one standard deviation {sdMm:0.00} mm; the limit for the pitch is {limit:0.00} mm"
                ),
                source,
                0
            );
            return (NoWarpageMm, sdMm);
        }
    }

    private static double Value(string figure) => JointFacts.Figure(figure).Value;

    /// <summary>Gap between the planes of the lands at which a part meets the board [mm].</summary>
    internal static double StopHeightMm(SeatPart part) =>
        part.HeightMm + (part.PadDepthMm ?? Value("part-pad-depth")) + (part.MaskHeightMm ?? Value("part-mask-height"));

    /// <summary>Film under a part that may be squeezed out [mm].</summary>
    internal static double FilmMm(SeatPart part) => part.FilmMm ?? Value("part-film");

    private static JointSite Site(
        string name,
        double x,
        double y,
        double ball,
        double dome,
        double packagePad,
        double boardPad,
        double land
    ) =>
        new(
            name,
            x,
            y,
            SolderCap.BallVolumeMm3(ball),
            SolderCap.VolumeMm3(dome, boardPad / 2),
            packagePad / 2,
            boardPad / 2,
            land
        );
}
