using System.CommandLine;
using System.Globalization;
using System.Text;
using Graftbench.Core.Heating;
using Graftbench.Core.Jobs;

namespace Graftbench.Cli.Verbs;

/// <summary><c>graftbench heat forecast</c>: temperatures of one case of boxes, films, signals and probes.</summary>
internal static class HeatForecastVerb
{
    private const double UsualErrorDeltaK = 0.3;

    public static Command Create()
    {
        Argument<string> file = new("case")
        {
            Description = "Heat case (graftbench-heat-1); - reads standard input.",
            HelpName = "CASE",
        };
        Option<bool> json = new("--json") { Description = "Prints the forecast as JSON." };
        Option<double?> error = Verb.Number(
            "--error",
            "Estimated error to refine the grid for, in K, 0.05 to 20; 0.3 if left out."
        );
        Command verb = new("forecast", "Forecasts temperatures of a case of boxes, films, signals and probes.")
        {
            file,
            json,
            error,
        };
        verb.SetAction(
            (parsed, cancel) =>
                Verb.RunAsync(() =>
                {
                    double errorDeltaK = parsed.GetValue(error) ?? UsualErrorDeltaK;
                    if (errorDeltaK is not (>= 0.05 and <= 20))
                    {
                        throw new BadInputException($"--error {errorDeltaK}: must be from 0.05 to 20 K.");
                    }
                    string path = parsed.GetValue(file)!;
                    CaseForecast forecast;
                    try
                    {
                        forecast = CaseForecaster.Forecast(
                            JobInput.Bytes(path, out long size) ?? throw TooLarge(path, size),
                            errorDeltaK,
                            ProgressLine.Create(),
                            cancel
                        );
                    }
                    finally
                    {
                        ProgressLine.Clear();
                    }
                    if (forecast.Problems.Count > 0)
                    {
                        throw new BadInputException(
                            ProblemText.Of(
                                path == "-" ? "standard input" : path,
                                new JobReading(null, forecast.Problems, forecast.NotListed)
                            )
                        );
                    }
                    Console.Out.Write(parsed.GetValue(json) ? HeatPlanJson.Write(forecast) + "\n" : Text(forecast));
                    return Task.FromResult(forecast.Converged ? ExitCode.Ok : ExitCode.FixFirst);
                })
        );
        return verb.WithExample(
            "graftbench heat forecast case.json",
            "prints the probes' temperatures at the asked moments; exit 1: the solver failed, 2: a bad case"
        );
    }

    private static BadInputException TooLarge(string path, long size) =>
        new(ProblemText.Of(path, JobReader.TooLarge(size)));

    private static string Text(CaseForecast forecast)
    {
        if (!forecast.Converged)
        {
            return $"{forecast.Name}: the solver did not converge, so there are no temperatures.\n";
        }
        StringBuilder text = new();
        text.AppendLine(forecast.Name);
        int width = Math.Max(8, forecast.Probes.Max(probe => probe.Name.Length) + 2);
        text.Append("time s".PadLeft(8));
        foreach (CaseProbeForecast probe in forecast.Probes)
        {
            text.Append(probe.Name.PadLeft(width));
        }
        text.AppendLine();
        for (int t = 0; t < forecast.TimesS.Count; t++)
        {
            text.Append(forecast.TimesS[t].ToString("0.##", CultureInfo.InvariantCulture).PadLeft(8));
            foreach (CaseProbeForecast probe in forecast.Probes)
            {
                text.Append(probe.TemperaturesC[t].ToString("0.00", CultureInfo.InvariantCulture).PadLeft(width));
            }
            text.AppendLine();
        }
        text.AppendLine();
        text.AppendLine(
            $"Temperatures in °C. Grid of {forecast.Nodes} nodes, steps of {forecast.StepS:0.###} s; estimated error of the grid {forecast.MeshErrorDeltaK:0.00} K, of the steps {forecast.StepErrorDeltaK:0.00} K; energy not accounted for {100 * forecast.EnergyImbalanceFraction:0.0000} %."
        );
        return text.ToString();
    }
}
