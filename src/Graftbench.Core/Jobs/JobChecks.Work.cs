namespace Graftbench.Core.Jobs;

/// <content>Time and money.</content>
internal static partial class JobChecks
{
    private static IEnumerable<JobCheck> Work(Job job)
    {
        for (int i = 0; i < job.Work.Count; i++)
        {
            if (job.Work[i] is { SpentMin: null, Cost: null })
            {
                yield return Failed(
                    "The entry has neither time nor cost.",
                    null,
                    "spentMin, cost or both",
                    "Enter the minutes, the cost or both, or take the entry out.",
                    $"work[{i}].spentMin",
                    $"work[{i}].cost",
                    $"work[{i}].what"
                );
            }
        }
    }
}
