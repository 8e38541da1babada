using Graftbench.Core.Heating;
using Graftbench.Core.Jobs;
using Graftbench.Core.Physics.Heat;
using Graftbench.Core.Watching;
using static System.FormattableString;

namespace Graftbench.Core.Calibrating;

/// <content>What is said of a fit, and what the bench keeps of it.</content>
public static partial class Calibrator
{
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
                            CorrelationsRatio =
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
