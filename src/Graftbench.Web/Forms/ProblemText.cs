using System.Text;
using Graftbench.Core.Jobs;

namespace Graftbench.Web.Forms;

/// <summary>One problem as a sentence or two.</summary>
public static class ProblemText
{
    // How the document is written does not concern who types into a form.
    private static readonly (string Document, string Form)[] FormWords =
    [
        ("text in quotes", "text"),
        ("one of the known names, in quotes", "one of the list"),
        ("a date and time in quotes", "a date and time"),
        (", without quotes and without the unit", " without the unit"),
        (" without quotes and without the unit", " without the unit"),
        (" without quotes", ""),
    ];

    /// <summary>The same for a form: nothing of quotes, names and paths of the document.</summary>
    /// <param name="problem">The problem.</param>
    public static string InForm(JobProblem problem)
    {
        ArgumentNullException.ThrowIfNull(problem);
        if (problem.What == JobProblem.Missing)
        {
            string wanted = Plain(problem.Allowed ?? "");
            return wanted.Length == 0 || wanted == "text"
                ? "Nothing is entered here, and it is needed."
                : $"Nothing is entered here, and it is needed: {wanted}.";
        }
        return PlaceWords.InText(Plain(Of(problem)));
    }

    private static string Plain(string text) =>
        FormWords.Aggregate(
            text,
            (plain, words) => plain.Replace(words.Document, words.Form, StringComparison.Ordinal)
        );

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
