using Graftbench.Core.Jobs;
using Graftbench.Core.Reviewing;
using Graftbench.Store;
using Graftbench.Web.Desk;

namespace Graftbench.Web.Reviewing;

/// <summary>Everything that the review screen shows.</summary>
/// <param name="Stored">The job as stored.</param>
/// <param name="Run">The run.</param>
/// <param name="Setup">What was said about it.</param>
/// <param name="Review">Its review: with joints estimated once that is computed, else what the probes say.</param>
/// <param name="Status">Where the estimate stands.</param>
/// <param name="WhyNot">Why joints cannot be estimated; null where they can.</param>
/// <param name="Others">Other runs of the job, for laying over it.</param>
/// <param name="Other">The one that is laid over it; null for none.</param>
/// <param name="Overlay">How the two compare; null for none.</param>
/// <param name="AlignC">Temperature at which they are brought together; null for their starts [°C].</param>
/// <param name="Ledger">Lines proposed for the heat ledger.</param>
/// <param name="Written">Lines of the ledger that come from this run.</param>
/// <param name="Done">What was just done; null for nothing.</param>
public sealed record RunView(
    StoredJob Stored,
    HeatRun Run,
    RunSetup Setup,
    RunReview Review,
    DeskStatus<RunReview> Status,
    string? WhyNot,
    IReadOnlyList<HeatRun> Others,
    RunReview? Other,
    RunOverlay? Overlay,
    double? AlignC,
    IReadOnlyList<ProposedHeat> Ledger,
    IReadOnlyList<Heat> Written,
    string? Done
)
{
    /// <summary>Address of the job page.</summary>
    public string JobAddress => $"/jobs/{Stored.Job.Id}";

    /// <summary>Address of this screen.</summary>
    public string Address => AddressOf(Stored.Job.Id, Run);

    /// <summary>Address of a run's screen.</summary>
    public static string AddressOf(string jobId, HeatRun run)
    {
        ArgumentNullException.ThrowIfNull(run);
        return $"/jobs/{jobId}/runs/{run.Id}";
    }

    /// <summary>What a run is called.</summary>
    public static string NameOf(HeatRun run)
    {
        ArgumentNullException.ThrowIfNull(run);
        RunSetup setup = RunSetup.Read(run.SetupJson);
        string what = setup.Source is { } source ? $"log {source}" : "watched heat";
        // The last letters: runs that begin together have the same first ones.
        return $"{(setup.Simulated ? ReviewWords.Simulation + ", " : "")}{what} ({run.Id[^6..]})";
    }
}

/// <summary>A log that waits for a person to say what is in it.</summary>
/// <param name="Stored">The job.</param>
/// <param name="Sha256">Hash of the log, by which it lies in the record.</param>
/// <param name="FileName">Its name.</param>
/// <param name="Head">How it looks.</param>
/// <param name="Chosen">Number of the chosen format, from 0.</param>
/// <param name="Heats">Heats that it may have been, with whether a plan is at hand.</param>
/// <param name="Entered">What was entered, by field.</param>
/// <param name="Problems">What stands against it.</param>
public sealed record LogView(
    StoredJob Stored,
    string Sha256,
    string FileName,
    RunLogHead Head,
    int Chosen,
    IReadOnlyList<LoggedHeat> Heats,
    IReadOnlyDictionary<string, string> Entered,
    IReadOnlyList<string> Problems
)
{
    /// <summary>What a log of ours says about itself; empty in a foreign one.</summary>
    public RunSetup Own => RunSetup.Read(Head.SetupJson);

    /// <summary>Where a log of ours says that a channel's bead sat; empty where it does not.</summary>
    public string SeatOf(string channel) => Own.Probes.FirstOrDefault(probe => probe.Channel == channel)?.At ?? "";

    /// <summary>What was entered into a field, else what stands there at first.</summary>
    public string Value(string field, string first = "") => Entered.GetValueOrDefault(field, first);
}

/// <summary>A heat that a log may have been of.</summary>
/// <param name="Value">What the form sends.</param>
/// <param name="Title">What a person reads.</param>
/// <param name="HasPlan">Whether its plan is computed, so that set points are known.</param>
public sealed record LoggedHeat(string Value, string Title, bool HasPlan);
