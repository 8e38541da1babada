using System.Globalization;
using System.Text;
using Graftbench.Core.Watching.Lines;
using static System.FormattableString;

namespace Graftbench.Core.Reviewing;

/// <summary>How the text of a log looks, before anybody has confirmed it.</summary>
/// <param name="FirstLines">Its first lines.</param>
/// <param name="Formats">Formats that fit, likeliest first.</param>
/// <param name="SetupJson">Setup that a log of ours carries; null in a foreign one.</param>
/// <param name="Problems">Why it cannot be read, all of it; empty where it can.</param>
public sealed record RunLogHead(
    IReadOnlyList<string> FirstLines,
    IReadOnlyList<LearnedFormat> Formats,
    string? SetupJson,
    IReadOnlyList<string> Problems
);

/// <summary>A log that was read.</summary>
/// <param name="Log">The run; null where there is none to be had.</param>
/// <param name="ReadLines">Lines that were read.</param>
/// <param name="RefusedLines">Lines that were refused.</param>
/// <param name="Problems">What stands against it, all of it; empty where there is a run.</param>
public sealed record RunLogReading(RunLog? Log, long ReadLines, long RefusedLines, IReadOnlyList<string> Problems);

/// <summary>
/// Reads the text log of any logger, and our own. Never throws on content; nothing is made up: a refused line is counted, a
/// clock that goes back breaks the run there, equal stamps are spread evenly up to the next one.
/// </summary>
public static class RunLogReader
{
    /// <summary>Largest log [bytes].</summary>
    public const int MaxBytes = 64 * 1024 * 1024;

    /// <summary>Most readings of all channels together: eight channels at ten a second for a day and a half.</summary>
    public const int MostReadings = 10_000_000;

    /// <summary>Longest pause within a log [s]; a longer one is a broken time.</summary>
    public const double LongestPauseS = 7 * 86_400.0;

    private const int FewestSamples = 10;
    private const int MostExamples = 3;
    private const int ShownLines = 12;
    private const double DayS = 86_400;
    private const double SpreadOverS = 2.5;

    /// <summary>Learns how a log is written.</summary>
    /// <param name="bytes">The log.</param>
    /// <param name="roomC">Temperature of the room, by which units are guessed [°C].</param>
    public static RunLogHead Learn(ReadOnlySpan<byte> bytes, double roomC = 25)
    {
        List<string> problems = [];
        if (bytes.Length > MaxBytes)
        {
            problems.Add(
                Invariant(
                    $"The log has {bytes.Length / 1048576.0:0} MB, at most {MaxBytes / 1048576} MB are read (our limit): cut it to the heat."
                )
            );
            return new RunLogHead([], [], null, problems);
        }
        List<string> lines = [];
        string? setup = null;
        Cut(
            bytes,
            line =>
            {
                setup ??= Comment(line, "# setup ");
                if (!IsComment(line) && lines.Count < FormatLearner.MostLines)
                {
                    lines.Add(line);
                }
            }
        );
        IReadOnlyList<LearnedFormat> formats = FormatLearner.Learn(lines, roomC);
        if (lines.Count == 0)
        {
            problems.Add(bytes.Length == 0 ? "The log is empty." : "The log has no lines of text: it is no text log.");
        }
        else if (formats.Count == 0)
        {
            problems.Add(
                Invariant(
                    $"No temperatures were found in the first {lines.Count} lines: at least {FormatLearner.FewestLines} lines with the same number of fields, one reading of each channel a line, are needed. The first line is: {Short(lines[0])}"
                )
            );
        }
        return new RunLogHead([.. lines.Take(ShownLines).Select(Short)], formats, setup, problems);
    }

