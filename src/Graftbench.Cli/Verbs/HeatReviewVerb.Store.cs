using Graftbench.Core.Reviewing;
using Graftbench.Store;

namespace Graftbench.Cli.Verbs;

internal static partial class HeatReviewVerb
{
    /// <summary>A run of the store with its job.</summary>
    private sealed class StoredRun
    {
        private readonly BenchStore store;
        private readonly HeatRun run;

        private StoredRun(BenchStore store, HeatRun run)
        {
            this.store = store;
            this.run = run;
            Job = run.RecordId == BenchStore.ShopRecord ? null : store.FindJob(run.RecordId);
        }

        public StoredJob? Job { get; }

        public Found Found =>
            new(
                $"heat run {run.Id[..8]}",
                StoredRuns.Log(store, run),
                RunSetup.Read(run.SetupJson),
                null,
                run.Id,
                RunSetup.Read(run.SetupJson).HeatedAt ?? run.StartedAt
            );

        public static StoredRun Open(StorePlace place, string id)
        {
            try
            {
                if (!BenchStore.IsAt(place))
                {
                    throw new BadInputException(
                        place.IsShared
                            ? $"--store: there is no store yet in {place}."
                            : $"--data {place.Folder}: there is no store in this folder."
                    );
                }
                BenchStore opened = BenchStore.Open(place, TimeProvider.System);
                if (opened.FindRun(id) is { } exact)
                {
                    return new StoredRun(opened, exact);
                }
                List<HeatRun> like = id.Length < 4 ? [] : [.. opened.RunsLike(id)];
                return like.Count switch
                {
                    1 => new StoredRun(opened, like[0]),
                    0 => throw new BadInputException(
                        $"--run {id}: the store holds no run of that id; four letters or more of its start will do."
                    ),
                    _ => throw new BadInputException(
                        $"--run {id}: {like.Count} runs begin so: {string.Join(", ", like.Take(10).Select(run => run.Id))}."
                    ),
                };
            }
            catch (StoreException problem)
            {
                throw new BadInputException(problem.Message);
            }
        }

        public void Write(RunReview review, IReadOnlyList<ProposedHeat> ledger, string? decision)
        {
            if (Job is not { } stored)
            {
                throw new BadInputException("--write-ledger: this run belongs to no job.");
            }
            LedgerWriting done = StoredRuns.WriteLedger(store, stored.Job.Id, run, review, ledger, decision);
            Console.Error.WriteLine(done.Says);
            if (!done.Written)
            {
                throw new BadInputException("Nothing was written to the ledger.");
            }
        }
    }
}
