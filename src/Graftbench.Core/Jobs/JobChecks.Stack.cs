namespace Graftbench.Core.Jobs;

/// <content>Copper in the board, layers of the chip and its place on the host.</content>
internal static partial class JobChecks
{
    private static IEnumerable<JobCheck> Copper(Job job)
    {
        foreach ((string name, Board? board) in BoardsOf(job))
        {
            if (board is null)
            {
                continue;
            }
            if (board.CopperThicknessMm is { } copper && copper >= board.ThicknessMm)
            {
                yield return ThickerThanBoard(copper, board, $"{name}.copperThicknessMm", name);
            }
            for (int i = 0; i < board.CopperRegions.Count; i++)
            {
                foreach (JobCheck check in Region(board, name, board.CopperRegions[i], $"{name}.copperRegions[{i}]"))
                {
                    yield return check;
                }
            }
        }
    }

    private static IEnumerable<JobCheck> Region(Board board, string name, CopperRegion region, string path)
    {
        double right = region.XMm + region.LengthMm;
        double upper = region.YMm + region.WidthMm;
        if (Math.Max(Outside(region.XMm, region.YMm, board), Outside(right, upper, board)) > LengthToleranceMm)
        {
            yield return Failed(
                "The copper region reaches over the edge of the board.",
                $"x {JobReaderNames.Number(region.XMm)} to {Mm(right)}, y {JobReaderNames.Number(region.YMm)} to {Mm(upper)}",
                Extent(board),
                "Measure its left and lower edge from the board's lower left corner, in mm, or make it smaller.",
                $"{path}.xMm",
                $"{path}.yMm",
                $"{path}.lengthMm",
                $"{path}.widthMm",
                $"{name}.lengthMm",
                $"{name}.widthMm"
            );
        }
        if (region.CopperThicknessMm is not { } copper)
        {
            yield break;
        }
        if (copper >= board.ThicknessMm)
        {
            yield return ThickerThanBoard(copper, board, $"{path}.copperThicknessMm", name);
        }
        else if (
            board.CopperThicknessMm is { } rest
            && (region.Amount == CopperAmount.Rich ? copper < rest : copper > rest)
        )
        {
            bool rich = region.Amount == CopperAmount.Rich;
            yield return Failed(
                rich
                    ? "A rich region holds less copper than the rest."
                    : "A poor region holds more copper than the rest.",
                Mm(copper),
                $"{(rich ? "at least" : "at most")} {Mm(rest)} ({name}.copperThicknessMm)",
                "Correct the amount, or one of the thicknesses.",
                $"{path}.copperThicknessMm",
                $"{path}.amount",
                $"{name}.copperThicknessMm"
            );
        }
    }

    private static JobCheck ThickerThanBoard(double copperMm, Board board, string path, string name) =>
        Failed(
            "The copper is as thick as the whole board.",
            Mm(copperMm),
            $"less than {Mm(board.ThicknessMm)} ({name}.thicknessMm)",
            copperMm >= 1
                ? $"Did you mean {JobReaderNames.Number(copperMm / 10)} (mm)? A layer has about 0.018 or 0.035 mm."
                : "Add up the layers in mm: one has about 0.018 or 0.035 mm.",
            path,
            $"{name}.thicknessMm"
        );

    private static IEnumerable<JobCheck> Stack(Job job)
    {
        for (int i = 0; i < job.Chips.Count; i++)
        {
            string path = $"chips[{i}]";
            foreach (JobCheck check in Layers(job, job.Chips[i], path).Concat(HostPlace(job, job.Chips[i], path)))
            {
                yield return check;
            }
        }
    }

