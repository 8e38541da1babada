using System.Globalization;
using Graftbench.Core.Facts;
using Graftbench.Core.Findings;
using Graftbench.Core.Jobs;
using static System.FormattableString;

namespace Graftbench.Core.Drying;

/// <summary>Findings about one board or loose chip as a whole.</summary>
internal static class SubjectFindings
{
    /// <summary>
    /// All findings of a subject but those of its parts' limits and its single bodies; <c>instead</c> says what another dryer would do
    /// where this one has no end.
    /// </summary>
    public static IEnumerable<Finding> Of(
        Subject subject,
        DryingContext context,
        IReadOnlyList<BodyDrying> bodies,
        LaminateDrying? laminate,
        SubjectPlanner.Need need,
        DryingLimits limits,
        BakeBudget budget,
        double? usedC,
        double humidityPercent,
        double? hottestPartsC,
        bool inDryer,
        string? instead
    )
    {
        string where = subject.Title;
        DateTimeOffset? lostAt = need.AdviceH == 0 ? null : bodies.Min(body => body.FloorLife.LostAt);
        return NotLogged(where, bodies, lostAt, context)
            .Concat(NotDry(where, bodies, need, instead))
            .Concat(Unknowns(where, bodies, need))
            .Concat(Temperature(where, context, limits, usedC, humidityPercent, need, hottestPartsC, inDryer, instead))
            .Concat(Budget(where, subject, context, bodies, budget, usedC, lostAt))
            .Concat(Board(where, subject, context, laminate, need));
    }

    // Dry once, and then nobody wrote down where it lay: one line in the log may be all that is missing.
    private static IEnumerable<Finding> NotLogged(
        string where,
        IReadOnlyList<BodyDrying> bodies,
        DateTimeOffset? lostAt,
        DryingContext context
    )
    {
        if (lostAt is not { } since)
        {
            yield break;
        }
        List<string> lost = bodies.Where(body => body.FloorLife.LostAt is not null).Select(body => body.Ref).ToList();
        yield return new Finding(
            Verdict.FixFirst,
            "drying.not-logged",
            where,
            $"It was dry, but nothing says where it has been since {Stamp(since)}, so that counts for nothing: {DryingLimits.List(lost)}.",
            Invariant($"{(context.Now - since).TotalHours:0.#} h ago"),
            Invariant($"{FloorLifeLog.GapAllowed.TotalMinutes:0} min without a line"),
            "graftbench-limit",
            $"Enter where {OtherDryer.Spoken(where)} has been since {Stamp(since)}: it may be dry still."
        );
    }

    private static string Stamp(DateTimeOffset at) => at.ToString("d MMM HH:mm", CultureInfo.InvariantCulture);

    private static IEnumerable<Finding> NotDry(
        string where,
        IReadOnlyList<BodyDrying> bodies,
        SubjectPlanner.Need need,
        string? instead
    )
    {
        List<BodyDrying> wet = bodies
            .Where(body => body.FloorLife.State is not (FloorLifeState.Within or FloorLifeState.Unlimited))
            .ToList();
        if (wet.Count == 0 || need.AdviceH == 0)
        {
            yield break;
        }
        BodyDrying worst = wet.MaxBy(body => body.IfHeatedNow.MeanFraction)!;
        yield return new Finding(
            Verdict.FixFirst,
            "drying.not-dry",
            where,
            $"Not known to be dry: {DryingLimits.List(wet.Select(body => body.Ref).ToList())}. {worst.Ref}: {worst.IfHeatedNow.Says}",
            Invariant($"{worst.IfHeatedNow.MeanFraction * 100:0} % of saturation"),
            Invariant($"{worst.IfHeatedNow.TargetFraction * 100:0} % left"),
            BakeModel.SourceId,
            LookFirst(wet)
                + (
                    need.LeftH is { } left
                        ? Invariant(
                            $"Dry {OtherDryer.Spoken(where)} first: {Units.WholeHoursUpH(left):0} h still to do. No heat before that."
                        )
                        : instead ?? "Enter the temperature that the dryer holds: without it there is no drying time."
                )
        );
    }

