using System.Globalization;
using Graftbench.Core.Findings;
using Graftbench.Core.Jobs;
using Graftbench.Core.Physics.Heat;

namespace Graftbench.Core.Heating;

/// <summary>Places whose temperatures a plan follows.</summary>
internal static class HeatPlaceList
{
    /// <summary>Most joints along one side that are followed.</summary>
    public const int MostJoints = 7;

    private const double BesideMm = 5;
    private const double DiagonalMm = 8;

    public static List<HeatPlace> Of(
        Chip chip,
        ChipBlocks blocks,
        RectMm board,
        double boardThicknessMm,
        double rotationDeg,
        IReadOnlyList<Neighbour> neighbours,
        ModelNotes notes
    )
    {
        RectMm body = blocks.Outline;
        double x = (body.X0Mm + body.X1Mm) / 2;
        double y = (body.Y0Mm + body.Y1Mm) / 2;
        List<HeatPlace> places =
        [
            .. Joints(chip, blocks, x, y, rotationDeg, notes),
            new("body top", HeatPlaceKind.BodyTop, chip.Id, x, y, blocks.BodyTopZMm),
            new("underside", HeatPlaceKind.Underside, null, x, y, -boardThicknessMm),
        ];
        places.AddRange(Beside(body, board, x, y).Where(place => Free(place, board, neighbours)));
        places.AddRange(neighbours.SelectMany(one => Of(one, board, boardThicknessMm, x, y)));
        return places;
    }

    private static IEnumerable<HeatPlace> Beside(RectMm body, RectMm board, double x, double y)
    {
        yield return new("left of the chip", HeatPlaceKind.BoardTop, null, body.X0Mm - BesideMm, y, 0);
        yield return new("right of the chip", HeatPlaceKind.BoardTop, null, body.X1Mm + BesideMm, y, 0);
        yield return new("below the chip", HeatPlaceKind.BoardTop, null, x, body.Y0Mm - BesideMm, 0);
        yield return new("above the chip", HeatPlaceKind.BoardTop, null, x, body.Y1Mm + BesideMm, 0);
        double off = DiagonalMm / Math.Sqrt(2);
        yield return new("off the lower left corner", HeatPlaceKind.Probe, null, body.X0Mm - off, body.Y0Mm - off, 0);
        yield return new("off the lower right corner", HeatPlaceKind.Probe, null, body.X1Mm + off, body.Y0Mm - off, 0);
        yield return new("off the upper left corner", HeatPlaceKind.Probe, null, body.X0Mm - off, body.Y1Mm + off, 0);
        yield return new("off the upper right corner", HeatPlaceKind.Probe, null, body.X1Mm + off, body.Y1Mm + off, 0);
        // The corner farthest from the chip: the coldest of the board.
        double cornerX = x - board.X0Mm > board.X1Mm - x ? board.X0Mm : board.X1Mm;
        double cornerY = y - board.Y0Mm > board.Y1Mm - y ? board.Y0Mm : board.Y1Mm;
        yield return new("board corner", HeatPlaceKind.Probe, null, cornerX, cornerY, 0);
    }

    private static bool Free(HeatPlace place, RectMm board, IReadOnlyList<Neighbour> neighbours) =>
        board.Contains(place.XMm, place.YMm)
        && !neighbours.Any(one => one is { OnTop: true, Box: HeatBox box } && Covers(box, place.XMm, place.YMm));

    private static bool Covers(HeatBox box, double xMm, double yMm) =>
        xMm >= box.X0Mm && xMm <= box.X1Mm && yMm >= box.Y0Mm && yMm <= box.Y1Mm;

    private static IEnumerable<HeatPlace> Of(
        Neighbour one,
        RectMm board,
        double thicknessMm,
        double chipX,
        double chipY
    )
    {
        double face = one.OnTop ? 0 : -thicknessMm;
        double x = Math.Clamp((one.Outline.X0Mm + one.Outline.X1Mm) / 2, board.X0Mm, board.X1Mm);
        double y = Math.Clamp((one.Outline.Y0Mm + one.Outline.Y1Mm) / 2, board.Y0Mm, board.Y1Mm);
        HeatPlace body = one.Box is HeatBox box
            ? new(
                one.Place,
                HeatPlaceKind.NeighbourBody,
                one.Part.Ref,
                Math.Clamp(x, box.X0Mm, box.X1Mm),
                Math.Clamp(y, box.Y0Mm, box.Y1Mm),
                one.OnTop ? box.Z1Mm : box.Z0Mm
            )
            : new(one.Place, HeatPlaceKind.NeighbourBody, one.Part.Ref, x, y, face);
        double nearX = Math.Clamp(Math.Clamp(chipX, one.Outline.X0Mm, one.Outline.X1Mm), board.X0Mm, board.X1Mm);
        double nearY = Math.Clamp(Math.Clamp(chipY, one.Outline.Y0Mm, one.Outline.Y1Mm), board.Y0Mm, board.Y1Mm);
        yield return body;
        yield return new HeatPlace(one.JointPlace, HeatPlaceKind.NeighbourJoint, one.Part.Ref, nearX, nearY, face);
    }

