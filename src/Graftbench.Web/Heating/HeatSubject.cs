using Graftbench.Core.Heating;
using Graftbench.Core.Jobs;
using Graftbench.Sheets;
using Graftbench.Web.Forms;

namespace Graftbench.Web.Heating;

/// <summary>One heat that a job needs: a chip and what is done with it.</summary>
/// <param name="Task">What the heat is for.</param>
/// <param name="Chip">The chip.</param>
public sealed record HeatSubject(HeatTask Task, Chip Chip)
{
    /// <summary>What a tab says.</summary>
    public string Title => $"{TradeWords.Of(Task)}: {Chip.Id}";

    /// <summary>Address of its screen.</summary>
    /// <param name="jobId">The job.</param>
    public string Address(string jobId) =>
        $"/jobs/{jobId}/heat/{FieldWords.NameOf(Task)}?chip={Uri.EscapeDataString(Chip.Id)}";

    /// <summary>Address of something that belongs to it.</summary>
    /// <param name="jobId">The job.</param>
    /// <param name="what">The last part: <c>card</c>.</param>
    public string Address(string jobId, string what) =>
        $"/jobs/{jobId}/heat/{FieldWords.NameOf(Task)}/{what}?chip={Uri.EscapeDataString(Chip.Id)}";

    /// <summary>Every heat of a job in the order of the work.</summary>
    public static IReadOnlyList<HeatSubject> Of(Job job)
    {
        ArgumentNullException.ThrowIfNull(job);
        bool Sits(Chip chip) => chip.From == ChipPlace.Host || (chip.From == ChipPlace.Donor && job.Donor is not null);
        return
        [
            .. job.Chips.Where(Sits).Select(chip => new HeatSubject(HeatTask.Lift, chip)),
            .. job
                .Chips.Where(chip => chip.To == ChipPlace.Host)
                .Select(chip => new HeatSubject(HeatTask.AttachBalls, chip)),
            .. job.Chips.Where(chip => chip.To == ChipPlace.Host).Select(chip => new HeatSubject(HeatTask.Place, chip)),
        ];
    }

    /// <summary>The heat that question 3 asks about: placing the chip, else the first there is; null for a job without.</summary>
    public static HeatSubject? Main(Job job)
    {
        IReadOnlyList<HeatSubject> all = Of(job);
        return all.FirstOrDefault(subject => subject.Task == HeatTask.Place) ?? (all is [var first, ..] ? first : null);
    }

    /// <summary>The heat that comes next by the work: the first that is not on record; null once all are.</summary>
    /// <remarks>Attaching balls is not waited for: a chip may come with its balls, and many attach them apart.</remarks>
    public static HeatSubject? Next(Job job) =>
        Of(job).FirstOrDefault(subject => subject.Task != HeatTask.AttachBalls && !subject.IsDone(job));

    /// <summary>Whether a heat of that kind is on record for the chip; a chip that was placed was lifted as well.</summary>
    public bool IsDone(Job job)
    {
        ArgumentNullException.ThrowIfNull(job);
        HeatKind kind = Task switch
        {
            HeatTask.Lift => HeatKind.Lift,
            HeatTask.AttachBalls => HeatKind.BallAttach,
            _ => HeatKind.Place,
        };
        bool Had(Chip chip, HeatKind wanted) =>
            job.History.Heats.Any(heat => heat.Of == chip.Id && heat.Kind == wanted);
        return Had(Chip, kind)
            || (kind != HeatKind.Place && Had(Chip, HeatKind.Place))
            // Where another chip was placed in its stead, it is off.
            || (
                kind == HeatKind.Lift
                && job.Chips.Any(other =>
                    Had(other, HeatKind.Place) && ChipSites.ReplacedBy(job, other, ChipPlace.Host)?.Id == Chip.Id
                )
            );
    }

    /// <summary>The heat that an address names; null where the job has none like it.</summary>
    public static HeatSubject? Find(Job job, string? task, string? chipId) =>
        task is null
            ? Main(job)
            : Of(job)
                .Where(subject => FieldWords.NameOf(subject.Task) == task)
                .FirstOrDefault(subject => string.IsNullOrEmpty(chipId) || subject.Chip.Id == chipId);

    /// <summary>The board that is heated; null for a loose chip.</summary>
    public Board? Board(Job job)
    {
        ArgumentNullException.ThrowIfNull(job);
        return Task switch
        {
            HeatTask.AttachBalls => null,
            HeatTask.Lift when Chip.From == ChipPlace.Donor => job.Donor,
            _ => job.Host,
        };
    }
}
