using System.Globalization;

namespace Graftbench.Core.Jobs;

/// <content>Sizes that must fit into each other.</content>
internal static partial class JobChecks
{
    private static IEnumerable<JobCheck> Boards(Job job)
    {
        foreach ((string name, Board? board) in BoardsOf(job))
        {
            if (board is null)
            {
                continue;
            }
            string[] size = [$"{name}.lengthMm", $"{name}.widthMm"];
            if (board.ThicknessMm >= Math.Min(board.LengthMm, board.WidthMm))
            {
                yield return Failed(
                    "The board is as thick as it is wide.",
                    Mm(board.ThicknessMm),
                    $"less than {Mm(Math.Min(board.LengthMm, board.WidthMm))}",
                    "Check the units of thickness, length and width: all are mm.",
                    [$"{name}.thicknessMm", .. size]
                );
            }
            if (board.Outline.Count is 1 or 2)
            {
                yield return Failed(
                    "An outline needs three corners.",
                    $"{board.Outline.Count} corners",
                    "none, or at least 3",
                    "Add the missing corners, or leave the outline out for a rectangle.",
                    $"{name}.outline"
                );
            }
            for (int i = 0; i < board.Outline.Count; i++)
            {
                PointMm corner = board.Outline[i];
                if (Outside(corner.XMm, corner.YMm, board) > LengthToleranceMm)
                {
                    yield return Failed(
                        "A corner of the outline lies outside the board's length and width.",
                        $"x {Mm(corner.XMm)}, y {Mm(corner.YMm)}",
                        Extent(board),
                        "Correct the corner, or the board's length and width.",
                        [$"{name}.outline[{i}]", .. size]
                    );
                }
            }
            for (int i = 0; i < board.Parts.Count; i++)
            {
                foreach (JobCheck check in PartOn(board, name, board.Parts[i], $"{name}.parts[{i}]"))
                {
                    yield return check;
                }
            }
        }
    }

    private static IEnumerable<JobCheck> PartOn(Board board, string name, Part part, string path)
    {
        string[] size = [$"{name}.lengthMm", $"{name}.widthMm"];
        double longest = Math.Max(part.LengthMm ?? 0, part.WidthMm ?? 0);
        // A connector at the edge may hang over by half its length, not more.
        if (part is { XMm: { } x, YMm: { } y } && Outside(x, y, board) > longest / 2)
        {
            yield return Failed(
                $"The centre of {JobReaderNames.Show(part.Ref)} lies outside the board.",
                $"x {Mm(x)}, y {Mm(y)}",
                Extent(board),
                "Measure from the board's lower left corner, in mm.",
                [$"{path}.xMm", $"{path}.yMm", $"{path}.lengthMm", $"{path}.widthMm", .. size]
            );
        }
        if (part.XMm is null != part.YMm is null)
        {
            string missing = part.XMm is null ? "xMm" : "yMm";
            yield return Failed(
                "A place needs both xMm and yMm.",
                null,
                "both or none",
                $"Add {missing}.",
                [$"{path}.{(part.XMm is null ? "yMm" : "xMm")}", $"{path}.{missing}"]
            );
        }
        if (part is { BodyThicknessMm: { } thick, HeightMm: { } height } && thick > height)
        {
            yield return Failed(
                "The body is thicker than the part is high.",
                Mm(thick),
                $"at most {Mm(height)}",
                "Check both values and their units (mm).",
                $"{path}.bodyThicknessMm",
                $"{path}.heightMm"
            );
        }
        if (
            part.Kind is not (PartKind.BallGridPackage or PartKind.MouldedPackage)
            || part is not { LengthMm: { } length, WidthMm: { } width }
        )
        {
            yield break;
        }
        if (IsLarger(length, width, board))
        {
            yield return Failed(
                $"The body of {JobReaderNames.Show(part.Ref)} is larger than the board.",
                $"{JobReaderNames.Number(length)} × {Mm(width)}",
                Extent(board),
                "Check the sizes and their units (mm).",
                [$"{path}.lengthMm", $"{path}.widthMm", .. size]
            );
        }
        if (part.BodyThicknessMm is { } bodyThickness && bodyThickness > Math.Min(length, width))
        {
            yield return ThickerThanWide(
                bodyThickness,
                Math.Min(length, width),
                $"{path}.bodyThicknessMm",
                $"{path}.lengthMm",
                $"{path}.widthMm"
            );
        }
    }

    private static JobCheck ThickerThanWide(double thicknessMm, double shorterMm, params string[] paths) =>
        Failed(
            "The body is thicker than its shorter side.",
            Mm(thicknessMm),
            $"at most {Mm(shorterMm)}",
            thicknessMm / 10 <= shorterMm
                ? $"Did you mean {JobReaderNames.Number(thicknessMm / 10)} (mm), if the decimal point slipped?"
                : "Check the units: all sizes are mm.",
            paths
        );

