using Graftbench.Core.Findings;
using Graftbench.Core.Jobs;
using Graftbench.Core.Physics.Heat;

namespace Graftbench.Core.Heating;

/// <summary>
/// Settings for one heat: nozzle first, then the schedule with the most room to every limit, then how sure it is and what
/// would make it better.
/// </summary>
public static class HeatPlanner
{
    private const double UsualChanceFraction = 0.9;

    // Each costs a model and a search of its own.
    private const int MostOtherNozzles = 2;

    /// <summary>Plans one heat.</summary>
    /// <param name="request">What is asked.</param>
    /// <param name="models">Models to work with.</param>
    /// <param name="progress">Told what is done; null for nobody.</param>
    /// <param name="cancel">Stops it between steps.</param>
    /// <returns>A plan; without settings where the job does not say enough or a model could not be solved.</returns>
    public static HeatPlan Plan(
        HeatRequest request,
        IHeatModels models,
        IProgress<PlanProgress>? progress = null,
        CancellationToken cancel = default
    )
    {
        Require.Within(request.Samples, 10, 100_000);
        Require.Within(request.Workers, 1, 256);
        double? flow = MiddleFlow(request.Job.Bench.Heat)?.FlowPercent;
        BoardHeatModel first = models.Build(request.Job, request.Task, request.ChipId, null, flow);
        // Nothing to set: settings for an invented bench would be no answer.
        if (first.Case.Boxes.Count == 0 || first.Findings.Any(one => one.Code == NozzleLayout.NoHeaterCode))
        {
            return HeatAnswers.None(request, first, first.Findings);
        }
        try
        {
            return new Work(request, models, progress, cancel).Plan(first, flow);
        }
        catch (Exception error) when (Failure(error) is { } reason)
        {
            return HeatAnswers.None(
                request,
                first,
                [
                    new Finding(
                        Verdict.Blocker,
                        "heat.no-solution",
                        HeatAnswers.Subject(request),
                        $"The heat model could not be solved, so there are no settings: {reason}",
                        Todo: "Check sizes and materials of the boards and the chip; report the job if they are right."
                    ),
                    .. first.Findings,
                ]
            );
        }
    }

    /// <summary>The airflow step that a plan starts from: the middle one, since strong flow may move small parts.</summary>
    internal static FlowStep? MiddleFlow(HeatTools tools)
    {
        List<FlowStep> steps = [.. tools.Gas.FlowSteps.OrderBy(step => step.FlowPercent)];
        return steps.Count == 0 ? null : steps[steps.Count / 2];
    }

    // What runs in parallel comes wrapped.
    private static string? Failure(Exception error) =>
        error switch
        {
            HeatModelException => error.Message,
            AggregateException many => many.Flatten()
                .InnerExceptions.OfType<HeatModelException>()
                .FirstOrDefault()
                ?.Message,
            _ => null,
        };

