using Graftbench.Core.Facts;
using Graftbench.Core.Findings;

namespace Graftbench.Core.Heating;

/// <summary>The answer line and the findings of a heat plan.</summary>
internal static class HeatAnswers
{
    /// <summary>What is heated.</summary>
    public static string Subject(HeatRequest request) =>
        request.Task == HeatTask.AttachBalls ? $"chip {request.ChipId}"
        : ReferenceEquals(Remedies.BoardOf(request.Job, request.Task, request.ChipId), request.Job.Host) ? "host board"
        : "donor board";

    /// <summary>No settings, and why.</summary>
    public static HeatPlan None(HeatRequest request, BoardHeatModel model, IReadOnlyList<Finding> findings)
    {
        IReadOnlyList<Finding> sorted = Finding.WorstFirst(findings);
        Finding? reason = model.Lacks ?? (sorted is [{ } worst, ..] ? worst : null);
        return new HeatPlan(
            request.Task,
            Subject(request),
            request.ChipId,
            HeatPlanState.NoAnswer,
            reason is null ? "No settings." : $"No settings: {reason.What}",
            [],
            null,
            null,
            [],
            null,
            [],
            [],
            null,
            [],
            [],
            model,
            null,
            [],
            sorted
        );
    }

    /// <summary>The plan with its answer line and findings.</summary>
    public static HeatPlan Finished(
        HeatPlan plan,
        IReadOnlyList<HeatLimit> blocking,
        IReadOnlyList<string> assumed,
        double? hottestBodyC
    ) =>
        plan with
        {
            Answer = Answer(plan),
            Findings = Finding.WorstFirst([
                .. Limits(plan, blocking),
                .. HotterThanPlanned(plan, hottestBodyC),
                .. Trust(plan),
                .. Chance(plan),
                .. Nozzle(plan),
                .. Bench(plan, assumed),
                .. plan.Model!.Findings,
            ]),
        };

    private static string Answer(HeatPlan plan) =>
        plan.Model!.Findings.FirstOrDefault(finding => finding.Verdict == Verdict.Blocker) is { } against
            ? $"Do not heat it: {against.What} {against.Todo}"
            : Settings(plan);

    private static string Settings(HeatPlan plan)
    {
        if (plan.State != HeatPlanState.Planned)
        {
            return plan.Deciding is { Margin: < 0, Limit.Hard: true } worst
                ? $"Not possible as it is: {Passed(worst)}."
                : "Not possible as it is.";
        }
        int heated = plan.Stages.Count(stage => stage.GasC is not null);
        double endS = plan.Stages.Where(stage => stage.GasC is not null).Sum(stage => stage.DurationS);
        string stages = heated == 1 ? "Stage 1" : $"Stages 1-{heated}";
        string joint = plan.Task == HeatTask.AttachBalls ? "ball" : "joint";
        double? moltenS = Of(plan, HeatLimitKind.MoltenTimeLeast)?.Figure;
        string molten = plan.Moments.Any(moment => moment.Name == HeatMoments.AllMolten)
            ? moltenS is { } s
                ? $"every {joint} molten for {s:0} s"
                : $"every {joint} molten"
            : $"not every {joint} melts";
        string body = Of(plan, HeatLimitKind.BodyPeak) is { } top
            ? top.Margin >= 0
                ? $", body {top.Margin:0} K under its limit"
                : $", body {-top.Margin:0} K over its limit"
            : "";
        string chance = plan.Chance is { } sure ? $"; chance {ChanceText.Of(sure.AllKeptFraction)}" : "";
        return $"{stages}, {Places.Clock(endS)}: {molten}{body}{chance}";
    }

    private static string Passed(HeatFigure figure)
    {
        string unit = figure.Limit.Unit;
        return figure.Limit.AtLeast
            ? $"{figure.Limit.Title} {figure.Figure:0.#} {unit}, at least {figure.Limit.Value:0.#} {unit} needed"
            : $"{figure.Limit.Title} {figure.Figure:0.#} {unit}, at most {figure.Limit.Value:0.#} {unit} allowed";
    }

    private static HeatFigure? Of(HeatPlan plan, HeatLimitKind kind) =>
        plan.Figures.FirstOrDefault(figure => figure.Limit.Kind == kind);

