using Graftbench.Core.Jobs;

namespace Graftbench.Store;

/// <summary>Which jobs are asked for.</summary>
public sealed record JobQuery
{
    /// <summary>Most jobs of one answer.</summary>
    public const int MostJobs = 200;

    /// <summary>Words that all must be in the job or its evidence, each as the beginning of a word; empty for any.</summary>
    public string Text { get; init; } = "";

    /// <summary>Stages that count; empty for all.</summary>
    public IReadOnlyList<JobStage> Stages { get; init; } = [];

    /// <summary>Jobs that are left out at the start of the answer.</summary>
    public int Offset { get; init; }

    /// <summary>Most jobs of the answer, at most <see cref="MostJobs"/>.</summary>
    public int Take { get; init; } = 50;

    /// <summary>Stages of a job that is on the bench: all but handed over.</summary>
    public static IReadOnlyList<JobStage> OnTheBench { get; } =
    [.. Enum.GetValues<JobStage>().Where(stage => stage != JobStage.HandedOver)];
}

/// <summary>Jobs that were found.</summary>
/// <param name="Jobs">The jobs, last changed first.</param>
/// <param name="TotalNumber">How many there are, those left out included.</param>
public sealed record JobHits(IReadOnlyList<StoredJob> Jobs, int TotalNumber);
