using Graftbench.Core.Heating;
using Graftbench.Core.Jobs;
using Graftbench.Core.Physics.Heat;
using Graftbench.Core.Watching;
using static System.FormattableString;

namespace Graftbench.Core.Calibrating;

/// <summary>Learns a bench from a trial run on a scrap board.</summary>
/// <remarks>
/// The reduced model of the trial's board is fitted to the readings by least squares with a prior on every doubtful number and
/// on what each probe may be off by. See docs/models/heat-calibration.md.
/// </remarks>
public static partial class Calibrator
{
    /// <summary>Largest residual that counts as explained, root mean square [K]; figure of the prototype.</summary>
    public const double MostResidualDeltaK = 1.1;

    /// <summary>How far a number may end from what was expected, in its own spread before the trial.</summary>
    public const double MostSdsNumber = 3;

    private const double FurthestRatio = 2;
    private const double PairRatio = 0.7;
    private const double FirstPartFraction = 0.5;
    private const double ReachedDeltaK = 5;
    private const double UncheckedLogSd = 0.1;
    private const double UncheckedDeltaK = 4;

    /// <summary>Fits a trial. Never throws on its content.</summary>
    /// <param name="request">The trial.</param>
    /// <param name="doneFraction">Told the share done; null for nobody.</param>
    /// <param name="cancel">Stops it.</param>
    public static CalibrationResult Calibrate(
        CalibrationRequest request,
        IProgress<double>? doneFraction = null,
        CancellationToken cancel = default
    )
    {
        ArgumentNullException.ThrowIfNull(request);
        List<string> problems = [.. TrialChecks.Problems(request)];
        double flow = request.FlowPercent ?? HeatPlanner.MiddleFlow(request.Job.Bench.Heat)?.FlowPercent ?? 100;
        Nozzle? nozzle =
            request.Nozzle
            ?? (request.Job.Bench.Heat.Gas.Nozzles.Count == 1 ? request.Job.Bench.Heat.Gas.Nozzles[0] : null);
        if (nozzle is null && request.Job.Bench.Heat.Gas.Nozzles.Count > 1)
        {
            problems.Add(
                $"The bench has {request.Job.Bench.Heat.Gas.Nozzles.Count} nozzles: say which one was on (the film under a nozzle is learned for that one)."
            );
        }
        BoardHeatModel model = ModelOf(request, nozzle, flow);
        WatchSetup setup = new(model, request.Probes) { Plan = request.SetPoints };
        problems.AddRange(
            model.Usable
                ? WatchModel.Problems(setup).Where(problem => !problem.StartsWith("No probe", StringComparison.Ordinal))
                :
                [
                    model.Lacks is { } lacks
                        ? $"{lacks.What} {lacks.Todo}".Trim()
                        : "The job does not say enough for a model.",
                ]
        );
        if (problems.Count > 0)
        {
            return Refused(problems);
        }
        try
        {
            WatchModel watch = WatchModel.Build(setup, request.Rough, doneFraction, cancel);
            return Fit(request, watch, nozzle, flow, cancel);
        }
        catch (HeatModelException error)
        {
            return Refused([$"The heat model could not be solved: {error.Message}"]);
        }
    }

    /// <summary>The model of a trial: usual figures, and the room as the probes saw it at the start.</summary>
    internal static BoardHeatModel ModelOf(CalibrationRequest request, Nozzle? nozzle, double flowPercent)
    {
        double[] first =
        [
            .. request
                .Readings.Where(one => one is { TimeS: >= 0 and <= 3, TemperatureC: >= 1 and <= 50 })
                .Select(one => one.TemperatureC!.Value),
        ];
        Bench bench = request.Job.Bench with
        {
            Calibration = null,
            RoomC = request.Job.Bench.RoomC ?? (first.Length > 0 ? first.Average() : null),
        };
        return BoardModelBuilder.Build(
            request.Job with
            {
                Bench = bench,
            },
            request.Task,
            request.ChipId,
            nozzle,
            flowPercent
        );
    }