    private sealed class Work(
        HeatRequest request,
        IHeatModels models,
        IProgress<PlanProgress>? progress,
        CancellationToken cancel
    )
    {
        private readonly ParallelOptions parallel = new()
        {
            MaxDegreeOfParallelism = request.Workers,
            CancellationToken = cancel,
        };

        private const double SearchFromFraction = 0.2;
        private const double SearchToFraction = 0.8;
        private int turn;
        private int turns = 1;

        public HeatPlan Plan(BoardHeatModel first, double? flow)
        {
            IReadOnlyList<NozzleTrial> ranked = Ranked(first, flow);
            List<Attempt> tried = Attempts(ranked, flow);
            Attempt best = tried.OrderByDescending(one => one.Rank).First();
            List<Attempt> others = [.. tried.Where(one => one != best)];
            (BoardHeatModel model, IReadOnlyList<HeatLimit> limits, BenchSettings bench) = (
                best.Model,
                best.Limits,
                best.Bench
            );
            (ScheduleAnswer answer, HeatSamples samples, FullHeatRun full) = (
                best.Found.Answer,
                best.Found.Samples,
                best.Found.Full
            );
            double heatingS = bench.HeatingS(answer.Values);
            IReadOnlyList<HeatMoment> moments = Moments.Of(full.Trace, model.Places, model, heatingS, request.Task);
            Tell("Ranking probe places", 0.8);
            IReadOnlyList<ProbeAdvice> probes = ProbePlacer.Rank(samples, model, best.Runner.Places);
            IReadOnlyList<HeatSensitivity> moves = Sensitivity.Of(best.Runner, model, best.Found.Schedule, parallel);
            IReadOnlyList<HeatRemedy> remedies = best.Enough
                ? []
                : new RemedySearch(
                    request,
                    models,
                    model,
                    [best.Trial.Nozzle, .. others.Select(one => one.Trial.Nozzle)],
                    [.. others.SelectMany(Barred)],
                    flow,
                    limits,
                    Wanted(),
                    parallel,
                    Tell
                ).Run(new RemedyReach(answer, best.Chance.AllKeptFraction), samples.WithChances(answer.Figures));
            HeatPlan plan = new(
                request.Task,
                HeatAnswers.Subject(request),
                request.ChipId,
                best.Found.Possible ? HeatPlanState.Planned : HeatPlanState.NotPossible,
                "",
                Moments.WithSights(bench.Stages(answer.Values, best.Found.CoolingS, moments), moments),
                Choice(best, others, ranked, limits),
                best.Found.Schedule,
                samples.WithChances(answer.Figures),
                CurveList.Of(full.Trace, best.Found.Schedule, model),
                moments,
                probes,
                best.Chance,
                moves,
                remedies,
                model,
                full.Trust,
                full.Planes,
                []
            );
            Tell("Done", 1);
            return HeatAnswers.Finished(plan, answer.Blocking, bench.Assumptions, request.Job.Wishes.HottestBodyC);
        }

        // A usual schedule ranks nozzles by how evenly they heat. What counts is the chance, so where the first is not
        // enough the next ones that lie on the bench are planned as well.
        private List<Attempt> Attempts(IReadOnlyList<NozzleTrial> ranked, double? flow)
        {
            List<NozzleTrial> others = [.. ranked.Skip(1).Where(one => one.Listed).Take(MostOtherNozzles)];
            turns = 1 + others.Count;
            List<Attempt> tried = [Try(ranked[0], flow)];
            foreach (NozzleTrial trial in others)
            {
                if (tried[^1].Enough)
                {
                    break;
                }
                turn++;
                try
                {
                    tried.Add(Try(trial, flow));
                }
                catch (Exception error) when (Failure(error) is not null)
                {
                    // The one that was planned already is an answer.
                }
            }
            (turn, turns) = (0, 1);
            return tried;
        }

        private Attempt Try(NozzleTrial trial, double? flow)
        {
            Tell($"Building the model, nozzle {trial.Nozzle.Name}", 0.2);
            BoardHeatModel model = WithProbes(
                models.Build(request.Job, request.Task, request.ChipId, trial.Nozzle, flow)
            );
            IReadOnlyList<HeatLimit> limits = models.Limits(request.Job, request.Task, model);
            IHeatRunner runner = models.Reduced(
                model,
                rough: false,
                progress is null ? null : new SharedProgress(share => Tell("Building the model", 0.2 + 0.2 * share)),
                cancel
            );
            BenchSettings bench = BenchSettings.Of(request.Job, request.Task, model);
            FoundPlan found = new PlanSearch(
                request,
                models,
                model,
                limits,
                runner,
                bench,
                Wanted(),
                parallel,
                Tell
            ).Run();
            return new Attempt(trial, model, limits, runner, bench, found, found.Samples.Chance(Wanted()));
        }

        // Parts without which the nozzle might do.
        private static IEnumerable<(Nozzle Nozzle, string Part)> Barred(Attempt attempt) =>
            Remedies
                .Blocked(
                    RemedySearch.Held(
                        attempt.Found.Answer,
                        attempt.Found.Samples.WithChances(attempt.Found.Answer.Figures)
                    ),
                    attempt.Model
                )
                .Select(part => (attempt.Trial.Nozzle, part));

        private NozzleChoice Choice(
            Attempt best,
            IReadOnlyList<Attempt> others,
            IReadOnlyList<NozzleTrial> ranked,
            IReadOnlyList<HeatLimit> limits
        )
        {
            NozzleTrial chosen = best.Trial;
            string why = NozzleChooser.Why(chosen, ranked, limits);
            if (others.Count > 0)
            {
                string against = string.Join(
                    ", ",
                    others.Select(one => $"{ChanceText.Of(one.Chance.AllKeptFraction)} with {one.Trial.Nozzle.Name}")
                );
                why += $" Planned in full: chance {ChanceText.Of(best.Chance.AllKeptFraction)}, against {against}.";
            }
            return new NozzleChoice(
                chosen.Listed ? chosen.Nozzle.Name : null,
                chosen.Opening.X1Mm - chosen.Opening.X0Mm,
                chosen.Opening.Y1Mm - chosen.Opening.Y0Mm,
                (chosen.Opening.X0Mm + chosen.Opening.X1Mm) / 2,
                (chosen.Opening.Y0Mm + chosen.Opening.Y1Mm) / 2,
                chosen.OverhangMm,
                MiddleFlow(request.Job.Bench.Heat)?.Name,
                why
            );
        }

        private sealed record Attempt(
            NozzleTrial Trial,
            BoardHeatModel Model,
            IReadOnlyList<HeatLimit> Limits,
            IHeatRunner Runner,
            BenchSettings Bench,
            FoundPlan Found,
            HeatChance Chance
        )
        {
            public bool Enough => Found.Possible && Chance.AllKeptFraction >= Chance.WantedFraction;

            public (bool Possible, double ChanceFraction) Rank => (Found.Possible, Chance.AllKeptFraction);
        }

        // Each nozzle that is planned has its turn of the stretch in which plans are searched: what is done falls back for none.
        private void Tell(string step, double share) =>
            progress?.Report(
                new PlanProgress(
                    step,
                    share is < SearchFromFraction or > SearchToFraction
                        ? share
                        : SearchFromFraction
                            + ((turn * (SearchToFraction - SearchFromFraction)) + share - SearchFromFraction) / turns
                )
            );

        private double Wanted() => request.Job.Wishes.Heat.ChancePercent / 100 ?? UsualChanceFraction;

        private BoardHeatModel WithProbes(BoardHeatModel model) =>
            request.Probes.Count == 0 ? model : model with { Places = [.. model.Places, .. request.Probes] };

        private IReadOnlyList<NozzleTrial> Ranked(BoardHeatModel first, double? flow)
        {
            Tell("Comparing nozzles", 0.02);
            IReadOnlyList<HeatLimit> limits = models.Limits(request.Job, request.Task, first);
            BenchSettings bench = BenchSettings.Of(request.Job, request.Task, first);
            HeatSchedule usual = bench.Schedule(bench.Starts()[0], 60);
            IReadOnlyList<NozzleTrial> ranked = NozzleChooser.Rank(
                request.Job.Bench.Heat,
                first.Chip,
                limits,
                nozzle =>
                {
                    BoardHeatModel model = models.Build(request.Job, request.Task, request.ChipId, nozzle, flow);
                    if (model.Case.Boxes.Count == 0)
                    {
                        return null;
                    }
                    return (model, models.Quick(model, usual, cancel), models.Limits(request.Job, request.Task, model));
                },
                parallel
            );
            return ranked.Count > 0 ? ranked : throw new HeatModelException("no nozzle of the bench gives a model.");
        }
    }
}
