using Graftbench.Core.Heating;
using Graftbench.Core.Physics.Heat;

namespace Graftbench.Core.Watching;

/// <summary>What a watch is set up with, with the reduced model made for it: seconds to build, then kept for every heat on the same bench.</summary>
public sealed class WatchModel
{
    /// <summary>Distance at which the slope round a probe is taken [mm].</summary>
    internal const double AroundMm = 2;

    private const int Around = 4;

    private WatchModel(WatchSetup setup, ReducedModel reduced)
    {
        Setup = setup;
        Reduced = reduced;
    }

    /// <summary>What it is for.</summary>
    public WatchSetup Setup { get; }

    internal ReducedModel Reduced { get; }

    /// <summary>Row of a probe's own place.</summary>
    internal int RowOf(int probe) => Setup.Model.Places.Count + probe * (1 + Around);

    /// <summary>Builds it.</summary>
    /// <param name="setup">What is watched.</param>
    /// <param name="rough">From a wider grid: faster, for trials.</param>
    /// <param name="doneFraction">Told the share done; null for nobody.</param>
    /// <param name="cancel">Stops it.</param>
    /// <exception cref="ArgumentException">No model, no probe, two probes of one channel, or a probe that hangs in the air; the message names all.</exception>
    /// <exception cref="HeatModelException">The reduced model could not be built.</exception>
    public static WatchModel Build(
        WatchSetup setup,
        bool rough = false,
        IProgress<double>? doneFraction = null,
        CancellationToken cancel = default
    )
    {
        ArgumentNullException.ThrowIfNull(setup);
        IReadOnlyList<string> problems = Problems(setup);
        if (problems.Count > 0)
        {
            throw new ArgumentException(string.Join(" ", problems), nameof(setup));
        }
        List<(double, double, double)> points = [.. HeatModels.Points(setup.Model)];
        foreach (WatchProbe probe in setup.Probes)
        {
            HeatPlace at = probe.Place;
            points.Add((at.XMm, at.YMm, at.ZMm));
            points.Add((at.XMm - AroundMm, at.YMm, at.ZMm));
            points.Add((at.XMm + AroundMm, at.YMm, at.ZMm));
            points.Add((at.XMm, at.YMm - AroundMm, at.ZMm));
            points.Add((at.XMm, at.YMm + AroundMm, at.ZMm));
        }
        return new WatchModel(setup, HeatModels.ReducedFor(setup.Model, points, rough, doneFraction, cancel));
    }

    /// <summary>The same reduced model with other things known: plan, alignment, factors, limits.</summary>
    /// <param name="setup">A setup of the same model and the same probe places.</param>
    /// <exception cref="ArgumentException">Model or probe places differ.</exception>
    public WatchModel With(WatchSetup setup)
    {
        ArgumentNullException.ThrowIfNull(setup);
        bool same =
            ReferenceEquals(setup.Model, Setup.Model)
            && setup.Probes.Select(one => one.Place).SequenceEqual(Setup.Probes.Select(one => one.Place));
        IReadOnlyList<string> problems = Problems(setup);
        return same && problems.Count == 0
            ? new WatchModel(setup, Reduced)
            : throw new ArgumentException(
                problems.Count > 0 ? string.Join(" ", problems) : "Another model or other probes need a build.",
                nameof(setup)
            );
    }

    /// <summary>What speaks against a setup, all of it.</summary>
    /// <param name="setup">What is to be watched.</param>
    /// <returns>One sentence each; empty where it can be built.</returns>
    public static IReadOnlyList<string> Problems(WatchSetup setup)
    {
        ArgumentNullException.ThrowIfNull(setup);
        List<string> problems = [];
        if (!setup.Model.Usable)
        {
            problems.Add("There is no model of board and chip; the heat plan's findings say what is missing.");
            return problems;
        }
        if (!setup.Model.Places.Any(place => place.Kind == HeatPlaceKind.Joint))
        {
            problems.Add("The model has no joints to watch.");
        }
        if (setup.Probes.Count == 0)
        {
            problems.Add("No probe: joints cannot be watched without one; place at least one beside the chip.");
        }
        foreach (
            IGrouping<string, WatchProbe> twice in setup
                .Probes.GroupBy(one => one.Channel, StringComparer.Ordinal)
                .Where(group => group.Count() > 1)
        )
        {
            problems.Add($"Channel {twice.Key} is given to {twice.Count()} probes; give each a channel of its own.");
        }
        foreach (WatchProbe probe in setup.Probes)
        {
            bool sane =
                probe is { BiasDeltaK: >= 0 and < 50, PlacedWithinMm: >= 0 and < 50, LagS: >= 0 and <= 5 }
                && probe.GasShareFraction is null or >= 0 and < 1;
            if (!sane)
            {
                problems.Add(
                    $"Channel {probe.Channel}: bias (0 to 50 K), place (0 to 50 mm), lag (0 to 5 s) or share of the gas (0 to 1) is out of range."
                );
            }
        }
        // Probes may sit on places that the model has anyway, so names are not compared.
        problems.AddRange(
            ProbeChecks.Problems(
                [.. setup.Probes.Select(probe => probe.Place with { Name = "channel " + probe.Channel })],
                setup.Model with
                {
                    Places = [],
                }
            )
        );
        return problems;
    }
}