    private static IEnumerable<Finding> Limits(HeatPlan plan, IReadOnlyList<HeatLimit> blocking)
    {
        foreach (HeatFigure figure in plan.Figures.Where(one => one.Margin < 0))
        {
            string against = string.Join(
                ", ",
                blocking.Where(one => one.AtLeast != figure.Limit.AtLeast).Take(2).Select(one => one.Title)
            );
            HeatRemedy? help = plan.Remedies.OrderByDescending(one => one.Enough).FirstOrDefault();
            yield return new Finding(
                figure.Limit.Hard ? Verdict.Blocker : Verdict.Warning,
                figure.Limit.Hard ? "heat.limit-passed" : "heat.goal-missed",
                Where(plan, figure.Limit),
                $"{figure.Limit.Title}: {figure.Figure:0.#} {figure.Limit.Unit} {(figure.Limit.AtLeast ? "is below" : "is over")} {figure.Limit.Value:0.#} {figure.Limit.Unit} with the best settings of this bench"
                    + (against.Length == 0 ? "." : $"; it stands against {against}."),
                $"{figure.Figure:0.#} {figure.Limit.Unit}",
                $"{figure.Limit.Value:0.#} {figure.Limit.Unit}",
                figure.Limit.Source,
                help is null ? "Relax the goal, change the nozzle, or protect the part."
                    : help.Enough ? help.What
                    : $"{help.What} Not enough by itself."
            );
        }
        if (plan.Figures.Count > 0 && plan.Figures.All(one => one.Margin >= 0))
        {
            HeatFigure tightest = plan.Figures[0];
            yield return new Finding(
                Verdict.Ok,
                "heat.limits-kept",
                plan.Subject,
                $"Every limit is kept; the tightest is {tightest.Limit.Title} with {tightest.Margin:0.#} {(tightest.Limit.Unit == "°C" ? "K" : tightest.Limit.Unit)} left.",
                $"{tightest.Figure:0.#} {tightest.Limit.Unit}",
                $"{tightest.Limit.Value:0.#} {tightest.Limit.Unit}",
                tightest.Limit.Source
            );
        }
    }

    // Drying leaves the board's bake out where no body is planned above its limit, so the two plans must agree.
    private static IEnumerable<Finding> HotterThanPlanned(HeatPlan plan, double? hottestBodyC)
    {
        HeatFigure? hottest = plan
            .Figures.Where(one => one.Limit.Kind is HeatLimitKind.BodyPeak or HeatLimitKind.NeighbourPeak)
            .MaxBy(one => one.Figure);
        if (hottestBodyC is not { } plannedC || hottest is null || !(hottest.Figure > plannedC))
        {
            yield break;
        }
        const string NoBake = "board-rework.no-bake-up-to";
        double noBakeC = Constants.Value(NoBake);
        bool bakeLeftOut = plannedC <= noBakeC && hottest.Figure > noBakeC;
        yield return new Finding(
            bakeLeftOut ? Verdict.FixFirst : Verdict.Warning,
            "heat.hotter-than-planned",
            Where(plan, hottest.Limit),
            $"{hottest.Limit.Title} gets hotter than the job plans for any body"
                + (bakeLeftOut ? ", and the drying left the board's bake out because of that." : "."),
            $"{hottest.Figure:0.#} °C",
            $"{plannedC:0.#} °C",
            bakeLeftOut ? Constants.Source(NoBake) : "job-file",
            $"Enter at least {Math.Ceiling(hottest.Figure):0} °C as the hottest body and plan the drying again."
        );
    }

    private static string Where(HeatPlan plan, HeatLimit limit)
    {
        string? part = plan.Model!.Places.FirstOrDefault(place =>
            string.Equals(place.Name, limit.Place, StringComparison.Ordinal)
        )?.Part;
        return part is null || string.Equals(part, plan.ChipId, StringComparison.Ordinal)
            ? $"{plan.Subject}, chip {plan.ChipId}"
            : $"{plan.Subject}, {part}";
    }

    private static IEnumerable<Finding> Trust(HeatPlan plan)
    {
        HeatAssumption[] films =
        [
            .. plan.Model!.Assumptions.Where(one =>
                one is { Measured: false, Factor: "TopFactor" or "BottomFactor", LogSdRatio: > 0 }
            ),
        ];
        if (films.Length > 0)
        {
            yield return new Finding(
                Verdict.Warning,
                "heat.not-calibrated",
                plan.Subject,
                $"{(plan.Model.Calibrated is null ? "This bench was never calibrated, usual figures count" : "The calibration does not cover this heat whole")}: {string.Join("; ", films.Select(one => one.What.TrimEnd('.')))}.",
                Source: films[0].Source,
                Todo: "Calibrate the bench with a trial run on a scrap board (Bench screen, heat calibrate), or watch a probe during the heat."
            );
        }
        if (plan is { Model.Calibrated: { } calibrated, Schedule: { } schedule })
        {
            double gasC = schedule.Gas.Max(point => point.TemperatureC);
            double belowC = schedule.Preheater.Max(point => point.TemperatureC);
            const double Beyond = CalibrationUse.BeyondDeltaK;
            if (gasC > calibrated.HottestGasC + Beyond || belowC > calibrated.HottestPreheaterC + Beyond)
            {
                yield return new Finding(
                    Verdict.Warning,
                    "heat.calibration-beyond",
                    plan.Subject,
                    "This heat is set hotter than the trial that calibrated the bench.",
                    $"gas {gasC:0} °C, bottom heater {belowC:0} °C",
                    $"gas {calibrated.HottestGasC + Beyond:0} °C, bottom heater {calibrated.HottestPreheaterC + Beyond:0} °C",
                    "graftbench-estimate",
                    "Run the next trial as hot as the jobs are."
                );
            }
        }
        const double Allowed = 2;
        if (plan.Trust is not { } trust)
        {
            yield break;
        }
        if ((trust.CorrectedErrorDeltaK ?? trust.ReducedErrorDeltaK) is > Allowed and { } left)
        {
            yield return new Finding(
                Verdict.Warning,
                "heat.reduced-model-off",
                plan.Subject,
                $"The reduced model, which searched the settings, is up to {left:0.0} K off the full one{(trust.CorrectedErrorDeltaK is null ? " at joints and body" : ", also after its search was repeated with the difference taken into account")}; figures are those of the full model, chances may be off by as much.",
                $"{left:0.0} K",
                $"{Allowed:0} K",
                "graftbench-estimate"
            );
        }
        else if (trust.CorrectedErrorDeltaK is { } small)
        {
            yield return new Finding(
                Verdict.Ok,
                "heat.reduced-model-corrected",
                plan.Subject,
                $"At the first settings the reduced model was up to {trust.FirstErrorDeltaK:0.0} K off the full one at a limit, so the search was repeated with the difference taken into account; {small:0.0} K of it is left.",
                $"{small:0.0} K",
                $"{Allowed:0} K",
                "graftbench-estimate"
            );
        }
    }

