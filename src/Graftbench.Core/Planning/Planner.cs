using Graftbench.Core.Jobs;

namespace Graftbench.Core.Planning;

/// <summary>Computes every answer that a job allows.</summary>
public static class Planner
{
    /// <summary>Plans a job for one moment.</summary>
    /// <param name="job">A job that <see cref="JobReader"/> found nothing wrong with.</param>
    /// <param name="now">The moment to plan for.</param>
    public static JobPlan Plan(Job job, DateTimeOffset now) => throw new NotSupportedException();
}
