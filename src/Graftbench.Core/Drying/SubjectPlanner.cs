using System.Globalization;
using Graftbench.Core.Facts;
using Graftbench.Core.Findings;
using Graftbench.Core.Jobs;
using Graftbench.Core.Physics.Diffusion;
using static System.FormattableString;

namespace Graftbench.Core.Drying;

/// <summary>A board or loose chip to be planned.</summary>
/// <param name="Id"><c>host</c>, <c>donor</c> or the chip's id.</param>
/// <param name="Title">What the findings call it.</param>
/// <param name="Board">The board; null for a loose chip.</param>
/// <param name="Bodies">Bodies that must be dry.</param>
/// <param name="Exposures">Exposures of the board or chip as they count.</param>
/// <param name="Logged">Exposures of the board or chip as written.</param>
/// <param name="LaminateCounts">True where the board's own laminate must be dry.</param>
internal sealed record Subject(
    string Id,
    string Title,
    Board? Board,
    IReadOnlyList<BodyToDry> Bodies,
    IReadOnlyList<Exposure> Exposures,
    IReadOnlyList<Exposure> Logged,
    bool LaminateCounts
);

/// <summary>What the whole plan shares.</summary>
/// <param name="Job">The job.</param>
/// <param name="Now">Now.</param>
/// <param name="StartAt">When drying can start.</param>
/// <param name="Room">Climate of the room.</param>
/// <param name="WarmUpH">Warm-up of the dryer [h].</param>
/// <param name="BoardBakeRequired">False where no body passes 200 °C.</param>
internal sealed record DryingContext(
    Job Job,
    DateTimeOffset Now,
    DateTimeOffset StartAt,
    Climate Room,
    double WarmUpH,
    bool BoardBakeRequired
)
{
    /// <summary>Exposures of a board or chip as they count.</summary>
    public IReadOnlyList<Exposure> Exposures(string id) => SubjectLog.Counted(Job, id, Room, WarmUpH, Now);

    /// <summary>Humidity inside the dryer at a temperature [% RH].</summary>
    public double HumidityPercent(double temperatureC) =>
        Job.Dryer is { Air: DryerAir.Stated, HumidityPercent: { } stated }
            ? stated
            : WaterVapour.HumidityInBoxPercent(
                Room.TemperatureC,
                Room.HumidityPercent,
                Math.Max(temperatureC, Room.TemperatureC)
            );
}

/// <summary>Plans one board or loose chip.</summary>
internal static class SubjectPlanner
{
    private const double LongBakeH = 72;

