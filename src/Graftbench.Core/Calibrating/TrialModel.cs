using Graftbench.Core.Heating;
using Graftbench.Core.Physics.Heat;
using Graftbench.Core.Watching;

namespace Graftbench.Core.Calibrating;

/// <summary>
/// Readings of a trial as the reduced model forecasts them, from the logarithms of doubtful factors and from what each probe
/// may be off by: its own bias, its place, its share of the gas.
/// </summary>
internal sealed class TrialModel
{
    private const double SlopeLog = 0.02;
    private const double GasShareInStream = 0.03;
    private const double GasShareSd = 0.015;

    // Beads lag by 0.3 to 2 s (common practice, no source); what is taken for a probe's lag is not measured.
    private const double BeadLagSdS = 0.7;

    // A lag that the bench gives is seldom measured to a tenth (estimate).
    private const double LagLogSd = 0.15;

    private readonly WatchModel watch;
    private readonly BoardHeatModel model;
    private readonly HeatSchedule schedule;
    private readonly IReadOnlyList<HeatSignal> signals;
    private readonly List<(int Probe, Sort Sort)> own;
    private readonly double[] gasShares;

    public TrialModel(WatchModel watch, HeatSchedule schedule)
    {
        this.watch = watch;
        this.schedule = schedule;
        model = watch.Setup.Model;
        signals = HeatModels.Signals(model, schedule);
        Factors =
        [
            .. HeatSamples
                .Drawn(model.Assumptions)
                .Select(one => (one.Factor, IsLag(one.Factor) ? Math.Max(one.LogSd, LagLogSd) : one.LogSd)),
        ];
        List<(int Probe, Sort Sort)> offs = [];
        List<double> spreads = [.. Factors.Select(one => one.LogSd)];
        IReadOnlyList<WatchProbe> probes = watch.Setup.Probes;
        gasShares = [.. probes.Select(GasShare)];
        for (int p = 0; p < probes.Count; p++)
        {
            offs.Add((p, Sort.Bias));
            spreads.Add(Math.Max(probes[p].BiasDeltaK, 0.05));
            offs.Add((p, Sort.Lag));
            spreads.Add(BeadLagSdS);
            if (probes[p].PlacedWithinMm > 0)
            {
                offs.Add((p, Sort.OffX));
                offs.Add((p, Sort.OffY));
                spreads.Add(probes[p].PlacedWithinMm);
                spreads.Add(probes[p].PlacedWithinMm);
            }
            if (gasShares[p] > 0)
            {
                offs.Add((p, Sort.GasShare));
                spreads.Add(GasShareSd);
            }
        }
        own = offs;
        PriorSd = [.. spreads];
    }

    private enum Sort
    {
        Bias,
        Lag,
        OffX,
        OffY,
        GasShare,
    }

    /// <summary>Factors that are fitted, with the spread of each before the trial.</summary>
    public IReadOnlyList<(string Factor, double LogSd)> Factors { get; }

    /// <summary>Spread of every number before the trial; factors first.</summary>
    public double[] PriorSd { get; }

    /// <summary>How far each probe's own number lies from what was expected, in its spreads; the worst.</summary>
    public (string Channel, double Sds) WorstProbe(double[] numbers)
    {
        (int Probe, double Sds) worst = (0, 0);
        for (int j = 0; j < own.Count; j++)
        {
            double sds = Math.Abs(numbers[Factors.Count + j]) / PriorSd[Factors.Count + j];
            worst = sds > worst.Sds ? (own[j].Probe, sds) : worst;
        }
        return (watch.Setup.Probes[worst.Probe].Channel, worst.Sds);
    }

    /// <summary>What a probe seems to read too much [K].</summary>
    public double BiasDeltaK(double[] numbers, int probe) => numbers[Factors.Count + own.IndexOf((probe, Sort.Bias))];

    /// <summary>Factors from their logarithms.</summary>
    public HeatFactors FactorsAt(IReadOnlyList<double> logs)
    {
        HeatFactors factors = watch.Setup.Factors;
        for (int j = 0; j < Factors.Count; j++)
        {
            factors = FactorNames.Scaled(factors, Factors[j].Factor, Math.Exp(Math.Clamp(logs[j], -3, 3)));
        }
        return factors;
    }

    /// <summary>Temperatures of all rows; null where the melting could not be followed.</summary>
    public double[][]? Run(HeatFactors factors)
    {
        double[][] rows = watch.Reduced.Run(signals, schedule.DurationS, factors);
        return rows.Length == 0 ? null : rows;
    }

    /// <summary>Coldest joint's peak of a run [°C].</summary>
    public double ColdestPeakC(double[][] rows)
    {
        double bestC = double.NegativeInfinity;
        int[] joints =
        [
            .. Enumerable.Range(0, model.Places.Count).Where(i => model.Places[i].Kind == HeatPlaceKind.Joint),
        ];
        for (int k = 0; k < rows[joints[0]].Length; k++)
        {
            bestC = Math.Max(bestC, joints.Min(joint => rows[joint][k]));
        }
        return bestC;
    }

