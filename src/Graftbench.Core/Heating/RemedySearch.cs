using Graftbench.Core.Findings;
using Graftbench.Core.Jobs;
using Graftbench.Core.Physics.Heat;

namespace Graftbench.Core.Heating;

/// <summary>Tries what would help a plan that passes a limit or has too little chance, each on a rough model of its own.</summary>
/// <param name="request">What is asked.</param>
/// <param name="models">Models to work with.</param>
/// <param name="model">Model of the plan.</param>
/// <param name="planned">Nozzles that were planned in full, the plan's own first.</param>
/// <param name="barred">Others of them, each with a part that it heats too much.</param>
/// <param name="flow">Flow of the plan [%].</param>
/// <param name="limits">Limits of the plan.</param>
/// <param name="wantedFraction">Chance that was asked for.</param>
/// <param name="parallel">How many at once.</param>
/// <param name="tell">Told what is done.</param>
internal sealed class RemedySearch(
    HeatRequest request,
    IHeatModels models,
    BoardHeatModel model,
    IReadOnlyList<Nozzle> planned,
    IReadOnlyList<(Nozzle Nozzle, string Part)> barred,
    double? flow,
    IReadOnlyList<HeatLimit> limits,
    double wantedFraction,
    ParallelOptions parallel,
    Action<string, double> tell
)
{
    /// <summary>Tries the changes that may help.</summary>
    /// <param name="before">What is reached without any.</param>
    /// <param name="figures">Figures of the plan with the chances that each limit is passed.</param>
    /// <returns>Remedies, best first.</returns>
    public IReadOnlyList<HeatRemedy> Run(RemedyReach before, IReadOnlyList<HeatFigure> figures)
    {
        List<HeatLimit> held = Held(before.Answer, figures);
        IReadOnlyList<RemedyChange> changes =
        [
            .. Remedies
                .Candidates(request.Job, request.Task, request.ChipId, model, planned, barred, flow, held)
                .Take(request.MostRemedies),
        ];
        if (changes.Count == 0)
        {
            return [];
        }
        IHeatRunner present = models.Reduced(model, rough: true, null, parallel.CancellationToken);
        BenchSettings own = BenchSettings.Of(request.Job, request.Task, model);
        ModelShift rough = ModelShift.Of(present, model, own, limits, before.Answer);
        int few = Math.Min(request.Samples, ChanceSearch.FewSamples);
        // The same few samples on the same rough grid, so that a change is not credited with their luck.
        double luck =
            before.ChanceFraction
            - ChanceSearch.Kept(
                HeatSamples.Of(
                    present,
                    rough.Shifted(model),
                    own.Schedule(before.Answer.Values, ScheduleOptimiser.CoolingS),
                    own.HeatingS(before.Answer.Values),
                    rough.Shifted(limits),
                    few,
                    parallel
                )
            );
        double width = 0.17 / changes.Count;
        int done = 0;
        return Remedies.Try(
            changes,
            change =>
            {
                string step = $"Trying: {change.What}";
                double from = 0.82 + width * done++;
                tell(step, from);
                BoardHeatModel built = models.Build(
                    change.Job,
                    request.Task,
                    request.ChipId,
                    change.Nozzle ?? planned[0],
                    change.FlowPercent ?? flow
                );
                if (built.Case.Boxes.Count == 0 || AddsBlocker(model, built))
                {
                    return null;
                }
                IHeatRunner runner = models.Reduced(
                    built,
                    rough: true,
                    new SharedProgress(share => tell(step, from + 0.7 * width * share)),
                    parallel.CancellationToken
                );
                return new RemedyCase(runner, built, models.Limits(change.Job, request.Task, built));
            },
            (change, made) =>
            {
                BoardHeatModel shifted = rough.Shifted(made.Model);
                IReadOnlyList<HeatLimit> brought = rough.Shifted(made.Limits);
                BenchSettings bench = BenchSettings.Of(change.Job, request.Task, shifted, change.PreheaterMaxC);
                ScheduleOptimiser search = new(
                    made.Runner,
                    bench,
                    brought,
                    shifted.MoltenC,
                    request.Workers,
                    parallel.CancellationToken
                );
                // What the plan sets now stays possible where a remedy only adds to the bench.
                (ScheduleAnswer found, HeatSamples drawn) = new ChanceSearch(
                    search,
                    bench,
                    made.Runner,
                    shifted,
                    brought,
                    wantedFraction,
                    parallel
                ).FromBetter(
                    search.At(before.Answer.Values),
                    search.Solve(request.SearchRuns / 2, null, before.Answer.Values),
                    few
                );
                return new RemedyReach(
                    rough.Restored(found, made.Limits),
                    drawn.Complete ? Math.Clamp(ChanceSearch.Kept(drawn) + luck, 0, 1) : 0
                );
            },
            before,
            limits,
            held,
            wantedFraction,
            parallel.CancellationToken
        );
    }

    // Blockers that the plan has already are no reason to leave a change out.
    private static bool AddsBlocker(BoardHeatModel present, BoardHeatModel changed) =>
        changed.Findings.Any(one =>
            one.Verdict == Verdict.Blocker
            && !present.Findings.Any(other => other.Code == one.Code && other.Where == one.Where)
        );

    // What stands in the way: limits that are passed, then those that samples pass most often.
    internal static List<HeatLimit> Held(ScheduleAnswer answer, IReadOnlyList<HeatFigure> figures)
    {
        const double Often = 0.05;
        return
        [
            .. answer
                .Blocking.Concat(
                    figures
                        .Where(one => one.Limit.Hard && one.PassedChanceFraction > Often)
                        .OrderByDescending(one => one.PassedChanceFraction)
                        .Select(one => one.Limit)
                )
                .Distinct(),
        ];
    }
}
