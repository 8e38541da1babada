using Graftbench.Core.Heating;
using Graftbench.Core.Jobs;
using Graftbench.Core.Physics.Heat;
using Graftbench.Core.Watching;

namespace Graftbench.Core.Calibrating;

/// <summary>One closed-loop trial of the calibration.</summary>
/// <param name="Channels">Probes that it had.</param>
/// <param name="NozzleOffMm">How far the nozzle really stood off [mm].</param>
/// <param name="Result">What the calibration says.</param>
/// <param name="Offs">By factor: logarithm of true over learned, in stated deviations.</param>
/// <param name="BeforeDeltaK">Fresh run with other settings: forecast less true peak of the coldest joint, usual figures [K].</param>
/// <param name="AfterDeltaK">The same after the calibration [K].</param>
/// <param name="BeforeRmsDeltaK">Fresh run: root mean square of forecast less truth over all joints and all time, usual figures [K].</param>
/// <param name="AfterRmsDeltaK">The same after the calibration [K].</param>
/// <param name="AfterSdDeltaK">Stated deviation of that peak on the same board [K].</param>
/// <param name="OtherSdDeltaK">Stated deviation on another board [K].</param>
internal sealed record CalibrationTrial(
    string Channels,
    double NozzleOffMm,
    CalibrationResult Result,
    IReadOnlyList<(string Factor, double OffSds)> Offs,
    double BeforeDeltaK,
    double AfterDeltaK,
    double BeforeRmsDeltaK,
    double AfterRmsDeltaK,
    double AfterSdDeltaK,
    double OtherSdDeltaK
);

/// <summary>
/// Trials of the calibration on the simulated bench: the truth is the full model with other films, copper, substrate, gas and
/// lags, its nozzle and probes off their places; then a fresh run of the same bench with other settings is forecast.
/// </summary>
internal static class CalibrationTrials
{
    /// <summary>Runs trials.</summary>
    /// <param name="job">Job whose board and bench it is.</param>
    /// <param name="task">How the chip sits.</param>
    /// <param name="chipId">The chip.</param>
    /// <param name="sets">Sets of probes; trials take turns.</param>
    /// <param name="fresh">Settings of the fresh run.</param>
    /// <param name="count">Number of trials.</param>
    /// <param name="nozzleOffMm">How far the nozzle stands off at most [mm].</param>
    /// <param name="seed">Seed.</param>
    /// <param name="rough">Whether the fitted model has the wide grid of the truth or a finer one.</param>
    public static IReadOnlyList<CalibrationTrial> Run(
        Job job,
        HeatTask task,
        string chipId,
        Func<BoardHeatModel, IReadOnlyList<IReadOnlyList<WatchProbe>>> sets,
        HeatSchedule fresh,
        int count,
        double nozzleOffMm,
        ulong seed,
        bool rough
    )
    {
        Nozzle? nozzle = job.Bench.Heat.Gas.Nozzles.Count > 0 ? job.Bench.Heat.Gas.Nozzles[0] : null;
        const double Flow = 100;
        CalibrationRequest empty = new(job, task, chipId, [], [], null, DateTimeOffset.UnixEpoch);
        BoardHeatModel model = Calibrator.ModelOf(empty, nozzle, Flow);
        HeatTools tools = job.Bench.Heat;
        HeatSchedule schedule = TrialPlan.Proposed(model.RoomC, tools.Gas.MaxC, tools.Preheater.MaxC);
        WatchModel[] watches = [.. sets(model).Select(set => WatchModel.Build(new WatchSetup(model, set), rough))];
        CalibrationTrial[] trials = new CalibrationTrial[count];
        Parallel.For(
            0,
            count,
            new ParallelOptions { MaxDegreeOfParallelism = 2 },
            k =>
                trials[k] = One(
                    empty,
                    watches[k % watches.Length],
                    nozzle,
                    Flow,
                    schedule,
                    fresh,
                    nozzleOffMm,
                    seed + (ulong)k
                )
        );
        return trials;
    }

    private static CalibrationTrial One(
        CalibrationRequest empty,
        WatchModel watch,
        Nozzle? nozzle,
        double flow,
        HeatSchedule schedule,
        HeatSchedule fresh,
        double nozzleOffMm,
        ulong seed
    )
    {
        WatchSetup setup = watch.Setup;
        BenchTruth truth = WatchTrials.Drawn(setup.Probes, setup.Model.Nozzle, aligned: true, seed);
        double turn = seed * 2.399963;
        double offMm = nozzleOffMm * (0.2 + 0.8 * (seed * 7919 % 1000 / 1000.0));
        truth = truth with
        {
            NozzleOffXMm = offMm * Math.Cos(turn),
            NozzleOffYMm = offMm * Math.Sin(turn),
            // Half the distance of the watch's trials: a scrap board gives time to measure where a bead sits.
            Probes =
            [
                .. truth.Probes.Select(probe => probe with { OffXMm = probe.OffXMm / 2, OffYMm = probe.OffYMm / 2 }),
            ],
        };
        SimulatedHeat heat = SimulatedBench.Run(setup, schedule, truth, rough: true);
        CalibrationRequest request = empty with
        {
            Probes = setup.Probes,
            Readings = heat.Readings,
            SetPoints = schedule,
            AlignmentChecked = nozzleOffMm <= 0.5,
        };
        CalibrationResult result = TrialChecks.Problems(request) is { Count: > 0 } problems
            ? new CalibrationResult(CalibrationState.Refused, "", problems, [], [], [], [], 0, null, null)
            : Calibrator.Fit(request, watch, nozzle, flow, CancellationToken.None);
        SimulatedHeat there = SimulatedBench.Run(setup, fresh, truth with { Seed = seed + 77 }, rough: true);
        HeatFactors learned = HeatFactors.Nominal;
        List<(string, double)> offs = [];
        foreach (LearnedNumber one in result.Numbers)
        {
            learned = FactorNames.Scaled(learned, one.Factor, one.Ratio);
            offs.Add((one.Factor, Math.Log(TrueRatio(truth.Factors, one.Factor) / one.Ratio) / one.LogSdRatio));
        }
        TrialModel next = new(watch, fresh);
        double[][] before = next.Run(HeatFactors.Nominal)!;
        double[][] after = next.Run(learned)!;
        double truePeakC = there.ColdestC.Max();
        return new CalibrationTrial(
            string.Join(" + ", setup.Probes.Select(probe => probe.Channel)),
            offMm,
            result,
            offs,
            next.ColdestPeakC(before) - truePeakC,
            next.ColdestPeakC(after) - truePeakC,
            Rms(setup.Model, before, there.Truth),
            Rms(setup.Model, after, there.Truth),
            result.Gain?.ColdestAfterDeltaK ?? double.NaN,
            result.Gain?.OtherBoardDeltaK ?? double.NaN
        );
    }

    private static double TrueRatio(HeatFactors truth, string factor) =>
        (double)typeof(HeatFactors).GetProperty(factor)!.GetValue(truth)!;

    private static double Rms(BoardHeatModel model, double[][] rows, HeatTrace truth)
    {
        double sum = 0;
        int number = 0;
        for (int i = 0; i < model.Places.Count; i++)
        {
            if (model.Places[i].Kind != HeatPlaceKind.Joint)
            {
                continue;
            }
            for (int k = 0; k < Math.Min(rows[i].Length, truth.Count); k++)
            {
                double off = rows[i][k] - truth.TemperaturesC[i][k];
                sum += off * off;
                number++;
            }
        }
        return Math.Sqrt(sum / Math.Max(number, 1));
    }
}
