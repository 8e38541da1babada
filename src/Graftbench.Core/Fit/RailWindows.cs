using Graftbench.Core.Facts;
using Graftbench.Core.Findings;
using Graftbench.Core.Fit.Maps;
using Graftbench.Core.Jobs;

namespace Graftbench.Core.Fit;

/// <summary>A rail of the chip with the rail of the board that feeds it.</summary>
/// <param name="Needed">The chip's rail.</param>
/// <param name="Given">The board's; null where none was found.</param>
/// <param name="Basis">How it was found.</param>
/// <param name="Joined">Rails of the board that its balls would join, by the lists; one or none is sound.</param>
internal sealed record FoundRail(NeededRail Needed, GivenRail? Given, RailBasis Basis, IReadOnlyList<string> Joined)
{
    /// <summary>Whether the ball list tells of it and the job does not: its current is then a sum over balls.</summary>
    public bool FromList { get; init; }

    /// <summary>What the board's own ball list says of the chip it is made for, at the balls of this rail; null where it says nothing.</summary>
    public (double LeastV, double MostV)? MadeFor { get; init; }

    // 1.8 V and 5 % more is 1.89 V to a person, and 1.8900000000000001 to the machine.
    private const double SameV = 1e-6;

    /// <summary>How far the board's voltage may be off [%].</summary>
    public double TolerancePercent => Given?.TolerancePercent ?? FitFacts.Limit("rail-tolerance").Value;

    public double? LowV => Given?.SetV * (1 - (TolerancePercent / 100));

    public double? HighV => Given?.SetV * (1 + (TolerancePercent / 100));

    /// <summary>How the windows lie.</summary>
    public Verdict Verdict =>
        Given is null ? Verdict.Unknown
        : LowV > Needed.MostV + SameV || HighV < Needed.LeastV - SameV ? Verdict.Blocker
        : LowV >= Needed.LeastV - SameV && HighV <= Needed.MostV + SameV ? Verdict.Ok
        : Given.MeasuredV is { } measured
            ? measured >= Needed.LeastV - SameV && measured <= Needed.MostV + SameV ? Verdict.Warning
                : Verdict.Blocker
        : Verdict.FixFirst;
}

/// <summary>Finds the rail of the board for each rail of the chip.</summary>
internal static class RailWindows
{
    public static IReadOnlyList<FoundRail> Of(FitContext context) =>
        [
            .. context.Needs.Rails.Select(rail => Find(context, rail)),
            .. Listed(context).Select(rail => Find(context, rail) with { FromList = true }),
        ];

    /// <summary>The windows, for a picture.</summary>
    public static IReadOnlyList<RailWindow> Drawn(IEnumerable<FoundRail> rails) =>
        [
            .. rails.Select(rail => new RailWindow(
                rail.Needed.Name,
                rail.Given?.Name,
                rail.Basis,
                rail.Needed.LeastV,
                rail.Needed.UsualV,
                rail.Needed.MostV,
                rail.LowV,
                rail.Given?.SetV,
                rail.HighV,
                rail.Given?.MeasuredV,
                rail.Verdict
            )),
        ];

    // Rails that the ball list tells voltages of and the job does not name, that with most balls first: the window that all its balls stand.
    private static IEnumerable<NeededRail> Listed(FitContext context) =>
        context.Request.ChipMap is not { } map
            ? []
            : map
                .Balls.Where(ball => ball is { Class: BallClass.Supply, LeastV: not null, MostV: not null })
                .GroupBy(RailOf, StringComparer.OrdinalIgnoreCase)
                .Where(group => !context.Needs.Rails.Any(typed => Same(typed.Name, group.Key)))
                .OrderByDescending(group => group.Count())
                .Select(group => new NeededRail
                {
                    Name = group.Key,
                    LeastV = group.Max(ball => ball.LeastV!.Value),
                    UsualV = group.Select(ball => ball.UsualV).FirstOrDefault(usual => usual is not null),
                    MostV = group.Min(ball => ball.MostV!.Value),
                    // A ball without a figure may carry any: then there is no sum.
                    MostCurrentA = group.All(ball => ball.MostCurrentA is not null)
                        ? group.Sum(ball => ball.MostCurrentA!.Value)
                        : null,
                });

    private static bool Same(string one, string other) =>
        string.Equals(one.Trim(), other.Trim(), StringComparison.OrdinalIgnoreCase);

    private static FoundRail Find(FitContext context, NeededRail rail)
    {
        GivenRail? Named(string name) => context.Gives.Rails.FirstOrDefault(one => Same(one.Name, name));
        MapBall[] under = [.. Under(context.Comparison, rail.Name)];
        IReadOnlyList<string> met = [.. under.Select(RailOf).Distinct(StringComparer.OrdinalIgnoreCase)];
        FoundRail found =
            rail.OnBoard is { } said
                ? new FoundRail(rail, Named(said), Named(said) is null ? RailBasis.NotFound : RailBasis.Told, met)
            : met.Select(Named).FirstOrDefault(one => one is not null) is { } byBalls
                ? new FoundRail(rail, byBalls, RailBasis.ByBalls, met)
            : Named(rail.Name) is { } byName ? new FoundRail(rail, byName, RailBasis.ByName, met)
            : new FoundRail(rail, null, RailBasis.NotFound, met);
        MapBall[] told = [.. under.Where(ball => ball is { LeastV: not null, MostV: not null })];
        if (told.Length == 0)
        {
            return found;
        }
        (double leastV, double mostV) = (told.Max(ball => ball.LeastV!.Value), told.Min(ball => ball.MostV!.Value));
        // Balls that contradict each other tell nothing.
        return leastV > mostV ? found : found with { MadeFor = (leastV, mostV) };
    }

    // Supply balls of the host's list under the balls of a rail of the chip's list.
    private static IEnumerable<MapBall> Under(MapComparison? comparison, string rail) =>
        comparison is null
            ? []
            : comparison
                .Sites.Where(site =>
                    site is { Donor.Class: BallClass.Supply, Host.Class: BallClass.Supply }
                    && string.Equals(RailOf(site.Donor), rail, StringComparison.OrdinalIgnoreCase)
                )
                .Select(site => site.Host!);

    /// <summary>Name of the rail that a supply ball belongs to.</summary>
    public static string RailOf(MapBall ball) => ball.Rail ?? ball.Signal;
}