    /// <summary>Readings that the numbers give, probe after probe; null where the model has no answer.</summary>
    public double[]? Predict(double[] numbers, TrialReadings at)
    {
        HeatFactors factors = FactorsAt(numbers);
        return Run(factors) is { } rows ? Read(rows, factors, numbers, at) : null;
    }

    /// <summary>Derivatives by number, then reading.</summary>
    public double[][] Slopes(double[] numbers, double[] there, TrialReadings at, CancellationToken cancel)
    {
        double[][] slopes = new double[PriorSd.Length][];
        Parallel.For(
            0,
            Factors.Count,
            new ParallelOptions { MaxDegreeOfParallelism = 2, CancellationToken = cancel },
            j =>
            {
                double[] moved = [.. numbers];
                moved[j] += SlopeLog;
                double[] next = Predict(moved, at) ?? there;
                slopes[j] = [.. next.Zip(there, (a, b) => (a - b) / SlopeLog)];
            }
        );
        HeatFactors factors = FactorsAt(numbers);
        double[][]? rows = Run(factors);
        for (int j = Factors.Count; j < slopes.Length; j++)
        {
            // Nearly linear: a difference of a tenth of the spread is as good as a derivative.
            double by = 0.1 * PriorSd[j];
            double[] moved = [.. numbers];
            moved[j] += by;
            slopes[j] = rows is null
                ? new double[there.Length]
                : [.. Read(rows, factors, moved, at).Zip(there, (a, b) => (a - b) / by)];
        }
        return slopes;
    }

    private double[] Read(double[][] rows, HeatFactors factors, double[] numbers, TrialReadings at)
    {
        int steps = rows[0].Length - 1;
        double stepS = watch.Reduced.StepS;
        HeatCase run = HeatModels.Driven(model, schedule);
        double[] gasC = new DriveValues(run, stepS, steps, factors).Of(HeatSignals.Gas).ToArray();
        IReadOnlyList<WatchProbe> probes = watch.Setup.Probes;
        double[] read = new double[at.Count];
        int next = 0;
        for (int p = 0; p < probes.Count; p++)
        {
            (double biasDeltaK, double lagS, double xMm, double yMm, double share) = Own(numbers, p);
            int row = watch.RowOf(p);
            double keep = lagS > 0.02 ? Math.Exp(-stepS / lagS) : 0;
            double[] beadC = new double[steps + 1];
            for (int k = 0; k <= steps; k++)
            {
                double hereC =
                    rows[row][k]
                    + xMm * (rows[row + 2][k] - rows[row + 1][k]) / (2 * WatchModel.AroundMm)
                    + yMm * (rows[row + 4][k] - rows[row + 3][k]) / (2 * WatchModel.AroundMm);
                hereC += share * (gasC[k] - hereC);
                beadC[k] = k == 0 ? hereC : hereC + keep * (beadC[k - 1] - hereC);
            }
            foreach (double timeS in at.TimesS[p])
            {
                double place = Math.Clamp(timeS / stepS, 0, steps);
                int k = Math.Min((int)place, Math.Max(steps - 1, 0));
                double readC = beadC[k] + (place - k) * (beadC[Math.Min(k + 1, steps)] - beadC[k]);
                read[next++] = readC + biasDeltaK;
            }
        }
        return read;
    }

    private (double BiasDeltaK, double LagS, double XMm, double YMm, double ShareFraction) Own(
        double[] numbers,
        int probe
    )
    {
        double Of(Sort sort)
        {
            int j = own.IndexOf((probe, sort));
            return j < 0 ? 0 : numbers[Factors.Count + j];
        }
        return (
            Of(Sort.Bias),
            watch.Setup.Probes[probe].LagS + Of(Sort.Lag),
            Of(Sort.OffX),
            Of(Sort.OffY),
            gasShares[probe] + Of(Sort.GasShare)
        );
    }

    private static bool IsLag(string factor) =>
        factor is nameof(HeatFactors.GasLagFactor) or nameof(HeatFactors.PreheaterLagFactor);

    private double GasShare(WatchProbe probe)
    {
        HeatPlace at = probe.Place;
        bool underChip =
            model.Chip.Contains(at.XMm, at.YMm)
            && at.ZMm < model.Places.Where(place => place.Kind == HeatPlaceKind.BodyTop).Max(place => place.ZMm) - 0.05;
        bool stream = at.ZMm > -0.05 && model.Nozzle.Contains(at.XMm, at.YMm) && !underChip;
        return probe.GasShareFraction ?? (stream ? GasShareInStream : 0);
    }
}
