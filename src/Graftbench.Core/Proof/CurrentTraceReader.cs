using static System.FormattableString;

namespace Graftbench.Core.Proof;

/// <summary>Reads traces: two columns, time and current, with a line that names them and their units or without one.</summary>
internal static class CurrentTraceReader
{
    private const int MostProblems = 50;
    private const int MostCharacters = 128 * 1024 * 1024;
    private static readonly string[] TimeWords = ["time", "t", "second", "seconds", "s", "ms"];
    private static readonly string[] CurrentWords = ["current", "i", "a", "ma", "amps", "ampere"];

    public static TraceReading Read(string text)
    {
        List<ReadingProblem> problems = [];
        int notListed = 0;
        void Tell(int line, string what, string todo)
        {
            if (problems.Count < MostProblems)
            {
                problems.Add(new ReadingProblem(line, what, todo));
            }
            else
            {
                notListed++;
            }
        }
        if (text.Length > MostCharacters)
        {
            Tell(
                0,
                Invariant(
                    $"The trace has {text.Length} characters; at most {MostCharacters} are taken (our own limit)."
                ),
                "Record fewer samples a second."
            );
            return new TraceReading(null, problems, notListed);
        }
        List<double> times = [];
        List<double> currents = [];
        (int time, int current, double timeFactor, double currentFactor) = (0, 1, 1, 1);
        int number = 0;
        bool first = true;
        foreach (ReadOnlySpan<char> raw in text.AsSpan().EnumerateLines())
        {
            number++;
            string line = raw.Trim().ToString().TrimStart('\uFEFF');
            if (line.Length == 0 || line[0] == '#')
            {
                continue;
            }
            string[] cells = Cells(line);
            if (first)
            {
                first = false;
                if (!cells.Any(cell => NumberScan.Length(cell) == cell.Length && cell.Length > 0))
                {
                    if (Heading(cells) is not { } head)
                    {
                        Tell(
                            number,
                            $"The first line names no columns for time and current: '{Short(line)}'.",
                            "Name them time and current, with s or ms and A or mA."
                        );
                        return new TraceReading(null, problems, notListed);
                    }
                    (time, current, timeFactor, currentFactor) = head;
                    continue;
                }
            }
            if (
                cells.Length <= Math.Max(time, current)
                || !NumberScan.TryParse(cells[time], out double t)
                || !NumberScan.TryParse(cells[current], out double a)
            )
            {
                Tell(number, $"'{Short(line)}' holds no time and current.", "Correct the line or strike it.");
                continue;
            }
            t *= timeFactor;
            a *= currentFactor;
            if (Math.Abs(a) > CurrentTrace.MostCurrentA)
            {
                Tell(
                    number,
                    Invariant($"{a:0.###} A is more than {CurrentTrace.MostCurrentA:0} A (our own limit)."),
                    currentFactor == 1 ? "If these are milliamperes, name the column current mA." : "Check the unit."
                );
                continue;
            }
            if (times.Count > 0 && !(t > times[^1]))
            {
                Tell(
                    number,
                    Invariant($"The time {t:0.######} s does not come after {times[^1]:0.######} s."),
                    "Sort the samples, or strike doubles."
                );
                continue;
            }
            if (times.Count > 0 && t - times[0] > CurrentTrace.MostTimeS)
            {
                Tell(
                    number,
                    "The trace is longer than a day (our own limit).",
                    timeFactor == 1 ? "If these are milliseconds, name the column time ms." : "Cut it."
                );
                break;
            }
            if (times.Count >= CurrentTrace.MostSamples)
            {
                Tell(
                    number,
                    Invariant($"There are more than {CurrentTrace.MostSamples} samples (our own limit)."),
                    "Record fewer samples a second."
                );
                break;
            }
            times.Add(t);
            currents.Add(a);
        }
        if (times.Count < CurrentTrace.LeastSamples)
        {
            Tell(
                0,
                Invariant(
                    $"There are {times.Count} samples; at least {CurrentTrace.LeastSamples} are needed (our own limit)."
                ),
                "Record the whole start, ten samples a second or more."
            );
        }
        return new TraceReading(problems.Count > 0 ? null : new CurrentTrace(times, currents), problems, notListed);
    }

    private static (int Time, int Current, double TimeFactor, double CurrentFactor)? Heading(string[] cells)
    {
        int time = -1;
        int current = -1;
        double timeFactor = 1;
        double currentFactor = 1;
        for (int i = 0; i < cells.Length; i++)
        {
            string[] words = cells[i]
                .Trim('"')
                .ToLowerInvariant()
                .Split([' ', '_', '(', ')', '[', ']', '/'], StringSplitOptions.RemoveEmptyEntries);
            if (time < 0 && words.Any(TimeWords.Contains))
            {
                (time, timeFactor) = (i, words.Contains("ms") ? 1e-3 : 1);
            }
            else if (current < 0 && words.Any(CurrentWords.Contains))
            {
                (current, currentFactor) = (i, words.Contains("ma") ? 1e-3 : 1);
            }
        }
        return time >= 0 && current >= 0 ? (time, current, timeFactor, currentFactor) : null;
    }

    // A comma parts columns unless a semicolon or a tab does; then it is the decimal mark.
    private static string[] Cells(string line)
    {
        char separator =
            line.Contains('\t', StringComparison.Ordinal) ? '\t'
            : line.Contains(';', StringComparison.Ordinal) ? ';'
            : ',';
        return [.. line.Split(separator).Select(cell => cell.Trim())];
    }

    private static string Short(string text) => text.Length <= 60 ? text : text[..60] + "...";
}
