using System.Globalization;
using Graftbench.Core.Facts;
using Graftbench.Core.Findings;
using Graftbench.Core.Jobs;
using Graftbench.Core.Numerics;
using Graftbench.Core.Physics.Heat;
using static System.FormattableString;

namespace Graftbench.Core.Heating;

/// <summary>Puts what a trial taught into the model of a heat: the fitted numbers as its middle, what is left in doubt as its spread.</summary>
/// <remarks>
/// A number learned on one board holds on another a little less well. That share is the difference between two rows of the
/// prototype's table: a calibrated bench, and one calibrated on the same type of board.
/// </remarks>
public static class CalibrationUse
{
    /// <summary>For so long a calibration counts in full (estimate) [d].</summary>
    public const double FreshDays = 180;

    /// <summary>After so long it is not used any more (estimate) [d].</summary>
    public const double ExpiresDays = 365;

    /// <summary>How much hotter than the trial a heater may be set without a word (estimate) [K].</summary>
    public const double BeyondDeltaK = 40;

    private const double AgedLogSd = 0.05;
    private const double SameMm = 1;
    private const double AreaRatio = 2;
    private const double ThicknessRatio = 1.6;
    private const double OutsideLogSd = 0.1;

    /// <summary>What a number loses in sureness on another board than that of the trial, standard deviation of its logarithm.</summary>
    /// <param name="number">The number.</param>
    public static double TransferLogSdRatio(CalibratedNumber number) =>
        number switch
        {
            CalibratedNumber.FilmUnderNozzle => 0.04,
            CalibratedNumber.Spill => 0.127,
            CalibratedNumber.FilmOverPreheater => 0.04,
            CalibratedNumber.LossToRoom => 0.06,
            CalibratedNumber.Radiation => 0.04,
            CalibratedNumber.GasExcess or CalibratedNumber.PreheaterExcess => 0.0087,
            _ => 0,
        };

    /// <summary>How a date is said.</summary>
    public static string Day(DateTimeOffset at) => at.ToString("yyyy-MM-dd", CultureInfo.InvariantCulture);

    /// <summary>Whether a calibration is too old to be used.</summary>
    public static bool Expired(BenchCalibration calibration, DateTimeOffset now)
    {
        ArgumentNullException.ThrowIfNull(calibration);
        return (now - calibration.At).TotalDays > ExpiresDays;
    }

    /// <summary>Whether every number of a calibration lies where one can.</summary>
    /// <param name="calibration">The calibration, from wherever it comes.</param>
    public static bool IsSound(BenchCalibration calibration)
    {
        ArgumentNullException.ThrowIfNull(calibration);
        double[] sizes =
        [
            calibration.NozzleLengthMm,
            calibration.NozzleWidthMm,
            calibration.FlowPercent,
            calibration.BoardLengthMm,
            calibration.BoardWidthMm,
            calibration.BoardThicknessMm,
        ];
        return Array.TrueForAll(sizes, size => size > 0 && double.IsFinite(size))
            && double.IsFinite(calibration.HottestGasC)
            && double.IsFinite(calibration.HottestPreheaterC)
            && double.IsFinite(calibration.ResidualDeltaK)
            && calibration.Numbers is { Count: <= 9 } numbers
            && numbers.Select(one => one.Number).Distinct().Count() == numbers.Count
            && numbers
                .Select((one, i) => (one, i))
                .All(each =>
                    each.one is { BaseNumber: > 0 and < 1e6, Ratio: >= 0.1 and <= 10, LogSdRatio: > 0 and <= 2 }
                    && each.one.CorrelationsRatio?.Count == each.i
                    && each.one.CorrelationsRatio.All(one => one is >= -1 and <= 1)
                );
    }

    /// <summary>A job with its calibration as old as it is by now: less sure after half a year, without numbers after a year.</summary>
    /// <param name="job">The job.</param>
    /// <param name="now">The present moment.</param>
    public static Job AsOf(Job job, DateTimeOffset now)
    {
        ArgumentNullException.ThrowIfNull(job);
        if (job.Bench.Calibration is not { } calibration || (now - calibration.At).TotalDays <= FreshDays)
        {
            return job;
        }
        BenchCalibration aged = calibration with
        {
            Numbers = Expired(calibration, now)
                ? []
                :
                [
                    .. calibration.Numbers.Select(one =>
                    {
                        double wider = Math.Sqrt(one.LogSdRatio * one.LogSdRatio + AgedLogSd * AgedLogSd);
                        return one with
                        {
                            LogSdRatio = wider,
                            CorrelationsRatio =
                            [
                                .. one.CorrelationsRatio.Select(
                                    (correlation, i) =>
                                        correlation * (one.LogSdRatio / wider) * Kept(calibration.Numbers[i].LogSdRatio)
                                ),
                            ],
                        };
                    }),
                ],
        };
        return job with { Bench = job.Bench with { Calibration = aged } };
    }

