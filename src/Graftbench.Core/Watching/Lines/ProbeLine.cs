namespace Graftbench.Core.Watching.Lines;

/// <summary>What a channel of a line says.</summary>
public enum ChannelState
{
    /// <summary>A temperature.</summary>
    Measured,

    /// <summary>The logger says that no probe is there, or sends nothing.</summary>
    Open,

    /// <summary>A number that no probe on a bench can read.</summary>
    OutOfRange,
}

/// <summary>A reading of one channel.</summary>
/// <param name="State">Whether it is one.</param>
/// <param name="TemperatureC">Temperature; NaN where there is none [°C].</param>
public readonly record struct ChannelReading(ChannelState State, double TemperatureC)
{
    /// <summary>Coldest and hottest that a reading may be [°C]; sheathless type K beads on a bench stay inside (common practice, no source).</summary>
    public const double LowestC = -60;

    /// <summary>Hottest that a reading may be [°C].</summary>
    public const double HighestC = 700;

    /// <summary>A reading from a number.</summary>
    /// <param name="temperatureC">Temperature [°C].</param>
    public static ChannelReading Of(double temperatureC) =>
        temperatureC is >= LowestC and <= HighestC
            ? new ChannelReading(ChannelState.Measured, temperatureC)
            : new ChannelReading(ChannelState.OutOfRange, double.NaN);

    /// <summary>No probe.</summary>
    public static ChannelReading None { get; } = new(ChannelState.Open, double.NaN);
}

/// <summary>A line of a logger, read.</summary>
/// <param name="StampS">Time by the logger's own clock, from a start of its own; null where the line has none [s].</param>
/// <param name="Readings">One for each channel of the format, in its order.</param>
/// <param name="Problem">Why the line was refused; null where it was read. A refused line has no readings.</param>
public sealed record ProbeLine(double? StampS, IReadOnlyList<ChannelReading> Readings, string? Problem)
{
    private const double SecondsPerDay = 86_400;

    /// <summary>Reads a line as a format says; a line that does not fit is refused, never half read.</summary>
    /// <param name="line">The line, without its end.</param>
    /// <param name="format">The logger's format.</param>
    public static ProbeLine Read(string line, ProbeFormat format)
    {
        ArgumentNullException.ThrowIfNull(line);
        ArgumentNullException.ThrowIfNull(format);
        List<string> fields = LineFields.Split(line, format.Separator, format.Columns.Count);
        if (fields.Count != format.Columns.Count)
        {
            return Refused($"{fields.Count} fields where the format has {format.Columns.Count}");
        }
        List<ChannelReading> readings = [];
        double? clockS = null;
        double? dateS = null;
        double? elapsedS = null;
        for (int i = 0; i < fields.Count; i++)
        {
            ProbeColumn column = format.Columns[i];
            LineField field = LineFields.Read(fields[i], format.DecimalComma);
            switch (column.Role)
            {
                case ProbeColumnRole.Temperature:
                    if (Temperature(field, column) is not { } reading)
                    {
                        return Refused($"field {i + 1} is no temperature");
                    }
                    readings.Add(reading);
                    break;
                case ProbeColumnRole.Clock when field.Kind == FieldKind.Clock:
                    clockS = field.Number;
                    break;
                case ProbeColumnRole.Date when field.Kind == FieldKind.Date:
                    dateS = field.Number * SecondsPerDay;
                    break;
                case ProbeColumnRole.ElapsedS when field.Kind == FieldKind.Number:
                    elapsedS = field.Number;
                    break;
                case ProbeColumnRole.ElapsedMs when field.Kind == FieldKind.Number:
                    elapsedS = field.Number / 1000;
                    break;
                case ProbeColumnRole.Ignored:
                    break;
                default:
                    return Refused($"field {i + 1} is no time");
            }
        }
        double? stampS = elapsedS ?? (clockS is { } clock ? clock + (dateS ?? 0) : null);
        return new ProbeLine(stampS, readings, null);
    }

    private static ProbeLine Refused(string why) => new(null, [], why);

    private static ChannelReading? Temperature(LineField field, ProbeColumn column)
    {
        // A label that is another channel's: the line is put together differently from what was confirmed.
        if (field.Label is { } label && !string.Equals(label, column.Name, StringComparison.OrdinalIgnoreCase))
        {
            return null;
        }
        return field.Kind switch
        {
            FieldKind.Open or FieldKind.Empty => ChannelReading.None,
            FieldKind.Number or FieldKind.Temperature => ChannelReading.Of(
                ToC(field.Number, field.Unit ?? column.Unit)
            ),
            _ => null,
        };
    }

    /// <summary>A temperature in degrees Celsius.</summary>
    internal static double ToC(double value, ProbeUnit unit) =>
        unit switch
        {
            ProbeUnit.Fahrenheit => (value - 32) * 5 / 9,
            ProbeUnit.Kelvin => value - Units.ZeroCelsiusK,
            _ => value,
        };
}
