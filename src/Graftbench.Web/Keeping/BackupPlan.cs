namespace Graftbench.Web.Keeping;

/// <summary>Where and how often the server backs its store up by itself.</summary>
/// <param name="Folder">Folder for the backups.</param>
/// <param name="Every">Time from one to the next.</param>
/// <param name="Keep">How many whole ones are kept.</param>
public sealed record BackupPlan(string Folder, TimeSpan Every, int Keep)
{
    /// <summary>Time from one backup to the next where none is given.</summary>
    public static TimeSpan DefaultEvery { get; } = TimeSpan.FromHours(24);

    /// <summary>How many are kept where no number is given.</summary>
    public const int DefaultKeep = 14;

    /// <summary>Shortest time from one backup to the next.</summary>
    public static TimeSpan ShortestEvery { get; } = TimeSpan.FromMinutes(1);

    /// <summary>Longest time from one backup to the next.</summary>
    public static TimeSpan LongestEvery { get; } = TimeSpan.FromDays(31);
}
