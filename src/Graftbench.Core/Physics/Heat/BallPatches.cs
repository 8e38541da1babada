namespace Graftbench.Core.Physics.Heat;

/// <summary>A tile of the ball layer, or a point of it: nodes that melt together, with their latent heat.</summary>
internal sealed record BallPatch(Melting Law, int Tile, int[] Nodes, double[] LatentJ);

/// <summary>The ball layer cut into a field of tiles, each with two by two points.</summary>
internal static class BallPatches
{
    private const int TilesAcross = 5;
    private const int PointsAcross = 2;

    /// <summary>The tiles.</summary>
    public static List<BallPatch> Tiles(HeatNetwork network) => Field(network, TilesAcross);

    /// <summary>The points of all tiles.</summary>
    public static List<BallPatch> Points(HeatNetwork network) => Field(network, TilesAcross * PointsAcross);

    /// <summary>Number of the tile that a point lies in.</summary>
    public static int TileOf(int point)
    {
        int across = TilesAcross * PointsAcross;
        return point / across / PointsAcross * TilesAcross + point % across / PointsAcross;
    }

    // The ball layer in a field of patches, by where its melting nodes lie; a tile holds two by two points.
    private static List<BallPatch> Field(HeatNetwork network, int across)
    {
        List<BallPatch> patches = [];
        (double[] x, double[] y) = network.NodePlacesMm();
        foreach (HeatNetwork.MeltingTerm term in network.Meltings)
        {
            double x0 = term.Nodes.Min(node => x[node]);
            double x1 = term.Nodes.Max(node => x[node]);
            double y0 = term.Nodes.Min(node => y[node]);
            double y1 = term.Nodes.Max(node => y[node]);
            int PatchOf(int node)
            {
                int i = Math.Min(across - 1, (int)(across * (x[node] - x0) / Math.Max(1e-9, x1 - x0)));
                int j = Math.Min(across - 1, (int)(across * (y[node] - y0) / Math.Max(1e-9, y1 - y0)));
                return j * across + i;
            }
            patches.AddRange(
                term.Nodes.Select((node, e) => (Node: node, Latent: term.LatentJ[e], Patch: PatchOf(node)))
                    .GroupBy(entry => entry.Patch)
                    .OrderBy(group => group.Key)
                    .Select(group => new BallPatch(
                        term.Law,
                        group.Key,
                        [.. group.Select(entry => entry.Node)],
                        [.. group.Select(entry => entry.Latent)]
                    ))
            );
        }
        return patches;
    }
}
