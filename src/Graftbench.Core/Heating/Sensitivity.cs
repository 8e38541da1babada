using Graftbench.Core.Facts;
using Graftbench.Core.Physics.Heat;

namespace Graftbench.Core.Heating;

/// <summary>What moves the answer: each doubtful factor up by one standard deviation, the schedule as it is.</summary>
internal static class Sensitivity
{
    /// <summary>Factors, the one that moves the coldest joint or the body most first.</summary>
    public static IReadOnlyList<HeatSensitivity> Of(
        IHeatRunner runner,
        BoardHeatModel model,
        HeatSchedule schedule,
        ParallelOptions parallel
    )
    {
        List<(string Factor, double LogSd, string What)> drawn = HeatSamples.Drawn(model.Assumptions);
        RunFigures figures = new(runner.Places, [], model.MoltenC);
        HeatSensitivity[] found = new HeatSensitivity[drawn.Count];
        Parallel.For(
            0,
            drawn.Count,
            parallel,
            i =>
            {
                (string factor, double logSd, string what) = drawn[i];
                HeatTrace up = runner.Run(schedule, FactorNames.Scaled(HeatFactors.Nominal, factor, Math.Exp(logSd)));
                HeatTrace down = runner.Run(
                    schedule,
                    FactorNames.Scaled(HeatFactors.Nominal, factor, Math.Exp(-logSd))
                );
                string code = model
                    .Assumptions.Where(one => string.Equals(one.Factor, factor, StringComparison.Ordinal))
                    .MaxBy(one => one.LogSdRatio)!
                    .Code;
                found[i] = new HeatSensitivity(
                    code,
                    $"{what} {100 * (Math.Exp(logSd) - 1):+0} %",
                    Half(figures.ColdestC(up.TemperaturesC), figures.ColdestC(down.TemperaturesC)),
                    Half(figures.HottestC(up.TemperaturesC), figures.HottestC(down.TemperaturesC)),
                    Half(up.TemperaturesC[figures.BodyTop].Max(), down.TemperaturesC[figures.BodyTop].Max()),
                    Half(figures.LeastMolten(up, smooth: false), figures.LeastMolten(down, smooth: false))
                );
            }
        );
        IEnumerable<HeatSensitivity> all = NozzleLayout.TiltDeltaK(model) is > 0 and var tiltDeltaK
            ? found.Append(Aligned(runner, model, schedule, figures, tiltDeltaK))
            : found;
        return
        [
            .. all.OrderByDescending(one => Math.Max(Math.Abs(one.ColdestJointDeltaK), Math.Abs(one.BodyTopDeltaK))),
        ];
    }

    // Towards the corner that costs the coldest joint most.
    private static HeatSensitivity Aligned(
        IHeatRunner runner,
        BoardHeatModel model,
        HeatSchedule schedule,
        RunFigures figures,
        double tiltDeltaK
    )
    {
        HeatTrace straight = runner.Run(schedule, HeatFactors.Nominal);
        double along = Math.Sqrt(0.5);
        HeatTrace worst = new[] { (1, 1), (1, -1), (-1, 1), (-1, -1) }
            .Select(way =>
            {
                HeatTrace tilted = new(
                    straight.StepS,
                    [.. straight.TemperaturesC.Select(row => (double[])row.Clone())]
                );
                double[] numbers = [0, 0, along * way.Item1, along * way.Item2];
                HeatSamples.AddStructure(tilted, runner.Places, model, numbers, tiltDeltaK);
                return tilted;
            })
            .MinBy(trace => figures.ColdestC(trace.TemperaturesC))!;
        return new HeatSensitivity(
            NozzleLayout.AlignCode,
            $"Nozzle set by eye: {HeatFilms.Of(NozzleLayout.AlignCode).Value:0.#} mm off the chip's centre, towards a corner",
            figures.ColdestC(worst.TemperaturesC) - figures.ColdestC(straight.TemperaturesC),
            figures.HottestC(worst.TemperaturesC) - figures.HottestC(straight.TemperaturesC),
            0,
            figures.LeastMolten(worst, smooth: false) - figures.LeastMolten(straight, smooth: false)
        );
    }

    // Half the difference of both ways: one standard deviation, curvature left out.
    private static double Half(double up, double down) => (up - down) / 2;
}
