using Graftbench.Core.Calibrating;
using Graftbench.Core.Jobs;
using Graftbench.Store;

namespace Graftbench.Web.Benches;

/// <summary>A stored run that can be used as a trial.</summary>
/// <param name="Run">The run.</param>
/// <param name="Title">When and on which job.</param>
public sealed record TrialRun(HeatRun Run, string Title);

/// <summary>What the page of a new trial shows: the bench, the board to start from, and what was typed.</summary>
/// <param name="Base">Job whose board, chip and bench are taken.</param>
/// <param name="Bench">The bench.</param>
/// <param name="Runs">Stored runs of this bench.</param>
/// <param name="Typed">Texts of the fields by name.</param>
/// <param name="Problems">What stands against it.</param>
public sealed record TrialFormView(
    Job Base,
    string Bench,
    IReadOnlyList<TrialRun> Runs,
    IReadOnlyDictionary<string, string> Typed,
    IReadOnlyList<string> Problems
);

/// <summary>A trial as the form describes it.</summary>
/// <param name="Request">What is to be fitted.</param>
/// <param name="Source">What it rests on, in words.</param>
/// <param name="Log">Log that came with it; null for a stored run.</param>
/// <param name="MayKeep">Whether its outcome may be kept: a simulation says nothing of a real bench.</param>
/// <param name="Notes">What was taken for granted of the log.</param>
public sealed record Trial(
    CalibrationRequest Request,
    string Source,
    StoredFile? Log,
    bool MayKeep,
    IReadOnlyList<string> Notes
);
