using Graftbench.Core.Drying;
using Graftbench.Core.Facts;
using Graftbench.Core.Jobs;
using static System.FormattableString;

namespace Graftbench.Core.Insight;

/// <summary>Reads what one job teaches out of its document and its record.</summary>
public static class CaseReading
{
    /// <summary>Longest name of a group; longer ones are cut.</summary>
    public const int MostGroupLetters = 48;

    /// <summary>The group of a chip that came from no donor board.</summary>
    public const string FromShelf = "shelf, no donor";

    private const double MeltsLowBelowC = 183;
    private const double ThinFromMm = 0.01;
    private const double ThickFromMm = 0.05;
    private const double MiddleFromDeltaK = 10;
    private const double MiddleToDeltaK = 25;

    /// <summary>The case of a job.</summary>
    /// <param name="job">The job.</param>
    /// <param name="revision">Its revision.</param>
    /// <param name="facts">What its record says besides.</param>
    public static InsightCase Of(Job job, int revision, RecordFacts facts)
    {
        ArgumentNullException.ThrowIfNull(job);
        ArgumentNullException.ThrowIfNull(facts);
        Chip? transplant = job.Chips.FirstOrDefault(chip => chip.To == ChipPlace.Host);
        DateTimeOffset? returned = Returned(job, facts);
        bool handedOver = job.Stage >= JobStage.HandedOver || returned is not null;
        DateTimeOffset? over = !handedOver
            ? null
            : (returned is null ? null : facts.FirstHandedOverAt) ?? job.Handover?.HandedOverAt;
        if (returned < over)
        {
            over = null;
        }
        DateTimeOffset? failed =
            job.Result == WorkResult.DoesNotWork && returned is null ? over ?? facts.ChangedAt
            : job.Result != WorkResult.Works && !handedOver ? facts.GivenUpAt
            : null;
        return new InsightCase(
            job.Id,
            revision,
            job.OpenedAt,
            handedOver,
            over,
            returned,
            failed,
            new InsightGroups(
                PartClass(transplant),
                Family(job, transplant),
                Lands(transplant),
                Peak(job, transplant),
                Dried(job),
                Name(job.Shop.Technician),
                transplant is null ? ""
                    : transplant.From == ChipPlace.Donor ? Source(job.Donor?.Origin)
                    : FromShelf
            ),
            Source(job.Donor?.Origin),
            job.Chips.Count(chip => chip.From == ChipPlace.Donor && WasLifted(job, chip)),
            transplant is { From: ChipPlace.Donor },
            Name(job.Shop.Currency),
            Spent(job)
        );
    }

    // Marked as returned by mistake and set back is no return: then the hand-over is the old one still.
    private static DateTimeOffset? Returned(Job job, RecordFacts facts) =>
        facts.FirstReturnedAt is { } first
            ? job.Stage == JobStage.HandedOver && job.Handover?.HandedOverAt <= first
                ? null
                : first
            : job.Stage == JobStage.Returned
                ? facts.ChangedAt
                : null;

    private static string PartClass(Chip? chip)
    {
        PackageClass? known = PackageLibrary.Classes.FirstOrDefault(one => one.Id == chip?.PackageClass);
        double? pitchMm = chip?.PitchMm ?? known?.PitchMm;
        int? balls = chip?.BallCount ?? (chip?.Seat is { Sites.Count: > 0 } seat ? seat.Sites.Count : known?.BallCount);
        if (pitchMm is not { } pitch || balls is not { } number)
        {
            return "";
        }
        string pitches =
            pitch < 0.5 ? "pitch below 0.5 mm"
            : pitch < 0.8 ? "pitch 0.5 to below 0.8 mm"
            : pitch < 1 ? "pitch 0.8 to below 1 mm"
            : "pitch 1 mm and more";
        string counts =
            number <= 200 ? "up to 200 balls"
            : number <= 600 ? "201 to 600 balls"
            : number <= 1200 ? "601 to 1200 balls"
            : "more than 1200 balls";
        return $"{pitches}, {counts}";
    }

    // New balls count where they are laid out for the job, else those that are on the chip.
    private static string? BallAlloy(Job job, Chip? chip) =>
        string.IsNullOrWhiteSpace(job.Materials.BallAlloy) ? chip?.BallAlloy : job.Materials.BallAlloy;

    private static Alloy? Find(string? name) => string.IsNullOrWhiteSpace(name) ? null : Alloys.Find(name);

    private static AlloyFamily Family(Job job, Chip? chip)
    {
        AlloyFamily balls = Family(Find(BallAlloy(job, chip)));
        AlloyFamily lands = Family(Find(job.Materials.LandAlloy));
        bool bare = Lands(chip) == LandSolder.Bare;
        return balls == AlloyFamily.Unknown || bare || lands == AlloyFamily.Unknown || lands == balls
            ? balls
            : AlloyFamily.Mixed;
    }

