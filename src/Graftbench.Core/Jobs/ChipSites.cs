namespace Graftbench.Core.Jobs;

/// <summary>Where a chip sits on a board: before the job, or once it has been moved.</summary>
/// <param name="XMm">Centre from the board's left edge [mm].</param>
/// <param name="YMm">Centre from the board's lower edge [mm].</param>
/// <param name="RotationDeg">Turn of the body, counter-clockwise [°].</param>
public sealed record ChipSite(double XMm, double YMm, double RotationDeg);

/// <summary>On which board a chip's position is meant, and where a chip sits on a board.</summary>
/// <remarks>
/// <c>xMm</c>, <c>yMm</c> and <c>rotationDeg</c> of a chip are on the board that it sits on before the job, or, when it comes
/// from no board of this job, on the board that it goes to. Its place on the host is <c>hostXMm</c>, <c>hostYMm</c> and
/// <c>hostRotationDeg</c>; where they are left out it is the place of the chip that it replaces.
/// </remarks>
public static class ChipSites
{
    private const double SameBodyMm = 0.5;

    /// <summary>The board that a chip's position belongs to; null where it touches none.</summary>
    /// <param name="job">The job.</param>
    /// <param name="chip">The chip.</param>
    /// <returns><see cref="ChipPlace.Host"/>, <see cref="ChipPlace.Donor"/> or null.</returns>
    public static ChipPlace? Of(Job job, Chip chip) =>
        IsBoard(job, chip.From) ? chip.From
        : IsBoard(job, chip.To) ? chip.To
        : null;

    /// <summary>Where a chip sits on a board, before it leaves or once it has come.</summary>
    /// <param name="job">The job.</param>
    /// <param name="chip">A chip of the job.</param>
    /// <param name="board">Host or donor.</param>
    /// <returns>
    /// The place; null where it is not known, or where the chip never is on that board. On the host the place that is
    /// given for it wins, then the chip's own place there, then that of the chip it replaces.
    /// </returns>
    public static ChipSite? At(Job job, Chip chip, ChipPlace board)
    {
        ArgumentNullException.ThrowIfNull(job);
        ArgumentNullException.ThrowIfNull(chip);
        if (!IsBoard(job, board))
        {
            return null;
        }
        bool arrives = chip.To == board;
        if (!arrives)
        {
            return chip.From == board ? OwnPlace(chip) : null;
        }
        ChipSite? without = WithoutHostPlace(job, chip, board);
        if (board != ChipPlace.Host)
        {
            return without;
        }
        double turn = TurnOnHost(job, chip);
        return chip is { HostXMm: { } x, HostYMm: { } y } ? new ChipSite(x, y, turn)
            : without is null ? null
            : without with { RotationDeg = turn };
    }

    /// <summary>The chip that leaves a board so that another can take its place; null where there is none or it is not clear which.</summary>
    /// <param name="job">The job.</param>
    /// <param name="chip">A chip that comes to the board.</param>
    /// <param name="board">Host or donor.</param>
    public static Chip? ReplacedBy(Job job, Chip chip, ChipPlace board)
    {
        ArgumentNullException.ThrowIfNull(job);
        ArgumentNullException.ThrowIfNull(chip);
        if (chip.To != board || chip.From == board)
        {
            return null;
        }
        Chip[] leaving = [.. job.Chips.Where(other => other.From == board && other.To != board)];
        Chip[] coming = [.. job.Chips.Where(other => other.To == board && other.From != board)];
        if (leaving.Length == 1 && coming.Length == 1)
        {
            return leaving[0];
        }
        // Several on the move: only one of the same size on either side leaves no doubt.
        Chip[] sameLeaving = [.. leaving.Where(other => IsSameBody(other, chip))];
        return sameLeaving.Length == 1 && coming.Count(other => IsSameBody(other, chip)) == 1 ? sameLeaving[0] : null;
    }

    /// <summary>Chips whose position belongs to a board, in the job's order.</summary>
    /// <param name="job">The job.</param>
    /// <param name="board">Host or donor.</param>
    public static IReadOnlyList<Chip> On(Job job, ChipPlace board) =>
        [.. job.Chips.Where(chip => Of(job, chip) == board)];

    /// <summary>
    /// Chips to draw on a board, each with its place on that board: one that only arrives stays out while the chip that it
    /// follows still marks the place, until a heat on record has lifted that one or placed this one.
    /// </summary>
    /// <param name="job">The job.</param>
    /// <param name="board">Host or donor.</param>
    public static IReadOnlyList<Chip> Drawn(Job job, ChipPlace board)
    {
        ArgumentNullException.ThrowIfNull(job);
        List<Chip> drawn = [.. job.Chips.Where(chip => chip.From == board && IsBoard(job, board))];
        bool marked = drawn.Any(chip => chip.XMm is not null);
        foreach (Chip chip in job.Chips.Where(chip => chip.To == board && chip.From != board))
        {
            if (At(job, chip, board) is { } site)
            {
                List<Chip> under = [.. drawn.Where(other => Covers(other, site))];
                // By the heats on record the old chip is gone, or the new one is there: then that one is drawn.
                if (Had(job, chip, HeatKind.Place) || under.TrueForAll(other => Had(job, other, HeatKind.Lift)))
                {
                    under.ForEach(other => drawn.Remove(other));
                    drawn.Add(chip with { XMm = site.XMm, YMm = site.YMm, RotationDeg = site.RotationDeg });
                }
            }
            else if (!marked && Of(job, chip) == board)
            {
                drawn.Add(chip);
            }
        }
        return drawn;
    }

    /// <summary>Turn of a chip once it is on the host [°]: given, its own there, that of the chip it replaces, or 0.</summary>
    internal static double TurnOnHost(Job job, Chip chip) =>
        chip.HostRotationDeg
        ?? (
            Of(job, chip) == ChipPlace.Host ? chip.RotationDeg : ReplacedBy(job, chip, ChipPlace.Host)?.RotationDeg ?? 0
        );

    private static ChipSite? WithoutHostPlace(Job job, Chip chip, ChipPlace board)
    {
        if (Of(job, chip) == board && OwnPlace(chip) is { } own)
        {
            return own;
        }
        return ReplacedBy(job, chip, board) is { } old ? OwnPlace(old) : null;
    }

    private static bool Had(Job job, Chip chip, HeatKind kind) =>
        job.History.Heats.Any(heat => heat.Kind == kind && string.Equals(heat.Of, chip.Id, StringComparison.Ordinal));

    private static ChipSite? OwnPlace(Chip chip) =>
        chip is { XMm: { } x, YMm: { } y } ? new ChipSite(x, y, chip.RotationDeg) : null;

    private static bool IsSameBody(Chip a, Chip b) =>
        Math.Abs(a.BodyLengthMm - b.BodyLengthMm) <= SameBodyMm
        && Math.Abs(a.BodyWidthMm - b.BodyWidthMm) <= SameBodyMm;

    private static bool Covers(Chip other, ChipSite site) =>
        other is { XMm: { } x, YMm: { } y }
        && Math.Max(Math.Abs(x - site.XMm), Math.Abs(y - site.YMm))
            < Math.Min(other.BodyLengthMm, other.BodyWidthMm) / 2;

    private static bool IsBoard(Job job, ChipPlace place) =>
        place == ChipPlace.Host || (place == ChipPlace.Donor && job.Donor is not null);
}