    internal static CalibrationResult Fit(
        CalibrationRequest request,
        WatchModel watch,
        Nozzle? nozzle,
        double flowPercent,
        CancellationToken cancel
    )
    {
        double lastS = request.Readings.Max(one => one.TimeS);
        HeatSchedule schedule = request.SetPoints! with { DurationS = Math.Ceiling(lastS) + 1 };
        TrialModel model = new(watch, schedule);
        TrialReadings readings = TrialReadings.Of(request.Probes, request.Readings);
        if (TrialFit.Of(model, readings, cancel) is not { } fit)
        {
            return Refused([
                "No numbers of the model come near the readings: check set points, probe places and board.",
            ]);
        }
        double[] nominal = new double[model.PriorSd.Length];
        IReadOnlyList<LearnedNumber> numbers = Numbers(request.Job.Bench.Heat, model, fit, request.AlignmentChecked);
        List<string> against = [.. Against(model, fit, numbers)];
        IReadOnlyList<ProbeResidual> residuals = Residuals(request.Probes, model, readings, fit, nominal, cancel);
        bool trusted = against.Count == 0;
        ForecastGain? gain = trusted ? Gain(request, model, readings, fit, nominal, schedule, cancel) : null;
        if (trusted && gain is null)
        {
            against.Add("The forecast of the rest of the trial from its first half could not be made.");
            trusted = false;
        }
        if (trusted && numbers.All(one => !one.OfBench || one.Share == LearnedShare.Not))
        {
            against.Add(
                "The trial says nothing new of any number of the bench: heat further, or put a probe on the chip."
            );
            trusted = false;
        }
        return new CalibrationResult(
            trusted ? CalibrationState.Trusted : CalibrationState.NotExplained,
            Answer(trusted, fit, gain, numbers),
            against,
            [.. Notes(request, watch.Setup.Model, residuals, numbers)],
            numbers,
            Pairs(model, fit),
            residuals,
            fit.RmsDeltaK,
            gain,
            trusted ? Kept(request, watch.Setup.Model, model, fit, flowPercent) : null
        );
    }

    private static CalibrationResult Refused(IReadOnlyList<string> problems) =>
        new(
            CalibrationState.Refused,
            "The trial cannot be used; nothing was learned.",
            problems,
            [],
            [],
            [],
            [],
            0,
            null,
            null
        );

    private static string Answer(bool trusted, TrialFit fit, ForecastGain? gain, IReadOnlyList<LearnedNumber> numbers)
    {
        if (!trusted)
        {
            return Invariant(
                $"This trial cannot be explained by the model ({fit.RmsDeltaK:0.0} K left); nothing of it is used."
            );
        }
        int learned = numbers.Count(one => one is { OfBench: true, Share: LearnedShare.Learned });
        int all = numbers.Count(one => one.OfBench);
        return Invariant(
            $"{learned} of {all} numbers of the bench learned, {fit.RmsDeltaK:0.0} K left unexplained. The coldest joint of the next forecast is known to ±{2 * gain!.OtherBoardDeltaK:0} K instead of ±{2 * gain.ColdestBeforeDeltaK:0} K (95 %)."
        );
    }

    // A nozzle that stands off moves what is taken for its film and spill (estimate).
    private static double Unchecked(string factor, bool alignmentChecked) =>
        !alignmentChecked && (factor is nameof(HeatFactors.TopFactor) or nameof(HeatFactors.SpillFactor))
            ? UncheckedLogSd * UncheckedLogSd
            : 0;