    private static AlloyFamily Family(Alloy? alloy) =>
        alloy is null ? AlloyFamily.Unknown
        : alloy.Leaded ? AlloyFamily.Leaded
        : alloy.MoltenC < MeltsLowBelowC ? AlloyFamily.LowMelting
        : AlloyFamily.LeadFree;

    private static LandSolder Lands(Chip? chip) =>
        chip?.Seat?.DomeHeightMm switch
        {
            null => LandSolder.Unknown,
            < ThinFromMm => LandSolder.Bare,
            < ThickFromMm => LandSolder.Thin,
            _ => LandSolder.Thick,
        };

    // The last placing counts: it made the joints that were handed over. The alloy that melts last sets the level.
    private static PeakBand Peak(Job job, Chip? chip)
    {
        double? moltenC = new[] { Find(BallAlloy(job, chip)), Find(job.Materials.LandAlloy) }
            .OfType<Alloy>()
            .Select(alloy => (double?)alloy.MoltenC)
            .Max();
        // An extra heat before the chip was placed lifted something.
        DateTimeOffset? placed = job
            .History.Heats.Where(heat => heat.Kind == HeatKind.Place)
            .Min(heat => (DateTimeOffset?)heat.At);
        Heat? heat = job
            .History.Heats.Where(heat =>
                (heat.Kind == HeatKind.Place || (heat.Kind == HeatKind.Again && heat.At > placed))
                && heat.PeakC is not null
                && (heat.Of == chip?.Id || heat.Of == "host")
            )
            .OrderBy(heat => heat.At)
            .ThenBy(heat => heat.Of == chip?.Id)
            .LastOrDefault();
        if (Find(BallAlloy(job, chip)) is null || moltenC is not { } molten || heat?.PeakC is not { } peakC)
        {
            return PeakBand.Unknown;
        }
        return (peakC - molten) switch
        {
            < MiddleFromDeltaK => PeakBand.Low,
            <= MiddleToDeltaK => PeakBand.Middle,
            _ => PeakBand.High,
        };
    }

    private static bool WasLifted(Job job, Chip chip) =>
        // A stage behind lifting tells of it as well as a heat on record: failures are often the ones with gaps in their record.
        job.Stage >= JobStage.Preparing
        || job.History.Heats.Any(heat =>
            heat.Kind is HeatKind.Lift or HeatKind.Place
            && (heat.Of == chip.Id || (heat.Of == "donor" && heat.Kind == HeatKind.Lift))
        );

    // As it stood at the first heat of this job: what came later cannot have dried anything before it.
    private static DriedBefore Dried(Job job)
    {
        Heat? first = job
            .History.Heats.Where(heat => heat.Kind is not (HeatKind.Build or HeatKind.Neighbour))
            .MinBy(heat => heat.At);
        if (first is null || job.History.Exposures.Count == 0)
        {
            return DriedBefore.Unknown;
        }
        DateTimeOffset at = first.At;
        IReadOnlyList<SubjectDrying> subjects = DryingPlanner.Plan(HeatsDone.Before(job, at), at).Subjects;
        if (subjects.All(subject => subject.State == DryingState.NoBakeNeeded))
        {
            return DriedBefore.NotNeeded;
        }
        if (subjects.All(subject => subject.State is DryingState.NoBakeNeeded or DryingState.Dried))
        {
            return DriedBefore.AsAdvised;
        }
        bool waived = job.Evidence.Any(entry =>
            entry.Kind == EvidenceKind.Waiver && entry.Waives?.StartsWith("drying.", StringComparison.Ordinal) == true
        );
        return waived ? DriedBefore.Waived
            : subjects.Any(subject => subject.DoneH > 0) ? DriedBefore.Part
            : DriedBefore.Unknown;
    }

    private static IReadOnlyList<StepSpent> Spent(Job job) =>
        [
            .. job
                .Work.GroupBy(entry => entry.What)
                .OrderBy(step => step.Key)
                .Select(step => new StepSpent(
                    step.Key,
                    step.Any(entry => entry.SpentMin is not null) ? step.Sum(entry => entry.SpentMin ?? 0) : null,
                    step.Any(entry => entry.Cost is not null) ? step.Sum(entry => entry.Cost ?? 0) : null
                )),
        ];

    // Where a board comes from is the first part of what was written; why it was given up follows a mark.
    private static string Source(string? origin)
    {
        string text = (origin ?? "").Trim();
        int end = text.AsSpan().IndexOfAny(",;:.(");
        return Name(end > 0 ? text[..end] : text);
    }

    private static string Name(string? text)
    {
        string name = string.Join(' ', (text ?? "").Split((char[]?)null, StringSplitOptions.RemoveEmptyEntries));
        return name.Length <= MostGroupLetters ? name : Invariant($"{name[..(MostGroupLetters - 3)].TrimEnd()}...");
    }
}
