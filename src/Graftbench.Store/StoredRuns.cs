using System.Text.Json;
using Graftbench.Core.Jobs;
using Graftbench.Core.Reviewing;

namespace Graftbench.Store;

/// <summary>What became of lines for the heat ledger.</summary>
/// <param name="Written">Whether anything was written.</param>
/// <param name="Says">What happened, one sentence.</param>
public sealed record LedgerWriting(bool Written, string Says);

/// <summary>Stored runs as logs for a review, logs as stored runs, and lines of the heat ledger out of a review.</summary>
public static class StoredRuns
{
    /// <summary>Kind of the evidence that says which run a line of the heat ledger comes from.</summary>
    public const string LedgerKind = "heat-ledger";

    private const int MostTries = 5;
    private const int Batch = 5000;

    /// <summary>A stored run as a log; what is acknowledged on disk is in it, whether the run goes on or was cut off.</summary>
    /// <param name="store">The store.</param>
    /// <param name="run">The run.</param>
    public static RunLog Log(BenchStore store, HeatRun run)
    {
        ArgumentNullException.ThrowIfNull(store);
        ArgumentNullException.ThrowIfNull(run);
        List<double> times = [];
        List<double>[] channels = [.. run.Channels.Select(_ => new List<double>())];
        List<double> breaks = [];
        foreach (HeatSample sample in store.Samples(run.Id))
        {
            if (times.Count > 0 && sample.TimeS <= times[^1])
            {
                // A clock that went back: what is there stays, on the last time's heels, and nothing is joined across it.
                if (breaks.Count == 0 || breaks[^1] < times[^1])
                {
                    breaks.Add(times[^1] + 0.0005);
                }
                times.Add(times[^1] + 0.001);
            }
            else
            {
                times.Add(sample.TimeS);
            }
            for (int c = 0; c < channels.Length; c++)
            {
                channels[c].Add(c < sample.TemperaturesC.Length ? sample.TemperaturesC[c] : double.NaN);
            }
        }
        return new RunLog(times, [.. run.Channels.Select((name, c) => new RunChannel(name, channels[c]))])
        {
            Marks = [.. store.Marks(run.Id).Select(mark => new RunMark(mark.TimeS, mark.Kind, mark.Text))],
            BreaksS = breaks,
            Interrupted = run.State == HeatRunState.Interrupted,
            Simulated = RunSetup.Read(run.SetupJson).Simulated,
        };
    }

    /// <summary>Stores a log that was read from a file as a run of a job; on return it is evidence.</summary>
    /// <param name="store">The store.</param>
    /// <param name="recordId">The job.</param>
    /// <param name="who">Who brings it.</param>
    /// <param name="log">The log.</param>
    /// <param name="setup">What was said about it.</param>
    public static HeatRun Keep(BenchStore store, string recordId, string who, RunLog log, RunSetup setup)
    {
        ArgumentNullException.ThrowIfNull(store);
        ArgumentNullException.ThrowIfNull(log);
        ArgumentNullException.ThrowIfNull(setup);
        HeatRun run = store.StartRun(
            new HeatRunDraft(recordId, who, setup.ToJson(), [.. log.Channels.Select(channel => channel.Name)])
        );
        for (int from = 0; from < log.TimesS.Count; from += Batch)
        {
            int to = Math.Min(from + Batch, log.TimesS.Count);
            store.AppendSamples(
                run,
                [
                    .. Enumerable
                        .Range(from, to - from)
                        .Select(i => new HeatSample(
                            log.TimesS[i],
                            [.. log.Channels.Select(channel => channel.TemperaturesC[i])]
                        )),
                ]
            );
        }
        foreach (double timeS in log.BreaksS)
        {
            store.AppendMark(run, new HeatMark(timeS, "clock", "the logger's clock jumped"));
        }
        foreach (RunMark mark in log.Marks)
        {
            store.AppendMark(run, new HeatMark(mark.TimeS, mark.Kind, mark.Text));
        }
        return store.EndRun(run, HeatRunState.Ended);
    }

    /// <summary>Writes proposed lines into the heat ledger of the newest revision of a job, with evidence of where they come from.</summary>
    /// <param name="store">The store.</param>
    /// <param name="jobId">The job.</param>
    /// <param name="run">The run.</param>
    /// <param name="review">Its review; a simulated run is refused.</param>
    /// <param name="lines">Lines that the person confirmed.</param>
    /// <param name="decision">Who decided on an extra heat and why.</param>
    public static LedgerWriting WriteLedger(
        BenchStore store,
        string jobId,
        HeatRun run,
        RunReview review,
        IReadOnlyList<ProposedHeat> lines,
        string? decision
    )
    {
        ArgumentNullException.ThrowIfNull(store);
        ArgumentNullException.ThrowIfNull(run);
        ArgumentNullException.ThrowIfNull(review);
        ArgumentNullException.ThrowIfNull(lines);
        if (review.Simulated)
        {
            return new LedgerWriting(false, "This run is a simulation: no heat ledger is touched.");
        }
        if (RunSetup.Read(run.SetupJson).Replay)
        {
            return new LedgerWriting(false, "This run is a stored log played again: no board was heated.");
        }
        if (run.State == HeatRunState.Running)
        {
            return new LedgerWriting(false, "The run still goes on; end it first.");
        }
        for (int attempt = 1; ; attempt++)
        {
            if (store.FindJob(jobId) is not { } stored)
            {
                return new LedgerWriting(false, $"The store holds no job named '{jobId}'.");
            }
            Job changed = HeatEntries.Write(stored.Job, run.Id, lines, decision);
            if (ReferenceEquals(changed, stored.Job))
            {
                return new LedgerWriting(
                    false,
                    HeatEntries.Written(stored.Job, run.Id).Count > 0
                        ? "This run is in the heat ledger already; it is not written twice."
                        : "There is nothing to write: no heat was counted."
                );
            }
            List<Heat> added = [.. changed.History.Heats.Skip(stored.Job.History.Heats.Count)];
            string who = string.IsNullOrWhiteSpace(stored.Job.Shop.Technician) ? "bench" : stored.Job.Shop.Technician;
            string payload = JsonSerializer.Serialize(new { run = run.Id, heats = added }, JobFormat.Json);
            try
            {
                store.SaveJobWithEvidence(
                    changed,
                    stored.Revision,
                    who,
                    new EvidenceDraft(who, LedgerKind, payload, null)
                );
                return new LedgerWriting(
                    true,
                    $"Written to the heat ledger: {string.Join(", ", added.Select(heat => heat.Of))}."
                );
            }
            catch (StaleRevisionException) when (attempt < MostTries)
            {
                // Somebody saved in between: the lines are added to the newer job.
            }
            catch (JobRefusedException refusal)
            {
                return new LedgerWriting(false, refusal.Message);
            }
        }
    }
}
