using static System.FormattableString;

namespace Graftbench.Core.Watching.Lines;

/// <summary>A format that fits the first lines of a logger, for a person to confirm.</summary>
/// <param name="Format">The format.</param>
/// <param name="ReadLines">Lines that it reads.</param>
/// <param name="Lines">Lines that were looked at, heading left out.</param>
/// <param name="Example">Readings of the newest line that it reads.</param>
/// <param name="Notes">What was taken for granted, one sentence each.</param>
public sealed record LearnedFormat(
    ProbeFormat Format,
    int ReadLines,
    int Lines,
    IReadOnlyList<ChannelReading> Example,
    IReadOnlyList<string> Notes
);

/// <summary>Learns how a logger writes from its first lines: separators, decimal mark, columns, units, times, open probes.</summary>
/// <remarks>
/// Every separator with either decimal mark is tried; a column is what most of its fields are. Formats are ranked by the
/// share of lines that they read, how smooth their temperatures run and how near the first ones lie to the room. Nothing is
/// used before a person has confirmed it.
/// </remarks>
public static class FormatLearner
{
    /// <summary>Fewest lines to learn from.</summary>
    public const int FewestLines = 5;

    /// <summary>Most lines that are looked at.</summary>
    public const int MostLines = 200;

    private const double MostShare = 0.8;
    private const double LeastReadShare = 0.7;
    private const double MostBack = 0.05;

    /// <summary>Formats that fit, the likeliest first; empty where none does.</summary>
    /// <param name="lines">First lines as they came, the oldest first.</param>
    /// <param name="roomC">Temperature of the room, where probes lie before the heat [°C].</param>
    public static IReadOnlyList<LearnedFormat> Learn(IReadOnlyList<string> lines, double roomC)
    {
        ArgumentNullException.ThrowIfNull(lines);
        List<string> taken = [.. lines.Where(line => !string.IsNullOrWhiteSpace(line)).Take(MostLines)];
        if (taken.Count < FewestLines)
        {
            return [];
        }
        List<(LearnedFormat Learned, double Worth)> found = [];
        foreach (ProbeSeparator separator in Enum.GetValues<ProbeSeparator>())
        {
            foreach (bool decimalComma in new[] { false, true })
            {
                if (separator == ProbeSeparator.Comma && decimalComma)
                {
                    continue;
                }
                if (new LearnedLines(taken, separator, decimalComma, roomC).Format() is { } fit)
                {
                    found.Add(fit);
                }
            }
        }
        // The same readings by two ways are one format.
        return
        [
            .. found
                .OrderByDescending(one => one.Worth)
                .Select(one => one.Learned)
                .DistinctBy(one =>
                    string.Join('|', one.Example.Select(reading => Invariant($"{reading.TemperatureC:0.00}")))
                ),
        ];
    }

    /// <summary>Lines under one separator and decimal mark.</summary>
    private sealed class LearnedLines(List<string> lines, ProbeSeparator separator, bool decimalComma, double roomC)
    {
        private readonly List<string> notes = [];

        public (LearnedFormat Learned, double Worth)? Format()
        {
            List<List<LineField>> rows =
            [
                .. lines.Select(line =>
                    LineFields.Split(line, separator).Select(text => LineFields.Read(text, decimalComma)).ToList()
                ),
            ];
            int first = rows.FindIndex(IsData);
            if (first < 0)
            {
                return null;
            }
            List<List<LineField>> data = rows[first..];
            int columns = data.GroupBy(row => row.Count).MaxBy(group => group.Count())!.Key;
            if (columns > ProbeFormat.MostColumns)
            {
                return null;
            }
            int[] places = [.. Enumerable.Range(0, data.Count).Where(i => data[i].Count == columns)];
            List<List<LineField>> same = [.. places.Select(i => data[i])];
            if (same.Count < FewestLines || same.Count < LeastReadShare * data.Count)
            {
                return null;
            }
            List<string> heading = Heading(first, columns);
            List<ProbeColumn> found = Columns(same, places, heading);
            if (!found.Any(column => column.Role == ProbeColumnRole.Temperature))
            {
                return null;
            }
            ProbeFormat format = new(separator, decimalComma, Named(found));
            List<ProbeLine> read = [.. lines[first..].Select(line => ProbeLine.Read(line, format))];
            List<ProbeLine> good = [.. read.Where(line => line.Problem is null)];
            if (good.Count < LeastReadShare * read.Count)
            {
                return null;
            }
            return (
                new LearnedFormat(format, good.Count, read.Count, good[^1].Readings, notes),
                Worth(good, read.Count, format.Channels.Count)
            );
        }

