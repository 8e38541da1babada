using System.Globalization;
using System.Text;
using Graftbench.Core.Heating;
using Graftbench.Core.Jobs;
using Graftbench.Core.Physics.Heat;
using Graftbench.Core.Watching;
using Graftbench.Core.Watching.Lines;
using static System.FormattableString;

namespace Graftbench.Core.Calibrating;

/// <summary>The log of a trial as its readings.</summary>
/// <param name="Channels">Channels of the log.</param>
/// <param name="Readings">Readings; time 0 is when the heaters were switched on.</param>
/// <param name="Problems">What speaks against the log; readings are not used then.</param>
/// <param name="Notes">What was taken for granted.</param>
public sealed record TrialLog(
    IReadOnlyList<string> Channels,
    IReadOnlyList<ProbeReading> Readings,
    IReadOnlyList<string> Problems,
    IReadOnlyList<string> Notes
)
{
    /// <summary>Largest log that is read [bytes].</summary>
    public const int MostBytes = 16 * 1024 * 1024;

    private const int MostLines = 200_000;
    private const double RefusedFraction = 0.1;
    private const double HalfDayS = 43_200;
    private const double DayS = 86_400;

    /// <summary>Reads a log. Never throws on its content.</summary>
    /// <param name="bytes">The log.</param>
    /// <param name="roomC">Temperature of the room [°C].</param>
    /// <param name="startS">Time in the log when the heaters were switched on, counted from its first line [s].</param>
    /// <param name="everyS">Distance of the lines where they carry no time; null where that is not known [s].</param>
    /// <param name="format">A confirmed format; null to learn it from the first lines.</param>
    public static TrialLog Read(
        ReadOnlySpan<byte> bytes,
        double roomC,
        double startS = 0,
        double? everyS = null,
        ProbeFormat? format = null
    )
    {
        if (bytes.Length > MostBytes)
        {
            return Bad(
                Invariant($"The log has {bytes.Length} bytes, at most {MostBytes} are read: cut it to the trial.")
            );
        }
        List<string> lines = [];
        LineCutter cutter = LineCutter.OfFile();
        // What begins with a hash is a remark: our own logs keep their setup and marks there.
        void Take(string line)
        {
            if (lines.Count <= MostLines && !line.TrimStart().StartsWith('#'))
            {
                lines.Add(line);
            }
        }
        cutter.Feed(bytes, Take);
        cutter.Finish(Take);
        if (lines.Count > MostLines)
        {
            return Bad(Invariant($"The log has more than {MostLines} lines: cut it to the trial."));
        }
        List<string> notes = [];
        if (cutter.TooLongNumber > 0)
        {
            notes.Add(
                Invariant($"{cutter.TooLongNumber} lines of more than {LineCutter.LongestLine} bytes were left out.")
            );
        }
        if (format is null)
        {
            if (FormatLearner.Learn(lines, roomC) is not [{ } learned, ..])
            {
                return Bad(
                    Invariant(
                        $"The log is no table of temperatures: at least {FormatLearner.FewestLines} lines with the same columns are needed, like 12.5,24.9,25.3."
                    )
                );
            }
            format = learned.Format;
            notes.AddRange(learned.Notes);
        }
        return Rows(lines, format, startS, everyS, notes);
    }

    private static TrialLog Rows(
        List<string> lines,
        ProbeFormat format,
        double startS,
        double? everyS,
        List<string> notes
    )
    {
        if (!format.Timed && everyS is not > 0)
        {
            return Bad(
                "The lines of the log carry no time that rises from line to line: say how many seconds lie between them, repair the times, or log with times."
            ) with
            {
                Channels = format.Channels,
            };
        }
        List<ProbeReading> readings = [];
        List<string> problems = [];
        int refused = 0;
        int number = 0;
        double firstS = double.NaN;
        double lastS = double.NaN;
        double daysS = 0;
        double backS = 0;
        foreach (string line in lines)
        {
            ProbeLine read = ProbeLine.Read(line, format);
            if (read.Problem is not null || (format.Timed && read.StampS is null))
            {
                refused++;
                continue;
            }
            double stampS = format.Timed ? read.StampS!.Value + daysS : number * everyS!.Value;
            if (format.Timed && stampS < lastS - HalfDayS && lastS < daysS + DayS)
            {
                // A time of day goes on after midnight.
                daysS += DayS;
                stampS += DayS;
            }
            backS = Math.Max(backS, double.IsNaN(lastS) ? 0 : lastS - stampS);
            firstS = double.IsNaN(firstS) ? stampS : firstS;
            lastS = stampS;
            number++;
            for (int c = 0; c < format.Channels.Count; c++)
            {
                ChannelReading there = read.Readings[c];
                readings.Add(
                    new ProbeReading(
                        stampS - firstS - startS,
                        format.Channels[c],
                        there.State == ChannelState.Measured ? there.TemperatureC : null
                    )
                );
            }
        }
        // The heading is a line that is no reading.
        if (refused > 1 + RefusedFraction * lines.Count || number < FormatLearner.FewestLines)
        {
            problems.Add(
                Invariant(
                    $"{refused} of {lines.Count} lines of the log do not read as the others do, at most a tenth may: repair or cut the log."
                )
            );
        }
        else if (refused > 1)
        {
            notes.Add(Invariant($"{refused} of {lines.Count} lines do not read as the others do and were left out."));
        }
        if (backS > 0)
        {
            problems.Add(
                Invariant(
                    $"The clock of the log jumps back by {backS:0.#} s; times must rise. Repair the times or run the trial again."
                )
            );
        }
        return new TrialLog(format.Channels, readings, problems, notes);
    }

    private static TrialLog Bad(string problem) => new([], [], [problem], []);
}