    /// <summary>Plans a subject.</summary>
    public static SubjectDrying Plan(Subject subject, DryingContext context)
    {
        Dryer dryer = context.Job.Dryer;
        double spreadDeltaK = dryer.SpreadDeltaK ?? 0;
        Exposure? running = Running(subject, context.Now);
        double? hottestPartsC = Higher(dryer.SetC, running?.TemperatureC) + spreadDeltaK;
        DryingLimits limits = subject.Board is { } board
            ? DryingLimits.Of(board, subject.Title, hottestPartsC)
            : DryingLimits.OfChip;
        bool inDryer = running is not null;
        double? usedC = UsedC(dryer, spreadDeltaK, limits, running);
        double humidityPercent = running?.HumidityPercent ?? (usedC is { } at ? context.HumidityPercent(at) : 0);

        List<BodyPlanner.Planned> planned = subject
            .Bodies.Select(body =>
                BodyPlanner.Plan(body, usedC, humidityPercent, dryer.SpreadDeltaK, context.Room, context.Now)
            )
            .ToList();
        List<Weighing> weighings = Weighings(subject, context);
        WeighingTrend? weighing = WeighingFit.Fit(weighings);
        double targetPercent = context.Job.Wishes.LaminateMoisturePercent ?? Constants.Value("laminate.target");
        bool weighedDry = WeighingFit.ProvesLaminate(weighing, weighings, targetPercent);
        LaminateDrying? laminate = Laminate(subject, context, usedC, humidityPercent, targetPercent, weighedDry);
        double trailing125H = BakeLog.TrailingCreditAt125H(subject.Exposures, context.Now);
        double ratio =
            usedC is { } c && c >= BakeModel.ColdestC && c <= BakeModel.HottestC
                ? BakeModel.Mould.TimeRatio(c, BakeModel.HottestC)
                : 1;
        double doneH = trailing125H * ratio;

        Need need = Needs(subject, context, planned, laminate, doneH);
        OtherDryer other = new(subject, context, [.. planned.Select(body => body.Drying)]);
        double? plannedH = need.LeftH;
        // The limit is one part's: what several parts spent apart from each other does not add up.
        List<BakeBudget> parts =
        [
            .. LogsOfParts(subject, context.Job)
                .Select(log => BakeLog.Budget(log, context.Now, plannedH ?? 0, usedC + spreadDeltaK, spreadDeltaK)),
        ];
        BakeBudget budget = parts.MaxBy(part => part.SpentH)! with
        {
            OverheatedH = parts.Max(part => part.OverheatedH),
        };
        List<Finding> findings =
        [
            .. limits.Findings,
            .. planned
                .SelectMany(body => body.Drying.Findings)
                .Select(finding => finding with { Where = $"{subject.Title}, {finding.Where}" }),
            .. SubjectFindings.Of(
                subject,
                context,
                planned.Select(body => body.Drying).ToList(),
                laminate,
                need,
                limits,
                budget,
                usedC,
                humidityPercent,
                hottestPartsC,
                inDryer,
                need.AdviceH is null && usedC is { } idleC ? other.Instead(idleC) : null
            ),
        ];
        if (plannedH > LongBakeH && usedC is { } slowC)
        {
            findings.AddRange(other.Hotter(slowC, plannedH.Value));
        }

        DryingState state =
            need.AdviceH is null ? DryingState.NoAnswer
            : need.LeftH > 0 ? (inDryer ? DryingState.InDryer : DryingState.ToDry)
            : trailing125H > 0 || need.WasDried ? DryingState.Dried
            : DryingState.NoBakeNeeded;
        double stripH = limits.RemoveFirst.Count > 0 ? BenchMinutes.Of("strip").LowMin / 60 : 0;
        DateTimeOffset stripped = context.Now.AddHours(stripH);
        DateTimeOffset dryFrom = stripped > context.StartAt ? stripped : context.StartAt;
        DateTimeOffset? startAt = state switch
        {
            DryingState.InDryer => running!.From,
            DryingState.ToDry => dryFrom,
            _ => null,
        };
        DateTimeOffset? readyAt = state switch
        {
            DryingState.InDryer => context.Now.AddHours(
                need.LeftH!.Value + Math.Max(0, context.WarmUpH - (context.Now - running!.From).TotalHours)
            ),
            DryingState.ToDry => dryFrom.AddHours(context.WarmUpH + need.LeftH!.Value),
            DryingState.Dried or DryingState.NoBakeNeeded => context.Now,
            _ => null,
        };
        (DateTimeOffset? useBy, string? useByWhy) = UseBy(subject, context, planned, state, readyAt);
        return new SubjectDrying(
            subject.Id,
            subject.Title,
            state,
            usedC,
            limits.CapC,
            limits.CapReason,
            limits.RemoveFirst,
            planned.Select(body => body.Drying).ToList(),
            laminate,
            need.AdviceH,
            need.Why,
            startAt,
            readyAt,
            useBy,
            useByWhy,
            doneH,
            budget,
            weighing,
            Finding.WorstFirst(findings)
        );
    }

    /// <summary>What a subject needs: the longest of its bodies and its laminate.</summary>
    /// <param name="AdviceH">Whole bake [h]; null without an answer.</param>
    /// <param name="LeftH">Of that still to do [h].</param>
    /// <param name="Why">What decides.</param>
    /// <param name="WasDried">True where a body is dry because of a logged bake.</param>
    internal sealed record Need(double? AdviceH, double? LeftH, string Why, bool WasDried);

