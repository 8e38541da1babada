using System.Globalization;
using System.Text;
using System.Text.Encodings.Web;
using System.Text.Json;
using System.Text.Json.Serialization;
using Graftbench.Core.Findings;
using Graftbench.Core.Jobs;

namespace Graftbench.Cli.Verbs;

public static partial class RecordVerb
{
    private const string Indent = "    ";

    private static readonly JsonSerializerOptions Json = new()
    {
        PropertyNamingPolicy = JsonNamingPolicy.CamelCase,
        DefaultIgnoreCondition = JsonIgnoreCondition.WhenWritingNull,
        WriteIndented = true,
        NewLine = "\n",
        Encoder = JavaScriptEncoder.UnsafeRelaxedJsonEscaping,
        Converters = { new JsonStringEnumConverter(JsonNamingPolicy.KebabCaseLower) },
    };

    private static readonly JsonSerializerOptions NoteJson = new()
    {
        Encoder = JavaScriptEncoder.UnsafeRelaxedJsonEscaping,
    };

    private static void WriteJson<T>(TextWriter output, T answer) =>
        output.WriteLine(JsonSerializer.Serialize(answer, Json));

    private static void WriteFindings(TextWriter output, IEnumerable<Finding> findings)
    {
        foreach (Finding finding in findings)
        {
            string verdict =
                finding.Verdict == Verdict.FixFirst ? "fix first" : finding.Verdict.ToString().ToLowerInvariant();
            output.WriteLine(Text.Wrap($"{verdict}  {finding.Code}  {finding.Where}", 2));
            output.WriteLine(Text.Wrap(Indent + finding.What, 4));
            if (finding.Value is not null)
            {
                output.WriteLine(Text.Wrap($"{Indent}found     {finding.Value}", 14));
            }
            if (finding.Limit is not null)
            {
                output.WriteLine(Text.Wrap($"{Indent}expected  {finding.Limit}", 14));
            }
            if (finding.Todo is not null)
            {
                output.WriteLine(Text.Wrap($"{Indent}to do     {finding.Todo}", 14));
            }
        }
    }

    private static void WriteProblems(TextWriter output, JobReading reading)
    {
        foreach (JobProblem problem in reading.Problems)
        {
            StringBuilder line = new();
            line.Append(CultureInfo.InvariantCulture, $"line {problem.Line}, column {problem.Column}");
            line.Append(problem.Path.Length > 0 ? $", {problem.Path}: " : ": ").Append(problem.What);
            if (problem.Value is not null)
            {
                line.Append(CultureInfo.InvariantCulture, $" Found: {problem.Value}.");
            }
            if (problem.Allowed is not null)
            {
                line.Append(CultureInfo.InvariantCulture, $" Allowed: {problem.Allowed}");
                line.Append(problem.Whose is null ? "." : $" ({problem.Whose}).");
            }
            output.WriteLine(Text.Wrap(problem.Todo is null ? line.ToString() : $"{line} {problem.Todo}", 4));
        }
        if (reading.NotListed > 0)
        {
            output.WriteLine($"{reading.NotListed} more problems are not listed.");
        }
    }

    /// <summary>Text for a terminal of 100 columns.</summary>
    private static class Text
    {
        private const int Columns = 100;

        /// <summary>Breaks a text at blanks; lines after the first are indented. A word longer than a line stays whole.</summary>
        public static string Wrap(string text, int indent)
        {
            StringBuilder wrapped = new();
            string plain = OneLine(text);
            string rest = plain.TrimStart();
            int firstIndent = plain.Length - rest.Length;
            string prefix = new(' ', firstIndent);
            while (prefix.Length + rest.Length > Columns)
            {
                int cut = rest.LastIndexOf(' ', Columns - prefix.Length);
                cut = cut > 0 ? cut : rest.IndexOf(' ', StringComparison.Ordinal);
                if (cut <= 0)
                {
                    break;
                }
                wrapped.Append(prefix).Append(rest.AsSpan(0, cut).TrimEnd()).Append('\n');
                rest = rest[cut..].TrimStart();
                prefix = new string(' ', indent);
            }
            return wrapped.Append(prefix).Append(rest).ToString();
        }

        /// <summary>Cuts a text to what is left of a line.</summary>
        public static string Cut(string text, int used)
        {
            string plain = OneLine(text);
            int room = Math.Max(Columns - used, 4);
            return plain.Length <= room ? plain : plain[..(room - 3)] + "...";
        }

        /// <summary>Control characters could steer the terminal: evidence shows as text only.</summary>
        public static string OneLine(string text) =>
            string.Concat(text.Select(letter => char.IsControl(letter) ? ' ' : letter));
    }
}
