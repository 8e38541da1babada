using System.Globalization;
using Graftbench.Core.Facts;
using Graftbench.Core.Findings;
using Graftbench.Core.Jobs;
using static System.FormattableString;

namespace Graftbench.Core.Drying;

/// <summary>Answers whether boards and chips are dry, and when they will be.</summary>
public static class DryingPlanner
{
    private const double AssumedWarmUpH = 0.5;

    /// <summary>Plans the drying of a job.</summary>
    /// <param name="job">A job without problems.</param>
    /// <param name="now">The moment to plan for.</param>
    public static DryingPlan Plan(Job job, DateTimeOffset now) => Plan(job, now, heatsDone: true);

    private static DryingPlan Plan(Job job, DateTimeOffset now, bool heatsDone)
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
                    Invariant(
                        $"No peak is planned yet: counted as above {noBakeUpToC:0} °C, so the boards must be dry."
                    ),
                    "jstd-033-board-rework"
                )
            );
        }
        DateTimeOffset startAt = job.Wishes.StartAt is { } wish && wish > now ? wish : now;
        DryingContext context = new(job, now, startAt, room, warmUpH, !(hottestC <= noBakeUpToC));
        AssumeAboutBodies(job, assumptions);

        List<SubjectDrying> subjects = Subjects(context)
            .Select(subject => SubjectPlanner.Plan(subject, context))
            .Select(subject =>
                heatsDone && HeatsDone.LastAt(job, subject.Id) is { } at && at <= now
                    ? HeatsDone.Of(job, subject, at, Plan(HeatsDone.Before(job, at), at, heatsDone: false).Subjects)
                    : subject
            )
            .ToList();
        if (DryingCalendar.NeedTheirOwnTemperature(subjects))
        {
            assumptions.Add(
                new Assumption(
                    "dryer",
                    "Boards and chips need different temperatures: dried one after the other.",
                    "graftbench-limit"
                )
            );
        }
        subjects = DryingCalendar.OneAfterTheOther(subjects, context);
        DryerClimate climate = Climate(job.Dryer, context);
        List<SubjectDrying> heated = [.. subjects.Where(subject => subject.State != DryingState.NoHeatLeft)];
        bool all = heated.TrueForAll(subject => subject.ReadyAt is not null);
        DateTimeOffset? readyAt = all && heated.Count > 0 ? heated.Max(subject => subject.ReadyAt) : null;
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

    private static IEnumerable<Subject> Subjects(DryingContext context)
    {
        Job job = context.Job;
        IReadOnlyList<Exposure> hostExposures = context.Exposures("host");
        List<BodyToDry> hostBodies = Chips(context, ChipPlace.Host);
        hostBodies.AddRange(job.Host.Parts.Select(part => BodyToDry.Of(part, hostExposures)).OfType<BodyToDry>());
        yield return new Subject(
            "host",
            "host board",
            job.Host,
            hostBodies,
            hostExposures,
            SubjectLog.Logged(job, "host"),
            LaminateCounts: true
        );
        if (job.Donor is { } donor)
        {
            yield return new Subject(
                "donor",
                "donor board",
                donor,
                Chips(context, ChipPlace.Donor),
                context.Exposures("donor"),
                SubjectLog.Logged(job, "donor"),
                LaminateCounts: false
            );
        }
        foreach (
            Chip chip in job.Chips.Where(chip => ChipWhereabouts.Of(job, chip) is null && chip.To != ChipPlace.Scrap)
        )
        {
            IReadOnlyList<Exposure> exposures = ChipExposures(context, chip);
            yield return new Subject(
                chip.Id,
                $"chip {chip.Id}",
                null,
                [BodyToDry.Of(chip, exposures)],
                exposures,
                SubjectLog.Logged(job, chip.Id),
                LaminateCounts: false
            );
        }
    }

    // Chips that sit on a board now and will be used again; a chip that goes to scrap is not dried for its own sake.
    private static List<BodyToDry> Chips(DryingContext context, ChipPlace board) =>
        [
            .. context
                .Job.Chips.Where(chip => ChipWhereabouts.Of(context.Job, chip) == board && chip.To != ChipPlace.Scrap)
                .Select(chip => BodyToDry.Of(chip, ChipExposures(context, chip))),
        ];

    // A chip shares its board's exposures up to its lift, and the host's from its placing on.
    private static List<Exposure> ChipExposures(DryingContext context, Chip chip)
    {
        Job job = context.Job;
        DateTimeOffset? lifted = ChipWhereabouts.LiftedAt(job, chip);
        DateTimeOffset? placed = ChipWhereabouts.PlacedAt(job, chip);
        List<Exposure> all = [.. context.Exposures(chip.Id)];
        if (ChipSites.Of(job, chip) is { } board && chip.From == board)
        {
            all.AddRange(Between(context.Exposures(board == ChipPlace.Host ? "host" : "donor"), null, lifted));
        }
        if (placed is not null)
        {
            all.AddRange(Between(context.Exposures("host"), placed, null));
        }
        return all;
    }

    private static IEnumerable<Exposure> Between(
        IEnumerable<Exposure> exposures,
        DateTimeOffset? from,
        DateTimeOffset? to
    ) =>
        exposures
            .Where(exposure =>
                (to is null || exposure.From < to) && (from is null || exposure.To is null || exposure.To > from)
            )
            .Select(exposure =>
                exposure with
                {
                    From = from is { } begin && exposure.From < begin ? begin : exposure.From,
                    To = to is { } end && (exposure.To is null || exposure.To > end) ? end : exposure.To,
                }
            );

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
                    Invariant(
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
                Invariant(
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
                ? Invariant($"{humidityPercent:0.0} % RH as stated.")
                : Invariant($"Room air at {context.Room}, only heated: {humidityPercent:0.0} % RH at {setC:0.#} °C.");
        return new DryerClimate(setC, humidityPercent, how, spreadDeltaK, context.WarmUpH);
    }
}
