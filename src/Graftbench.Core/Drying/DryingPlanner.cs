using System.Globalization;
using Graftbench.Core.Facts;
using Graftbench.Core.Findings;
using Graftbench.Core.Jobs;

namespace Graftbench.Core.Drying;

/// <summary>Answers whether boards and chips are dry, and when they will be.</summary>
public static class DryingPlanner
{
    private const double AssumedWarmUpH = 0.5;

    /// <summary>Plans the drying of a job.</summary>
    /// <param name="job">A job without problems.</param>
    /// <param name="now">The moment to plan for.</param>
    public static DryingPlan Plan(Job job, DateTimeOffset now)
    {
        List<Assumption> assumptions = [];
        Climate room = Room(job.Bench, assumptions);
        double warmUpH = WarmUpH(job.Dryer, assumptions);
        double? hottestC = job.Wishes.HottestBodyC;
        double noBakeUpToC = Constants.Value("board-rework.no-bake-up-to");
        if (hottestC is null)
        {
            assumptions.Add(
                new Assumption(
                    "boards",
                    Text($"No peak is planned yet: counted as above {noBakeUpToC:0} °C, so the boards must be dry."),
                    "jstd-033-board-rework"
                )
            );
        }
        DateTimeOffset startAt = job.Wishes.StartAt is { } wish && wish > now ? wish : now;
        DryingContext context = new(job, now, startAt, room, warmUpH, !(hottestC <= noBakeUpToC));
        AssumeAboutBodies(job, assumptions);

        List<SubjectDrying> subjects = Subjects(job).Select(subject => SubjectPlanner.Plan(subject, context)).ToList();
        subjects = DryingCalendar.OneAfterTheOther(subjects, context);
        DryerClimate climate = Climate(job.Dryer, context);
        bool all = subjects.TrueForAll(subject => subject.ReadyAt is not null);
        DateTimeOffset? readyAt = all && subjects.Count > 0 ? subjects.Max(subject => subject.ReadyAt) : null;
        return new DryingPlan(
            now,
            startAt,
            climate,
            subjects,
            readyAt,
            DryingCalendar.Of(subjects, context),
            Finding.WorstFirst(subjects.SelectMany(subject => subject.Findings)),
            assumptions
        );
    }

    private static IEnumerable<Subject> Subjects(Job job)
    {
        IReadOnlyList<Exposure> hostExposures = ExposuresOf(job, "host");
        List<BodyToDry> hostBodies = Chips(job, ChipPlace.Host, "host");
        hostBodies.AddRange(job.Host.Parts.Select(part => BodyToDry.Of(part, hostExposures)).OfType<BodyToDry>());
        yield return new Subject("host", "host board", job.Host, hostBodies, hostExposures, LaminateCounts: true);
        if (job.Donor is { } donor)
        {
            yield return new Subject(
                "donor",
                "donor board",
                donor,
                Chips(job, ChipPlace.Donor, "donor"),
                ExposuresOf(job, "donor"),
                LaminateCounts: false
            );
        }
        foreach (Chip chip in job.Chips.Where(chip => IsLoose(job, chip) && chip.To != ChipPlace.Scrap))
        {
            IReadOnlyList<Exposure> exposures = [.. ExposuresOf(job, chip.Id), .. BeforeLift(job, chip)];
            yield return new Subject(
                chip.Id,
                $"chip {chip.Id}",
                null,
                [BodyToDry.Of(chip, exposures)],
                exposures,
                LaminateCounts: false
            );
        }
    }

    // Chips that still sit on a board and will be used again; a chip that goes to scrap is not dried for its own sake.
    private static List<BodyToDry> Chips(Job job, ChipPlace place, string board) =>
        job
            .Chips.Where(chip => chip.From == place && chip.To != ChipPlace.Scrap && !IsLoose(job, chip))
            .Select(chip => BodyToDry.Of(chip, [.. ExposuresOf(job, chip.Id), .. ExposuresOf(job, board)]))
            .ToList();

    /// <summary>True where the chip is off its board: from the shelf, or lifted on record.</summary>
    internal static bool IsLoose(Job job, Chip chip) => chip.From == ChipPlace.Shelf || LiftedAt(job, chip) is not null;

    private static DateTimeOffset? LiftedAt(Job job, Chip chip) =>
        job
            .History.Heats.Where(heat =>
                heat.Kind == HeatKind.Lift && string.Equals(heat.Of, chip.Id, StringComparison.Ordinal)
            )
            .Select(heat => (DateTimeOffset?)heat.At)
            .Max();

