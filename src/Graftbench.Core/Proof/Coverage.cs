using Graftbench.Core.Findings;
using Graftbench.Core.Fit.Maps;
using static System.FormattableString;

namespace Graftbench.Core.Proof;

/// <summary>What stands for the joint of a ball.</summary>
public enum BallEvidence
{
    /// <summary>Nothing.</summary>
    NotProven,

    /// <summary>Its rail is not shorted; whether this ball of many connects is not told.</summary>
    RailNotShort,

    /// <summary>The board does what needs this ball.</summary>
    ByFunction,

    /// <summary>Its joint was seen, from the side or by X-ray.</summary>
    ByPicture,

    /// <summary>A reading would be another one if the ball were open.</summary>
    ByReading,

    /// <summary>The ball connects to nothing inside.</summary>
    NotNeeded,
}

/// <summary>What is known of one ball.</summary>
/// <param name="Ball">The ball.</param>
/// <param name="Evidence">What stands for its joint.</param>
/// <param name="Words">Why, in one sentence.</param>
public sealed record BallProof(MapBall Ball, BallEvidence Evidence, string Words);

/// <summary>A sentence with where it comes from.</summary>
/// <param name="Words">The sentence.</param>
/// <param name="Source">Source id.</param>
public sealed record SourcedWords(string Words, string Source);

/// <summary>What is proven of the joints, ball by ball.</summary>
/// <remarks>A share of what passed means little without the list of what could still be wrong behind it: the list goes with it.</remarks>
/// <param name="Balls">Every ball, row by row.</param>
/// <param name="Words">What this can and cannot tell, one sentence each.</param>
public sealed record ProofCoverage(IReadOnlyList<BallProof> Balls, IReadOnlyList<SourcedWords> Words)
{
    /// <summary>How many balls have that evidence.</summary>
    public int CountOf(BallEvidence evidence) => Balls.Count(ball => ball.Evidence == evidence);

    /// <summary>Balls that must connect.</summary>
    public int Needed => Balls.Count - CountOf(BallEvidence.NotNeeded);

    /// <summary>Share of the balls that must connect and of which a reading, a picture or the function says so.</summary>
    public double ProvenFraction =>
        Needed == 0
            ? 0
            : (double)(
                CountOf(BallEvidence.ByReading) + CountOf(BallEvidence.ByPicture) + CountOf(BallEvidence.ByFunction)
            ) / Needed;

    /// <summary>What is proven of each ball.</summary>
    /// <param name="proof">The proof, whose request has the ball list.</param>
    /// <param name="seenGood">Balls whose joints were judged good from the side or by X-ray, by name.</param>
    /// <param name="byFunction">Balls that something on the running board needs, by name.</param>
    /// <exception cref="ArgumentException">The proof was asked without a ball list.</exception>
    public static ProofCoverage Of(
        ProofAnswer proof,
        IReadOnlySet<string>? seenGood = null,
        IReadOnlySet<string>? byFunction = null
    )
    {
        ArgumentNullException.ThrowIfNull(proof);
        BallMap map =
            proof.Request.Map
            ?? throw new ArgumentException("Coverage needs the ball list of the chip.", nameof(proof));
        HashSet<string> seen = Upper(seenGood);
        HashSet<string> works = Upper(byFunction);
        Dictionary<string, int> onNet = map
            .Balls.GroupBy(ball => ball.Function, StringComparer.Ordinal)
            .ToDictionary(group => group.Key, group => group.Count(), StringComparer.Ordinal);
        Dictionary<string, NetProof> nets = [];
        foreach (NetProof net in proof.Nets.Where(net => net.Kind is ReadingKind.Diode or ReadingKind.Resistance))
        {
            nets.TryAdd(SignalNames.Key(net.Net), net);
        }
        // A reading that names a ball stands for that ball even where its net is called otherwise.
        Dictionary<string, string> netOfBall = [];
        foreach (Reading reading in proof.Readings.Readings.Where(one => one.Ball is not null))
        {
            netOfBall.TryAdd(reading.Ball!.ToUpperInvariant(), SignalNames.Key(reading.Net));
        }
        List<BallProof> balls =
        [
            .. map.Balls.Select(ball =>
            {
                string key = SignalNames.Key(ball.Class == BallClass.Supply ? ProofRail.NameOf(ball) : ball.Signal);
                NetProof? net =
                    nets.GetValueOrDefault(key) ?? nets.GetValueOrDefault(netOfBall.GetValueOrDefault(ball.Name, ""));
                return Judge(ball, net, onNet[ball.Function], seen.Contains(ball.Name), works.Contains(ball.Name));
            }),
        ];
        return new ProofCoverage(balls, [.. Sentences(map, proof.Request.Thresholds)]);
    }

