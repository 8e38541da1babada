namespace Graftbench.Core.Jobs;

/// <summary>On which board a chip's position is meant.</summary>
/// <remarks>
/// A chip has one position: on the board that it sits on before the job, or, when it comes from no board of this job, on the
/// board that it goes to.
/// </remarks>
public static class ChipSites
{
    /// <summary>The board that a chip's position belongs to; null where it touches none.</summary>
    /// <param name="job">The job.</param>
    /// <param name="chip">The chip.</param>
    /// <returns><see cref="ChipPlace.Host"/>, <see cref="ChipPlace.Donor"/> or null.</returns>
    public static ChipPlace? Of(Job job, Chip chip) =>
        IsBoard(job, chip.From) ? chip.From
        : IsBoard(job, chip.To) ? chip.To
        : null;

    /// <summary>Chips whose position belongs to a board, in the job's order.</summary>
    /// <param name="job">The job.</param>
    /// <param name="board">Host or donor.</param>
    public static IReadOnlyList<Chip> On(Job job, ChipPlace board) =>
        [.. job.Chips.Where(chip => Of(job, chip) == board)];

    /// <summary>Chips to draw on a board: one that only arrives stays out while the chip that it follows still marks the place.</summary>
    /// <param name="job">The job.</param>
    /// <param name="board">Host or donor.</param>
    public static IReadOnlyList<Chip> Drawn(Job job, ChipPlace board)
    {
        IReadOnlyList<Chip> all = On(job, board);
        bool marked = all.Any(chip => chip.From == board && chip.XMm is not null);
        return [.. all.Where(chip => chip.XMm is not null || chip.From == board || !marked)];
    }

    private static bool IsBoard(Job job, ChipPlace place) =>
        place == ChipPlace.Host || (place == ChipPlace.Donor && job.Donor is not null);
}
