namespace Graftbench.Web.Desk;

/// <summary>Where a plan stands.</summary>
public enum DeskState
{
    /// <summary>Nobody asked for it yet, or the job has changed since.</summary>
    NotComputed,

    /// <summary>It waits for others.</summary>
    Queued,

    /// <summary>It is being computed.</summary>
    Running,

    /// <summary>It is there.</summary>
    Done,

    /// <summary>It broke; the words say how.</summary>
    Failed,

    /// <summary>A person stopped it.</summary>
    Cancelled,
}

/// <summary>Where a plan stands, whatever it is about.</summary>
public interface IDeskStatus
{
    /// <summary>Where it stands.</summary>
    DeskState State { get; }

    /// <summary>How far a running one is, 0 to 1.</summary>
    double DoneFraction { get; }

    /// <summary>What is being done, or what went wrong.</summary>
    string Words { get; }

    /// <summary>Whether it will change by itself.</summary>
    bool Moving { get; }
}

/// <summary>Where a plan stands, at one moment.</summary>
/// <typeparam name="TPlan">What is computed.</typeparam>
/// <param name="Key">Hash of everything the plan depends on.</param>
/// <param name="State">Where it stands.</param>
/// <param name="DoneFraction">How far a running one is, 0 to 1.</param>
/// <param name="Words">What is being done, or what went wrong.</param>
/// <param name="Plan">The plan; null before it is done.</param>
public sealed record DeskStatus<TPlan>(string Key, DeskState State, double DoneFraction, string Words, TPlan? Plan)
    : IDeskStatus
    where TPlan : class
{
    /// <inheritdoc/>
    public bool Moving => State is DeskState.Queued or DeskState.Running;
}