    /// <summary>Applies a bench's calibration, or says that there is none.</summary>
    /// <param name="model">Model with usual figures.</param>
    /// <param name="bench">The bench, with its calibration as old as it is.</param>
    /// <param name="task">What the heat is for.</param>
    /// <param name="flowPercent">Flow as share of the strongest step [%].</param>
    internal static BoardHeatModel Apply(BoardHeatModel model, Bench bench, HeatTask task, double? flowPercent)
    {
        if (!model.Usable || bench.Calibration is not { } calibration)
        {
            return model;
        }
        string subject = "bench";
        List<Finding> findings = [];
        if (calibration.Numbers.Count == 0)
        {
            findings.Add(
                new Finding(
                    Verdict.Warning,
                    "heat.calibration-expired",
                    subject,
                    $"The bench was calibrated on {Day(calibration.At)}, too long ago to be used: usual figures count.",
                    Day(calibration.At),
                    Invariant($"at most {ExpiresDays:0} days"),
                    "graftbench-estimate",
                    "Run a trial on a scrap board again."
                )
            );
            return Told(model, findings, null);
        }
        Dictionary<CalibratedNumber, double> wider = [];
        HashSet<CalibratedNumber> left = [.. Misfits(model, bench, calibration, findings)];
        foreach (CalibratedValue value in calibration.Numbers)
        {
            wider[value.Number] = Wider(value.Number, model, calibration, task, flowPercent);
        }
        if (Outside(model, calibration) is { } outside)
        {
            findings.Add(outside);
        }
        List<CalibratedValue> used =
        [
            .. calibration.Numbers.Where(value =>
                !left.Contains(value.Number)
                && model.Assumptions.Any(one => one.Factor == BenchNumbers.FactorOf(value.Number))
            ),
        ];
        if (used.Count == 0)
        {
            return Told(model, findings, null);
        }
        HeatFactors factors = HeatFactors.Nominal;
        List<HeatAssumption> assumptions = [.. model.Assumptions];
        foreach (CalibratedValue value in used)
        {
            string factor = BenchNumbers.FactorOf(value.Number);
            double ratio = value.Ratio * value.BaseNumber / BenchNumbers.BaseNumber(bench.Heat, value.Number);
            factors = FactorNames.Scaled(factors, factor, ratio);
            double sd = Math.Sqrt(value.LogSdRatio * value.LogSdRatio + wider[value.Number] * wider[value.Number]);
            for (int i = 0; i < assumptions.Count; i++)
            {
                if (assumptions[i].Factor == factor)
                {
                    assumptions[i] = assumptions[i] with { Factor = null, LogSdRatio = 0 };
                }
            }
            assumptions.Add(
                new HeatAssumption(
                    "calibration." + factor,
                    Invariant(
                        $"{BenchNumbers.Title(value.Number)}: {value.Ratio:0.00} of {value.BaseNumber:0.##}{Unit(value.Number)} by the calibration of {Day(calibration.At)}."
                    ),
                    factor,
                    sd,
                    true,
                    "job-file"
                )
            );
        }
        findings.Add(
            new Finding(
                Verdict.Ok,
                "heat.calibrated",
                subject,
                Invariant(
                    $"Calibrated on {Day(calibration.At)}; the trial left {calibration.ResidualDeltaK:0.0} K unexplained."
                ),
                Day(calibration.At),
                Source: "job-file"
            )
        );
        BoardHeatModel scaled = Scaled(model, factors) with { Assumptions = assumptions };
        return Told(
            scaled,
            findings,
            new CalibratedSpread(
                calibration.At,
                calibration.HottestGasC,
                calibration.HottestPreheaterC,
                Mixing(used, calibration, wider)
            )
        );
    }

