using Graftbench.Core.Jobs;

namespace Graftbench.Core.Insight;

/// <summary>What is asked of the cases.</summary>
/// <param name="AsOf">The moment to look from.</param>
public sealed record InsightQuestion(DateTimeOffset AsOf)
{
    /// <summary>Days that an ended job is watched for, where nothing else is asked [d].</summary>
    public const int UsualWatchDays = 30;

    /// <summary>Most days of watching that can be asked for [d].</summary>
    public const int MostWatchDays = 365;

    /// <summary>Only cases from this moment on; null for all.</summary>
    public DateTimeOffset? Since { get; init; }

    /// <summary>Days that every ended job is watched for before it counts [d].</summary>
    public int WatchDays { get; init; } = UsualWatchDays;
}

/// <summary>How many cases ended how.</summary>
/// <param name="Worked">Worked through the days of watching.</param>
/// <param name="CameBack">Came back within them.</param>
/// <param name="DidNotWork">Given up, or handed back without working.</param>
/// <param name="TooEarly">Ended too lately to count.</param>
/// <param name="Open">On the bench.</param>
/// <param name="NotDated">Handed over on a day that nobody wrote down.</param>
public sealed record OutcomeCounts(int Worked, int CameBack, int DidNotWork, int TooEarly, int Open, int NotDated)
{
    /// <summary>Cases that a rate may be made of.</summary>
    public int Decided => Worked + CameBack + DidNotWork;

    /// <summary>All cases.</summary>
    public int All => Decided + TooEarly + Open + NotDated;

    /// <summary>Share of the decided cases that worked.</summary>
    public CountedShare Share => CountedShare.Of(Worked, Decided);
}

/// <summary>What can be said of a group against the rest.</summary>
public enum GroupVerdict
{
    /// <summary>Not compared: not known what it is, or nothing to compare it with.</summary>
    NotCompared,

    /// <summary>Cannot be told from chance.</summary>
    Chance,

    /// <summary>Worked more often than the rest, beyond chance.</summary>
    Better,

    /// <summary>Worked less often than the rest, beyond chance.</summary>
    Worse,
}

/// <summary>One group of a dimension.</summary>
/// <param name="Name">Its name; empty for those of whom it is not known.</param>
/// <param name="Counts">How its cases ended.</param>
/// <param name="Share">Share of its decided cases that worked.</param>
/// <param name="Verdict">Against the other known groups of the dimension.</param>
/// <param name="ChanceFraction">Chance of such a difference where there is none, corrected for all comparisons; null where not compared.</param>
public sealed record InsightGroup(
    string Name,
    OutcomeCounts Counts,
    CountedShare Share,
    GroupVerdict Verdict,
    double? ChanceFraction
);

/// <summary>Cases by one dimension.</summary>
/// <param name="Dimension">The dimension.</param>
/// <param name="Groups">Its groups, the largest first, unknown last.</param>
public sealed record InsightTable(InsightDimension Dimension, IReadOnlyList<InsightGroup> Groups)
{
    /// <summary>Most known groups that are shown and compared one by one.</summary>
    public const int MostGroups = 12;

    /// <summary>Name of the group that holds all further ones; it is in the rest, and not compared itself.</summary>
    public const string Others = "all others";
}

/// <summary>Minutes of one step.</summary>
/// <param name="What">The step.</param>
/// <param name="Jobs">Its minutes over the jobs that have any.</param>
/// <param name="UsualLowMin">Lower end of what is usual; null where nothing is said [min].</param>
/// <param name="UsualHighMin">Upper end [min].</param>
public sealed record StepTime(WorkStep What, Quartiles Jobs, double? UsualLowMin, double? UsualHighMin);

/// <summary>Cost of a job in one currency.</summary>
/// <param name="Currency">The currency; empty where the jobs name none.</param>
/// <param name="Jobs">Cost over the jobs that have any.</param>
/// <param name="Parts">Cost of parts and donors over the jobs that have any.</param>
/// <param name="Reserve">Reserve for failed attempts; null where something is missing.</param>
public sealed record CostTable(string Currency, Quartiles Jobs, Quartiles Parts, FailureReserve? Reserve);

