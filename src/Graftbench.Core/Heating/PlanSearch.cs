using Graftbench.Core.Physics.Heat;

namespace Graftbench.Core.Heating;

/// <summary>Settings that were found and confirmed on the full model.</summary>
/// <param name="Answer">Settings with the figures of the full model.</param>
/// <param name="Possible">Whether the full model keeps every hard limit.</param>
/// <param name="Samples">Samples at the settings.</param>
/// <param name="Schedule">Set points, cooling included.</param>
/// <param name="CoolingS">Cooling that is followed [s].</param>
/// <param name="Full">The full model's run.</param>
internal sealed record FoundPlan(
    ScheduleAnswer Answer,
    bool Possible,
    HeatSamples Samples,
    HeatSchedule Schedule,
    double CoolingS,
    FullHeatRun Full
);

/// <summary>
/// Searches settings on the reduced model and confirms them on the full one. Where the two lie too far apart there, the
/// search is repeated with limits shifted by the difference, until they agree or nothing more is gained.
/// </summary>
internal sealed class PlanSearch(
    HeatRequest request,
    IHeatModels models,
    BoardHeatModel model,
    IReadOnlyList<HeatLimit> limits,
    IHeatRunner runner,
    BenchSettings bench,
    double wantedFraction,
    ParallelOptions parallel,
    Action<string, double> tell
)
{
    private const double LongestCoolingS = 600;
    private const int MostRepeats = 2;

    // In uncertainties of the limits: 2 K at a joint.
    private const double TooFar = 0.4;

    /// <summary>Searches.</summary>
    /// <exception cref="HeatModelException">A model gave no numbers or did not converge.</exception>
    public FoundPlan Run()
    {
        tell("Looking for settings", 0.4);
        ScheduleOptimiser search = Search(limits, model);
        ScheduleAnswer first = search.Solve(
            request.SearchRuns,
            share => tell("Looking for settings", 0.4 + 0.1 * share)
        );
        (ScheduleAnswer answer, HeatSamples samples) = Sure(search, limits, model, first, null, 0.5);
        FoundPlan found = Confirmed(answer, samples);
        ModelShift shift = Shift(found);
        double firstDeltaK = LargestDeltaK(answer.Figures, found.Answer.Figures);
        for (int repeat = 0; repeat < MostRepeats && TooFarOff(shift, answer, found); repeat++)
        {
            tell("Searching again, corrected by the full model", 0.7 + 0.04 * repeat);
            BoardHeatModel shifted = shift.Shifted(model);
            IReadOnlyList<HeatLimit> brought = shift.Shifted(limits);
            search = Search(brought, shifted);
            ScheduleAnswer again = search.Solve(request.SearchRuns / 2, null, found.Answer.Values);
            if (!again.Converged)
            {
                break;
            }
            (again, samples) = Sure(search, brought, shifted, again, search.At(found.Answer.Values), 0.72);
            answer = shift.Restored(again, limits);
            FoundPlan next = Confirmed(answer, samples.Restored(shift, limits, model.MoltenC));
            double leftDeltaK = LargestDeltaK(answer.Figures, next.Answer.Figures);
            next = next with
            {
                Full = next.Full with
                {
                    Trust = next.Full.Trust with { FirstErrorDeltaK = firstDeltaK, CorrectedErrorDeltaK = leftDeltaK },
                },
            };
            if (found.Possible && !next.Possible)
            {
                break;
            }
            bool settled = Largest(answer.Figures, next.Answer.Figures) <= TooFar;
            (found, shift) = (next, Shift(next));
            if (settled && (found.Possible || !answer.Possible))
            {
                break;
            }
        }
        return found;
    }

    private ScheduleOptimiser Search(IReadOnlyList<HeatLimit> held, BoardHeatModel of) =>
        new(runner, bench, held, of.MoltenC, request.Workers, parallel.CancellationToken);

    private (ScheduleAnswer Answer, HeatSamples Samples) Sure(
        ScheduleOptimiser search,
        IReadOnlyList<HeatLimit> held,
        BoardHeatModel of,
        ScheduleAnswer from,
        ScheduleAnswer? other,
        double doneFraction
    )
    {
        if (!from.Converged)
        {
            throw new HeatModelException("the reduced model gave values that are no numbers.");
        }
        tell("Drawing samples", doneFraction);
        ChanceSearch sure = new(search, bench, runner, of, held, wantedFraction, parallel);
        (ScheduleAnswer answer, HeatSamples samples) = other is null
            ? sure.From(from, request.Samples, share => tell("Drawing samples", doneFraction + 0.15 * share))
            : sure.FromBetter(other, from, request.Samples);
        return samples.Complete
            ? (answer, samples)
            : throw new HeatModelException("some samples gave values that are no numbers.");
    }

    // The full model has the last word on whether a limit is kept.
    private FoundPlan Confirmed(ScheduleAnswer answer, HeatSamples samples)
    {
        tell("Running the full model", 0.65);
        double heatingS = bench.HeatingS(answer.Values);
        double coolingS = CoolingS(answer.Values);
        HeatSchedule schedule = bench.Schedule(answer.Values, coolingS);
        FullHeatRun full = models.Full(
            model,
            schedule,
            runner,
            Pictures(schedule, heatingS),
            parallel.CancellationToken
        );
        Check(full);
        double[] figures = new double[limits.Count];
        new RunFigures(model.Places, limits, model.MoltenC).Compute(full.Trace, heatingS, smooth: false, figures);
        bool possible = limits
            .Select((limit, i) => !limit.Hard || RunFigures.Margin(limit, figures[i]) >= 0)
            .All(kept => kept);
        return new FoundPlan(
            answer with
            {
                Figures = figures,
                Possible = possible,
            },
            possible,
            samples,
            schedule,
            coolingS,
            full
        );
    }

    private IReadOnlyList<double> Pictures(HeatSchedule schedule, double heatingS) =>
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

    private ModelShift Shift(FoundPlan found) => ModelShift.Of(runner, model, bench, limits, found.Answer);

    private bool TooFarOff(ModelShift shift, ScheduleAnswer searched, FoundPlan found) =>
        shift.Largest(limits) > TooFar || (searched.Possible && !found.Possible);

    private double Largest(double[] one, double[] other) =>
        limits.Select((limit, i) => Math.Abs(one[i] - other[i]) / limit.Scale).DefaultIfEmpty(0).Max();

    private double LargestDeltaK(double[] one, double[] other) =>
        limits.Select((limit, i) => limit.Unit == "°C" ? Math.Abs(one[i] - other[i]) : 0).DefaultIfEmpty(0).Max();

    private double CoolingS(double[] values)
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
        // At least as long as the search looks: a tall neighbour goes on rising after switching off.
        return Math.Clamp(
            Math.Ceiling((Math.Min(lastS, 1e6) - heatingS + 20) / 10) * 10,
            ScheduleOptimiser.CoolingS,
            LongestCoolingS
        );
    }

    private void Check(FullHeatRun full)
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
}
