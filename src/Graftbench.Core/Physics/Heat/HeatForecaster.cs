using Graftbench.Core.Numerics;

namespace Graftbench.Core.Physics.Heat;

/// <summary>Temperatures of a case's probes, and how far to trust them.</summary>
/// <param name="Name">Name of the case.</param>
/// <param name="TimesS">Moments [s].</param>
/// <param name="Probes">Probes with their temperatures at these moments.</param>
/// <param name="Nodes">Nodes of the grid.</param>
/// <param name="StepS">Time step [s].</param>
/// <param name="Iterations">Iterations of all solves.</param>
/// <param name="EnergyImbalanceFraction">Energy not accounted for, as share of what flowed.</param>
/// <param name="LargestResidualDeltaK">Largest preconditioned residual of all steps [K].</param>
/// <param name="MeshErrorDeltaK">Difference that a coarser grid makes, taken to the limit of second order [K]; null where it was not asked for.</param>
/// <param name="StepErrorDeltaK">The same for a step of twice the length [K].</param>
/// <param name="Converged">Whether every step was solved; without that the temperatures are empty.</param>
public sealed record HeatForecast(
    string Name,
    IReadOnlyList<double> TimesS,
    IReadOnlyList<ProbeForecast> Probes,
    int Nodes,
    double StepS,
    long Iterations,
    double EnergyImbalanceFraction,
    double LargestResidualDeltaK,
    double? MeshErrorDeltaK,
    double? StepErrorDeltaK,
    bool Converged
);

/// <summary>Temperatures of one probe.</summary>
/// <param name="Name">Name of the probe.</param>
/// <param name="TemperaturesC">One for each moment [°C].</param>
public sealed record ProbeForecast(string Name, IReadOnlyList<double> TemperaturesC);

/// <summary>Runs a case through the full model and reads its probes.</summary>
public static class HeatForecaster
{
    private const long MostRefinedPoints = 500_000;
    private const int MostRefinements = 3;

    /// <summary>Most points that a grid may have; about 500 MB.</summary>
    public const long MostPoints = 2_000_000;

    /// <summary>Points of the grid that a case gets, with those in the air.</summary>
    /// <param name="heat">The case.</param>
    /// <param name="mesh">How fine.</param>
    public static long PointCount(HeatCase heat, HeatMesh mesh) => HeatGrid.Of(heat, mesh).PointsNumber;

    /// <summary>Forecasts a case on the usual grid, and on finer ones until the estimated error is small enough.</summary>
    /// <param name="heat">A case that its reader found in order.</param>
    /// <param name="targetDeltaK">Estimated error to stop at [K].</param>
    /// <param name="doneFraction">Share of the present run done, 0 to 1.</param>
    /// <param name="cancel">Stops between steps.</param>
    /// <returns>The finest forecast made; its own figures say how far it got.</returns>
    /// <exception cref="InvalidOperationException">More than <see cref="MostPoints"/> on the usual grid.</exception>
    public static HeatForecast ForecastWithin(
        HeatCase heat,
        double targetDeltaK,
        IProgress<double>? doneFraction,
        CancellationToken cancel
    )
    {
        const double Finer = 1.4;
        HeatMesh mesh = HeatMesh.Usual;
        HeatForecast best = Forecast(heat, mesh, true, doneFraction, cancel);
        for (int round = 0; round < MostRefinements && best.Converged; round++)
        {
            double meshError = best.MeshErrorDeltaK ?? 0;
            double stepError = best.StepErrorDeltaK ?? 0;
            if (meshError + stepError <= targetDeltaK)
            {
                break;
            }
            HeatMesh next = meshError >= stepError ? mesh.Scaled(1 / Finer) : mesh with { StepS = mesh.StepS / 2 };
            if (HeatGrid.Of(heat, next).PointsNumber > MostRefinedPoints)
            {
                break;
            }
            mesh = next;
            HeatForecast finer = Forecast(heat, mesh, true, doneFraction, cancel);
            if (!finer.Converged)
            {
                break;
            }
            best = finer;
        }
        return best;
    }

