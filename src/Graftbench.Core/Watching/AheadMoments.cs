using Graftbench.Core.Heating;

namespace Graftbench.Core.Watching;

/// <summary>First moments at which joints melt and limits are reached in a look ahead.</summary>
internal sealed class AheadMoments(
    BoardHeatModel model,
    int[] joints,
    (HeatLimit Limit, int Row)[] limits,
    double[] halfBandDeltaK
)
{
    private readonly double?[] reachedS = new double?[limits.Length];
    private readonly double?[] earliestS = new double?[limits.Length];
    private double? firstS;
    private double? lastS;
    private double? latestS;

    /// <summary>Whether nothing is left to find.</summary>
    public bool Done => latestS is not null && Array.TrueForAll(reachedS, one => one is not null);

    /// <summary>Takes the temperatures of a moment.</summary>
    /// <param name="inS">Time from now [s].</param>
    /// <param name="temperaturesC">Temperatures of the model's places, more may follow [°C].</param>
    public void Look(double inS, double[] temperaturesC)
    {
        double hottestC = double.NegativeInfinity;
        double coldestC = double.PositiveInfinity;
        double coldestLowC = double.PositiveInfinity;
        double hottestHighC = double.NegativeInfinity;
        foreach (int joint in joints)
        {
            double hereC = temperaturesC[joint];
            hottestC = Math.Max(hottestC, hereC);
            coldestC = Math.Min(coldestC, hereC);
            coldestLowC = Math.Min(coldestLowC, hereC - halfBandDeltaK[joint]);
            hottestHighC = Math.Max(hottestHighC, hereC + halfBandDeltaK[joint]);
        }
        Note(ref firstS, hottestC >= model.MoltenC, inS);
        Note(ref lastS, coldestC >= model.MoltenC, inS);
        Note(ref latestS, coldestLowC >= model.MoltenC, inS);
        for (int i = 0; i < limits.Length; i++)
        {
            (HeatLimit limit, int row) = limits[i];
            bool all = row == int.MaxValue;
            double hereC = all ? hottestC : temperaturesC[row];
            double highC = all ? hottestHighC : hereC + halfBandDeltaK[row];
            Note(ref reachedS[i], hereC >= limit.Value, inS);
            Note(ref earliestS[i], highC >= limit.Value, inS);
        }
    }

    /// <summary>What was found.</summary>
    public WatchAhead Answer(bool held, double reachS)
    {
        double? Guarded(double? timeS) => timeS is double t ? t + LiveReader.EarlyMeltS : null;
        return new WatchAhead(
            held,
            reachS,
            firstS,
            Guarded(lastS),
            Guarded(latestS),
            [
                .. limits
                    .Select(
                        (one, i) =>
                            new LimitAhead(
                                one.Limit.Title,
                                one.Limit.Place ?? one.Limit.Title,
                                one.Limit.Value,
                                one.Limit.Hard,
                                reachedS[i],
                                earliestS[i],
                                !one.Limit.OfNeighbour && one.Limit.Kind != HeatLimitKind.UndersidePeak
                            )
                    )
                    .OrderBy(one => one.InS ?? double.PositiveInfinity)
                    .ThenBy(one => one.EarliestInS ?? double.PositiveInfinity),
            ]
        );
    }

    private static void Note(ref double? moment, bool there, double inS)
    {
        if (there && moment is null)
        {
            moment = inS;
        }
    }
}