    // A body that nobody looked up counts as the most sensitive: where it decides, its label may save days.
    private static string LookFirst(IReadOnlyList<BodyDrying> wet)
    {
        BodyDrying slowest = wet.MaxBy(body => body.AdviceH ?? double.PositiveInfinity)!;
        return slowest.LevelKnown
            ? ""
            : $"Look up the moisture level of {slowest.Ref}: not known, it counts as {MoistureLevels.Name(MoistureLevels.StandIn)} and decides the time. ";
    }

    private static IEnumerable<Finding> Unknowns(
        string where,
        IReadOnlyList<BodyDrying> bodies,
        SubjectPlanner.Need need
    )
    {
        List<string> noLevel = bodies
            .Where(body => !body.LevelKnown && body.AdviceH != 0)
            .Select(body => body.Ref)
            .ToList();
        if (noLevel.Count > 0 && need.AdviceH != 0)
        {
            yield return new Finding(
                Verdict.Unknown,
                "drying.level-unknown",
                where,
                $"Moisture level not known: {DryingLimits.List(noLevel)}. The most sensitive row, 5a, stands in; at 125 °C one published shop rule asks for 48 h.",
                "unknown",
                null,
                "jstd-033-d-procedure",
                "Look for the level on the label, the reel or the data sheet and enter it."
            );
        }
        List<string> noThickness = bodies
            .Where(body => !body.ThicknessKnown && body.AdviceH != 0)
            .Select(body => body.Ref)
            .ToList();
        if (noThickness.Count > 0 && need.AdviceH != 0)
        {
            yield return new Finding(
                Verdict.Unknown,
                "drying.thickness-unknown",
                where,
                Invariant(
                    $"Body thickness not known: {DryingLimits.List(noThickness)}. The height stands in, or {BodyToDry.AssumedThicknessMm:0.0} mm where that is missing too."
                ),
                "unknown",
                null,
                "graftbench-limit",
                "Measure the body with a calliper, without leads or balls, and enter it."
            );
        }
    }

    private static IEnumerable<Finding> Temperature(
        string where,
        DryingContext context,
        DryingLimits limits,
        double? usedC,
        double humidityPercent,
        SubjectPlanner.Need need,
        double? hottestPartsC,
        bool inDryer,
        string? instead
    )
    {
        if (inDryer && limits.CapC < hottestPartsC)
        {
            yield return new Finding(
                Verdict.Blocker,
                "drying.running-too-hot",
                where,
                $"It is in the dryer now, hotter than it stands: {limits.CapReason}.",
                Invariant($"{hottestPartsC:0.#} °C"),
                Invariant($"{limits.CapC:0.#} °C"),
                "graftbench-limit",
                "Take it out or turn the dryer down now; look at what sets the limit."
            );
        }
        if (need.AdviceH == 0)
        {
            yield break;
        }
        Dryer dryer = context.Job.Dryer;
        if (usedC is not { } temperatureC)
        {
            yield return new Finding(
                Verdict.Unknown,
                "drying.no-dryer",
                where,
                "The dryer's temperature is not entered: no time can be given.",
                Source: "job-file",
                Todo: "Enter the temperature that the dryer holds."
            );
            yield break;
        }
        if (!inDryer && limits.CapC is { } cap && hottestPartsC > cap)
        {
            yield return new Finding(
                Verdict.FixFirst,
                "drying.too-hot-for-it",
                where,
                $"The dryer is set hotter than this stands: {limits.CapReason}.",
                Invariant($"{hottestPartsC:0.#} °C"),
                Invariant($"{cap:0.#} °C"),
                "graftbench-limit",
                Invariant(
                    $"Set it to {temperatureC + (dryer.SpreadDeltaK ?? 0):0.#} °C, for which the time below holds, or take off what sets the limit."
                )
            );
        }
        if (need.AdviceH is null)
        {
            yield return new Finding(
                Verdict.FixFirst,
                "drying.no-answer",
                where,
                $"No drying time with this dryer. {need.Why.TrimEnd('.')}.",
                Invariant($"{temperatureC:0.#} °C, {humidityPercent:0.0} % RH"),
                Invariant($"{BakeModel.ColdestC:0} to {BakeModel.HottestC:0} °C"),
                BakeModel.SourceId,
                instead ?? "Use another dryer: hotter, or with desiccant."
            );
        }
        else if (temperatureC < BakeModel.MeantFromC)
        {
            yield return new Finding(
                Verdict.Warning,
                "drying.cold-dryer",
                where,
                "The dryer is colder than the model is meant for; the table's 40 °C column lies below, so the time is an estimate between them.",
                Invariant($"{temperatureC:0.#} °C"),
                Invariant($"from {BakeModel.MeantFromC:0} °C"),
                BakeModel.SourceId,
                "Weigh during drying and go by the end point."
            );
        }
    }