    private static List<LearnedNumber> Numbers(HeatTools tools, TrialModel model, TrialFit fit, bool alignmentChecked)
    {
        List<LearnedNumber> numbers = [];
        int n = model.PriorSd.Length;
        for (int j = 0; j < model.Factors.Count; j++)
        {
            (string factor, double priorSd) = model.Factors[j];
            double sd = Math.Sqrt(fit.Fit.Covariance[j * n + j] + Unchecked(factor, alignmentChecked));
            double ratio = Math.Exp(fit.Fit.Numbers[j]);
            CalibratedNumber? number = BenchNumbers
                .All.Cast<CalibratedNumber?>()
                .FirstOrDefault(one => BenchNumbers.FactorOf(one!.Value) == factor);
            numbers.Add(
                number is { } of
                    ? new LearnedNumber(
                        factor,
                        BenchNumbers.Title(of),
                        true,
                        BenchNumbers.BaseNumber(tools, of),
                        BenchNumbers.Unit(of),
                        ratio,
                        sd,
                        priorSd
                    )
                    : new LearnedNumber(factor, BoardTitle(factor), false, null, "", ratio, sd, priorSd)
            );
        }
        return [.. numbers.OrderBy(one => one.OfBench ? 0 : 1).ThenBy(one => Order(one.Factor))];
    }

    private static int Order(string factor) => BenchNumbers.All.Select(BenchNumbers.FactorOf).ToList().IndexOf(factor);

    private static string BoardTitle(string factor) =>
        factor switch
        {
            nameof(HeatFactors.BoardConductivityFactor) => "Conductivity of the trial's board",
            nameof(HeatFactors.BoardCapacityFactor) => "Heat capacity of the trial's board",
            _ => "Conductivity of the trial's substrate",
        };

    private static string TitleOf(string factor) =>
        BenchNumbers.All.Any(one => BenchNumbers.FactorOf(one) == factor)
            ? BenchNumbers.Title(BenchNumbers.All.First(one => BenchNumbers.FactorOf(one) == factor))
            : BoardTitle(factor);

    // What shows that the model's structure is not that of the bench, whatever its numbers.
    private static IEnumerable<string> Against(TrialModel model, TrialFit fit, IReadOnlyList<LearnedNumber> numbers)
    {
        if (fit.RmsDeltaK > MostResidualDeltaK)
        {
            yield return Invariant(
                $"{fit.RmsDeltaK:0.0} K are left between model and readings, at most {MostResidualDeltaK:0.0} K (prototype of the method): the nozzle may have stood off the chip, board or chip may not be as described, or a probe not where it was said to be."
            );
        }
        foreach (LearnedNumber one in numbers)
        {
            double sds = Math.Abs(Math.Log(one.Ratio)) / one.PriorLogSdRatio;
            if (one.Ratio is > FurthestRatio or < 1 / FurthestRatio || sds > MostSdsNumber)
            {
                yield return Invariant(
                    $"{one.Title} would have to be {one.Ratio:0.00} of what was assumed, which is {sds:0.0} of its deviations (at most {MostSdsNumber:0}, estimate) and must lie between {1 / FurthestRatio:0.0} and {FurthestRatio:0}: something else is not as described."
                );
            }
        }
        (string channel, double probeSds) = model.WorstProbe(fit.Fit.Numbers);
        if (probeSds > MostSdsNumber)
        {
            yield return Invariant(
                $"Channel {channel} would have to be off by {probeSds:0.0} of its deviations in bias, place or share of the gas (at most {MostSdsNumber:0}, estimate): check where it sits and how it is fixed."
            );
        }
    }

    private static List<ProbeResidual> Residuals(
        IReadOnlyList<WatchProbe> probes,
        TrialModel model,
        TrialReadings readings,
        TrialFit fit,
        double[] nominal,
        CancellationToken cancel
    )
    {
        double[][]? before = TrialFit.Left(model, nominal, readings);
        List<ProbeResidual> residuals = [];
        for (int p = 0; p < probes.Count; p++)
        {
            int here = p;
            double? leftOut = null;
            if (probes.Count > 1)
            {
                TrialFit? others = TrialFit.Of(model, readings.Where((probe, _) => probe != here), cancel);
                leftOut =
                    others is null ? null
                    : TrialFit.Left(model, others.Fit.Numbers, readings) is { } left ? TrialFit.Rms(left[p])
                    : null;
            }
            double beforeDeltaK = before is null ? double.NaN : TrialFit.Rms(before[p]);
            residuals.Add(
                new ProbeResidual(
                    probes[p].Channel,
                    beforeDeltaK,
                    TrialFit.Rms(fit.Residuals[p]),
                    TrialFit.CorrelatedSteps(fit.Residuals[p]) * TrialReadings.MeanS,
                    model.BiasDeltaK(fit.Fit.Numbers, p),
                    leftOut is null ? null : beforeDeltaK,
                    leftOut
                )
            );
        }
        return residuals;
    }

