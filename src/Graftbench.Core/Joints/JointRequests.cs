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
            seat.DomeHeightMm ?? Assume("solder on the lands", "none, bare lands, the cautious side", Estimate, 0);
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
        double warpage = seat.HotWarpageMm ?? AssumeWarpage(pitch!.Value);
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
        AssumeUsual();
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
                    part.FilmMm,
                    part.HeightErrorMm
                )),
            ],
            seat.Parts.Count > 0 || seat.HasParts == YesNo.No,
            new JointLoad(weight, seat.LidG, seat.PressG, seat.CentreXMm, seat.CentreYMm, seat.PackageG is not null),
            warpage,
            seat.ColdWarpageMm ?? NoWarpageMm,
            seat.HotWarpageMm is not null,
            new JointSpread(
                tolerance / 3,
                seat.Spread.PadRadiusSdMm,
                seat.Spread.LandHeightSdMm,
                spread,
                seat.Spread.WarpageSdMm,
                seat.Spread.MissingPercent / 100
            ),
            pitch!.Value,
            seat.OriginalStandoffMm,
            new JointGoal(seat.WantedChancePercent / 100, trials)
        );
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

        // A document cannot say of these whether they were entered or left at what is usual, so they are listed where they are that.
        void AssumeUsual()
        {
            SeatSpread usual = new();
            if (seat.Spread.WarpageSdMm <= 0)
            {
                Assume(
                    "warpage from package to package",
                    "does not vary; enter its deviation where it is not measured on this one",
                    Estimate,
                    0
                );
            }
            if (seat.Spread.PadRadiusSdMm == usual.PadRadiusSdMm && seat.Spread.LandHeightSdMm == usual.LandHeightSdMm)
            {
                Assume(
                    "scatter of pads and lands",
                    Invariant(
                        $"radius {usual.PadRadiusSdMm:0.000} mm, height {usual.LandHeightSdMm:0.000} mm, one standard deviation"
                    ),
                    Estimate,
                    0
                );
            }
            SeatPart plain = new()
            {
                Name = "",
                XMm = 0,
                YMm = 0,
                HeightMm = 0,
            };
            SeatPart[] parts =
            [
                .. seat.Parts.Where(part =>
                    part.HeightErrorMm == plain.HeightErrorMm
                    || part.FilmMm == plain.FilmMm
                    || part.PadDepthMm == plain.PadDepthMm
                    || part.MaskHeightMm == plain.MaskHeightMm
                ),
            ];
            if (parts is [{ } first, ..])
            {
                string stops = parts.Length == 1 ? Invariant($": stops at {StopHeightMm(first):0.00} mm") : "";
                Assume(
                    parts.Length == 1 ? $"part {first.Name}" : $"{parts.Length} parts underneath",
                    Invariant(
                        $"height off by {plain.HeightErrorMm:0.00} mm, pads {plain.PadDepthMm:0.00} mm below the mask, film {plain.FilmMm:0.00} mm, board's mask {plain.MaskHeightMm:0.00} mm over the lands, where nothing else was entered{stops}"
                    ),
                    Estimate,
                    0
                );
            }
        }

        double AssumeWarpage(double pitchMm)
        {
            (double limit, string source) = JointFacts.WarpageLimit(pitchMm);
            return Assume(
                "warpage at reflow",
                Invariant($"{limit:0.00} mm, corners up, the limit for the pitch"),
                source,
                limit
            );
        }
    }

    /// <summary>Gap between the planes of the lands at which a part meets the board [mm].</summary>
    internal static double StopHeightMm(SeatPart part) => part.HeightMm + part.PadDepthMm + part.MaskHeightMm;

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