    private static IEnumerable<HeatPlace> Joints(
        Chip chip,
        ChipBlocks blocks,
        double x,
        double y,
        double rotationDeg,
        ModelNotes notes
    )
    {
        (int rows, int columns, double stepX, double stepY) = Field(chip, notes);
        int turns = ChipBlocks.QuarterTurns(rotationDeg);
        foreach (int row in Chosen(rows))
        {
            foreach (int column in Chosen(columns))
            {
                // Own axes: A1 is upper left, rows count downwards.
                double u = (column - (columns - 1) / 2.0) * stepX;
                double v = ((rows - 1) / 2.0 - row) * stepY;
                (double dx, double dy) = turns switch
                {
                    1 => (-v, u),
                    2 => (-u, -v),
                    3 => (v, -u),
                    _ => (u, v),
                };
                yield return new HeatPlace(
                    string.Create(CultureInfo.InvariantCulture, $"joint {row + 1},{column + 1}"),
                    HeatPlaceKind.Joint,
                    chip.Id,
                    x + dx,
                    y + dy,
                    blocks.JointZMm
                );
            }
        }
    }

    private static (int Rows, int Columns, double StepX, double StepY) Field(Chip chip, ModelNotes notes)
    {
        if (chip is { Rows: int rows, Columns: int columns, PitchMm: double pitchMm })
        {
            double wideMm = (columns - 1) * pitchMm;
            double highMm = (rows - 1) * pitchMm;
            if (wideMm < chip.BodyLengthMm && highMm < chip.BodyWidthMm)
            {
                bool full = chip.BallCount is not int count || count >= rows * columns;
                notes.Add(
                    "joint.field",
                    $"{rows} x {columns} joints at {ModelNotes.Millimetres(pitchMm)}"
                        + (
                            full
                                ? "."
                                : "; which sites are empty is not known, so a joint may be named that has no ball."
                        ),
                    null,
                    0,
                    true,
                    "job-file"
                );
                return (rows, columns, pitchMm, pitchMm);
            }
            notes.Find(
                Verdict.FixFirst,
                "heat.ball-field-beyond-body",
                $"chip {chip.Id}",
                $"The ball field of {ModelNotes.Millimetres(wideMm)} x {ModelNotes.Millimetres(highMm)} reaches beyond the body.",
                $"{ModelNotes.Millimetres(wideMm)} x {ModelNotes.Millimetres(highMm)}",
                $"{ModelNotes.Millimetres(chip.BodyLengthMm)} x {ModelNotes.Millimetres(chip.BodyWidthMm)}",
                "job-file",
                "Check rows, columns, pitch and body size; rows run along the body's own x."
            );
        }
        const double InsetMm = 1.5;
        double fieldX = Math.Max(0.6 * chip.BodyLengthMm, chip.BodyLengthMm - 2 * InsetMm);
        double fieldY = Math.Max(0.6 * chip.BodyWidthMm, chip.BodyWidthMm - 2 * InsetMm);
        notes.Add(
            "joint.field",
            $"Rows, columns or pitch are missing: {MostJoints} x {MostJoints} places up to {ModelNotes.Millimetres(InsetMm)} from the edge stand for the joints, assumed.",
            null,
            0,
            false,
            "graftbench-estimate"
        );
        return (MostJoints, MostJoints, fieldX / (MostJoints - 1), fieldY / (MostJoints - 1));
    }

    // All of a few, else seven spread evenly: both ends and the middle among them.
    private static IEnumerable<int> Chosen(int count)
    {
        int picked = Math.Min(Math.Max(count, 1), MostJoints);
        for (int i = 0; i < picked; i++)
        {
            yield return picked == 1
                ? 0
                : (int)Math.Round((double)i * (count - 1) / (picked - 1), MidpointRounding.AwayFromZero);
        }
    }
}
