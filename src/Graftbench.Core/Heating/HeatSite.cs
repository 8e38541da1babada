using Graftbench.Core.Findings;
using Graftbench.Core.Jobs;

namespace Graftbench.Core.Heating;

/// <summary>On which board and where a chip is heated.</summary>
/// <param name="Board">The board.</param>
/// <param name="Name"><c>host board</c> or <c>donor board</c>.</param>
/// <param name="XMm">Centre of the chip from the left edge [mm].</param>
/// <param name="YMm">Centre of the chip from the lower edge [mm].</param>
/// <param name="RotationDeg">Turn, counter-clockwise [°].</param>
internal sealed record HeatSite(Board Board, string Name, double XMm, double YMm, double RotationDeg)
{
    /// <summary>The site of a task; null with a finding where the job does not say.</summary>
    public static HeatSite? Of(Job job, HeatTask task, Chip chip, ModelNotes notes)
    {
        if (task == HeatTask.Lift)
        {
            return Lifted(job, chip, notes);
        }
        const string Host = "host board";
        if (ChipSites.At(job, chip with { To = ChipPlace.Host }, ChipPlace.Host) is { } site)
        {
            if (
                chip is not { HostXMm: not null, HostYMm: not null }
                && ChipSites.ReplacedBy(job, chip, ChipPlace.Host) is { } old
                && ChipSites.Of(job, chip) != ChipPlace.Host
            )
            {
                notes.Add(
                    "chip.site",
                    $"The chip goes to where {old.Id} sits on the host board.",
                    null,
                    0,
                    false,
                    "job-file"
                );
            }
            return new HeatSite(job.Host, Host, site.XMm, site.YMm, site.RotationDeg);
        }
        Missing(job.Host, Host, chip, "goes on the host board", notes);
        return null;
    }

    private static HeatSite? Lifted(Job job, Chip chip, ModelNotes notes)
    {
        (Board? board, string name) = chip.From switch
        {
            ChipPlace.Host => (job.Host, "host board"),
            ChipPlace.Donor => (job.Donor, "donor board"),
            _ => (null, ""),
        };
        if (board is null)
        {
            notes.Find(
                Verdict.FixFirst,
                "heat.nothing-to-lift",
                $"chip {chip.Id}",
                "The chip sits on no board of this job, so there is nothing to lift.",
                source: "job-file",
                todo: "Enter the board that the chip comes from, or leave this heat out."
            );
            return null;
        }
        if (chip.XMm is double x && chip.YMm is double y)
        {
            return new HeatSite(board, name, x, y, chip.RotationDeg);
        }
        Missing(board, name, chip, $"sits on the {name}", notes);
        return null;
    }

    private static void Missing(Board board, string name, Chip chip, string where, ModelNotes notes)
    {
        bool nothingPlaced = board.Parts.All(part => part.XMm is null);
        notes.Find(
            nothingPlaced ? Verdict.Unknown : Verdict.FixFirst,
            "heat.chip-without-place",
            $"{name}, {chip.Id}",
            nothingPlaced
                ? "Neither the chip nor any part has a position on this board, so its temperatures cannot be computed."
                : "The chip's position is not entered, so its temperatures cannot be computed.",
            source: "job-file",
            todo: $"Enter where chip {chip.Id} {where}: its centre from the left and from the lower edge."
        );
    }
}