    private static IEnumerable<Finding> Chance(HeatPlan plan)
    {
        if (plan.Chance is not { } chance)
        {
            yield break;
        }
        if (chance.AllKeptFraction < chance.WantedFraction)
        {
            // How far above full melt the coldest joint gets is no part of the chance; that it melts is.
            HeatFigure? likeliest = plan
                .Figures.Where(one =>
                    one.Limit.Hard && one.Limit.Kind != HeatLimitKind.ColdestJointPeak && one.PassedChanceFraction > 0
                )
                .MaxBy(one => one.PassedChanceFraction);
            double unmelted = 1 - chance.AllMoltenFraction;
            string which =
                likeliest is null || unmelted > likeliest.PassedChanceFraction
                    ? $"; most often a joint does not melt ({ChanceText.Of(unmelted)})"
                    : $"; most often passed: {likeliest.Limit.Title} ({ChanceText.Of(likeliest.PassedChanceFraction)})";
            yield return new Finding(
                Verdict.FixFirst,
                "heat.chance-low",
                plan.Subject,
                $"The chance that every joint melts and no limit is passed is {ChanceText.Of(chance.AllKeptFraction, chance.AllKeptErrorFraction)}{which}.",
                ChanceText.Of(chance.AllKeptFraction),
                ChanceText.Wanted(chance.WantedFraction),
                "job-file",
                plan.Remedies.FirstOrDefault(one => one.Enough)?.What
                    ?? "Calibrate the bench or watch a probe during the heat: both raise the chance."
            );
        }
        else
        {
            yield return new Finding(
                Verdict.Ok,
                "heat.chance",
                plan.Subject,
                $"The chance that every joint melts and no limit is passed is {ChanceText.Of(chance.AllKeptFraction, chance.AllKeptErrorFraction)} over {chance.Samples} samples.",
                ChanceText.Of(chance.AllKeptFraction),
                ChanceText.Wanted(chance.WantedFraction),
                "graftbench-estimate"
            );
        }
    }

    private static IEnumerable<Finding> Nozzle(HeatPlan plan)
    {
        if (plan.Nozzle is { OverhangMm: < 0 } nozzle)
        {
            yield return new Finding(
                Verdict.FixFirst,
                "heat.nozzle-small",
                plan.Subject,
                $"The nozzle ends {-nozzle.OverhangMm:0.#} mm inside the chip's edge: the outer joints get no hot gas.",
                $"{nozzle.OverhangMm:0.#} mm",
                "0 mm",
                "common-practice",
                "Get a nozzle that reaches beyond the chip."
            );
        }
        else if (plan.Nozzle is { Name: null })
        {
            yield return new Finding(
                Verdict.Unknown,
                "heat.nozzle-not-listed",
                plan.Subject,
                $"The bench lists no nozzle; the plan is for one of {plan.Nozzle.LengthMm:0.#} x {plan.Nozzle.WidthMm:0.#} mm.",
                Source: "job-file",
                Todo: "Enter the nozzles at hand."
            );
        }
    }

    private static IEnumerable<Finding> Bench(HeatPlan plan, IReadOnlyList<string> assumed)
    {
        if (assumed.Count > 0)
        {
            yield return new Finding(
                Verdict.Unknown,
                "heat.bench-assumed",
                plan.Subject,
                $"Assumed of the bench: {string.Join(" ", assumed)}",
                Source: "common-practice",
                Todo: "Enter what the heaters can do."
            );
        }
    }
}
