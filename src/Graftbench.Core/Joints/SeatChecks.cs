using System.Globalization;
using Graftbench.Core.Jobs;
using Graftbench.Core.Physics.Capillary;

namespace Graftbench.Core.Joints;

/// <summary>Sizes of a seat as its documents name them.</summary>
/// <param name="Ball">Ball [mm] and the path of its field.</param>
/// <param name="Pitch">Pitch [mm] and its path.</param>
/// <param name="Rows">Rows and their path.</param>
/// <param name="Columns">Columns and their path.</param>
/// <param name="Path">Path of the seat.</param>
internal sealed record SeatPlace(
    (double? Mm, string Path) Ball,
    (double? Mm, string Path) Pitch,
    (int? Number, string Path) Rows,
    (int? Number, string Path) Columns,
    string Path
);

/// <summary>What no single field of a seat can show, for the job document and for a document of its own.</summary>
internal static class SeatChecks
{
    private const string Whose = "Graftbench joint model";
    private const double SamePlaceMm = 0.02;
    private const double LeastFreeGapRatio = 0.25;
    private const double WidestPadByBall = 1.5;

    /// <summary>Runs every check across fields.</summary>
    public static IEnumerable<JobCheck> Run(Seat seat, SeatPlace at) =>
        Ball(seat, at).Concat(Field(seat, at)).Concat(Sites(seat, at)).Concat(Parts(seat, at));

    private static IEnumerable<JobCheck> Ball(Seat seat, SeatPlace at)
    {
        foreach (
            (double? pad, string field) in new[]
            {
                (seat.PackagePadMm, "packagePadMm"),
                (seat.BoardPadMm, "boardPadMm"),
            }
        )
        {
            if (pad is { } wide && at.Pitch.Mm is { } pitch && wide >= pitch)
            {
                yield return Check(
                    "The pads are as wide as their pitch, so neighbours are one pad.",
                    Mm(wide),
                    $"less than the pitch, {Mm(pitch)}",
                    "Check pad and pitch; both in mm.",
                    $"{at.Path}.{field}",
                    at.Pitch.Path
                );
            }
            if (pad is { } on && at.Ball.Mm is { } small && on > WidestPadByBall * small)
            {
                yield return Check(
                    "The pad is so wide that the ball would lie flat on it.",
                    Mm(on),
                    $"at most {WidestPadByBall:0.0} times the ball, {Mm(WidestPadByBall * small)}",
                    "Check pad and ball; both are diameters in mm.",
                    $"{at.Path}.{field}",
                    at.Ball.Path
                );
            }
        }
        if (at.Ball.Mm is not { } ball)
        {
            yield break;
        }
        if (at.Pitch.Mm is { } step && ball >= step)
        {
            yield return Check(
                "The balls are as large as their pitch, so neighbours would touch.",
                Mm(ball),
                $"less than the pitch, {Mm(step)}",
                "Check ball and pitch; both in mm.",
                at.Ball.Path,
                at.Pitch.Path
            );
        }
        if (seat is { PackagePadMm: { } upper, BoardPadMm: { } lower })
        {
            double volume = SolderCap.BallVolumeMm3(ball);
            double free = SolderCap.TruncatedSphereHeightMm(volume, lower / 2, upper / 2);
            double scale = Math.Sqrt((upper * upper + lower * lower) / 8);
            if (free < LeastFreeGapRatio * scale)
            {
                yield return Check(
                    "A ball of this volume cannot span two pads this wide: it lies between them as a film.",
                    Mm(Math.Round(free, 3)) + " gap without load",
                    $"at least {Mm(Math.Round(LeastFreeGapRatio * scale, 3))}",
                    "Take larger balls, or check whether a radius was given for a diameter.",
                    at.Ball.Path,
                    $"{at.Path}.packagePadMm",
                    $"{at.Path}.boardPadMm"
                );
            }
        }
    }

    private static IEnumerable<JobCheck> Field(Seat seat, SeatPlace at)
    {
        if (seat.Sites.Count > 0 || at.Rows.Number is not { } rows || at.Columns.Number is not { } columns)
        {
            yield break;
        }
        if (seat.EmptyRows > rows || seat.EmptyColumns > columns)
        {
            yield return Check(
                "The empty middle is larger than the field.",
                $"{seat.EmptyRows} x {seat.EmptyColumns}",
                $"at most {rows} x {columns}",
                "Check rows and columns, and those without balls.",
                $"{at.Path}.emptyRows",
                $"{at.Path}.emptyColumns",
                at.Rows.Path,
                at.Columns.Path
            );
            yield break;
        }
        int emptyRows = seat.EmptyRows;
        int emptyColumns = seat.EmptyColumns;
        int joints = rows * columns - emptyRows * emptyColumns;
        if (joints is < 3 or > JointPlanner.MostJoints)
        {
            yield return Check(
                joints < 3 ? "A package stands on three joints or more." : "That is more joints than are followed.",
                joints.ToString(CultureInfo.InvariantCulture),
                $"3 to {JointPlanner.MostJoints}",
                "Check rows, columns and the empty middle.",
                at.Rows.Path,
                at.Columns.Path,
                $"{at.Path}.emptyRows"
            );
        }
        if ((rows - emptyRows) % 2 != 0 && emptyRows > 0 && emptyColumns > 0)
        {
            yield return Check(
                "The empty middle cannot lie in the middle: one is even, the other odd.",
                $"{emptyRows} of {rows}",
                "both even or both odd",
                "List the joints one by one instead.",
                $"{at.Path}.emptyRows",
                at.Rows.Path
            );
        }
        if ((columns - emptyColumns) % 2 != 0 && emptyRows > 0 && emptyColumns > 0)
        {
            yield return Check(
                "The empty middle cannot lie in the middle: one is even, the other odd.",
                $"{emptyColumns} of {columns}",
                "both even or both odd",
                "List the joints one by one instead.",
                $"{at.Path}.emptyColumns",
                at.Columns.Path
            );
        }
    }