    private static BallProof Judge(MapBall ball, NetProof? net, int onNet, bool seen, bool works)
    {
        if (ball.Class == BallClass.NoConnect)
        {
            return new BallProof(ball, BallEvidence.NotNeeded, "Not connected inside.");
        }
        string? why = WhyNot(ball, net, onNet);
        if (why is null)
        {
            return new BallProof(ball, BallEvidence.ByReading, Reason(net!));
        }
        if (seen)
        {
            return new BallProof(ball, BallEvidence.ByPicture, $"Seen in a picture. {why}");
        }
        if (works)
        {
            return new BallProof(ball, BallEvidence.ByFunction, $"Something that works needs it. {why}");
        }
        bool notShort =
            ball.Class == BallClass.Supply
            && net is { Compared: true }
            && net.Findings.All(one => one.Code != "proof.rail-low");
        return notShort
            ? new BallProof(ball, BallEvidence.RailNotShort, $"Its rail is not shorted. {why}")
            : new BallProof(ball, BallEvidence.NotProven, why);
    }

    // Null where the reading proves the joint.
    private static string? WhyNot(MapBall ball, NetProof? net, int onNet)
    {
        if (onNet > 1)
        {
            return ball.Class is BallClass.Ground or BallClass.Supply
                ? Invariant($"{onNet} balls lie side by side: no reading tells whether one of them is open.")
                : Invariant($"{onNet} balls carry the same signal: a reading does not tell which of them connects.");
        }
        return ball.Class is BallClass.Ground or BallClass.Supply
                ? "A resistance to ground does not tell whether its only ball connects."
            : net is null || net.Kind != ReadingKind.Diode ? "It was not read in diode-mode."
            : net.Now is null ? "It was not read in this state, or repeats contradict each other."
            : net.Verdict is Verdict.Blocker or Verdict.FixFirst ? $"Its reading failed: {net.Findings[0].What}"
            : net.Now.IsOverload || !net.Compared || net.ShiftV is null
                ? "Its reading could not be held against one before."
            : net.Findings.Any(one => one.Code == "proof.signal-moved") ? "Its reading has moved."
            : net.Junctions is null ? "How many junctions hang on its net is not known: others may give the reading."
            : net.Junctions > 1 && !Visible(net)
                ? Invariant(
                    $"With {net.Junctions} like junctions an open ball is not seen with {net.Repeats} {(net.Repeats == 1 ? "repeat" : "repeats")}."
                )
            : null;
    }

    private static bool Visible(NetProof net) =>
        net.SeenFromV is { } seenV && Junctions.LostRiseV(net.Junctions!.Value) >= seenV;

    private static string Reason(NetProof net) =>
        net.Junctions == 1
            ? $"It reads {ReadingText.Of(net.Kind, net.Now!)}, and without this ball it would read OL."
            : Invariant(
                $"It reads as before, and without this ball it would read {1000 * Junctions.LostRiseV(net.Junctions!.Value):0.0} mV more."
            );

    private static IEnumerable<SourcedWords> Sentences(BallMap map, ProofThresholds limits)
    {
        yield return new SourcedWords(
            "A share alone means little: what is not proven is listed ball by ball.",
            "coverage-paper"
        );
        var largest = map
            .Balls.Where(ball => ball.Class is BallClass.Ground or BallClass.Supply)
            .GroupBy(ball => ball.Function, StringComparer.Ordinal)
            .MaxBy(group => group.Count());
        if (largest?.Count() > 1)
        {
            int n = largest.Count();
            double leastOhm = Junctions.LostBallOhm(n, limits["ball-resistance-least"] / 1000);
            double mostOhm = Junctions.LostBallOhm(n, limits["ball-resistance-most"] / 1000);
            string name = largest.First().Class == BallClass.Ground ? "Ground" : ProofRail.NameOf(largest.First());
            yield return new SourcedWords(
                Invariant(
                    $"{name} has {n} balls side by side. One that is open changes its resistance by {1e6 * leastOhm:0.##} to {1e6 * mostOhm:0.##} µΩ, {100.0 / (n - 1):0.#} % of a value far below what leads scatter by (balls of {limits["ball-resistance-least"]:0.#} to {limits["ball-resistance-most"]:0.#} mΩ, an estimate): no meter on a bench sees that."
                ),
                "parallel-opens-papers"
            );
        }
    }

    private static HashSet<string> Upper(IReadOnlySet<string>? names) =>
        [.. (names ?? new HashSet<string>()).Select(name => name.Trim().ToUpperInvariant())];
}
