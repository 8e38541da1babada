using System.Globalization;
using Graftbench.Core.Facts;
using Graftbench.Core.Findings;
using Graftbench.Core.Jobs;
using Graftbench.Core.Physics.Diffusion;

namespace Graftbench.Core.Drying;

/// <summary>A board or loose chip to be planned.</summary>
/// <param name="Id"><c>host</c>, <c>donor</c> or the chip's id.</param>
/// <param name="Title">What the findings call it.</param>
/// <param name="Board">The board; null for a loose chip.</param>
/// <param name="Bodies">Bodies that must be dry.</param>
/// <param name="Exposures">Exposures of the board or chip itself.</param>
/// <param name="LaminateCounts">True where the board's own laminate must be dry.</param>
internal sealed record Subject(
    string Id,
    string Title,
    Board? Board,
    IReadOnlyList<BodyToDry> Bodies,
    IReadOnlyList<Exposure> Exposures,
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
        double? hottestPartsC = dryer.SetC + spreadDeltaK;
        DryingLimits limits = subject.Board is { } board
            ? DryingLimits.Of(board, subject.Title, hottestPartsC)
            : DryingLimits.OfChip;
        Exposure? running = subject
            .Exposures.OrderBy(exposure => exposure.From)
            .LastOrDefault(exposure => exposure.From < context.Now);
        bool inDryer = running is { Place: ExposurePlace.Bake } && (running.To is null || running.To > context.Now);
        double? usedC = UsedC(dryer, spreadDeltaK, limits, inDryer ? running : null);
        double humidityPercent = usedC is { } at ? context.HumidityPercent(at) : 0;

        List<BodyPlanner.Planned> planned = subject
            .Bodies.Select(body =>
                BodyPlanner.Plan(body, usedC, humidityPercent, dryer.SpreadDeltaK, context.Room, context.Now)
            )
            .ToList();
        LaminateDrying? laminate = Laminate(subject, context, usedC, humidityPercent);
        double trailing125H = BakeLog.TrailingCreditAt125H(subject.Exposures, context.Now);
        double ratio =
            usedC is { } c && c >= BakeModel.ColdestC && c <= BakeModel.HottestC
                ? BakeModel.Mould.TimeRatio(c, BakeModel.HottestC)
                : 1;
        double warmingH = inDryer ? Math.Min(context.WarmUpH, (context.Now - running!.From).TotalHours) : 0;
        double doneH = Math.Max(0, trailing125H * ratio - warmingH);

        WeighingTrend? weighing = WeighingFit.Fit(Weighings(subject, context, inDryer ? running!.From : null));
        Need need = Needs(
            subject,
            context,
            planned,
            weighing is { Flat: true, Converged: true } ? null : laminate,
            doneH,
            warmingH,
            ratio
        );
        double? plannedH = need.LeftH;
        BakeBudget budget = BakeLog.Budget(AllExposures(subject), context.Now, plannedH ?? 0, usedC);
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
                humidityPercent
            ),
        ];
        if (plannedH > LongBakeH && usedC is { } slowC)
        {
            findings.AddRange(Hotter(subject, context, planned, slowC, plannedH.Value));
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
            DryingState.InDryer => context.Now.AddHours(need.LeftH!.Value + context.WarmUpH - warmingH),
            DryingState.ToDry => dryFrom.AddHours(context.WarmUpH + need.LeftH!.Value),
            DryingState.Dried or DryingState.NoBakeNeeded => context.Now,
            _ => null,
        };
        (DateTimeOffset? useBy, string? useByWhy) = UseBy(subject, planned, state, readyAt);
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
        double doneH,
        double warmingH,
        double ratio
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
            double restH = Math.Max(0, wholeH - Math.Max(0, body.CreditAt125H * ratio - warmingH));
            if (restH > leftH || (leftH <= 0 && wholeH > adviceH))
            {
                (adviceH, leftH, why) = (wholeH, restH, $"{body.Drying.Ref}: {body.Drying.AdviceWhy}");
            }
        }
        // A board whose weight has come to rest has a dry laminate; its light bodies cannot be weighed that way.
        if (subject.LaminateCounts && laminate?.HighH is { } laminateH)
        {
            double restH = Math.Max(0, laminateH - doneH);
            if (restH > leftH)
            {
                (adviceH, leftH, why) = (
                    laminateH,
                    restH,
                    "the board's laminate, upper end of its range; weighing can end it sooner"
                );
            }
        }
        return new Need(adviceH, leftH, why, wasDried);
    }

    // The parts may be colder than the set point by the spread; the cap holds for the hottest of them. A bake that runs is taken at its logged temperature.
    private static double? UsedC(Dryer dryer, double spreadDeltaK, DryingLimits limits, Exposure? running)
    {
        if (running?.TemperatureC is { } logged)
        {
            return logged;
        }
        if (dryer.SetC is not { } setC)
        {
            return null;
        }
        double allowedC = limits.CapC is { } cap ? Math.Min(setC, cap - spreadDeltaK) : setC;
        return allowedC - spreadDeltaK;
    }

    private static LaminateDrying? Laminate(
        Subject subject,
        DryingContext context,
        double? usedC,
        double humidityPercent
    )
    {
        if (subject.Board is not { } board || usedC is not { } temperatureC)
        {
            return null;
        }
        double targetPercent = context.Job.Wishes.LaminateMoisturePercent ?? Constants.Value("laminate.target");
        return LaminateModel.Answer(
            board,
            StoredHumidityPercent(subject.Exposures),
            targetPercent,
            temperatureC,
            humidityPercent
        );
    }

    // Known only where every logged stretch outside the dryer has a humidity.
    private static double? StoredHumidityPercent(IReadOnlyList<Exposure> exposures)
    {
        List<Exposure> open = exposures
            .Where(exposure => exposure.Place is ExposurePlace.Room or ExposurePlace.Bag)
            .ToList();
        return open.Count == 0 || open.Exists(exposure => exposure.HumidityPercent is null)
            ? null
            : open.Max(exposure => exposure.HumidityPercent);
    }

    private static IEnumerable<Exposure> AllExposures(Subject subject) =>
        subject.Exposures.Concat(subject.Bodies.SelectMany(body => body.Exposures)).Distinct();

    private static IEnumerable<Weighing> Weighings(Subject subject, DryingContext context, DateTimeOffset? bakeFrom)
    {
        DateTimeOffset? last =
            bakeFrom
            ?? subject
                .Exposures.Where(exposure => exposure.Place == ExposurePlace.Bake)
                .Select(exposure => (DateTimeOffset?)exposure.From)
                .Max();
        return context.Job.History.Weighings.Where(weighing =>
            string.Equals(weighing.Of, subject.Id, StringComparison.Ordinal)
            && (last is null || weighing.At >= last.Value.AddHours(-1))
        );
    }

    private static (DateTimeOffset? UseBy, string? Why) UseBy(
        Subject subject,
        List<BodyPlanner.Planned> planned,
        DryingState state,
        DateTimeOffset? readyAt
    )
    {
        if (readyAt is not { } ready)
        {
            return (null, null);
        }
        DateTimeOffset? useBy = null;
        string? why = null;
        foreach (BodyDrying body in planned.Select(body => body.Drying))
        {
            DateTimeOffset? until = body.FloorLife.State switch
            {
                FloorLifeState.Within => body.FloorLife.RunsOutAt,
                FloorLifeState.Unlimited => null,
                _ => body.FloorLife.RatedH is { } ratedH ? ready.AddHours(ratedH) : null,
            };
            if (until is { } at && (useBy is null || at < useBy))
            {
                useBy = at;
                why =
                    $"floor life of {body.Ref}, level {MoistureLevels.Name(body.LevelKnown ? body.Level : MoistureLevels.StandIn)}";
            }
        }
        if (subject.LaminateCounts && state is DryingState.ToDry or DryingState.InDryer)
        {
            // One fabricator solders epoxy glass within 24 h of its bake.
            DateTimeOffset board = ready.AddHours(BoardWindowH);
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

    private const double BoardWindowH = 24;

    // What a hotter bake would take, where dryer and subject allow one.
    private static IEnumerable<Finding> Hotter(
        Subject subject,
        DryingContext context,
        List<BodyPlanner.Planned> planned,
        double usedC,
        double plannedH
    )
    {
        Dryer dryer = context.Job.Dryer;
        DryingLimits freed = subject.Board is { } board
            ? DryingLimits.Of(board with { Parts = WithoutCapping(board, usedC) }, subject.Title, usedC)
            : DryingLimits.OfChip;
        double hottestC = Math.Min(dryer.MaxC ?? BakeModel.HottestC, freed.CapC ?? BakeModel.HottestC);
        double[] choicesC = [BakeModel.HottestC, 105, Constants.Value("budget.above"), 80];
        double? hotterC = choicesC
            .Where(choice => choice <= hottestC && choice > usedC + 4)
            .Select(choice => (double?)choice)
            .FirstOrDefault();
        if (hotterC is not { } betterC)
        {
            yield break;
        }
        double humidityPercent = context.HumidityPercent(betterC);
        double hours = 0;
        for (int i = 0; i < planned.Count; i++)
        {
            if (planned[i].Drying.AdviceH > 0)
            {
                FloorLifeOver over = BodyPlanner.Over(planned[i].Drying.FloorLife);
                hours = Math.Max(
                    hours,
                    BakeAdvice.For(subject.Bodies[i].Body, over, betterC, humidityPercent, dryer.SpreadDeltaK).AdviceH
                        ?? 0
                );
            }
        }
        if (subject.LaminateCounts && Laminate(subject, context, betterC, humidityPercent)?.HighH is { } laminateH)
        {
            hours = Math.Max(hours, laminateH);
        }
        string off = string.Join(
            ", ",
            subject.Board?.Parts.Where(part => Caps(part, betterC)).Select(part => part.Ref).Take(8) ?? []
        );
        string first = off.Length > 0 ? $" after taking off {off}" : "";
        yield return new Finding(
            Verdict.Warning,
            "drying.hotter-is-shorter",
            subject.Title,
            Text(
                $"This bake is long because the dryer is cool: {plannedH:0} h at {usedC:0.#} °C, {hours:0} h at {betterC:0} °C{first}."
            ),
            Text($"{plannedH:0} h"),
            null,
            BakeModel.SourceId,
            betterC > Constants.Value("budget.above")
                ? "Use a hotter dryer if there is one; hours above 90 °C count against the 96 h budget."
                : "Use a hotter dryer if there is one; at 90 °C or below hours are not limited."
        );
    }

    private static List<Part> WithoutCapping(Board board, double usedC) =>
        board.Parts.Where(part => !Caps(part, usedC + 5)).ToList();

    private static bool Caps(Part part, double temperatureC) =>
        !part.TakenOff
        && (part.BakeLimitC ?? PartKinds.Of(part.Kind).BakeLimitC) is { } limitC
        && limitC < temperatureC;

    private static string Text(FormattableString text) => text.ToString(CultureInfo.InvariantCulture);
}
