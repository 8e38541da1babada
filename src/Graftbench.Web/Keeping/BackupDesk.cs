using Graftbench.Store;
using Graftbench.Store.Backups;
using Microsoft.Extensions.Hosting;
using Microsoft.Extensions.Logging;

namespace Graftbench.Web.Keeping;

/// <summary>How the last backups went.</summary>
/// <param name="GoodAt">When the last whole one was made; null where there is none.</param>
/// <param name="FailedAt">When one failed after that; null where none did.</param>
/// <param name="Why">Why it failed, and what to do; null where none did.</param>
public sealed record BackupState(DateTimeOffset? GoodAt, DateTimeOffset? FailedAt, string? Why);

/// <summary>Backs the store up at its times, as long as the server runs, and remembers how it went.</summary>
/// <param name="plan">Where and how often; null where the server makes none.</param>
/// <param name="store">The store.</param>
/// <param name="time">The clock.</param>
/// <param name="log">Hears of failures.</param>
public sealed partial class BackupDesk(BackupPlan? plan, BenchStore store, TimeProvider time, ILogger<BackupDesk> log)
    : BackgroundService
{
    private static readonly TimeSpan LongestLook = TimeSpan.FromMinutes(1);
    private static readonly TimeSpan RetryAfter = TimeSpan.FromMinutes(15);

    private BackupState _state = new(null, null, null);

    /// <summary>Whether the server makes backups.</summary>
    public bool IsOn => plan is not null;

    /// <summary>Folder of the backups; null where the server makes none.</summary>
    public string? Folder => plan?.Folder;

    /// <summary>How many whole ones are kept.</summary>
    public int Keep => plan?.Keep ?? 0;

    /// <summary>How the last ones went.</summary>
    public BackupState State => Volatile.Read(ref _state);

    /// <inheritdoc/>
    protected override async Task ExecuteAsync(CancellationToken stoppingToken)
    {
        if (plan is null)
        {
            return;
        }
        // The start of the server does not wait for the disk that the backups lie on.
        await Task.Yield();
        BackupFolder folder = new(plan.Folder, plan.Keep);
        DateTimeOffset due = FirstDue(folder);
        while (!stoppingToken.IsCancellationRequested)
        {
            DateTimeOffset now = time.GetUtcNow();
            // A clock that was set back must not put the next backup off by more than one round.
            due = due > now + plan.Every ? now + plan.Every : due;
            if (now >= due)
            {
                due =
                    time.GetUtcNow() + (Run(folder, now, stoppingToken) ? plan.Every : Sooner(RetryAfter, plan.Every));
                continue;
            }
            try
            {
                await Task.Delay(Sooner(due - now, LongestLook), time, stoppingToken);
            }
            catch (OperationCanceledException)
            {
                return;
            }
        }
    }

    private DateTimeOffset FirstDue(BackupFolder folder)
    {
        try
        {
            KeptBackup? newest = folder.Newest();
            Volatile.Write(ref _state, new BackupState(newest?.At, null, null));
            return newest is null ? time.GetUtcNow() : newest.At + plan!.Every;
        }
        catch (Exception problem) when (problem is IOException or UnauthorizedAccessException)
        {
            return time.GetUtcNow();
        }
    }

    private bool Run(BackupFolder folder, DateTimeOffset now, CancellationToken stop)
    {
        try
        {
            BackupReport report = folder.Make(store, now, stop);
            string? why = report.Check.IsWhole
                ? null
                : "The backup was made, but the store is not whole. Run `graftbench record verify`.";
            Volatile.Write(ref _state, new BackupState(now, why is null ? null : now, why));
            if (why is not null)
            {
                LogFailed(log, why);
            }
            return true;
        }
        catch (OperationCanceledException)
        {
            return false;
        }
        catch (Exception problem) when (problem is StoreException or IOException or UnauthorizedAccessException)
        {
            Volatile.Write(ref _state, State with { FailedAt = now, Why = problem.Message });
            LogFailed(log, problem.Message);
            return false;
        }
    }

    private static TimeSpan Sooner(TimeSpan one, TimeSpan other) => one < other ? one : other;

    [LoggerMessage(Level = LogLevel.Error, Message = "Backup failed: {Why}")]
    private static partial void LogFailed(ILogger log, string why);
}
