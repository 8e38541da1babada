using Graftbench.Core.Jobs;

namespace Graftbench.Cli;

/// <summary>Spells the problems of a job document for a person.</summary>
internal static class ProblemText
{
    /// <summary>All problems in document order.</summary>
    /// <param name="name">Name of the document.</param>
    /// <param name="reading">What reading it gave.</param>
    public static string Of(string name, JobReading reading)
    {
        Page page = new();
        int count = reading.Problems.Count + reading.NotListed;
        page.Add($"{name}: {count} {(count == 1 ? "problem" : "problems")}, so nothing was computed or written.");
        foreach (JobProblem problem in reading.Problems)
        {
            Add(page, problem);
        }
        if (reading.NotListed > 0)
        {
            page.Add($"... and {reading.NotListed} more that are not listed.");
        }
        return page.ToString().TrimEnd('\n');
    }

    private static void Add(Page page, JobProblem problem)
    {
        string place = problem.Line > 0 ? $"  {problem.Line}:{problem.Column}" : "";
        string value = problem.Value is null ? "" : $"  found {problem.Value}";
        string allowed = problem.Allowed is null ? "" : $"  allowed {problem.Allowed}";
        string whose = problem.Allowed is null || problem.Whose is null ? "" : $" ({problem.Whose})";
        page.Add();
        page.Add($"{(problem.Path.Length == 0 ? "document" : problem.Path)}{place}  {problem.What}", 4);
        if (value.Length + allowed.Length > 0)
        {
            page.Add($"  {value}{allowed}{whose}", 4);
        }
        if (problem.Todo is not null)
        {
            page.Add($"    → {problem.Todo}", 6);
        }
    }
}
