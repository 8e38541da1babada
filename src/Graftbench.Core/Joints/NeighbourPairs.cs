namespace Graftbench.Core.Joints;

/// <summary>Pairs of neighbouring joints: nearer than one and a half pitches, so that diagonals count too.</summary>
internal sealed class NeighbourPairs
{
    private const double Reach = 1.45;

    private NeighbourPairs(int[] first, int[] second, double[] distanceMm)
    {
        First = first;
        Second = second;
        DistanceMm = distanceMm;
    }

    public int[] First { get; }
    public int[] Second { get; }
    public double[] DistanceMm { get; }

    /// <summary>Finds the pairs in time proportional to the joints.</summary>
    public static NeighbourPairs Of(IReadOnlyList<JointSite> sites, double pitchMm)
    {
        double reach = Reach * pitchMm;
        Dictionary<(int, int), List<int>> cells = [];
        List<int> first = [];
        List<int> second = [];
        List<double> distance = [];
        for (int i = 0; i < sites.Count; i++)
        {
            (int cx, int cy) = ((int)Math.Floor(sites[i].XMm / reach), (int)Math.Floor(sites[i].YMm / reach));
            for (int dx = -1; dx <= 1; dx++)
            {
                for (int dy = -1; dy <= 1; dy++)
                {
                    if (!cells.TryGetValue((cx + dx, cy + dy), out List<int>? others))
                    {
                        continue;
                    }
                    foreach (int j in others)
                    {
                        double x = sites[i].XMm - sites[j].XMm;
                        double y = sites[i].YMm - sites[j].YMm;
                        double apart = Math.Sqrt(x * x + y * y);
                        if (apart <= reach)
                        {
                            first.Add(j);
                            second.Add(i);
                            distance.Add(apart);
                        }
                    }
                }
            }
            if (!cells.TryGetValue((cx, cy), out List<int>? here))
            {
                cells.Add((cx, cy), here = []);
            }
            here.Add(i);
        }
        return new NeighbourPairs([.. first], [.. second], [.. distance]);
    }
}
