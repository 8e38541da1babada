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

        public HeatPlan Plan(BoardHeatModel first, double? flow)
        {
            (NozzleChoice choice, Nozzle nozzle) = Choose(first, flow);
            Tell("Building the model", 0.2);
            BoardHeatModel model = WithProbes(models.Build(request.Job, request.Task, request.ChipId, nozzle, flow));
            IReadOnlyList<HeatLimit> limits = models.Limits(request.Job, request.Task, model);
            IHeatRunner runner = models.Reduced(
                model,
                rough: false,
                progress is null ? null : new SharedProgress(share => Tell("Building the model", 0.2 + 0.2 * share)),
                cancel
            );
            BenchSettings bench = BenchSettings.Of(request.Job, request.Task, model);
            PlanSearch search = new(request, models, model, limits, runner, bench, Wanted(), parallel, Tell);
            FoundPlan found = search.Run();
            (ScheduleAnswer answer, HeatSamples samples, FullHeatRun full) = (found.Answer, found.Samples, found.Full);
            double heatingS = bench.HeatingS(answer.Values);
            IReadOnlyList<HeatMoment> moments = Moments.Of(full.Trace, model.Places, model, heatingS, request.Task);
            HeatChance chance = samples.Chance(Wanted());
            Tell("Ranking probe places", 0.8);
            IReadOnlyList<ProbeAdvice> probes = ProbePlacer.Rank(samples, model, runner.Places);
            IReadOnlyList<HeatSensitivity> moves = Sensitivity.Of(runner, model, found.Schedule, parallel);
            IReadOnlyList<HeatRemedy> remedies =
                found.Possible && chance.AllKeptFraction >= chance.WantedFraction
                    ? []
                    : new RemedySearch(request, models, model, nozzle, flow, limits, Wanted(), parallel, Tell).Run(
                        new RemedyReach(answer, chance.AllKeptFraction),
                        samples.WithChances(answer.Figures)
                    );
            HeatPlan plan = new(
                request.Task,
                HeatAnswers.Subject(request),
                request.ChipId,
                found.Possible ? HeatPlanState.Planned : HeatPlanState.NotPossible,
                "",
                Moments.WithSights(bench.Stages(answer.Values, found.CoolingS, moments), moments),
                choice,
                found.Schedule,
                samples.WithChances(answer.Figures),
                CurveList.Of(full.Trace, found.Schedule, model),
                moments,
                probes,
                chance,
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

        private void Tell(string step, double share) => progress?.Report(new PlanProgress(step, share));

        private double Wanted() => request.Job.Wishes.Heat.ChancePercent / 100 ?? UsualChanceFraction;

        private BoardHeatModel WithProbes(BoardHeatModel model) =>
            request.Probes.Count == 0 ? model : model with { Places = [.. model.Places, .. request.Probes] };

        private (NozzleChoice Choice, Nozzle Nozzle) Choose(BoardHeatModel first, double? flow)
        {
            Tell("Comparing nozzles", 0.02);
            HeatTools tools = request.Job.Bench.Heat;
            IReadOnlyList<HeatLimit> limits = models.Limits(request.Job, request.Task, first);
            BenchSettings bench = BenchSettings.Of(request.Job, request.Task, first);
            HeatSchedule usual = bench.Schedule(bench.Starts()[0], 60);
            IReadOnlyList<NozzleTrial> ranked = NozzleChooser.Rank(
                tools,
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
            if (ranked.Count == 0)
            {
                throw new HeatModelException("no nozzle of the bench gives a model.");
            }
            NozzleTrial chosen = ranked[0];
            string? step = MiddleFlow(tools)?.Name;
            NozzleChoice choice = new(
                chosen.Listed ? chosen.Nozzle.Name : null,
                chosen.Opening.X1Mm - chosen.Opening.X0Mm,
                chosen.Opening.Y1Mm - chosen.Opening.Y0Mm,
                (chosen.Opening.X0Mm + chosen.Opening.X1Mm) / 2,
                (chosen.Opening.Y0Mm + chosen.Opening.Y1Mm) / 2,
                chosen.OverhangMm,
                step,
                NozzleChooser.Why(chosen, ranked, limits)
            );
            return (choice, chosen.Nozzle);
        }
    }
}
