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
public static class Calibrator
{
    /// <summary>Largest residual that counts as explained, root mean square [K]; figure of the prototype.</summary>
    public const double MostResidualDeltaK = 1.1;

    /// <summary>How far a number may end from what was expected, in its own spread before the trial.</summary>
    public const double MostSds = 3;

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
            if (one.Ratio is > FurthestRatio or < 1 / FurthestRatio || sds > MostSds)
            {
                yield return Invariant(
                    $"{one.Title} would have to be {one.Ratio:0.00} of what was assumed, which is {sds:0.0} of its deviations (at most {MostSds:0}, estimate) and must lie between {1 / FurthestRatio:0.0} and {FurthestRatio:0}: something else is not as described."
                );
            }
        }
        (string channel, double probeSds) = model.WorstProbe(fit.Fit.Numbers);
        if (probeSds > MostSds)
        {
            yield return Invariant(
                $"Channel {channel} would have to be off by {probeSds:0.0} of its deviations in bias, place or share of the gas (at most {MostSds:0}, estimate): check where it sits and how it is fixed."
            );
        }
    }

    private static List<LearnedPair> Pairs(TrialModel model, TrialFit fit)
    {
        List<LearnedPair> pairs = [];
        int n = model.PriorSd.Length;
        double[] c = fit.Fit.Covariance;
        for (int i = 0; i < model.Factors.Count; i++)
        {
            for (int j = i + 1; j < model.Factors.Count; j++)
            {
                double correlation = c[i * n + j] / Math.Sqrt(c[i * n + i] * c[j * n + j]);
                if (Math.Abs(correlation) < PairRatio)
                {
                    continue;
                }
                double sign = correlation < 0 ? 1 : -1;
                double apart = c[i * n + i] + c[j * n + j];
                pairs.Add(
                    new LearnedPair(
                        TitleOf(model.Factors[i].Factor),
                        TitleOf(model.Factors[j].Factor),
                        correlation,
                        correlation < 0 ? "product" : "ratio",
                        Math.Sqrt(Math.Max(apart + 2 * sign * c[i * n + j], 0)),
                        Math.Sqrt(apart)
                    )
                );
            }
        }
        return [.. pairs.OrderByDescending(one => Math.Abs(one.CorrelationRatio))];
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
                ? CalibrationUse.TransferLogSd(BenchNumbers.All[Order(model.Factors[i].Factor)])
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

    private static IEnumerable<string> Notes(
        CalibrationRequest request,
        BoardHeatModel model,
        IReadOnlyList<ProbeResidual> residuals,
        IReadOnlyList<LearnedNumber> numbers
    )
    {
        if (!request.Probes.Any(probe => OnChip(model, probe.Place)))
        {
            yield return "No probe sat on the chip: the film under the nozzle and the gas can hardly be told apart. Put one on its top next time.";
        }
        if (!request.AlignmentChecked)
        {
            yield return "Nobody checked by sight that the nozzle stood centred: film under the nozzle and spill count with a tenth more doubt.";
        }
        foreach (ProbeResidual one in residuals.Where(one => one.CorrelatedS > 60 && one.AfterDeltaK > 0.5))
        {
            yield return Invariant(
                $"Channel {one.Channel}: what is left lasts {one.CorrelatedS:0} s at a time, so it is no noise but something the model does not have; the uncertainty was widened for it."
            );
        }
        if (numbers.Any(one => !one.OfBench && one.Share != LearnedShare.Not))
        {
            yield return "What was learned of the trial's board itself is used for no other board.";
        }
        yield return "A good fit does not prove that the model is right: a nozzle off its place or another substrate can hide in the numbers.";
    }

    private static bool OnChip(BoardHeatModel model, HeatPlace place) =>
        model.Chip.Contains(place.XMm, place.YMm) && place.ZMm > 0.05;

    private static BenchCalibration Kept(
        CalibrationRequest request,
        BoardHeatModel model,
        TrialModel trial,
        TrialFit fit,
        double flowPercent
    )
    {
        HeatTools tools = request.Job.Bench.Heat;
        int n = trial.PriorSd.Length;
        double[] c = [.. fit.Fit.Covariance];
        for (int j = 0; j < trial.Factors.Count; j++)
        {
            c[j * n + j] += Unchecked(trial.Factors[j].Factor, request.AlignmentChecked);
        }
        List<(CalibratedNumber Number, int At)> kept =
        [
            .. BenchNumbers
                .All.Select(number =>
                    (number, trial.Factors.ToList().FindIndex(one => one.Factor == BenchNumbers.FactorOf(number)))
                )
                .Where(one => one.Item2 >= 0),
        ];
        // Lagging heaters do not reach a set point that is touched for a moment; what was held counts, roughly.
        double Hottest(IReadOnlyList<SignalPoint> points) =>
            points.Count == 0 ? model.RoomC : Math.Max(points.Max(one => one.TemperatureC) - ReachedDeltaK, 0);
        (double lengthMm, double widthMm, double thicknessMm) = BoardOf(model);
        return new BenchCalibration
        {
            At = request.At,
            NozzleLengthMm = Math.Round(model.Nozzle.X1Mm - model.Nozzle.X0Mm, 3),
            NozzleWidthMm = Math.Round(model.Nozzle.Y1Mm - model.Nozzle.Y0Mm, 3),
            FlowPercent = Math.Clamp(flowPercent, 1, 100),
            BoardLengthMm = lengthMm,
            BoardWidthMm = widthMm,
            BoardThicknessMm = thicknessMm,
            Preheater = tools.Preheater.Kind,
            HottestGasC = Hottest(request.SetPoints!.Gas),
            HottestPreheaterC = Hottest(request.SetPoints.Preheater),
            ResidualDeltaK = Math.Round(fit.RmsDeltaK, 3),
            Numbers =
            [
                .. kept.Select(
                    (one, i) =>
                        new CalibratedValue
                        {
                            Number = one.Number,
                            BaseNumber = BenchNumbers.BaseNumber(tools, one.Number),
                            Ratio = Math.Round(Math.Exp(fit.Fit.Numbers[one.At]), 4),
                            LogSdRatio = Math.Round(Math.Sqrt(c[one.At * n + one.At]), 5),
                            PriorLogSdRatio = Math.Round(trial.PriorSd[one.At], 5),
                            CorrelationRatios =
                            [
                                .. kept.Take(i)
                                    .Select(other =>
                                        Math.Round(
                                            c[one.At * n + other.At]
                                                / Math.Sqrt(c[one.At * n + one.At] * c[other.At * n + other.At]),
                                            4
                                        )
                                    ),
                            ],
                        }
                ),
            ],
        };
    }

    private static (double LengthMm, double WidthMm, double ThicknessMm) BoardOf(BoardHeatModel model)
    {
        IEnumerable<HeatBox> boxes = model.Case.Boxes.Where(box => box.Z1Mm <= 1e-6);
        return (
            Math.Round(boxes.Max(box => box.X1Mm) - boxes.Min(box => box.X0Mm), 3),
            Math.Round(boxes.Max(box => box.Y1Mm) - boxes.Min(box => box.Y0Mm), 3),
            Math.Round(boxes.Where(box => Math.Abs(box.Z1Mm) < 1e-6).Max(box => -box.Z0Mm), 3)
        );
    }
}