    private static IEnumerable<JobCheck> Sites(Seat seat, SeatPlace at)
    {
        if (seat.Sites.Count is > 0 and < 3)
        {
            yield return Check(
                "A package stands on three joints or more.",
                $"{seat.Sites.Count}",
                "at least 3",
                "List every joint.",
                $"={at.Path}.sites"
            );
        }
        Dictionary<(long, long), int> seen = [];
        for (int i = 0; i < seat.Sites.Count; i++)
        {
            SeatSite site = seat.Sites[i];
            (long, long) key = ((long)Math.Round(site.XMm / SamePlaceMm), (long)Math.Round(site.YMm / SamePlaceMm));
            if (!seen.TryAdd(key, i))
            {
                yield return Check(
                    $"sites[{seen[key]}] sits at the same place.",
                    $"x {Mm(site.XMm)}, y {Mm(site.YMm)}",
                    "a place of its own for each joint",
                    "Take one of them out, or correct its place.",
                    $"{at.Path}.sites[{i}].xMm",
                    $"{at.Path}.sites[{i}].yMm"
                );
            }
            if (site.BallDiameterMm is { } ball && at.Pitch.Mm is { } pitch && ball >= pitch)
            {
                yield return Check(
                    "The ball is as large as the pitch, so neighbours would touch.",
                    Mm(ball),
                    $"less than the pitch, {Mm(pitch)}",
                    "Check ball and pitch; both in mm.",
                    $"{at.Path}.sites[{i}].ballDiameterMm",
                    at.Pitch.Path
                );
            }
        }
    }

    private static IEnumerable<JobCheck> Parts(Seat seat, SeatPlace at)
    {
        if (seat.Parts.Count > 0 && seat.HasParts == YesNo.No)
        {
            yield return Check(
                "The underside is said to have no parts, but parts are listed.",
                $"{seat.Parts.Count} parts",
                "hasParts yes, or no parts",
                "Correct one of them.",
                $"{at.Path}.hasParts",
                $"={at.Path}.parts"
            );
        }
        // Each would be drawn with an error of its own.
        foreach (
            JobCheck check in JobChecks.NamesTwice(seat.Parts.Select(part => part.Name), "part", $"{at.Path}.parts")
        )
        {
            yield return check;
        }
        if (at.Ball.Mm is not { } ball || seat is not { PackagePadMm: { } upper, BoardPadMm: { } lower })
        {
            yield break;
        }
        // The tallest that ball and land's solder can ever be: the attached ball on half a sphere.
        double most = SolderCap.HeightMm(SolderCap.BallVolumeMm3(ball), upper / 2) + lower / 2;
        for (int i = 0; i < seat.Parts.Count; i++)
        {
            double height = seat.Parts[i].HeightMm;
            double stop = JointRequests.StopHeightMm(seat.Parts[i]);
            double allowed = Math.Floor(1000 * (most - (stop - height))) / 1000;
            if (stop - Math.Abs(seat.HotWarpageMm ?? 0) > most)
            {
                yield return Check(
                    $"Part {seat.Parts[i].Name} is taller than any joint can bridge: ball and half a sphere of solder on the land reach {Mm(Math.Round(most, 3))}.",
                    Mm(height),
                    $"at most {Mm(allowed)}, with its pads {Mm(Math.Round(stop - height, 3))} higher",
                    stop > 5 * most
                        ? "Did you give the height in another unit? It is in mm."
                        : "Measure it again over the package's mask; or larger balls, or a lower part.",
                    $"{at.Path}.parts[{i}].heightMm",
                    at.Ball.Path,
                    $"{at.Path}.packagePadMm",
                    $"{at.Path}.boardPadMm"
                );
            }
        }
    }

    private static JobCheck Check(string what, string value, string allowed, string todo, params string[] paths) =>
        new(new JobProblem(paths[0].TrimStart('='), 0, 0, what, value, allowed, Whose, todo), paths);

    private static string Mm(double value) => JobReaderNames.Number(value) + " mm";
}
