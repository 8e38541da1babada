using System.Globalization;
using Graftbench.Core.Drying;
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
    // [F20] material content sheets: 5.16 g by 680 balls, 5.50 g by 1152, 1.14 g by 324.
    private const double WeightByBallG = 0.006;
    private const double UsualDomeSpreadPercent = 25;
    private const double NoWarpageMm = 0;

    // JEITA ED-7306 by pitch: 1.0 and 0.8 as quoted in [F16], the others from memory.
    private static readonly (double PitchMm, double LimitMm)[] WarpageLimits =
    [
        (0.4, 0.10),
        (0.5, 0.11),
        (0.65, 0.14),
        (0.8, 0.17),
        (1.0, 0.22),
        (1.27, 0.25),
    ];

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
        double dome = seat.DomeHeightMm ?? Assume("solder on the lands", "none, bare lands", "cautious", 0);
        double spread =
            seat.DomeSpreadPercent
            ?? Assume(
                "evenness of that solder",
                Invariant($"{UsualDomeSpreadPercent:0} %"),
                "estimate",
                UsualDomeSpreadPercent
            );
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
        double tolerance =
            seat.Spread.BallToleranceMm
            ?? (
                size <= 0.55
                    ? Assume("tolerance of the balls", "±0.010 mm", "[F12] public page on solder balls", 0.010)
                    : Assume("tolerance of the balls", "±0.020 mm", "from memory", 0.020)
            );
        double warpage = seat.HotWarpageMm ?? AssumeWarpage(pitch!.Value);
        double weight =
            seat.PackageG
            ?? Assume(
                "weight of the package",
                Invariant($"{WeightByBallG * sites.Length:0.0} g by its balls"),
                "[F20] material content sheets",
                WeightByBallG * sites.Length
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
            Assume("warpage at room temperature", "flat", "estimate", NoWarpageMm);
        }
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

        double AssumeWarpage(double pitchMm)
        {
            double limit = WarpageLimits.MinBy(row => Math.Abs(row.PitchMm - pitchMm)).LimitMm;
            return Assume(
                "warpage at reflow",
                Invariant($"{limit:0.00} mm, corners up, the limit for the pitch"),
                "JEITA ED-7306 [F16]",
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