    private static Need Needs(
        Subject subject,
        DryingContext context,
        List<BodyPlanner.Planned> planned,
        LaminateDrying? laminate,
        double doneH
    )
    {
        if (subject.Board is not null && !context.BoardBakeRequired)
        {
            return new Need(0, 0, "no body is planned above 200 °C: the standard asks for no board bake", false);
        }
        bool wasDried = planned.Exists(body =>
            body.Drying.FloorLife is { State: FloorLifeState.Within, DryFrom: not null }
        );
        BodyPlanner.Planned? stuck = planned.Find(body => body.Drying.AdviceH is null);
        if (stuck is not null)
        {
            return new Need(null, null, $"{stuck.Drying.Ref}: {stuck.Drying.AdviceWhy}", wasDried);
        }
        double adviceH = 0;
        double leftH = 0;
        string why = planned.Count == 0 ? "no body on it takes up moisture" : "every body is within its floor life";
        foreach (BodyPlanner.Planned body in planned)
        {
            double wholeH = body.Drying.AdviceH!.Value;
            double restH = wholeH * Math.Max(0, 1 - body.CreditFraction);
            if (restH > leftH || (leftH <= 0 && wholeH > adviceH))
            {
                (adviceH, leftH, why) = (wholeH, restH, $"{body.Drying.Ref}: {body.Drying.AdviceWhy}");
            }
        }
        if (subject.LaminateCounts && laminate?.HighH is null && leftH <= 0)
        {
            // Nothing else to wait for, and the laminate has no answer: unknown is not dry.
            return new Need(
                null,
                null,
                laminate is null ? "the dryer's temperature is not known" : laminate.Says,
                wasDried
            );
        }
        if (subject.LaminateCounts && laminate?.HighH > leftH)
        {
            double restH = laminate.HighH.Value;
            return new Need(
                doneH + restH,
                restH,
                "the board's laminate, upper end of its range; weighing can end it sooner",
                wasDried
            );
        }
        return new Need(adviceH, leftH, why, wasDried);
    }

    // A bake that runs, as written; null where it is not in a dryer.
    private static Exposure? Running(Subject subject, DateTimeOffset now)
    {
        Exposure? last = subject.Logged.Where(exposure => exposure.From < now).MaxBy(exposure => exposure.From);
        return last is { Place: ExposurePlace.Bake } && (last.To is null || last.To > now) ? last : null;
    }

    private static double? Higher(double? first, double? second) =>
        first is null ? second
        : second is null ? first
        : Math.Max(first.Value, second.Value);

    // The parts may be colder than the set point by the spread; the cap holds for the hottest of them. A bake that runs is taken at its logged temperature.
    private static double? UsedC(Dryer dryer, double spreadDeltaK, DryingLimits limits, Exposure? running)
    {
        if (running?.TemperatureC is { } logged)
        {
            return logged - spreadDeltaK;
        }
        if (dryer.SetC is not { } setC)
        {
            return null;
        }
        double allowedC = limits.CapC is { } cap ? Math.Min(setC, cap - spreadDeltaK) : setC;
        return allowedC - spreadDeltaK;
    }

    /// <summary>How long the board's laminate takes; null for a loose chip or without a temperature.</summary>
    internal static LaminateDrying? Laminate(
        Subject subject,
        DryingContext context,
        double? usedC,
        double humidityPercent,
        double targetPercent,
        bool weighedDry
    )
    {
        if (subject.Board is not { } board || usedC is not { } temperatureC)
        {
            return null;
        }
        LaminateState state = LaminateLog.Walk(
            board,
            subject.Exposures,
            context.Room,
            targetPercent,
            weighedDry,
            context.Now
        );
        return LaminateModel.Answer(board, state, targetPercent, temperatureC, humidityPercent);
    }

    // What is written about each part by itself: the board with what was always on it, a chip that came onto it with its own past,
    // a loose chip with the board that it came from.
    private static IEnumerable<IEnumerable<Exposure>> LogsOfParts(Subject subject, Job job)
    {
        if (subject.Board is not null)
        {
            return subject
                .Bodies.Select(body => job.Chips.FirstOrDefault(chip => chip.Id == body.Ref))
                .OfType<Chip>()
                .Select(chip =>
                    ChipLogged(job, chip.Id)
                        .Concat(BeforeLifted(job, chip))
                        .Concat(subject.Logged.Where(stay => !(stay.From < ChipWhereabouts.PlacedAt(job, chip))))
                )
                .Prepend(subject.Logged);
        }
        return job.Chips.FirstOrDefault(chip => chip.Id == subject.Id) is { } loose
            ? [subject.Logged.Concat(BeforeLifted(job, loose))]
            : [subject.Logged];
    }

