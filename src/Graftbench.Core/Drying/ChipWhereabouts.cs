using Graftbench.Core.Jobs;

namespace Graftbench.Core.Drying;

/// <summary>Where a chip is by the heats on record.</summary>
internal static class ChipWhereabouts
{
    /// <summary>When the chip was lifted; null where no lift is on record.</summary>
    public static DateTimeOffset? LiftedAt(Job job, Chip chip) => Last(job, chip, HeatKind.Lift);

    /// <summary>When the chip was placed on the host; null where it is not on it by the record.</summary>
    public static DateTimeOffset? PlacedAt(Job job, Chip chip)
    {
        DateTimeOffset? placed = chip.To == ChipPlace.Host ? Last(job, chip, HeatKind.Place) : null;
        return placed is not null && LiftedAt(job, chip) > placed ? null : placed;
    }

    /// <summary>The board that the chip sits on now; null for a loose chip.</summary>
    public static ChipPlace? Of(Job job, Chip chip) =>
        PlacedAt(job, chip) is not null ? ChipPlace.Host
        : LiftedAt(job, chip) is not null ? null
        : ChipSites.Of(job, chip) is { } board && board == chip.From ? board
        : null;

    private static DateTimeOffset? Last(Job job, Chip chip, HeatKind kind) =>
        job
            .History.Heats.Where(heat => heat.Kind == kind && string.Equals(heat.Of, chip.Id, StringComparison.Ordinal))
            .Select(heat => (DateTimeOffset?)heat.At)
            .Max();
}