        // The nearest line above with as many fields: a first line of readings that came in halves may stand between.
        private List<string> Heading(int first, int columns) =>
            lines
                .Take(first)
                .Reverse()
                .Take(FewestLines)
                .Select(line => LineFields.Split(line, separator))
                .FirstOrDefault(fields => fields.Count == columns)
            ?? [];

        // More than half of a line's fields say something that a logger would.
        private static bool IsData(List<LineField> row) =>
            row.Any(field => field.Kind is FieldKind.Number or FieldKind.Temperature or FieldKind.Open)
            && row.Count(field => field.Kind == FieldKind.Text) * 2 < row.Count;

        private List<ProbeColumn> Columns(List<List<LineField>> rows, int[] places, List<string> heading)
        {
            List<ProbeColumn> columns = [];
            for (int i = 0; i < rows[0].Count; i++)
            {
                int at = i;
                List<LineField> fields = [.. rows.Select(row => row[at])];
                columns.Add(Column(fields, places, heading.Count > i ? heading[i] : "", i));
            }
            return columns;
        }

        private ProbeColumn Column(List<LineField> fields, int[] places, string heading, int index)
        {
            if (Mostly(fields, FieldKind.Clock))
            {
                return new ProbeColumn(ProbeColumnRole.Clock, "");
            }
            if (Mostly(fields, FieldKind.Date))
            {
                return new ProbeColumn(ProbeColumnRole.Date, "");
            }
            if (!Mostly(fields, FieldKind.Number, FieldKind.Temperature, FieldKind.Open, FieldKind.Empty))
            {
                return new ProbeColumn(ProbeColumnRole.Ignored, "");
            }
            int[] told =
            [
                .. Enumerable
                    .Range(0, fields.Count)
                    .Where(i => fields[i].Kind is FieldKind.Number or FieldKind.Temperature),
            ];
            List<double> numbers = [.. told.Select(i => fields[i].Number)];
            if (numbers.Count == 0)
            {
                // Nothing but open: a channel without a probe. Nothing but emptiness: no channel.
                return fields.Exists(field => field.Kind == FieldKind.Open)
                    ? new ProbeColumn(ProbeColumnRole.Temperature, LabelOf(fields, heading))
                    : new ProbeColumn(ProbeColumnRole.Ignored, "");
            }
            bool marked = fields.Exists(field => field.Label is not null || field.Unit is not null);
            if (!marked && Time(numbers, [.. told.Select(i => places[i])], fields, heading, index) is { } role)
            {
                return new ProbeColumn(role, "");
            }
            string name = LabelOf(fields, heading);
            ProbeUnit? said = fields.Select(field => field.Unit).FirstOrDefault(unit => unit is not null);
            ProbeUnit unit = said ?? LineFields.UnitIn(heading) ?? Guessed(numbers);
            return new ProbeColumn(ProbeColumnRole.Temperature, name, unit);
        }

        private static bool Mostly(List<LineField> fields, params FieldKind[] kinds) =>
            fields.Count(field => kinds.Contains(field.Kind)) >= MostShare * fields.Count;