    private static IEnumerable<JobCheck> Layers(Job job, Chip chip, string path)
    {
        (double? Die, double BodyMm, string Field, string BodyField)[] sides =
        [
            (chip.DieLengthMm, chip.BodyLengthMm, "dieLengthMm", "bodyLengthMm"),
            (chip.DieWidthMm, chip.BodyWidthMm, "dieWidthMm", "bodyWidthMm"),
        ];
        foreach ((double? side, double bodyMm, string field, string bodyField) in sides)
        {
            if (side is { } die && die > bodyMm)
            {
                yield return Failed(
                    "The die is larger than the body.",
                    Mm(die),
                    $"at most {Mm(bodyMm)} ({bodyField})",
                    "Check both sizes and their units (mm).",
                    $"{path}.{field}",
                    $"{path}.{bodyField}"
                );
            }
        }
        // A bare die is the top of the body, so the two may add up to it exactly.
        double substrate = chip.SubstrateThicknessMm ?? 0;
        if (
            chip.DieThicknessMm is { } thickness
            && substrate < chip.BodyThicknessMm
            && substrate + thickness > chip.BodyThicknessMm + 1e-9
        )
        {
            yield return Failed(
                chip.SubstrateThicknessMm is null
                    ? "The die is thicker than the body."
                    : "Substrate and die together are thicker than the body.",
                chip.SubstrateThicknessMm is null
                    ? Mm(thickness)
                    : $"{JobReaderNames.Number(substrate)} + {JobReaderNames.Number(thickness)} = {Mm(substrate + thickness)}",
                $"at most {Mm(chip.BodyThicknessMm)}",
                "Check the thicknesses: body without balls, substrate and die inside it.",
                $"{path}.dieThicknessMm",
                $"{path}.substrateThicknessMm",
                $"{path}.bodyThicknessMm"
            );
        }
        // A chip that goes to the host gets the balls of the materials, where they are named.
        double? newBall = chip.To == ChipPlace.Host ? job.Materials.BallDiameterMm : null;
        double? largest = newBall is null ? chip.BallDiameterMm : Math.Max(newBall.Value, chip.BallDiameterMm ?? 0);
        if (chip.StandoffMm is { } standoff && largest is { } ball && standoff > ball)
        {
            yield return Failed(
                "The joints are higher than the balls that they are made of.",
                Mm(standoff),
                $"at most the ball, {Mm(ball)}",
                "Give the height once soldered: a ball collapses.",
                $"{path}.standoffMm",
                $"{path}.ballDiameterMm",
                $"{path}.to",
                "materials.ballDiameterMm"
            );
        }
    }

    private static IEnumerable<JobCheck> HostPlace(Job job, Chip chip, string path)
    {
        string[] fields = [$"{path}.hostXMm", $"{path}.hostYMm", $"{path}.hostRotationDeg"];
        if (chip.To != ChipPlace.Host)
        {
            double?[] given = [chip.HostXMm, chip.HostYMm, chip.HostRotationDeg];
            int first = Array.FindIndex(given, value => value is not null);
            if (first >= 0)
            {
                yield return Failed(
                    "The chip has a place on the host, but it does not go there.",
                    JobReaderNames.Number(given[first]!.Value),
                    "hostXMm, hostYMm and hostRotationDeg beside to = host",
                    "Set to to host, or take the place out; where a chip sits before the job stands in xMm and yMm.",
                    [fields[first], $"{path}.to"]
                );
            }
            yield break;
        }
        if (chip.HostXMm is null != chip.HostYMm is null)
        {
            yield return OneOfTwo(
                "A place needs both hostXMm and hostYMm.",
                path,
                chip.HostXMm is null ? "hostYMm" : "hostXMm",
                chip.HostXMm is null ? "hostXMm" : "hostYMm"
            );
        }
        if (chip is not { HostXMm: { } x, HostYMm: { } y })
        {
            yield break;
        }
        string[] looked = [fields[0], fields[1], $"{path}.to", "host.lengthMm", "host.widthMm"];
        if (Outside(x, y, job.Host) > 0)
        {
            yield return Failed(
                "The chip is to go to a place outside the host board.",
                $"x {Mm(x)}, y {Mm(y)}",
                Extent(job.Host),
                "Measure from the host's lower left corner, in mm.",
                looked
            );
        }
        else if (BodyOver(chip, x, y, ChipSites.TurnOnHost(job, chip), job.Host) is > LengthToleranceMm and var over)
        {
            yield return Failed(
                "The chip is to go to a place where its body reaches over the edge of the host board.",
                $"{Mm(Math.Round(over, 1))} over",
                Extent(job.Host),
                "Measure the centre of the body from the host's lower left corner, in mm.",
                [.. looked, fields[2], $"{path}.rotationDeg", $"{path}.bodyLengthMm", $"{path}.bodyWidthMm"]
            );
        }
    }

    // How far the outermost corner of a chip's body lies outside the board [mm].
    private static double BodyOver(Chip chip, double xMm, double yMm, double turnDeg, Board board)
    {
        double cos = Math.Abs(Math.Cos(turnDeg * Math.PI / 180));
        double sin = Math.Abs(Math.Sin(turnDeg * Math.PI / 180));
        double halfX = ((chip.BodyLengthMm * cos) + (chip.BodyWidthMm * sin)) / 2;
        double halfY = ((chip.BodyLengthMm * sin) + (chip.BodyWidthMm * cos)) / 2;
        return Math.Max(Outside(xMm - halfX, yMm - halfY, board), Outside(xMm + halfX, yMm + halfY, board));
    }
}
