using Graftbench.Core.Fit.Maps;

namespace Graftbench.Core.Proof;

/// <summary>Which rails and signals there are: named ones, those of the ball list, and those that were measured.</summary>
internal sealed class ProofNames
{
    private readonly Dictionary<string, string> railOf = new(StringComparer.Ordinal);
    private readonly HashSet<string> all = new(StringComparer.Ordinal);

    public ProofNames(ProofRequest request, ReadingSet set)
    {
        Dictionary<string, ProofRail> rails = new(StringComparer.Ordinal);
        IReadOnlyList<ProofRail> mapped = request.Map is { } map ? ProofRail.Of(map) : [];
        foreach (ProofRail rail in request.Rails.Concat(mapped))
        {
            string key = NetNames.Key(rail.Name);
            // A person's word goes first; the list adds what it knows besides.
            rails[key] = rails.TryGetValue(key, out ProofRail? before)
                ? before with
                {
                    NominalV = before.NominalV ?? rail.NominalV,
                    Balls = Math.Max(before.Balls, rail.Balls),
                }
                : rail;
        }
        foreach (MapBall ball in (request.Map?.Balls ?? []).Where(ball => ball.Class == BallClass.Supply))
        {
            railOf.TryAdd(NetNames.Key(ball.Signal), NetNames.Key(ProofRail.NameOf(ball)));
        }
        HashSet<string> signals =
        [
            .. (request.Map?.Balls ?? [])
                .Where(ball => ball.Class is BallClass.Signal or BallClass.Unknown && ball.Signal.Length > 0)
                .Select(ball => SignalNames.Key(ball.Signal)),
        ];
        foreach (ReadingGroup group in set.Groups.Where(group => group is { Kind: ReadingKind.Resistance, To: null }))
        {
            string key = RailKey(group.Net);
            if (!signals.Contains(SignalNames.Key(group.Net)) && !rails.ContainsKey(key))
            {
                RailClass kind = RailClasses.ByName(group.Net);
                rails[key] = new ProofRail(group.Net, kind, ClassBasis.ByName, NominalV: RailClasses.Volts(group.Net));
            }
        }
        Rails = [.. rails.Values];
        all.UnionWith(rails.Keys);
        Dictionary<string, string> measured = new(StringComparer.Ordinal);
        foreach (
            ReadingGroup group in set.Groups.Where(group =>
                group is { Kind: ReadingKind.Diode or ReadingKind.Resistance, To: null }
                && (group.State == request.Now || group.State is ReadingState.Baseline or ReadingState.DonorBaseline)
            )
        )
        {
            string key = NetNames.Key(group.Net);
            if (!rails.ContainsKey(RailKey(group.Net)) && key != SignalProof.ReferenceNet)
            {
                measured.TryAdd(key, group.Net);
            }
        }
        Signals = [.. measured.Values];
        HashSet<string> placed =
        [
            .. set.Readings.Where(one => one.Ball is not null).Select(one => NetNames.Key(one.Net)),
        ];
        NotListed = request.Map is null
            ? []
            :
            [
                .. measured
                    .Where(one => !signals.Contains(SignalNames.Key(one.Value)) && !placed.Contains(one.Key))
                    .Select(one => one.Value),
            ];
        all.UnionWith(measured.Keys);
        foreach (ReadingGroup pair in set.Groups.Where(group => group.To is not null))
        {
            all.Add(NetNames.Key(PairProof.NameOf(pair)));
        }
    }

    /// <summary>Rails, named ones first.</summary>
    public IReadOnlyList<ProofRail> Rails { get; }

    /// <summary>Signals that were measured now or before.</summary>
    public IReadOnlyList<string> Signals { get; }

    /// <summary>Signals that were measured, but that the ball list does not name and no reading names a ball of; none without a list.</summary>
    public IReadOnlyList<string> NotListed { get; }

    /// <summary>Whether there is a rail, signal or pair of that name.</summary>
    public bool Has(string net) => all.Contains(NetNames.Key(net));

    /// <summary>The rail that a net belongs to: its own name, or the rail of the ball that bears it.</summary>
    public string RailKey(string net)
    {
        string key = NetNames.Key(net);
        return railOf.GetValueOrDefault(key, key);
    }
}