/// <summary>What to put aside for each job, since some attempts fail.</summary>
/// <param name="FailsAtMostFraction">Upper end of the interval of the share that fails.</param>
/// <param name="DonorCost">Median cost of parts and donor.</param>
/// <param name="ReserveCost">Money to put aside for each job.</param>
public sealed record FailureReserve(double FailsAtMostFraction, double DonorCost, double ReserveCost);

/// <summary>Time of a second attempt.</summary>
/// <param name="SpentMin">Sum of the medians of the steps that are done again [min]; null where one is not known.</param>
/// <param name="ReserveMin">Minutes to put aside for each job [min]; null likewise.</param>
/// <param name="Missing">Steps without a median.</param>
public sealed record ReworkTime(double? SpentMin, double? ReserveMin, IReadOnlyList<WorkStep> Missing);

/// <summary>What came of the chips of one source of donors.</summary>
/// <param name="Source">The source; empty where not known.</param>
/// <param name="Donors">Jobs with a donor from there.</param>
/// <param name="Lifted">Chips that were lifted from them.</param>
/// <param name="Share">Of the chips that went to a host and whose job is decided, how many worked.</param>
public sealed record DonorYield(string Source, int Donors, int Lifted, CountedShare Share);

/// <summary>What the shop has learned.</summary>
/// <param name="Question">What was asked.</param>
/// <param name="Counts">How the cases ended.</param>
/// <param name="CameBackLater">Of those that worked through the days of watching, how many came back later.</param>
/// <param name="Comparisons">How many comparisons were made, for which every chance is corrected.</param>
/// <param name="Tables">Cases by each dimension.</param>
/// <param name="Curve">How long machines work.</param>
/// <param name="Times">Minutes by step.</param>
/// <param name="Costs">Costs by currency.</param>
/// <param name="Rework">Time of a second attempt.</param>
/// <param name="Donors">Yield by source of donors, the largest first; at most twelve.</param>
public sealed record InsightAnswer(
    InsightQuestion Question,
    OutcomeCounts Counts,
    int CameBackLater,
    int Comparisons,
    IReadOnlyList<InsightTable> Tables,
    SurvivalCurve Curve,
    IReadOnlyList<StepTime> Times,
    IReadOnlyList<CostTable> Costs,
    ReworkTime Rework,
    IReadOnlyList<DonorYield> Donors
)
{
    /// <summary>Said wherever groups stand beside each other.</summary>
    public const string NotAtRandom =
        "The groups were not drawn by lot: what differs between them may be the machines, the parts or the person and not the group itself.";

    /// <summary>Differences beyond chance, in words; of two groups only the larger one's, since the other says the same.</summary>
    public IEnumerable<string> Differences =>
        Tables.SelectMany(table =>
            table
                .Groups.Where(group => group.Verdict != GroupVerdict.NotCompared)
                .Take(table.Groups.Count(group => group.Verdict != GroupVerdict.NotCompared) == 2 ? 1 : int.MaxValue)
                .Where(group => group.Verdict is GroupVerdict.Better or GroupVerdict.Worse)
                .Select(group => $"{InsightWords.Of(table.Dimension)}, {group.Name}: {Words(group)}")
        );

    /// <summary>What can be said of a group against the rest.</summary>
    public static string Words(InsightGroup group)
    {
        ArgumentNullException.ThrowIfNull(group);
        return group.Verdict switch
        {
            GroupVerdict.NotCompared => "not compared",
            GroupVerdict.Chance => "cannot be told from chance",
            GroupVerdict.Better => $"worked more often than the rest ({Chance(group)})",
            _ => $"worked less often than the rest ({Chance(group)})",
        };
    }

    private static string Chance(InsightGroup group) =>
        group.ChanceFraction < 0.0001
            ? "corrected p below 0.0001"
            : FormattableString.Invariant($"corrected p = {group.ChanceFraction:0.0000}");
}
