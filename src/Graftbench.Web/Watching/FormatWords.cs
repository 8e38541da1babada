using System.Globalization;
using Graftbench.Core.Watching.Lines;

namespace Graftbench.Web.Watching;

/// <summary>A logger's format in words, and what it makes of a line.</summary>
internal static class FormatWords
{
    /// <summary>The format in one line.</summary>
    public static string Of(ProbeFormat format)
    {
        string separator = format.Separator switch
        {
            ProbeSeparator.Comma => "commas",
            ProbeSeparator.Semicolon => "semicolons",
            ProbeSeparator.Tab => "tabs",
            ProbeSeparator.Bar => "upright bars",
            _ => "blanks",
        };
        string units = string.Join(
            ", ",
            format
                .Columns.Where(column => column.Role == ProbeColumnRole.Temperature)
                .Select(column => column.Unit)
                .Distinct()
                .Select(unit =>
                    unit switch
                    {
                        ProbeUnit.Fahrenheit => "°F",
                        ProbeUnit.Kelvin => "K",
                        _ => "°C",
                    }
                )
        );
        return $"fields by {separator}, decimal {(format.DecimalComma ? "comma" : "point")}, {units}, {format.Channels.Count} {(format.Channels.Count == 1 ? "channel" : "channels")}, {(format.Timed ? "with times" : "without times: the arrival counts")}";
    }

    /// <summary>What the newest line that it reads says, channel by channel.</summary>
    public static IReadOnlyList<(string Name, string Read)> Readings(ProbeFormat format, IReadOnlyList<string> lines)
    {
        ProbeLine? line = lines
            .Reverse()
            .Select(one => ProbeLine.Read(one, format))
            .FirstOrDefault(one => one.Problem is null);
        return
        [
            .. format.Channels.Select(
                (name, i) =>
                    (
                        name,
                        line is null
                            ? "not read"
                            : line.Readings[i].State switch
                            {
                                ChannelState.Measured => line.Readings[i]
                                    .TemperatureC.ToString("0.0", CultureInfo.InvariantCulture) + " °C",
                                ChannelState.Open => "open",
                                _ => "out of range",
                            }
                    )
            ),
        ];
    }
}