    // Which numbers the bench of today does not share with that of the trial.
    private static List<CalibratedNumber> Misfits(
        BoardHeatModel model,
        Bench bench,
        BenchCalibration calibration,
        List<Finding> findings
    )
    {
        double lengthMm = model.Nozzle.X1Mm - model.Nozzle.X0Mm;
        double widthMm = model.Nozzle.Y1Mm - model.Nozzle.Y0Mm;
        List<CalibratedNumber> left = [];
        bool same =
            Math.Abs(lengthMm - calibration.NozzleLengthMm) < SameMm
                && Math.Abs(widthMm - calibration.NozzleWidthMm) < SameMm
            || Math.Abs(lengthMm - calibration.NozzleWidthMm) < SameMm
                && Math.Abs(widthMm - calibration.NozzleLengthMm) < SameMm;
        if (!same)
        {
            left.AddRange([CalibratedNumber.FilmUnderNozzle, CalibratedNumber.Spill]);
            findings.Add(
                new Finding(
                    Verdict.Warning,
                    "heat.calibration-other-nozzle",
                    "bench",
                    "The bench was calibrated with another nozzle: film under it and spill stay at usual figures.",
                    Invariant($"{lengthMm:0.#} x {widthMm:0.#} mm"),
                    Invariant($"{calibration.NozzleLengthMm:0.#} x {calibration.NozzleWidthMm:0.#} mm"),
                    "graftbench-estimate",
                    "Run a trial with this nozzle."
                )
            );
        }
        if (bench.Heat.Preheater.Kind != calibration.Preheater)
        {
            left.AddRange([
                CalibratedNumber.FilmOverPreheater,
                CalibratedNumber.PreheaterExcess,
                CalibratedNumber.PreheaterLag,
            ]);
            findings.Add(
                new Finding(
                    Verdict.Warning,
                    "heat.calibration-other-preheater",
                    "bench",
                    "The bench was calibrated with another sort of bottom heater: its numbers stay at usual figures.",
                    bench.Heat.Preheater.Kind.ToString(),
                    calibration.Preheater.ToString(),
                    "graftbench-estimate",
                    "Run a trial with this heater."
                )
            );
        }
        return left;
    }

    private static Finding? Outside(BoardHeatModel model, BenchCalibration calibration)
    {
        (double areaRatio, double thicknessRatio) = Against(model, calibration);
        bool inside = Within(areaRatio, AreaRatio) && Within(thicknessRatio, ThicknessRatio);
        return inside
            ? null
            : new Finding(
                Verdict.Warning,
                "heat.calibration-outside",
                "bench",
                "The board differs from that of the calibration more than was tried: its numbers count with more doubt.",
                Invariant($"area {areaRatio:0.0} times, thickness {thicknessRatio:0.0} times"),
                Invariant(
                    $"{1 / AreaRatio:0.0} to {AreaRatio:0} times, {1 / ThicknessRatio:0.0} to {ThicknessRatio:0.0} times"
                ),
                "graftbench-estimate",
                "Run a trial on a scrap board of about this size."
            );
    }

    private static double Wider(
        CalibratedNumber number,
        BoardHeatModel model,
        BenchCalibration calibration,
        HeatTask task,
        double? flowPercent
    )
    {
        (double areaRatio, double thicknessRatio) = Against(model, calibration);
        bool sameBoard = task != HeatTask.AttachBalls && Within(areaRatio, 1.01) && Within(thicknessRatio, 1.01);
        double sd = sameBoard ? 0 : TransferLogSdRatio(number);
        bool film =
            number
            is CalibratedNumber.FilmUnderNozzle
                or CalibratedNumber.Spill
                or CalibratedNumber.FilmOverPreheater
                or CalibratedNumber.LossToRoom;
        if (film && !(Within(areaRatio, AreaRatio) && Within(thicknessRatio, ThicknessRatio)))
        {
            sd = Math.Sqrt(sd * sd + OutsideLogSd * OutsideLogSd);
        }
        if (number == CalibratedNumber.FilmUnderNozzle)
        {
            // The film follows the flow by an exponent that is only known within a range.
            HeatInput exponent = HeatFilms.Of("film.flow-exponent");
            double spread =
                (exponent.High!.Value - exponent.Low!.Value)
                / Math.Sqrt(12)
                * Math.Abs(Math.Log((flowPercent ?? 100) / calibration.FlowPercent));
            sd = Math.Sqrt(sd * sd + spread * spread);
        }
        return sd;
    }

    private static (double AreaRatio, double ThicknessRatio) Against(BoardHeatModel model, BenchCalibration calibration)
    {
        List<HeatBox> boxes = [.. model.Case.Boxes.Where(box => box.Z1Mm <= 1e-6)];
        if (boxes.Count == 0)
        {
            return (double.PositiveInfinity, double.PositiveInfinity);
        }
        double areaMm2 =
            (boxes.Max(box => box.X1Mm) - boxes.Min(box => box.X0Mm))
            * (boxes.Max(box => box.Y1Mm) - boxes.Min(box => box.Y0Mm));
        double thickMm = boxes.Where(box => Math.Abs(box.Z1Mm) < 1e-6).Max(box => -box.Z0Mm);
        return (
            areaMm2 / (calibration.BoardLengthMm * calibration.BoardWidthMm),
            thickMm / calibration.BoardThicknessMm
        );
    }