    /// <summary>Reads a log by a confirmed format.</summary>
    /// <param name="bytes">The log.</param>
    /// <param name="format">Its format.</param>
    /// <param name="stepS">Time between two lines, where lines carry none [s]; null where that is not known.</param>
    public static RunLogReading Read(ReadOnlySpan<byte> bytes, ProbeFormat format, double? stepS = null)
    {
        ArgumentNullException.ThrowIfNull(format);
        List<string> problems = [];
        if (bytes.Length > MaxBytes)
        {
            problems.Add(Invariant($"The log has more than {MaxBytes / 1048576} MB (our limit)."));
        }
        if (!format.Timed && stepS is not (>= 0.001 and <= 60))
        {
            problems.Add("The lines carry no time: say how many seconds lie between two lines (0.001 to 60 s).");
        }
        if (problems.Count > 0)
        {
            return new RunLogReading(null, 0, 0, problems);
        }
        Gathering gathering = new(format, stepS ?? 1);
        (long tooLong, long nul) = Cut(bytes, gathering.Line);
        return gathering.Finish(tooLong, nul);
    }

    private static (long TooLong, long Nul) Cut(ReadOnlySpan<byte> bytes, Action<string> take)
    {
        if (bytes.StartsWith((ReadOnlySpan<byte>)[0xFF, 0xFE]) || bytes.StartsWith((ReadOnlySpan<byte>)[0xFE, 0xFF]))
        {
            Encoding wide = bytes[0] == 0xFF ? Encoding.Unicode : Encoding.BigEndianUnicode;
            bytes = Encoding.UTF8.GetBytes(wide.GetString(bytes[2..]));
        }
        else if (bytes.StartsWith((ReadOnlySpan<byte>)[0xEF, 0xBB, 0xBF]))
        {
            bytes = bytes[3..];
        }
        LineCutter cutter = LineCutter.OfFile();
        cutter.Feed(bytes, take);
        cutter.Finish(take);
        return (cutter.TooLongNumber, cutter.NulNumber);
    }

    private static bool IsComment(string line)
    {
        ReadOnlySpan<char> text = line.AsSpan().TrimStart();
        return text.StartsWith("#") || text.StartsWith("//");
    }

    private static string? Comment(string line, string head) =>
        line.StartsWith(head, StringComparison.Ordinal) ? line[head.Length..] : null;

    private static string Short(string line) => line.Length <= 160 ? line : line[..160] + " ...";

    /// <summary>Lines as they are read, then made a run.</summary>
    private sealed class Gathering(ProbeFormat format, double stepS)
    {
        private readonly List<double> times = [];
        private readonly List<double>[] channels =
        [
            .. Enumerable.Range(0, format.Channels.Count).Select(_ => new List<double>()),
        ];
        private readonly List<double> breaks = [];
        private readonly List<RunMark> marks = [];
        private readonly List<string> examples = [];
        private readonly SampleThinner thinner = new();
        private readonly List<(double StampS, IReadOnlyList<ChannelReading> Readings)> same = [];
        private bool interrupted;
        private bool simulated;
        private bool full;
        private long lineNumber;
        private long read;
        private long refused;
        private double offsetS = double.NaN;
        private double lastStampS = double.NaN;
        private double lastS = double.NegativeInfinity;
        private double usualS = 1;

        public void Line(string line)
        {
            lineNumber++;
            if (IsComment(line))
            {
                Remark(line);
                return;
            }
            ProbeLine one = ProbeLine.Read(line, format);
            if (one.Problem is { } problem)
            {
                Refuse(problem, line);
                return;
            }
            double stampS = format.Timed ? one.StampS ?? double.NaN : read * stepS;
            if (!double.IsFinite(stampS) || Math.Abs(stampS) > 1e13)
            {
                Refuse("its time is no time", line);
                return;
            }
            read++;
            if (same.Count > 0 && same[^1].StampS != stampS)
            {
                Settle(stampS);
            }
            same.Add((stampS, one.Readings));
        }

        private void Refuse(string problem, string line)
        {
            refused++;
            // A heading is no reading and nothing to complain of.
            if (examples.Count < MostExamples && read > 0)
            {
                examples.Add(Invariant($"line {lineNumber}: {problem} ({Short(line)})"));
            }
        }

        private void Remark(string line)
        {
            if (Comment(line, "# mark ") is { } mark)
            {
                string[] parts = mark.Split(',', 3);
                if (
                    parts.Length == 3
                    && double.TryParse(parts[0], NumberStyles.Float, CultureInfo.InvariantCulture, out double timeS)
                    && double.IsFinite(timeS)
                    && marks.Count < 10_000
                )
                {
                    marks.Add(new RunMark(timeS, parts[1].Trim(), parts[2].Trim()));
                }
            }
            interrupted |=
                line.StartsWith("# heat run", StringComparison.Ordinal)
                && line.EndsWith("interrupted", StringComparison.Ordinal);
            simulated |=
                line.Contains(ReviewWords.Simulation, StringComparison.Ordinal)
                || line.Contains("\"simulated\":true", StringComparison.Ordinal)
                || line.Contains("\"simulated\": true", StringComparison.Ordinal);
        }

