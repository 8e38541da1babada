using Graftbench.Core.Fit.Maps;
using Graftbench.Core.Jobs;
using static System.FormattableString;

namespace Graftbench.Core.Inspection;

/// <summary>The ball field of a job's chip, or what is missing for it.</summary>
/// <param name="Field">The field; null where the job does not say enough.</param>
/// <param name="Missing">What is missing or contradicts itself; null where nothing is.</param>
public sealed record ChipField(BallField? Field, string? Missing);

/// <summary>Makes the ball field that pictures of a chip are held against.</summary>
public static class ChipFields
{
    /// <summary>The field of a chip: what its ball list says where there is one, else rows, columns and an empty middle.</summary>
    /// <param name="chip">The chip.</param>
    /// <param name="map">Its ball list; null without one.</param>
    public static ChipField Of(Chip chip, BallMap? map = null)
    {
        ArgumentNullException.ThrowIfNull(chip);
        if (map is not null)
        {
            return Listed(chip, map);
        }
        if (chip is not { Rows: { } rows, Columns: { } columns, PitchMm: { } pitch })
        {
            return new ChipField(null, $"Enter rows, columns and pitch of chip {chip.Id} in the job.");
        }
        int emptyRows = chip.Seat?.EmptyRows ?? 0;
        int emptyColumns = chip.Seat?.EmptyColumns ?? 0;
        double? ball = chip.BallDiameterMm is { } diameter && diameter < pitch ? diameter : null;
        bool all = emptyRows == 0 || emptyColumns == 0;
        if (!all && (emptyRows > rows || emptyColumns > columns || emptyRows * emptyColumns >= rows * columns))
        {
            return new ChipField(
                null,
                $"The empty middle of chip {chip.Id} leaves no ball: correct its rows and columns."
            );
        }
        BallField field = all
            ? new BallField(rows, columns, pitch, ballDiameterMm: ball)
            : BallField.WithEmptyMiddle(rows, columns, emptyRows, emptyColumns, pitch, ball);
        return chip.BallCount is { } count && count != field.Count
            ? new ChipField(
                null,
                Invariant(
                    $"Chip {chip.Id} has {count} balls by the job, but rows, columns and empty middle make {field.Count}: enter the empty rows and columns in the middle."
                )
            )
            : new ChipField(field, null);
    }

    private static ChipField Listed(Chip chip, BallMap map)
    {
        if (chip.PitchMm is not { } pitch)
        {
            return new ChipField(null, $"Enter the pitch of chip {chip.Id} in the job.");
        }
        bool other = (chip.Rows ?? map.Rows) != map.Rows || (chip.Columns ?? map.Columns) != map.Columns;
        return other
            ? new ChipField(
                null,
                Invariant(
                    $"The ball list of chip {chip.Id} has {map.Rows} rows and {map.Columns} columns, the job says {chip.Rows} and {chip.Columns}: correct one of them."
                )
            )
            : new ChipField(
                map.Field(pitch, chip.BallDiameterMm is { } diameter && diameter < pitch ? diameter : null),
                null
            );
    }
}
