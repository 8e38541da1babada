namespace Graftbench.Core.Jobs;

/// <summary>One thing that is wrong with a job document: where, what, which limit, whose, and what to do.</summary>
/// <param name="Path">Path of the field, <c>host.parts[3].heightMm</c>; empty for the document itself.</param>
/// <param name="Line">Line in the document, from 1; 0 where the job did not come from a text.</param>
/// <param name="Column">Column in characters, from 1; 0 where the job did not come from a text.</param>
/// <param name="What">What is wrong, one sentence.</param>
/// <param name="Value">The value found, shortened; null where there is none.</param>
/// <param name="Allowed">What is allowed: a range with its unit, or the known names; null where that does not apply.</param>
/// <param name="Whose">Whose limit it is; null where there is none.</param>
/// <param name="Todo">What to do about it: the nearest known name, the value a unit slip suggests.</param>
public sealed record JobProblem(
    string Path,
    int Line,
    int Column,
    string What,
    string? Value = null,
    string? Allowed = null,
    string? Whose = null,
    string? Todo = null
)
{
    /// <summary>What is said of a needed field that is not there.</summary>
    public const string Missing = "The field is missing.";
}

/// <summary>What reading a job document gave: the job, or all that is wrong with it.</summary>
/// <param name="Job">The job; null as soon as there is one problem.</param>
/// <param name="Problems">All problems in document order, at most <see cref="MostProblems"/>.</param>
/// <param name="NotListed">How many more problems there were than the list holds.</param>
public sealed record JobReading(Job? Job, IReadOnlyList<JobProblem> Problems, int NotListed)
{
    /// <summary>Most problems that are listed one by one.</summary>
    public const int MostProblems = 200;
}