    private static ForecastGain? Gain(
        CalibrationRequest request,
        TrialModel model,
        TrialReadings readings,
        TrialFit fit,
        double[] nominal,
        HeatSchedule schedule,
        CancellationToken cancel
    )
    {
        double splitS = Math.Round(FirstPartFraction * readings.TimesS.Max(times => times.LastOrDefault()));
        TrialReadings rest = readings.Where((_, timeS) => timeS > splitS);
        TrialFit? first = TrialFit.Of(model, readings.Where((_, timeS) => timeS <= splitS), cancel);
        double[][]? before = TrialFit.Left(model, nominal, rest);
        double[][]? after = first is null ? null : TrialFit.Left(model, first.Fit.Numbers, rest);
        if (before is null || after is null)
        {
            return null;
        }
        int n = model.PriorSd.Length;
        int factors = model.Factors.Count;
        (double beforeC, double[] slopes) = Coldest(model, nominal);
        (double afterC, double[] slopesThere) = Coldest(model, fit.Fit.Numbers);
        double beforeVariance = 0;
        double boardVariance = 0;
        double otherVariance = 0;
        for (int i = 0; i < factors; i++)
        {
            bool bench = Order(model.Factors[i].Factor) >= 0;
            double priorSd = model.Factors[i].LogSd;
            beforeVariance += slopes[i] * slopes[i] * priorSd * priorSd;
            double transfer = bench
                ? CalibrationUse.TransferLogSdRatio(BenchNumbers.All[Order(model.Factors[i].Factor)])
                : priorSd;
            otherVariance += slopesThere[i] * slopesThere[i] * transfer * transfer;
            for (int j = 0; j < factors; j++)
            {
                double shared = slopesThere[i] * slopesThere[j] * fit.Fit.Covariance[i * n + j];
                boardVariance += shared;
                otherVariance += bench && Order(model.Factors[j].Factor) >= 0 ? shared : 0;
            }
        }
        double ownDeltaK = request.AlignmentChecked ? HeatSamples.StructureDeltaK : UncheckedDeltaK;
        double own = ownDeltaK * ownDeltaK;
        return double.IsFinite(beforeC) && double.IsFinite(afterC)
            ? new ForecastGain(
                splitS,
                TrialFit.Rms([.. before.SelectMany(one => one)]),
                TrialFit.Rms([.. after.SelectMany(one => one)]),
                beforeC,
                Math.Sqrt(beforeVariance + own),
                afterC,
                Math.Sqrt(boardVariance + own),
                Math.Sqrt(otherVariance + own)
            )
            : null;
    }

    // Peak of the coldest joint and what each factor moves it by [K for a unit of its logarithm].
    private static (double PeakC, double[] SlopesDeltaK) Coldest(TrialModel model, double[] numbers)
    {
        const double Step = 0.03;
        double Peak(double[] at) => model.Run(model.FactorsAt(at)) is { } rows ? model.ColdestPeakC(rows) : double.NaN;
        double peakC = Peak(numbers);
        double[] slopes = new double[model.Factors.Count];
        for (int j = 0; j < slopes.Length; j++)
        {
            double[] up = [.. numbers];
            double[] down = [.. numbers];
            up[j] += Step;
            down[j] -= Step;
            slopes[j] = (Peak(up) - Peak(down)) / (2 * Step);
        }
        return (Array.TrueForAll(slopes, double.IsFinite) ? peakC : double.NaN, slopes);
    }
}