    // A lifted chip shared its board's exposures up to the lift.
    private static IEnumerable<Exposure> BeforeLift(Job job, Chip chip)
    {
        if (LiftedAt(job, chip) is not { } lifted || chip.From is not (ChipPlace.Host or ChipPlace.Donor))
        {
            return [];
        }
        return ExposuresOf(job, chip.From == ChipPlace.Host ? "host" : "donor")
            .Where(exposure => exposure.From < lifted)
            .Select(exposure => exposure.To is { } to && to <= lifted ? exposure : exposure with { To = lifted });
    }

    private static List<Exposure> ExposuresOf(Job job, string id) =>
        job.History.Exposures.Where(exposure => string.Equals(exposure.Of, id, StringComparison.Ordinal)).ToList();

    private static Climate Room(Bench bench, List<Assumption> assumptions)
    {
        Climate reference = Drying.Climate.Reference;
        if (bench is { RoomC: { } roomC, RoomHumidityPercent: { } humidityPercent })
        {
            return new Climate(roomC, humidityPercent);
        }
        Climate room = new(
            bench.RoomC ?? reference.TemperatureC,
            bench.RoomHumidityPercent ?? reference.HumidityPercent
        );
        assumptions.Add(new Assumption("room", $"Room air not fully entered: {room} taken.", "jstd-020-floor-life"));
        return room;
    }

    private static double WarmUpH(Dryer dryer, List<Assumption> assumptions)
    {
        if (dryer.SpreadDeltaK is null)
        {
            assumptions.Add(
                new Assumption(
                    "dryer",
                    Text(
                        $"Spread of the dryer not entered: parts taken to have the set temperature, ± {BakeModel.AssumedSpreadDeltaK:0} K in the band. Measure it with a probe on a part."
                    ),
                    "graftbench-limit"
                )
            );
        }
        if (dryer.WarmUpMin is { } minutes)
        {
            return minutes / 60;
        }
        assumptions.Add(
            new Assumption(
                "dryer",
                Text(
                    $"Warm-up not entered: {AssumedWarmUpH * 60:0} min taken. Bake time starts when the parts, not the air, are warm."
                ),
                "jstd-033-bake-table"
            )
        );
        return AssumedWarmUpH;
    }

    private static void AssumeAboutBodies(Job job, List<Assumption> assumptions)
    {
        foreach (Chip chip in job.Chips.Where(chip => chip.To != ChipPlace.Scrap))
        {
            if (chip.StackedDie == YesNo.Unknown)
            {
                assumptions.Add(
                    new Assumption(
                        $"chip {chip.Id}",
                        "Not known whether dies are stacked: taken as not. Stacked dies ask for 96 h at 125 °C.",
                        "jstd-033-bake-table"
                    )
                );
            }
            if (chip.InternalPlanes == YesNo.Unknown)
            {
                bool large = Math.Max(chip.BodyLengthMm, chip.BodyWidthMm) > MoistBody.LargeSideMm;
                assumptions.Add(
                    new Assumption(
                        $"chip {chip.Id}",
                        large
                            ? "Planes in the substrate not known: taken as there, so that moisture leaves through the top only."
                            : "Planes in the substrate not known: taken as none, the standard asks only above 17 mm.",
                        "jstd-033-bake-table"
                    )
                );
            }
        }
        foreach (Chip chip in job.Chips.Where(chip => chip.To == ChipPlace.Scrap))
        {
            assumptions.Add(
                new Assumption(
                    $"chip {chip.Id}",
                    "Goes to scrap: not dried for its own sake. If it is to be examined, dry it too.",
                    "jstd-033-board-rework"
                )
            );
        }
        if (job.Donor is not null)
        {
            assumptions.Add(
                new Assumption(
                    "donor board",
                    "Only the chips that are kept must be dry; its other bodies and laminate are not counted.",
                    "common-practice"
                )
            );
        }
    }

    private static DryerClimate Climate(Dryer dryer, DryingContext context)
    {
        double spreadDeltaK = dryer.SpreadDeltaK ?? 0;
        if (dryer.SetC is not { } setC)
        {
            return new DryerClimate(
                null,
                null,
                "The dryer's temperature is not entered.",
                spreadDeltaK,
                context.WarmUpH
            );
        }
        double humidityPercent = context.HumidityPercent(setC);
        string how =
            dryer.Air == DryerAir.Stated && dryer.HumidityPercent is not null
                ? Text($"{humidityPercent:0.0} % RH as stated.")
                : Text($"Room air at {context.Room}, only heated: {humidityPercent:0.0} % RH at {setC:0.#} °C.");
        return new DryerClimate(setC, humidityPercent, how, spreadDeltaK, context.WarmUpH);
    }

    private static string Text(FormattableString text) => text.ToString(CultureInfo.InvariantCulture);
}