    // Stays of the board that a chip came from, up to its lift.
    private static IEnumerable<Exposure> BeforeLifted(Job job, Chip chip)
    {
        string? from = chip.From switch
        {
            ChipPlace.Host => "host",
            ChipPlace.Donor => "donor",
            _ => null,
        };
        return from is not null && ChipWhereabouts.LiftedAt(job, chip) is { } lifted
            ? SubjectLog.Logged(job, from).Where(stay => stay.From < lifted)
            : [];
    }

    private static IEnumerable<Exposure> ChipLogged(Job job, string id) =>
        job.Chips.Any(chip => chip.Id == id) ? SubjectLog.Logged(job, id) : [];

    // The series of the bake that runs or ran last, short breaks included; an older series where that has none yet.
    private static List<Weighing> Weighings(Subject subject, DryingContext context)
    {
        List<Weighing> all =
        [
            .. context.Job.History.Weighings.Where(weighing =>
                string.Equals(weighing.Of, subject.Id, StringComparison.Ordinal)
            ),
        ];
        DateTimeOffset? from = BakeLog.LastBake(subject.Logged, context.Now).From;
        List<Weighing> series = [.. all.Where(weighing => from is null || weighing.At >= from.Value.AddHours(-1))];
        return series.Count > 0 ? series : all;
    }

    private static (DateTimeOffset? UseBy, string? Why) UseBy(
        Subject subject,
        DryingContext context,
        List<BodyPlanner.Planned> planned,
        DryingState state,
        DateTimeOffset? readyAt
    )
    {
        bool dries = state is DryingState.ToDry or DryingState.InDryer;
        if (readyAt is not { } ready || (subject.Board is not null && !context.BoardBakeRequired))
        {
            return (null, null);
        }
        DateTimeOffset? useBy = null;
        string? why = null;
        for (int i = 0; i < planned.Count; i++)
        {
            BodyDrying body = planned[i].Drying;
            if (Until(subject.Bodies[i].Body, body, context, dries, ready) is { } at && (useBy is null || at < useBy))
            {
                useBy = at;
                why =
                    $"floor life of {body.Ref}, level {MoistureLevels.Name(body.LevelKnown ? body.Level : MoistureLevels.StandIn)}";
            }
        }
        if (subject.LaminateCounts && (dries || state == DryingState.Dried))
        {
            DateTimeOffset from = dries
                ? ready
                : context.Now.AddHours(-BakeLog.LastBake(subject.Exposures, context.Now).OpenAfterH);
            DateTimeOffset board = from.AddHours(LaminateLog.OpenWindowH);
            if (useBy is null || board < useBy)
            {
                return (
                    board,
                    "one fabricator solders epoxy glass within 24 h of its bake; longer only in dry storage"
                );
            }
        }
        return (useBy, why);
    }

    // A body in the dryer has its floor life before it again; without a published figure for this room there is no moment.
    private static DateTimeOffset? Until(
        MoistBody body,
        BodyDrying drying,
        DryingContext context,
        bool dries,
        DateTimeOffset ready
    )
    {
        if (drying.FloorLife.State == FloorLifeState.Unlimited || body.Level is MoistureLevel.L1 or MoistureLevel.L6)
        {
            return null;
        }
        if (!dries)
        {
            return drying.FloorLife.RunsOutAt;
        }
        MoistBody counted = body.Level == MoistureLevel.Unknown ? body with { Level = MoistureLevels.StandIn } : body;
        double? lifeH = drying.FloorLife is { State: FloorLifeState.Within, LeftH: { } left }
            ? left
            : FloorLife.Find(counted, context.Room).LifeH;
        return lifeH is { } hours && double.IsFinite(hours) ? ready.AddHours(hours) : null;
    }
}