    private static IEnumerable<Finding> Budget(
        string where,
        Subject subject,
        DryingContext context,
        IReadOnlyList<BodyDrying> bodies,
        BakeBudget budget,
        double? usedC,
        DateTimeOffset? lostAt
    )
    {
        double aboveC = Constants.Value("budget.above");
        if (budget.OverheatedH > 0)
        {
            yield return new Finding(
                Verdict.Warning,
                "drying.baked-too-hot",
                where,
                "A logged bake was hotter than a user may bake; what it did to the parts is not known.",
                Invariant($"{budget.OverheatedH:0.#} h"),
                Invariant($"{BakeModel.HottestC:0} °C"),
                "jstd-033-rules",
                "Look at plastics and labels; note it for the hand-over."
            );
        }
        if (budget.PlannedH > budget.LeftH + 1e-9)
        {
            double spreadDeltaK = context.Job.Dryer.SpreadDeltaK ?? 0;
            // Set so that the hottest part stays at the limit, the coldest are colder by the spread twice.
            double coolH = Longest(subject, context, bodies, aboveC - (2 * spreadDeltaK));
            string instead =
                coolH > 0
                    ? Invariant(
                        $" At {aboveC - spreadDeltaK:0.#} °C or below hours are not limited: {Math.Ceiling(coolH):0} h there."
                    )
                    : "";
            yield return new Finding(
                Verdict.Blocker,
                "drying.bake-budget",
                where,
                Invariant(
                    $"Above {aboveC:0} °C one part may spend {budget.LimitH:0} h in all; this bake does not fit."
                ),
                Invariant($"{budget.SpentH:0.#} h spent and {budget.PlannedH:0.#} h planned at {usedC:0.#} °C"),
                Invariant($"{budget.LimitH:0} h"),
                "jstd-033-rules",
                lostAt is { } since
                    ? $"Enter where {OtherDryer.Spoken(where)} has been since {Stamp(since)}: it may be dry still, and needs no bake then. Otherwise bake cooler.{instead}"
                    : $"Bake cooler.{instead}"
            );
        }
        else if (budget.SpentH > budget.LimitH)
        {
            yield return new Finding(
                Verdict.Warning,
                "drying.bake-budget-spent",
                where,
                Invariant($"The hours above {aboveC:0} °C are used up."),
                Invariant($"{budget.SpentH:0.#} h"),
                Invariant($"{budget.LimitH:0} h"),
                "jstd-033-rules",
                Invariant($"Bake at {aboveC:0} °C or below from now on.")
            );
        }
    }

