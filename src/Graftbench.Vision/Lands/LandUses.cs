using Graftbench.Core.Fit.Maps;

namespace Graftbench.Vision.Lands;

/// <summary>What lands are for, by the ball list of what the board is made for.</summary>
public static class LandUses
{
    /// <summary>Balls from which a rail counts as fed by many: one land fewer is then no loss that shows (an estimate).</summary>
    public const int WellFedNumber = 8;

    /// <summary>Uses by ball name; a ball whose list does not say what it is for is unknown.</summary>
    /// <param name="map">The list.</param>
    public static IReadOnlyDictionary<string, LandUse> Of(BallMap map)
    {
        ArgumentNullException.ThrowIfNull(map);
        Dictionary<string, int> balls = map
            .Balls.GroupBy(ball => ball.Function, StringComparer.Ordinal)
            .ToDictionary(group => group.Key, group => group.Count(), StringComparer.Ordinal);
        return map.Balls.ToDictionary(
            ball => ball.Name,
            ball =>
                ball.Class switch
                {
                    BallClass.NoConnect => LandUse.NoConnect,
                    BallClass.Ground or BallClass.Supply => balls[ball.Function] >= WellFedNumber
                        ? LandUse.FedRail
                        : LandUse.Signal,
                    BallClass.Signal => LandUse.Signal,
                    _ => LandUse.Unknown,
                },
            StringComparer.Ordinal
        );
    }
}