    private static bool Within(double ratio, double most) => ratio <= most && ratio >= 1 / most;

    private static double Kept(double logSd) => logSd / Math.Sqrt(logSd * logSd + AgedLogSd * AgedLogSd);

    private static string Unit(CalibratedNumber number) =>
        BenchNumbers.Unit(number) is { Length: > 0 } unit ? " " + unit : "";

    private static BoardHeatModel Told(BoardHeatModel model, List<Finding> findings, CalibratedSpread? spread) =>
        model with
        {
            Findings = Finding.WorstFirst([.. model.Findings, .. findings]),
            Calibrated = spread,
        };

    // Films, emissivities, lags and what heaters deliver, multiplied once and for all: the nominal run is then the calibrated one.
    private static BoardHeatModel Scaled(BoardHeatModel model, HeatFactors factors)
    {
        IReadOnlyList<SignalShare> Sink(IReadOnlyList<SignalShare> sink)
        {
            double room = 0;
            List<SignalShare> shares = [];
            foreach (SignalShare share in sink)
            {
                double excess = share.Signal switch
                {
                    HeatSignals.Gas => factors.GasExcessFactor,
                    HeatSignals.Preheater => factors.PreheaterExcessFactor,
                    _ => 1,
                };
                shares.Add(share with { ShareFraction = share.ShareFraction * excess });
                room += share.ShareFraction * (1 - excess);
            }
            if (room == 0)
            {
                return sink;
            }
            int at = shares.FindIndex(share => share.Signal == HeatSignals.Room);
            if (at >= 0)
            {
                shares[at] = shares[at] with { ShareFraction = shares[at].ShareFraction + room };
            }
            else
            {
                shares.Add(new SignalShare(HeatSignals.Room, room));
            }
            return shares;
        }
        return model with
        {
            GasLagS = model.GasLagS * factors.GasLagFactor,
            PreheaterLagS = model.PreheaterLagS * factors.PreheaterLagFactor,
            Case = model.Case with
            {
                Films =
                [
                    .. model.Case.Films.Select(film =>
                        film with
                        {
                            FilmWPerM2K = film.FilmWPerM2K * FullModel.FilmFactor(factors, film.Group),
                            Sink = Sink(film.Sink),
                        }
                    ),
                ],
                Radiation =
                [
                    .. model.Case.Radiation.Select(patch =>
                        patch with
                        {
                            EmissivityRatio = Math.Min(1, patch.EmissivityRatio * factors.RadiationFactor),
                            Sink = Sink(patch.Sink),
                        }
                    ),
                ],
            },
        };
    }

    // Independent numbers into ones that hang together as those of the trial do.
    private static IReadOnlyList<MixedFactor> Mixing(
        List<CalibratedValue> used,
        BenchCalibration calibration,
        Dictionary<CalibratedNumber, double> wider
    )
    {
        int n = used.Count;
        double[] correlation = new double[n * n];
        double Whole(CalibratedValue value) =>
            Math.Sqrt(value.LogSdRatio * value.LogSdRatio + wider[value.Number] * wider[value.Number]);
        List<CalibratedValue> all = [.. calibration.Numbers];
        for (int i = 0; i < n; i++)
        {
            correlation[i * n + i] = 1;
            for (int j = 0; j < i; j++)
            {
                int at = all.IndexOf(used[j]);
                double own = at < used[i].CorrelationsRatio.Count ? used[i].CorrelationsRatio[at] : 0;
                double both = own * (used[i].LogSdRatio / Whole(used[i])) * (used[j].LogSdRatio / Whole(used[j]));
                correlation[i * n + j] = both;
                correlation[j * n + i] = both;
            }
        }
        // Rounded correlations may add up to a little too much; without them the numbers are drawn apart, which is wider.
        double[]? lower = Cholesky.Lower(correlation, n);
        return
        [
            .. used.Select(
                (value, i) =>
                    new MixedFactor(
                        BenchNumbers.FactorOf(value.Number),
                        [.. Enumerable.Range(0, n).Select(j => lower is null ? (i == j ? 1 : 0) : lower[i * n + j])]
                    )
            ),
        ];
    }
}