/// <summary>Set points as a person writes them down: a line for each change, with time, gas and bottom heater.</summary>
/// <param name="Schedule">The set points; null where they cannot be used.</param>
/// <param name="Problems">What is wrong with them, a sentence for each line.</param>
public sealed record TrialSetPoints(HeatSchedule? Schedule, IReadOnlyList<string> Problems)
{
    private const int MostLines = 500;
    private const double HottestC = 700;
    private static readonly char[] Separators = [';', '\t', ','];

    /// <summary>Reads set points: seconds, gas °C, bottom heater °C; an empty field or "-" leaves a heater as it is.</summary>
    /// <param name="text">Lines; a heading and lines that begin with a hash are left out.</param>
    /// <param name="control">How the bench is set: ramps run straight from line to line, all else holds until the next line.</param>
    /// <param name="roomC">Where both heaters start [°C].</param>
    public static TrialSetPoints Read(string text, HeatControl control, double roomC)
    {
        ArgumentNullException.ThrowIfNull(text);
        List<string> problems = [];
        List<SignalPoint> gas = [new(0, roomC)];
        List<SignalPoint> below = [new(0, roomC)];
        string[] lines = text.ReplaceLineEndings("\n").Split('\n', StringSplitOptions.TrimEntries);
        double lastS = 0;
        int read = 0;
        for (int i = 0; i < lines.Length && problems.Count < 20; i++)
        {
            if (lines[i].Length == 0 || lines[i][0] == '#')
            {
                continue;
            }
            char separator = Separators.FirstOrDefault(one => lines[i].Contains(one), ' ');
            string[] fields = lines[i].Split(separator, StringSplitOptions.TrimEntries);
            if (read == 0 && problems.Count == 0 && !TryNumber(fields[0], out _) && fields.Length is 2 or 3)
            {
                // A heading.
                read = -1;
                continue;
            }
            read = Math.Max(read, 0);
            double? gasC = null;
            double? belowC = null;
            bool sound =
                fields.Length is 2 or 3
                & TryNumber(fields[0], out double timeS)
                & TryLevel(fields.ElementAtOrDefault(1), out gasC)
                & TryLevel(fields.ElementAtOrDefault(2), out belowC);
            if (!sound)
            {
                problems.Add(
                    Invariant(
                        $"Set points, line {i + 1}: write seconds, gas and bottom heater in °C, like 120, 220, 160; an empty field leaves a heater as it is."
                    )
                );
                continue;
            }
            if (timeS < lastS || timeS > TrialChecks.LongestS || Beyond(gasC) || Beyond(belowC))
            {
                problems.Add(
                    Invariant(
                        $"Set points, line {i + 1}: times must rise from 0 to {TrialChecks.LongestS:0} s and temperatures lie from 0 to {HottestC:0} °C."
                    )
                );
                continue;
            }
            lastS = timeS;
            if (++read > MostLines)
            {
                problems.Add(Invariant($"More than {MostLines} set points: leave out what changes nothing."));
                break;
            }
            Add(gas, timeS, gasC, control);
            Add(below, timeS, belowC, control);
        }
        if (read <= 0 && problems.Count == 0)
        {
            problems.Add(
                "The set points are unknown: write a line for each change, seconds, gas and bottom heater in °C, like 120, 220, 160."
            );
        }
        return problems.Count > 0
            ? new TrialSetPoints(null, problems)
            : new TrialSetPoints(new HeatSchedule(gas, below, lastS), []);
    }

    /// <summary>Set points as <see cref="Read"/> takes them, one line for each time of either heater.</summary>
    /// <param name="schedule">Set points.</param>
    public static string Write(HeatSchedule schedule)
    {
        ArgumentNullException.ThrowIfNull(schedule);
        StringBuilder text = new("seconds, gas, bottom heater\n");
        foreach (
            double timeS in schedule.Gas.Concat(schedule.Preheater).Select(point => point.TimeS).Distinct().Order()
        )
        {
            // The last of several at one time is what counts from then on.
            string At(IReadOnlyList<SignalPoint> points) =>
                points.LastOrDefault(point => point.TimeS == timeS) is { } point
                    ? point.TemperatureC.ToString("0.#", CultureInfo.InvariantCulture)
                    : "";
            text.Append(CultureInfo.InvariantCulture, $"{timeS:0.#}, {At(schedule.Gas)}, {At(schedule.Preheater)}\n");
        }
        return text.ToString();
    }

    private static void Add(List<SignalPoint> points, double timeS, double? setC, HeatControl control)
    {
        if (setC is not { } level)
        {
            return;
        }
        if (control != HeatControl.Ramps)
        {
            points.Add(new SignalPoint(timeS, points[^1].TemperatureC));
        }
        points.Add(new SignalPoint(timeS, level));
    }

    private static bool Beyond(double? levelC) => levelC is not (null or >= 0 and <= HottestC);

    private static bool TryLevel(string? field, out double? levelC)
    {
        levelC = null;
        if (field is null or "" or "-")
        {
            return true;
        }
        bool number = TryNumber(field, out double value);
        levelC = value;
        return number;
    }

    private static bool TryNumber(string field, out double value) =>
        double.TryParse(field, NumberStyles.Float, CultureInfo.InvariantCulture, out value) && double.IsFinite(value);
}
