using Graftbench.Core.Physics.Capillary;

namespace Graftbench.Core.Joints;

/// <summary>Chances by drawing whole packages. Same request and seed, same figures, however many processors.</summary>
internal static class JointChances
{
    private const int MostCounted = 20;
    private const int Chunk = 25;

    /// <summary>Draws packages.</summary>
    /// <param name="request">The request.</param>
    /// <param name="tables">Its tables.</param>
    /// <param name="trials">Packages.</param>
    /// <param name="overshootMm">See <see cref="SeatSolver.Settle"/>; 0 but in one check.</param>
    /// <param name="cancel">Stops it.</param>
    public static JointChance Draw(
        JointRequest request,
        JointTables tables,
        int trials,
        double overshootMm = 0,
        CancellationToken cancel = default
    )
    {
        NeighbourPairs pairs = NeighbourPairs.Of(request.Sites, request.PitchMm);
        int n = request.Sites.Count;
        int chunks = (trials + Chunk - 1) / Chunk;
        Tally total = new(n);
        Lock gate = new();
        Parallel.For(
            0,
            chunks,
            new ParallelOptions { CancellationToken = cancel },
            () => (Seat: new DrawnSeat(request, tables, pairs), Tally: new Tally(n)),
            (chunk, _, local) =>
            {
                for (int t = chunk * Chunk; t < Math.Min(trials, (chunk + 1) * Chunk); t++)
                {
                    local.Tally.Add(local.Seat.Next(request.Goal.Seed, t, overshootMm), local.Seat);
                }
                return local;
            },
            local =>
            {
                lock (gate)
                {
                    total.Add(local.Tally);
                }
            }
        );
        return total.Finish(request.Goal.Seed, trials);
    }

    /// <summary>Counts; sums of whole numbers, so that the order of adding does not matter.</summary>
    private sealed class Tally(int joints)
    {
        private readonly int[] openBy = new int[joints];
        private readonly int[] counts = new int[MostCounted + 1];
        private long opens;
        private long openSquares;
        private int spills;
        private int apart;
        private int nears;
        private int unsettled;
        private int outside;
        private long onStopsNanoN;

        public void Add(DrawnOutcome outcome, DrawnSeat seat)
        {
            outside += outcome.Outside ? 1 : 0;
            if (!outcome.Settled)
            {
                unsettled++;
            }
            // Not settled is not joined: it counts as wholly open.
            int open = outcome.Settled ? outcome.Open : joints;
            opens += open;
            openSquares += (long)open * open;
            counts[Math.Min(open, MostCounted)]++;
            spills += outcome.Spilled > 0 ? 1 : 0;
            apart += outcome.Parted > 0 ? 1 : 0;
            nears += outcome.NearBridge ? 1 : 0;
            onStopsNanoN += (long)(1e6 * outcome.OnStopsMilliN);
            for (int i = 0; i < joints && open > 0; i++)
            {
                openBy[i] += !outcome.Settled || !seat.Joined[i] ? 1 : 0;
            }
        }

        public void Add(Tally other)
        {
            for (int i = 0; i < joints; i++)
            {
                openBy[i] += other.openBy[i];
            }
            for (int i = 0; i < counts.Length; i++)
            {
                counts[i] += other.counts[i];
            }
            opens += other.opens;
            openSquares += other.openSquares;
            spills += other.spills;
            apart += other.apart;
            nears += other.nears;
            unsettled += other.unsettled;
            outside += other.outside;
            onStopsNanoN += other.onStopsNanoN;
        }

        public JointChance Finish(ulong seed, int trials)
        {
            double t = trials;
            double all = counts[0] / t;
            double mean = opens / t;
            double variance = Math.Max(0, openSquares / t - mean * mean);
            return new JointChance(
                trials,
                seed,
                all,
                // Never 0: with all or none of n, about one in n + 2 is still open to doubt.
                Math.Sqrt(Math.Max(all * (1 - all), 1 / (t + 2)) / t),
                mean / joints,
                Math.Sqrt(variance / t) / joints,
                spills / t,
                apart / t,
                nears / t,
                onStopsNanoN / 1e6 / t,
                [.. openBy.Select(count => count / t)],
                counts,
                unsettled,
                outside
            );
        }
    }
}
