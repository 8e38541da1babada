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
        [.. Needed(context).Select(rail => Find(context, rail))];

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

    // The job's own rails; else those that the ball list tells voltages of: the window that all its balls stand.
    private static IEnumerable<NeededRail> Needed(FitContext context) =>
        context.Needs.Rails.Count > 0 || context.Request.ChipMap is not { } map
            ? context.Needs.Rails
            : map
                .Balls.Where(ball => ball is { Class: BallClass.Supply, LeastV: not null, MostV: not null })
                .GroupBy(RailOf, StringComparer.OrdinalIgnoreCase)
                .Select(group => new NeededRail
                {
                    Name = group.Key,
                    LeastV = group.Max(ball => ball.LeastV!.Value),
                    UsualV = group.Select(ball => ball.UsualV).FirstOrDefault(usual => usual is not null),
                    MostV = group.Min(ball => ball.MostV!.Value),
                    MostCurrentA = group.Any(ball => ball.MostCurrentA is not null)
                        ? group.Sum(ball => ball.MostCurrentA ?? 0)
                        : null,
                });

    private static FoundRail Find(FitContext context, NeededRail rail)
    {
        GivenRail? Named(string name) =>
            context.Gives.Rails.FirstOrDefault(one =>
                string.Equals(one.Name.Trim(), name.Trim(), StringComparison.OrdinalIgnoreCase)
            );
        IReadOnlyList<string> met = Met(context.Comparison, rail.Name);
        return rail.OnBoard is { } told
                ? new FoundRail(rail, Named(told), Named(told) is null ? RailBasis.NotFound : RailBasis.Told, met)
            : met.Select(Named).FirstOrDefault(one => one is not null) is { } byBalls
                ? new FoundRail(rail, byBalls, RailBasis.ByBalls, met)
            : Named(rail.Name) is { } byName ? new FoundRail(rail, byName, RailBasis.ByName, met)
            : new FoundRail(rail, null, RailBasis.NotFound, met);
    }

    // Rails of the host's list under the balls of a rail of the chip's list.
    private static IReadOnlyList<string> Met(MapComparison? comparison, string rail) =>
        comparison is null
            ? []
            :
            [
                .. comparison
                    .Sites.Where(site =>
                        site is { Donor.Class: BallClass.Supply, Host.Class: BallClass.Supply }
                        && string.Equals(RailOf(site.Donor), rail, StringComparison.OrdinalIgnoreCase)
                    )
                    .Select(site => RailOf(site.Host!))
                    .Distinct(StringComparer.OrdinalIgnoreCase),
            ];

    /// <summary>Name of the rail that a supply ball belongs to.</summary>
    public static string RailOf(MapBall ball) => ball.Rail ?? ball.Signal;
}
