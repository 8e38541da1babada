using Graftbench.Core.Jobs;
using Graftbench.Core.Physics.Heat;

namespace Graftbench.Core.Heating;

/// <summary>Temperatures of a heat case's probes, or what is wrong with the case.</summary>
/// <param name="Name">Name of the case.</param>
/// <param name="TimesS">Moments [s].</param>
/// <param name="Probes">Probes with their temperatures at these moments; empty without a solution.</param>
/// <param name="Nodes">Nodes of the grid.</param>
/// <param name="StepS">Time step [s].</param>
/// <param name="MeshErrorDeltaK">Estimated error of the grid over all probes and moments [K].</param>
/// <param name="StepErrorDeltaK">Estimated error of the time steps [K].</param>
/// <param name="EnergyImbalanceFraction">Energy not accounted for, as share of what flowed.</param>
/// <param name="Converged">Whether every step was solved.</param>
/// <param name="Problems">What is wrong with the document; then there is nothing else.</param>
/// <param name="NotListed">How many more problems there were.</param>
public sealed record CaseForecast(
    string Name,
    IReadOnlyList<double> TimesS,
    IReadOnlyList<CaseProbeForecast> Probes,
    int Nodes,
    double StepS,
    double? MeshErrorDeltaK,
    double? StepErrorDeltaK,
    double EnergyImbalanceFraction,
    bool Converged,
    IReadOnlyList<JobProblem> Problems,
    int NotListed
);

/// <summary>Temperatures of one probe.</summary>
/// <param name="Name">Name of the probe.</param>
/// <param name="TemperaturesC">One for each moment [°C].</param>
public sealed record CaseProbeForecast(string Name, IReadOnlyList<double> TemperaturesC);

/// <summary>Forecasts a heat case from its document.</summary>
public static class CaseForecaster
{
    /// <summary>Reads and runs a case. Never throws on what the document holds.</summary>
    /// <param name="utf8">The document (<c>graftbench-heat-1</c>).</param>
    /// <param name="errorDeltaK">Estimated error to refine the grid for [K].</param>
    /// <param name="progress">How far the present run is; null for nobody.</param>
    /// <param name="cancel">Stops between steps.</param>
    public static CaseForecast Forecast(
        ReadOnlySpan<byte> utf8,
        double errorDeltaK,
        IProgress<PlanProgress>? progress,
        CancellationToken cancel
    )
    {
        Require.FinitePositive(errorDeltaK);
        HeatCaseReading reading = HeatCaseReader.Read(utf8);
        if (reading.Case is not { } heat)
        {
            return Wrong(reading.Problems, reading.NotListed);
        }
        if (Refuse(heat, HeatMesh.Usual) is { } refusal)
        {
            return Wrong([refusal], 0);
        }
        HeatForecast forecast = HeatForecaster.ForecastWithin(
            heat,
            errorDeltaK,
            progress is null ? null : new Share(progress),
            cancel
        );
        return new CaseForecast(
            forecast.Name,
            forecast.TimesS,
            [.. forecast.Probes.Select(probe => new CaseProbeForecast(probe.Name, probe.TemperaturesC))],
            forecast.Nodes,
            forecast.StepS,
            forecast.MeshErrorDeltaK,
            forecast.StepErrorDeltaK,
            forecast.EnergyImbalanceFraction,
            forecast.Converged,
            [],
            0
        );
    }

    /// <summary>What speaks against running a case on a grid; null where nothing does.</summary>
    /// <param name="heat">The case.</param>
    /// <param name="mesh">How fine.</param>
    public static JobProblem? Refuse(HeatCase heat, HeatMesh mesh)
    {
        long points = HeatForecaster.PointCount(heat, mesh);
        return points <= HeatForecaster.MostPoints
            ? null
            : new JobProblem(
                "boxes",
                0,
                0,
                "The grid would be too large for the memory that the heat model takes.",
                FormattableString.Invariant($"{points:N0} points"),
                FormattableString.Invariant($"at most {HeatForecaster.MostPoints:N0} points, about 500 MB"),
                "Graftbench heat model",
                "Leave out small boxes, or put their edges on common lines."
            );
    }

    private static CaseForecast Wrong(IReadOnlyList<JobProblem> problems, int notListed) =>
        new("", [], [], 0, 0, null, null, 0, false, problems, notListed);

    private sealed class Share(IProgress<PlanProgress> progress) : IProgress<double>
    {
        private int lastPercent = -1;

        public void Report(double value)
        {
            int percent = (int)(100 * value);
            if (percent != lastPercent)
            {
                lastPercent = percent;
                progress.Report(new PlanProgress("Running the full model", value));
            }
        }
    }
}