        // A column that only ever rises by the same step is a time or a counter; one of a small whole number is a mark.
        // Over lines that could not be read it rises by as many steps; a clock that is set back once is a clock still.
        private static ProbeColumnRole? Time(
            List<double> numbers,
            int[] places,
            List<LineField> fields,
            string heading,
            int index
        )
        {
            string head = heading.ToUpperInvariant();
            double[] steps = [.. numbers.Skip(1).Zip(numbers, (next, now) => next - now)];
            bool rising = steps.Length > 2 && steps.All(step => step > 0);
            double[] rates = [.. steps.Select((step, i) => step / (places[i + 1] - places[i]))];
            double usual = rates.Length == 0 ? 0 : rates.Order().ElementAt(rates.Length / 2);
            bool even = rising && rates.All(rate => Math.Abs(rate - usual) <= 0.25 * usual);
            bool whole = fields.TrueForAll(field => field.Kind != FieldKind.Number || field.Whole);
            bool headTime =
                head.Contains("TIME", StringComparison.Ordinal)
                || head.Contains("ELAPSED", StringComparison.Ordinal)
                || head.Contains("SEC", StringComparison.Ordinal)
                || head.StartsWith("T/", StringComparison.Ordinal)
                || head is "MS" or "S";
            if (headTime && steps.Count(step => step < 0) <= MostBack * steps.Length)
            {
                return head.Contains("MS", StringComparison.Ordinal) || head.Contains("MILLI", StringComparison.Ordinal)
                    ? ProbeColumnRole.ElapsedMs
                    : ProbeColumnRole.ElapsedS;
            }
            if (even && index == 0)
            {
                bool counts = whole && Math.Abs(usual - 1) < 1e-9;
                return counts ? ProbeColumnRole.Ignored
                    : whole && usual >= 20 ? ProbeColumnRole.ElapsedMs
                    : usual is >= 0.02 and <= 60 ? ProbeColumnRole.ElapsedS
                    : ProbeColumnRole.Ignored;
            }
            return whole && steps.All(step => step == 0) && Math.Abs(numbers[0]) <= 8 ? ProbeColumnRole.Ignored : null;
        }

        private static string LabelOf(List<LineField> fields, string heading) =>
            fields
                .Select(field => field.Label)
                .OfType<string>()
                .GroupBy(label => label, StringComparer.OrdinalIgnoreCase)
                .MaxBy(group => group.Count())
                ?.Key
            ?? LineFields.WithoutUnit(heading);

        // Where no unit is said: the one that puts the first readings nearest to the room.
        private ProbeUnit Guessed(List<double> numbers)
        {
            double start = numbers.Take(FewestLines).Average();
            ProbeUnit unit = Enum.GetValues<ProbeUnit>().MinBy(one => Math.Abs(ProbeLine.ToC(start, one) - roomC));
            string name = unit switch
            {
                ProbeUnit.Fahrenheit => "°F",
                ProbeUnit.Kelvin => "K",
                _ => "°C",
            };
            string note = Invariant(
                $"No unit is sent; numbers are taken as {name}, which puts them nearest to the room's {roomC:0.#} °C."
            );
            if (!notes.Contains(note))
            {
                notes.Add(note);
            }
            return unit;
        }

        private static List<ProbeColumn> Named(List<ProbeColumn> columns)
        {
            HashSet<string> used = new(StringComparer.OrdinalIgnoreCase);
            List<ProbeColumn> named = [];
            int channel = 0;
            foreach (ProbeColumn column in columns)
            {
                if (column.Role != ProbeColumnRole.Temperature)
                {
                    named.Add(column);
                    continue;
                }
                channel++;
                string name = column.Name.Length is > 0 and <= 40 ? column.Name : Invariant($"probe {channel}");
                named.Add(column with { Name = used.Add(name) ? name : Invariant($"{name} ({channel})") });
                used.Add(named[^1].Name);
            }
            return named;
        }

        // Share of lines read, less what jumps about: half decimals taken for a channel do.
        private double Worth(List<ProbeLine> good, int lineCount, int channels)
        {
            double rough = 0;
            double far = 0;
            for (int channel = 0; channel < channels; channel++)
            {
                double[] run =
                [
                    .. good.Select(line => line.Readings[channel])
                        .Where(reading => reading.State == ChannelState.Measured)
                        .Select(reading => reading.TemperatureC),
                ];
                int odd = good.Count(line => line.Readings[channel].State == ChannelState.OutOfRange);
                double[] jumps = [.. run.Skip(1).Zip(run, (next, now) => Math.Abs(next - now)).Order()];
                double middle = jumps.Length == 0 ? 0 : jumps[jumps.Length / 2];
                rough += Math.Min(1, middle / 5) + (odd / (double)good.Count);
                far += run.Length == 0 ? 0 : Math.Min(1, Math.Abs(run[0] - roomC) / 400);
            }
            return (good.Count / (double)lineCount) - ((rough + (0.2 * far)) / channels);
        }
    }
}