    private static double Longest(
        Subject subject,
        DryingContext context,
        IReadOnlyList<BodyDrying> bodies,
        double temperatureC
    )
    {
        double longestH = 0;
        for (int i = 0; i < bodies.Count; i++)
        {
            if (bodies[i].AdviceH != 0)
            {
                BakeAdvice advice = BakeAdvice.For(
                    subject.Bodies[i].Body,
                    BodyPlanner.Over(bodies[i].FloorLife),
                    temperatureC,
                    context.HumidityPercent(temperatureC),
                    context.Job.Dryer.SpreadDeltaK
                );
                longestH = Math.Max(longestH, advice.AdviceH ?? 0);
            }
        }
        return longestH;
    }

    private static IEnumerable<Finding> Board(
        string where,
        Subject subject,
        DryingContext context,
        LaminateDrying? laminate,
        SubjectPlanner.Need need
    )
    {
        if (subject.Board is not { } board)
        {
            yield break;
        }
        List<string> unsure = board
            // Kinds without a published limit are asked about anyway.
            .Parts.Where(part =>
                !part.TakenOff
                && PartKinds.Of(part.Kind) is { MoistureSensitive: YesNo.Unknown, TakeOffBeforeDrying: YesNo.No }
            )
            .Select(part => part.Ref)
            .ToList();
        if (unsure.Count > 0 && context.BoardBakeRequired && subject.LaminateCounts)
        {
            yield return new Finding(
                Verdict.Unknown,
                "drying.sensitivity-unknown",
                where,
                $"Whether these take up moisture is not known, they are not counted: {DryingLimits.List(unsure)}.",
                Source: "graftbench-limit",
                Todo: "Look in their data sheets; enter a part that has a moisture level as a moulded package."
            );
        }
        if (board.Parts.Count == 0 && context.BoardBakeRequired)
        {
            yield return new Finding(
                Verdict.Unknown,
                "drying.no-parts",
                where,
                "No part is entered: what must come off before drying, and what caps the temperature, is not known.",
                Source: "job-file",
                Todo: "Look for cells, electrolytics and plastics on both sides and enter them."
            );
        }
        if (!context.BoardBakeRequired)
        {
            yield return new Finding(
                Verdict.Ok,
                "drying.no-board-bake",
                where,
                "No body is planned above 200 °C: the standard asks for no board bake.",
                Invariant($"{context.Job.Wishes.HottestBodyC:0.#} °C"),
                Invariant($"{Constants.Value("board-rework.no-bake-up-to"):0} °C"),
                "jstd-033-board-rework"
            );
        }
        if (need.AdviceH > 0 && board.Finish == FinishKind.Organic && subject.LaminateCounts)
        {
            BoardLimit finish = BoardLimits.Of("organic-finish");
            yield return new Finding(
                Verdict.Warning,
                "drying.organic-finish",
                where,
                $"Organic finish: {finish.Note}",
                Source: finish.Source,
                Todo: "Keep temperature and time as low as the bodies allow, and expect to clean and tin the lands afresh."
            );
        }
        if (laminate is { } drying && subject.LaminateCounts && context.BoardBakeRequired)
        {
            if (drying.HighH is null)
            {
                yield return new Finding(
                    Verdict.Unknown,
                    "drying.laminate-floor",
                    where,
                    drying.Says,
                    Invariant($"{drying.FloorPercent:0.00} % by weight"),
                    Invariant($"{drying.TargetPercent:0.00} % by weight"),
                    drying.Source,
                    "Go by weighing; use desiccant or a hotter dryer if the board allows it."
                );
            }
            if (drying.PlanesBarIt)
            {
                yield return new Finding(
                    Verdict.Unknown,
                    "drying.laminate-planes",
                    where,
                    Invariant(
                        $"Solid copper planes may keep moisture in the middle of the board: about {drying.PlaneDays:0} days for 20 mm between openings. No short bake proves it dry."
                    ),
                    Source: drying.Source,
                    Todo: "Weigh the board during drying and go by the end point; heat slowly and evenly."
                );
            }
        }
    }
}
