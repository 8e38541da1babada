using System.Text;
using Graftbench.Core.Jobs;

namespace Graftbench.Web.Forms;

/// <summary>One problem as a sentence or two.</summary>
public static class ProblemText
{
    /// <summary>What is wrong, the value, the limit, whose it is and what to do.</summary>
    public static string Of(JobProblem problem)
    {
        StringBuilder text = new(problem.What.TrimEnd());
        if (text.Length > 0 && text[^1] is not ('.' or '!' or '?'))
        {
            text.Append('.');
        }
        if (problem.Value is not null && !problem.What.Contains(problem.Value, StringComparison.Ordinal))
        {
            text.Append($" Entered: {problem.Value}.");
        }
        if (problem.Allowed is not null)
        {
            text.Append($" Allowed: {problem.Allowed}{(problem.Whose is null ? "" : $" ({problem.Whose})")}.");
        }
        if (problem.Todo is not null)
        {
            text.Append(' ').Append(problem.Todo);
        }
        return text.ToString();
    }
}