    private static IEnumerable<JobCheck> Chip(Job job, Chip chip, string path)
    {
        if (job.Donor is null && (chip.From == ChipPlace.Donor || chip.To == ChipPlace.Donor))
        {
            string end = chip.From == ChipPlace.Donor ? "from" : "to";
            yield return Failed(
                "The job has no donor board.",
                "donor",
                null,
                "Describe the donor board under donor, or correct the chip's place.",
                $"{path}.{end}",
                "=donor"
            );
        }
        if (chip.From == ChipPlace.Scrap)
        {
            yield return Failed(
                "A chip cannot come from scrap.",
                "scrap",
                "host, donor, shelf",
                "Write where the chip sits before the job.",
                $"{path}.from"
            );
        }
        string length = $"{path}.bodyLengthMm";
        string width = $"{path}.bodyWidthMm";
        string thickness = $"{path}.bodyThicknessMm";
        double shorter = Math.Min(chip.BodyLengthMm, chip.BodyWidthMm);
        if (chip.BodyThicknessMm > shorter)
        {
            yield return ThickerThanWide(chip.BodyThicknessMm, shorter, thickness, length, width);
        }
        if (chip.SubstrateThicknessMm is { } substrate && substrate >= chip.BodyThicknessMm)
        {
            yield return Failed(
                "The substrate is part of the body and must be thinner than it.",
                Mm(substrate),
                $"less than {Mm(chip.BodyThicknessMm)}",
                "Check both thicknesses.",
                $"{path}.substrateThicknessMm",
                thickness
            );
        }
        if (chip is { BallDiameterMm: { } ball, PitchMm: { } pitch } && ball >= pitch)
        {
            yield return BallAgainstPitch(ball, pitch, $"{path}.ballDiameterMm", $"{path}.pitchMm");
        }
        if (chip is { BallCount: { } balls, Rows: { } rows, Columns: { } columns } && balls > rows * columns)
        {
            yield return Failed(
                "There are more balls than sites.",
                balls.ToString(CultureInfo.InvariantCulture),
                $"at most {rows} rows × {columns} columns = {rows * columns}",
                "Check the count, the rows and the columns.",
                $"{path}.ballCount",
                $"{path}.rows",
                $"{path}.columns"
            );
        }
        foreach ((int? number, string field, double bodyMm, string bodyPath) in Fields(chip, path, length, width))
        {
            if (number is { } count && chip.PitchMm is { } step && (count - 1) * step > bodyMm)
            {
                yield return Failed(
                    "The ball field is larger than the body.",
                    $"{count} {field} at {Mm(step)} take {Mm((count - 1) * step)}",
                    $"at most {Mm(bodyMm)}",
                    "Check the pitch, the count and the body.",
                    $"{path}.{field}",
                    $"{path}.pitchMm",
                    bodyPath
                );
            }
        }
        (string boardName, Board? board) =
            chip.From == ChipPlace.Donor ? ("donor", job.Donor) : ("host", (Board?)job.Host);
        if (board is null)
        {
            yield break;
        }
        string[] size = [$"{boardName}.lengthMm", $"{boardName}.widthMm"];
        if (chip is { XMm: { } x, YMm: { } y } && Outside(x, y, board) > 0)
        {
            yield return Failed(
                $"The centre of the chip lies outside the {boardName} board.",
                $"x {Mm(x)}, y {Mm(y)}",
                Extent(board),
                "Measure from the board's lower left corner, in mm.",
                [$"{path}.xMm", $"{path}.yMm", $"{path}.from", .. size]
            );
        }
        if (IsLarger(chip.BodyLengthMm, chip.BodyWidthMm, board))
        {
            yield return Failed(
                $"The body is larger than the {boardName} board.",
                $"{JobReaderNames.Number(chip.BodyLengthMm)} × {Mm(chip.BodyWidthMm)}",
                Extent(board),
                "Check the sizes and their units (mm).",
                [length, width, $"{path}.from", .. size]
            );
        }
    }

    private static IEnumerable<(int? Number, string Field, double BodyMm, string BodyPath)> Fields(
        Chip chip,
        string path,
        string length,
        string width
    )
    {
        _ = path;
        return [(chip.Columns, "columns", chip.BodyLengthMm, length), (chip.Rows, "rows", chip.BodyWidthMm, width)];
    }

    private static JobCheck BallAgainstPitch(double ballMm, double pitchMm, params string[] paths) =>
        Failed(
            "The balls are as large as their pitch, so neighbours would touch.",
            Mm(ballMm),
            $"less than the pitch, {Mm(pitchMm)}",
            "Check the ball diameter and the pitch.",
            paths
        );

    // How far a point lies outside the board [mm]; 0 inside.
    private static double Outside(double xMm, double yMm, Board board) =>
        Math.Max(Math.Max(-xMm, xMm - board.LengthMm), Math.Max(Math.Max(-yMm, yMm - board.WidthMm), 0));

    private static bool IsLarger(double lengthMm, double widthMm, Board board) =>
        Math.Max(lengthMm, widthMm) > Math.Max(board.LengthMm, board.WidthMm)
        || Math.Min(lengthMm, widthMm) > Math.Min(board.LengthMm, board.WidthMm);

    private static string Extent(Board board) => $"x 0 to {Mm(board.LengthMm)}, y 0 to {Mm(board.WidthMm)}";
}
