using System.Text;
using Graftbench.Core.Jobs;

namespace Graftbench.Core.Tests.Jobs;

/// <summary>Spells a reading for snapshots: everything that a problem says, one line each.</summary>
internal static class Spelled
{
    public static string Problems(JobReading reading)
    {
        StringBuilder text = new();
        foreach (JobProblem problem in reading.Problems)
        {
            text.Append(problem.Path.Length == 0 ? "(document)" : problem.Path)
                .Append($"  {problem.Line}:{problem.Column}  {problem.What}\n")
                .Append(problem.Value is null ? "" : $"    found    {problem.Value}\n")
                .Append(problem.Allowed is null ? "" : $"    allowed  {problem.Allowed}\n")
                .Append(problem.Whose is null ? "" : $"    whose    {problem.Whose}\n")
                .Append(problem.Todo is null ? "" : $"    todo     {problem.Todo}\n");
        }
        if (reading.NotListed > 0)
        {
            text.Append($"and {reading.NotListed} more\n");
        }
        return text.ToString();
    }
}
