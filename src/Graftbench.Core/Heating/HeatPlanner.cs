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
    private const double LongestCoolingS = 600;

    /// <summary>Plans one heat.</summary>
    /// <param name="request">What is asked.</param>
    /// <param name="models">Models to work with.</param>
    /// <param name="progress">Told what is done; null for nobody.</param>
    /// <param name="cancel">Stops it between steps.</param>
    /// <returns>A plan; without settings where the job does not say enough or a model could not be solved.</returns>
    public static HeatPlan Plan(
        HeatRequest request,
        IHeatModels models,
        IProgress<HeatProgress>? progress = null,
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
        IProgress<HeatProgress>? progress,
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
            IHeatRunner runner = models.Reduced(model, rough: false, Part("Building the model", 0.2, 0.2), cancel);
            Tell("Looking for settings", 0.4);
            BenchSettings bench = Bench(request.Job, model, null);
            ScheduleOptimiser search = new(runner, bench, limits, model.MoltenC, request.Workers, cancel);
            ScheduleAnswer answer = search.Solve(
                request.SearchRuns,
                share => Tell("Looking for settings", 0.4 + 0.1 * share)
            );
            if (!answer.Converged)
            {
                throw new HeatModelException("the reduced model gave values that are no numbers.");
            }
            Tell("Drawing samples", 0.5);
            ChanceSearch sure = new(search, bench, runner, model, limits, Wanted(), parallel);
            (answer, HeatSamples samples) = sure.From(
                answer,
                request.Samples,
                share => Tell("Drawing samples", 0.5 + 0.15 * share)
            );
            if (!samples.Complete)
            {
                throw new HeatModelException("some samples gave values that are no numbers.");
            }
            double heatingS = bench.HeatingS(answer.Values);
            double coolingS = CoolingS(runner, bench, answer.Values, model);
            HeatSchedule schedule = bench.Schedule(answer.Values, coolingS);
            Tell("Running the full model", 0.65);
            IReadOnlyList<double> pictures =
                request.PictureTimesS.Count > 0
                    ? request.PictureTimesS
                    :
                    [
                        // The peak too: between moments a picture is only drawn straight through.
                        .. Enumerable
                            .Range(0, 25)
                            .Select(i => Math.Round(schedule.DurationS * i / 24))
                            .Append(Math.Round(heatingS))
                            .Distinct()
                            .Order(),
                    ];
            FullHeatRun full = models.Full(model, schedule, runner, pictures, cancel);
            Check(full, model);
            RunFigures reader = new(model.Places, limits, model.MoltenC);
            double[] figures = new double[limits.Count];
            reader.Compute(full.Trace, heatingS, smooth: false, figures);
            // The full model has the last word on whether a limit is kept.
            bool possible = limits
                .Select((limit, i) => !limit.Hard || RunFigures.Margin(limit, figures[i]) >= 0)
                .All(kept => kept);
            IReadOnlyList<HeatMoment> moments = Moments.Of(full.Trace, model.Places, model, heatingS, request.Task);
            HeatChance chance = samples.Chance(Wanted());
            Tell("Ranking probe places", 0.8);
            IReadOnlyList<ProbeAdvice> probes = ProbePlacer.Rank(samples, model, runner.Places);
            IReadOnlyList<HeatSensitivity> moves = Sensitivity.Of(runner, model, schedule, parallel);
            IReadOnlyList<HeatRemedy> remedies =
                possible && chance.AllKeptFraction >= chance.WantedFraction
                    ? []
                    : Remedied(
                        model,
                        nozzle,
                        flow,
                        limits,
                        new RemedyReach(answer with { Figures = figures, Possible = possible }, chance.AllKeptFraction),
                        Held(answer, samples.WithChances(figures))
                    );
            HeatPlan plan = new(
                request.Task,
                HeatAnswers.Subject(request),
                request.ChipId,
                possible ? HeatPlanState.Planned : HeatPlanState.NotPossible,
                "",
                Moments.WithSights(bench.Stages(answer.Values, coolingS), moments),
                choice,
                schedule,
                samples.WithChances(figures),
                Curves(full.Trace, schedule, model),
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
            return HeatAnswers.Finished(plan, answer.Blocking, bench.Assumptions);
        }

        private void Tell(string step, double share) => progress?.Report(new HeatProgress(step, share));

        private SharedProgress? Part(string step, double from, double width) =>
            progress is null ? null : new SharedProgress(share => Tell(step, from + width * share));

        private double Wanted() => request.Job.Wishes.Heat.ChancePercent / 100 ?? UsualChanceFraction;

        private BenchSettings Bench(Job job, BoardHeatModel model, double? preheaterMaxC) =>
            BenchSettings.Of(job.Bench.Heat, request.Task, model.RoomC, model.MoltenC, preheaterMaxC);

        private BoardHeatModel WithProbes(BoardHeatModel model) =>
            request.Probes.Count == 0 ? model : model with { Places = [.. model.Places, .. request.Probes] };

        private (NozzleChoice Choice, Nozzle Nozzle) Choose(BoardHeatModel first, double? flow)
        {
            Tell("Comparing nozzles", 0.02);
            HeatTools tools = request.Job.Bench.Heat;
            IReadOnlyList<HeatLimit> limits = models.Limits(request.Job, request.Task, first);
            BenchSettings bench = Bench(request.Job, first, null);
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

        private static double CoolingS(IHeatRunner runner, BenchSettings bench, double[] values, BoardHeatModel model)
        {
            double heatingS = bench.HeatingS(values);
            HeatTrace trace = runner.Run(bench.Schedule(values, LongestCoolingS), HeatFactors.Nominal);
            double lastS = heatingS;
            for (int i = 0; i < runner.Places.Count; i++)
            {
                if (runner.Places[i].Kind == HeatPlaceKind.Joint)
                {
                    lastS = Math.Max(lastS, Moments.Down(trace.TemperaturesC[i], model.SolidusC, trace.StepS));
                }
            }
            return Math.Min(LongestCoolingS, Math.Ceiling((Math.Min(lastS, 1e6) - heatingS + 20) / 10) * 10);
        }

        private static void Check(FullHeatRun full, BoardHeatModel model)
        {
            if (!full.Trust.Converged)
            {
                throw new HeatModelException("the full model did not converge on the schedule that was found.");
            }
            if (
                full.Trace.TemperaturesC.Length != model.Places.Count
                || full.Trace.TemperaturesC.Any(row => !Array.TrueForAll(row, double.IsFinite))
            )
            {
                throw new HeatModelException("the full model gave values that are no numbers.");
            }
        }

        // What stands in the way: limits that are passed, then those that samples pass most often.
        private static List<HeatLimit> Held(ScheduleAnswer answer, IReadOnlyList<HeatFigure> figures)
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

        private IReadOnlyList<HeatRemedy> Remedied(
            BoardHeatModel model,
            Nozzle nozzle,
            double? flow,
            IReadOnlyList<HeatLimit> limits,
            RemedyReach before,
            List<HeatLimit> held
        )
        {
            IReadOnlyList<RemedyChange> changes =
            [
                .. Remedies
                    .Candidates(request.Job, request.Task, request.ChipId, model, nozzle, flow, held)
                    .Take(request.MostRemedies),
            ];
            if (changes.Count == 0)
            {
                return [];
            }
            RoughGrid rough = RoughGrid.Of(
                models.Reduced(model, rough: true, null, cancel),
                model,
                Bench(request.Job, model, null),
                limits,
                before.Answer
            );
            double width = 0.17 / changes.Count;
            int done = 0;
            return Remedies.Try(
                changes,
                change =>
                {
                    string step = $"Trying: {change.What}";
                    double from = 0.82 + width * done++;
                    Tell(step, from);
                    BoardHeatModel built = models.Build(
                        change.Job,
                        request.Task,
                        request.ChipId,
                        change.Nozzle ?? nozzle,
                        change.FlowPercent ?? flow
                    );
                    if (built.Case.Boxes.Count == 0 || AddsBlocker(model, built))
                    {
                        return null;
                    }
                    IHeatRunner runner = models.Reduced(built, rough: true, Part(step, from, 0.7 * width), cancel);
                    return new RemedyCase(runner, built, models.Limits(change.Job, request.Task, built));
                },
                (change, made) =>
                {
                    BoardHeatModel shifted = rough.Shifted(made.Model);
                    IReadOnlyList<HeatLimit> brought = rough.Shifted(made.Limits);
                    BenchSettings bench = Bench(change.Job, shifted, change.PreheaterMaxC);
                    ScheduleOptimiser search = new(
                        made.Runner,
                        bench,
                        brought,
                        shifted.MoltenC,
                        request.Workers,
                        cancel
                    );
                    // What the plan sets now stays possible where a remedy only adds to the bench.
                    (ScheduleAnswer found, HeatSamples drawn) = new ChanceSearch(
                        search,
                        bench,
                        made.Runner,
                        shifted,
                        brought,
                        Wanted(),
                        parallel
                    ).FromBetter(
                        search.At(before.Answer.Values),
                        search.Solve(request.SearchRuns / 2, null, before.Answer.Values),
                        Math.Min(request.Samples, ChanceSearch.FewSamples)
                    );
                    return new RemedyReach(
                        rough.Restored(found, made.Limits),
                        drawn.Complete ? drawn.Chance(0).AllKeptFraction : 0
                    );
                },
                before,
                limits,
                held,
                Wanted(),
                cancel
            );
        }

        // Blockers that the plan has already are no reason to leave a change out.
        private static bool AddsBlocker(BoardHeatModel present, BoardHeatModel changed) =>
            changed.Findings.Any(one =>
                one.Verdict == Verdict.Blocker
                && !present.Findings.Any(other => other.Code == one.Code && other.Where == one.Where)
            );

        private static HeatCurves Curves(HeatTrace trace, HeatSchedule schedule, BoardHeatModel model)
        {
            int count = trace.Count;
            double[] timesS = [.. Enumerable.Range(0, count).Select(i => i * trace.StepS)];
            List<HeatCurve> curves =
            [
                new("gas-set", "Gas, set", [.. timesS.Select(t => SetPoints.AtC(schedule.Gas, t))]),
                new("gas", "Gas", SetPoints.LaggedC(schedule.Gas, model.RoomC, model.GasLagS, timesS)),
                new(
                    "preheater-set",
                    "Bottom heater, set",
                    [.. timesS.Select(t => SetPoints.AtC(schedule.Preheater, t))]
                ),
                new(
                    "preheater",
                    "Bottom heater",
                    SetPoints.LaggedC(schedule.Preheater, model.RoomC, model.PreheaterLagS, timesS)
                ),
            ];
            double[] coldest = [.. Enumerable.Repeat(double.PositiveInfinity, count)];
            double[] hottest = [.. Enumerable.Repeat(double.NegativeInfinity, count)];
            for (int place = 0; place < model.Places.Count; place++)
            {
                double[] row = trace.TemperaturesC[place];
                for (int i = 0; model.Places[place].Kind == HeatPlaceKind.Joint && i < count; i++)
                {
                    coldest[i] = Math.Min(coldest[i], row[i]);
                    hottest[i] = Math.Max(hottest[i], row[i]);
                }
            }
            curves.Add(new HeatCurve("joint-coldest", "Coldest joint", coldest));
            curves.Add(new HeatCurve("joint-hottest", "Hottest joint", hottest));
            for (int place = 0; place < model.Places.Count; place++)
            {
                HeatPlace at = model.Places[place];
                if (at.Kind == HeatPlaceKind.Joint)
                {
                    continue;
                }
                string name = at.Kind switch
                {
                    HeatPlaceKind.BodyTop => "body-top",
                    HeatPlaceKind.Underside => "underside",
                    _ => at.Name,
                };
                string title = at.Kind switch
                {
                    HeatPlaceKind.BodyTop => "Chip's top",
                    HeatPlaceKind.Underside => "Board's underside",
                    _ => at.Name,
                };
                curves.Add(new HeatCurve(name, title, trace.TemperaturesC[place]));
            }
            return new HeatCurves(timesS, curves, model.SolidusC, model.MoltenC);
        }
    }
}