    /// <summary>Forecasts a case.</summary>
    /// <param name="heat">A case that its reader found in order.</param>
    /// <param name="mesh">How fine.</param>
    /// <param name="withErrors">Also runs a coarser grid and a longer step, to say how far off the result may be.</param>
    /// <param name="doneFraction">Share done, 0 to 1.</param>
    /// <param name="cancel">Stops between steps.</param>
    /// <exception cref="InvalidOperationException">More than <see cref="MostPoints"/> points.</exception>
    public static HeatForecast Forecast(
        HeatCase heat,
        HeatMesh mesh,
        bool withErrors,
        IProgress<double>? doneFraction,
        CancellationToken cancel
    )
    {
        double[][]? usual = Once(heat, mesh, doneFraction, cancel, out FullRun run, out int nodes);
        double? meshError = null;
        double? stepError = null;
        if (withErrors && usual is not null)
        {
            const double Coarser = 1.5;
            double[][]? coarse = Once(heat, mesh.Scaled(Coarser), null, cancel, out _, out _);
            double[][]? slow = Once(
                heat,
                mesh.Scaled(Coarser) with
                {
                    StepS = 2 * mesh.StepS,
                },
                null,
                cancel,
                out _,
                out _
            );
            // Second order in both: the error left is the difference over (ratio² − 1).
            meshError = coarse is null ? null : Largest(usual, coarse) / (Coarser * Coarser - 1);
            stepError = coarse is null || slow is null ? null : Largest(coarse, slow) / 3;
        }
        return new HeatForecast(
            heat.Name,
            heat.TimesS,
            usual is null ? [] : [.. heat.Probes.Select((probe, p) => new ProbeForecast(probe.Name, usual[p]))],
            nodes,
            run.StepS,
            run.Iterations,
            run.Energy.ImbalanceFraction,
            run.LargestResidualDeltaK,
            meshError,
            stepError,
            run.Converged
        );
    }

    private static double[][]? Once(
        HeatCase heat,
        HeatMesh mesh,
        IProgress<double>? doneFraction,
        CancellationToken cancel,
        out FullRun run,
        out int nodes
    )
    {
        HeatGrid grid = HeatGrid.Of(heat, mesh);
        if (grid.PointsNumber > MostPoints)
        {
            throw new InvalidOperationException($"The grid has {grid.PointsNumber} points.");
        }
        HeatNetwork network = HeatNetwork.Of(heat, grid, HeatFactors.Nominal);
        nodes = network.Count;
        // The last step ends at or after the end of the run.
        double stepS = Math.Min(mesh.StepS, heat.DurationS / 4);
        int steps = (int)Math.Ceiling(heat.DurationS / stepS - 1e-9);
        HeatCase whole = heat with { DurationS = steps * stepS };
        FieldSampler probes = FieldSampler.Of(network, [.. heat.Probes.Select(p => (p.XMm, p.YMm, p.ZMm))]);
        run = FullModel.Run(network, whole, HeatFactors.Nominal, stepS, probes, null, doneFraction, cancel);
        if (!run.Converged)
        {
            return null;
        }
        return [.. run.ProbesC.Select(values => heat.TimesS.Select(time => At(values, time / stepS)).ToArray())];
    }

    // Between steps the curve through the four nearest values, as exact as the steps themselves.
    private static double At(double[] values, double place)
    {
        int nearest = (int)Math.Round(place);
        if (Math.Abs(place - nearest) < 1e-9)
        {
            return values[Math.Clamp(nearest, 0, values.Length - 1)];
        }
        return Interpolation.Cubic(values, place);
    }

    private static double Largest(double[][] a, double[][] b)
    {
        double largest = 0;
        for (int p = 0; p < a.Length; p++)
        {
            for (int t = 0; t < a[p].Length; t++)
            {
                largest = Math.Max(largest, Math.Abs(a[p][t] - b[p][t]));
            }
        }
        return largest;
    }
}
