using System.Globalization;
using System.Text.RegularExpressions;

namespace Graftbench.Web.Shell;

/// <summary>Temperatures for reading. The record and every entry stay in °C.</summary>
public static partial class Temperatures
{
    /// <summary>Puts °F behind every temperature in °C: <c>70 °C (158 °F)</c>, <c>20-35 °C (68-95 °F)</c>.</summary>
    public static string WithFahrenheit(string text) =>
        Celsius()
            .Replace(
                text,
                match =>
                {
                    string first = ToFahrenheit(match.Groups["a"].Value);
                    string second = match.Groups["b"].Success
                        ? match.Groups["dash"].Value + ToFahrenheit(match.Groups["b"].Value)
                        : "";
                    return $"{match.Value} ({first}{second} °F)";
                }
            );

    private static string ToFahrenheit(string celsius) =>
        Math.Round(
                (double.Parse(celsius.Replace('−', '-'), NumberStyles.Float, CultureInfo.InvariantCulture) * 1.8) + 32,
                MidpointRounding.AwayFromZero
            )
            .ToString("0", CultureInfo.InvariantCulture);

    [GeneratedRegex(
        @"(?<![\w.])(?<a>[-−]?[0-9]+(?:\.[0-9]+)?)(?:(?<dash> ?(?:-|–|to|\.\.) ?)(?<b>[0-9]+(?:\.[0-9]+)?))?\s°C(?![\w/])",
        RegexOptions.ExplicitCapture,
        matchTimeoutMilliseconds: 1000
    )]
    private static partial Regex Celsius();
}