        // Lines of one stamp lie evenly up to the next one.
        private void Settle(double? nextStampS)
        {
            double stampS = same[0].StampS;
            double spanS =
                nextStampS is double next && next > stampS && next - stampS <= SpreadOverS
                    ? next - stampS
                    : usualS * same.Count;
            if (double.IsNaN(offsetS))
            {
                offsetS = -stampS;
            }
            double startS = stampS + offsetS;
            bool midnight = lastStampS - stampS > DayS / 2 && lastStampS < DayS && stampS >= 0;
            if (midnight)
            {
                offsetS += DayS;
                startS += DayS;
            }
            double beforeS = lastS;
            bool back = startS <= lastS;
            bool far = startS - lastS > LongestPauseS && double.IsFinite(lastS);
            if (back || far)
            {
                // How long it really took nobody knows: the run is broken here and goes on one step later.
                startS = lastS + usualS;
                offsetS = startS - stampS;
                breaks.Add((beforeS + startS) / 2);
            }
            for (int i = 0; i < same.Count; i++)
            {
                lastS = startS + spanS * i / same.Count;
                thinner.Next(new ProbeSample(lastS, same[i].Readings), Keep);
            }
            if (nextStampS is double after && after > stampS && after - stampS <= SpreadOverS)
            {
                usualS = (after - stampS) / same.Count;
            }
            lastStampS = stampS;
            same.Clear();
        }

        private void Keep(ProbeSample sample)
        {
            if ((long)times.Count * channels.Length >= MostReadings)
            {
                full = true;
                return;
            }
            times.Add(sample.TimeS);
            for (int c = 0; c < channels.Length; c++)
            {
                ChannelReading reading = sample.Readings[c];
                channels[c].Add(reading.State == ChannelState.Measured ? reading.TemperatureC : double.NaN);
            }
        }

        public RunLogReading Finish(long tooLong, long nul)
        {
            if (same.Count > 0)
            {
                Settle(null);
            }
            List<string> problems = [];
            if (times.Count < FewestSamples)
            {
                problems.Add(
                    Invariant(
                        $"Only {times.Count} lines could be read, {refused} were refused: a run needs {FewestSamples}."
                    )
                );
            }
            else if (channels.All(channel => channel.TrueForAll(double.IsNaN)))
            {
                problems.Add("No channel has a single temperature: all probes are open or out of range.");
            }
            if (problems.Count > 0)
            {
                problems.AddRange(examples);
                return new RunLogReading(null, read, refused, problems);
            }
            List<string> notes = [];
            if (examples.Count > 0)
            {
                notes.Add(Invariant($"{refused} lines of the log were refused, such as {examples[0]}."));
            }
            if (tooLong > 0)
            {
                notes.Add(Invariant($"{tooLong} lines over {LineCutter.LongestLine} bytes were left out."));
            }
            if (nul > 0)
            {
                notes.Add(Invariant($"{nul} zero bytes were left out: the logger or its card was disturbed."));
            }
            if (thinner.ThinnedNumber > 0)
            {
                notes.Add(
                    Invariant(
                        $"The log has more than {SampleThinner.MostPerS:0} lines a second; the median of each {1 / SampleThinner.MostPerS:0.00} s is used."
                    )
                );
            }
            if (full)
            {
                notes.Add(Invariant($"Only the first {MostReadings} readings were taken (our limit)."));
            }
            return new RunLogReading(
                new RunLog(times, [.. format.Channels.Select((name, c) => new RunChannel(name, channels[c]))])
                {
                    Marks = [.. marks.OrderBy(mark => mark.TimeS)],
                    Notes = notes,
                    BreaksS = breaks,
                    Interrupted = interrupted,
                    Simulated = simulated,
                },
                read,
                refused,
                []
            );
        }
    }
}
