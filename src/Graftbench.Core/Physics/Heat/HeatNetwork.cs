using Graftbench.Core.Numerics;

namespace Graftbench.Core.Physics.Heat;

/// <summary>
/// A case on a grid: unknowns at the grid's points, conductances between them, heat capacities at them, films, radiation
/// and melting heat lumped to them. Everything the solvers need; nothing about time.
/// </summary>
/// <remarks>
/// Node-centred finite volumes: the conductance of an edge is the sum over the up to four cells round it of conductivity
/// times a quarter of the cell's cross-section over its length; a node has an eighth of each of its cells' capacity; a
/// face's film goes to its four corners by a quarter each. Surface temperatures are unknowns, so films enter linearly.
/// </remarks>
internal sealed class HeatNetwork
{
    /// <summary>Stefan-Boltzmann constant [W/(m² K⁴)], CODATA 2018.</summary>
    public const double StefanBoltzmann = 5.670374419e-8;

    private readonly int[] nodes;
    private readonly int columns;
    private readonly int rows;

    private HeatNetwork(HeatGrid grid, int[] nodes, short[] boxAt, SevenPointMatrix conduction, int count)
    {
        Grid = grid;
        this.nodes = nodes;
        BoxAt = boxAt;
        Conduction = conduction;
        Count = count;
        columns = grid.XMm.Length;
        rows = grid.YMm.Length;
        CapacityJPerK = new double[count];
    }

    /// <summary>The grid.</summary>
    public HeatGrid Grid { get; }

    /// <summary>Index of the box that fills a cell, x fastest; −1 for air.</summary>
    public short[] BoxAt { get; }

    /// <summary>Number of nodes.</summary>
    public int Count { get; }

    /// <summary>Conduction alone [W/K]; its rows add up to 0.</summary>
    public SevenPointMatrix Conduction { get; }

    /// <summary>Heat capacity of each node [J/K].</summary>
    public double[] CapacityJPerK { get; }

    /// <summary>Films, one entry for each group and sink.</summary>
    public List<FilmTerm> Films { get; } = [];

    /// <summary>Radiation, one entry for each sink.</summary>
    public List<RadiationTerm> Radiation { get; } = [];

    /// <summary>Melting heat, one entry for each melting range.</summary>
    public List<MeltingTerm> Meltings { get; } = [];

    /// <summary>Film conductances to one sink.</summary>
    /// <param name="Group">Which factor scales it.</param>
    /// <param name="Sink">What the gas follows.</param>
    /// <param name="Nodes">Nodes, each once.</param>
    /// <param name="WPerK">Conductance of each [W/K].</param>
    public sealed record FilmTerm(FilmGroup Group, IReadOnlyList<SignalShare> Sink, int[] Nodes, double[] WPerK);

    /// <summary>Radiating faces towards one sink.</summary>
    /// <param name="Sink">What the surroundings follow.</param>
    /// <param name="Nodes">Nodes, each once.</param>
    /// <param name="WPerK4">ε·σ·area of each [W/K⁴].</param>
    public sealed record RadiationTerm(IReadOnlyList<SignalShare> Sink, int[] Nodes, double[] WPerK4);

    /// <summary>Nodes that take up melting heat.</summary>
    /// <param name="Law">Melting range.</param>
    /// <param name="Nodes">Nodes, each once.</param>
    /// <param name="LatentJ">Latent heat of each [J].</param>
    public sealed record MeltingTerm(Melting Law, int[] Nodes, double[] LatentJ);

    /// <summary>Number of the node at a grid point, or −1 in the air.</summary>
    public int NodeAt(int column, int row, int layer) => nodes[(layer * rows + row) * columns + column];

    /// <summary>Lays a case out on the grid that a mesh asks for.</summary>
    /// <param name="heat">A case that <c>HeatCaseChecks</c> found nothing wrong with.</param>
    /// <param name="mesh">How fine.</param>
    /// <param name="factors">Conductivities and capacities are scaled by these; films stay nominal.</param>
    public static HeatNetwork Of(HeatCase heat, HeatMesh mesh, HeatFactors factors) =>
        Of(heat, HeatGrid.Of(heat, mesh), factors);

    /// <summary>The same on a grid at hand.</summary>
    public static HeatNetwork Of(HeatCase heat, HeatGrid grid, HeatFactors factors)
    {
        int nx = grid.XMm.Length;
        int ny = grid.YMm.Length;
        int nz = grid.ZMm.Length;
        short[] boxAt = FillCells(heat, grid);
        int[] nodeAt = Number(boxAt, nx, ny, nz, out int count);
        SevenPointMatrix matrix = Structure(nodeAt, nx, ny, nz, count);
        HeatNetwork network = new(grid, nodeAt, boxAt, matrix, count);
        network.Conduct(heat, factors);
        network.Expose(heat);
        return network;
    }

    /// <summary>Where each node lies, seen from the top [mm].</summary>
    public (double[] XMm, double[] YMm) NodePlacesMm()
    {
        double[] x = new double[Count];
        double[] y = new double[Count];
        for (int at = 0; at < nodes.Length; at++)
        {
            if (nodes[at] >= 0)
            {
                x[nodes[at]] = Grid.XMm[at % columns];
                y[nodes[at]] = Grid.YMm[at / columns % rows];
            }
        }
        return (x, y);
    }

    private static short[] FillCells(HeatCase heat, HeatGrid grid)
    {
        int cx = grid.XMm.Length - 1;
        int cy = grid.YMm.Length - 1;
        int cz = grid.ZMm.Length - 1;
        short[] boxAt = new short[cx * cy * cz];
        Array.Fill(boxAt, (short)-1);
        for (short b = 0; b < heat.Boxes.Count; b++)
        {
            HeatBox box = heat.Boxes[b];
            (int i0, int i1) = CentresWithin(grid.XMm, box.X0Mm, box.X1Mm);
            (int j0, int j1) = CentresWithin(grid.YMm, box.Y0Mm, box.Y1Mm);
            (int k0, int k1) = CentresWithin(grid.ZMm, box.Z0Mm, box.Z1Mm);
            for (int k = k0; k < k1; k++)
            {
                for (int j = j0; j < j1; j++)
                {
                    boxAt.AsSpan((k * cy + j) * cx + i0, Math.Max(0, i1 - i0)).Fill(b);
                }
            }
        }
        return boxAt;
    }

    private static (int From, int To) CentresWithin(double[] lines, double from, double to)
    {
        int first = 0;
        while (first < lines.Length - 1 && (lines[first] + lines[first + 1]) / 2 < from)
        {
            first++;
        }
        int end = first;
        while (end < lines.Length - 1 && (lines[end] + lines[end + 1]) / 2 <= to)
        {
            end++;
        }
        return (first, end);
    }

    private static int[] Number(short[] boxAt, int nx, int ny, int nz, out int count)
    {
        int cx = nx - 1;
        int cy = ny - 1;
        int[] nodeAt = new int[nx * ny * nz];
        Array.Fill(nodeAt, -1);
        for (int k = 0; k < nz - 1; k++)
        {
            for (int j = 0; j < cy; j++)
            {
                for (int i = 0; i < cx; i++)
                {
                    if (boxAt[(k * cy + j) * cx + i] < 0)
                    {
                        continue;
                    }
                    for (int corner = 0; corner < 8; corner++)
                    {
                        int at = ((k + (corner >> 2)) * ny + j + ((corner >> 1) & 1)) * nx + i + (corner & 1);
                        nodeAt[at] = 0;
                    }
                }
            }
        }
        count = 0;
        for (int at = 0; at < nodeAt.Length; at++)
        {
            if (nodeAt[at] == 0)
            {
                nodeAt[at] = count++;
            }
        }
        return nodeAt;
    }

    private static SevenPointMatrix Structure(int[] nodeAt, int nx, int ny, int nz, int count)
    {
        int[] nextY = new int[count];
        int[] nextZ = new int[count];
        bool[] starts = new bool[count];
        int before = -1;
        for (int at = 0; at < nodeAt.Length; at++)
        {
            int node = nodeAt[at];
            if (node < 0)
            {
                continue;
            }
            int i = at % nx;
            int j = at / nx % ny;
            int k = at / nx / ny;
            nextY[node] = j + 1 < ny ? nodeAt[at + nx] : -1;
            nextZ[node] = k + 1 < nz ? nodeAt[at + nx * ny] : -1;
            starts[node] = i == 0 || before != at - 1;
            before = at;
        }
        return new SevenPointMatrix(nextY, nextZ, starts);
    }

    private void Conduct(HeatCase heat, HeatFactors factors)
    {
        int cx = columns - 1;
        int cy = rows - 1;
        int cz = Grid.ZMm.Length - 1;
        Dictionary<Melting, double[]> latent = [];
        for (int k = 0; k < cz; k++)
        {
            double dz = Units.Metres(Grid.ZMm[k + 1] - Grid.ZMm[k]);
            for (int j = 0; j < cy; j++)
            {
                double dy = Units.Metres(Grid.YMm[j + 1] - Grid.YMm[j]);
                for (int i = 0; i < cx; i++)
                {
                    int filled = BoxAt[(k * cy + j) * cx + i];
                    if (filled < 0)
                    {
                        continue;
                    }
                    HeatBox box = heat.Boxes[filled];
                    double dx = Units.Metres(Grid.XMm[i + 1] - Grid.XMm[i]);
                    (double along, double through, double capacity) = Scaled(box, factors);
                    double gx = along * dy * dz / 4 / dx;
                    double gy = along * dx * dz / 4 / dy;
                    double gz = through * dx * dy / 4 / dz;
                    double volume = dx * dy * dz / 8;
                    double[]? melts = null;
                    if (box.Melting is { LatentJPerKg: > 0 } melting && !latent.TryGetValue(melting, out melts))
                    {
                        melts = new double[Count];
                        latent[melting] = melts;
                    }
                    for (int corner = 0; corner < 8; corner++)
                    {
                        int a = corner & 1;
                        int b = (corner >> 1) & 1;
                        int c = corner >> 2;
                        int node = NodeAt(i + a, j + b, k + c);
                        CapacityJPerK[node] += capacity * volume;
                        if (melts is not null)
                        {
                            melts[node] += box.DensityKgPerM3 * box.Melting!.LatentJPerKg * volume;
                        }
                        if (a == 0)
                        {
                            Couple(Conduction.CouplingX, node, NodeAt(i + 1, j + b, k + c), gx);
                        }
                        if (b == 0)
                        {
                            Couple(Conduction.CouplingY, node, NodeAt(i + a, j + 1, k + c), gy);
                        }
                        if (c == 0)
                        {
                            Couple(Conduction.CouplingZ, node, NodeAt(i + a, j + b, k + 1), gz);
                        }
                    }
                }
            }
        }
        foreach ((Melting law, double[] heatJ) in latent)
        {
            int[] melting = [.. Enumerable.Range(0, Count).Where(node => heatJ[node] > 0)];
            Meltings.Add(new MeltingTerm(law, melting, [.. melting.Select(node => heatJ[node])]));
        }
    }

    private static (double Along, double Through, double Capacity) Scaled(HeatBox box, HeatFactors factors)
    {
        double along = box.InPlaneWPerMK;
        double through = box.ThroughWPerMK;
        double capacity = box.DensityKgPerM3 * box.SpecificHeatJPerKgK;
        return box.Role switch
        {
            BoxRole.Board => (along * factors.BoardConductivityFactor, through, capacity * factors.BoardCapacityFactor),
            BoxRole.Substrate => (
                along * factors.SubstrateConductivityFactor,
                through * factors.SubstrateConductivityFactor,
                capacity
            ),
            _ => (along, through, capacity),
        };
    }

    private void Couple(double[] couplings, int node, int next, double conductance)
    {
        couplings[node] += conductance;
        Conduction.Diagonal[node] += conductance;
        Conduction.Diagonal[next] += conductance;
    }

    private void Expose(HeatCase heat)
    {
        int cx = columns - 1;
        int cy = rows - 1;
        int cz = Grid.ZMm.Length - 1;
        FaceSums sums = new(heat, Count);
        for (int k = 0; k < cz; k++)
        {
            double dz = Units.Metres(Grid.ZMm[k + 1] - Grid.ZMm[k]);
            for (int j = 0; j < cy; j++)
            {
                double dy = Units.Metres(Grid.YMm[j + 1] - Grid.YMm[j]);
                double yMm = (Grid.YMm[j] + Grid.YMm[j + 1]) / 2;
                for (int i = 0; i < cx; i++)
                {
                    int filled = BoxAt[(k * cy + j) * cx + i];
                    if (filled < 0)
                    {
                        continue;
                    }
                    double dx = Units.Metres(Grid.XMm[i + 1] - Grid.XMm[i]);
                    double xMm = (Grid.XMm[i] + Grid.XMm[i + 1]) / 2;
                    if (k + 1 == cz || BoxAt[((k + 1) * cy + j) * cx + i] < 0)
                    {
                        sums.Add(Faces.Top, filled, xMm, yMm, dx * dy / 4, AcrossZ(i, j, k + 1));
                    }
                    if (k == 0 || BoxAt[((k - 1) * cy + j) * cx + i] < 0)
                    {
                        sums.Add(Faces.Bottom, filled, xMm, yMm, dx * dy / 4, AcrossZ(i, j, k));
                    }
                    if (i + 1 == cx || BoxAt[(k * cy + j) * cx + i + 1] < 0)
                    {
                        sums.Add(Faces.Side, filled, xMm, yMm, dy * dz / 4, AcrossX(i + 1, j, k));
                    }
                    if (i == 0 || BoxAt[(k * cy + j) * cx + i - 1] < 0)
                    {
                        sums.Add(Faces.Side, filled, xMm, yMm, dy * dz / 4, AcrossX(i, j, k));
                    }
                    if (j + 1 == cy || BoxAt[(k * cy + j + 1) * cx + i] < 0)
                    {
                        sums.Add(Faces.Side, filled, xMm, yMm, dx * dz / 4, AcrossY(i, j + 1, k));
                    }
                    if (j == 0 || BoxAt[(k * cy + j - 1) * cx + i] < 0)
                    {
                        sums.Add(Faces.Side, filled, xMm, yMm, dx * dz / 4, AcrossY(i, j, k));
                    }
                }
            }
        }
        sums.Into(this);
    }

    // The four corners of a face of a cell.
    private (int, int, int, int) AcrossX(int i, int j, int k) =>
        (NodeAt(i, j, k), NodeAt(i, j + 1, k), NodeAt(i, j, k + 1), NodeAt(i, j + 1, k + 1));

    private (int, int, int, int) AcrossY(int i, int j, int k) =>
        (NodeAt(i, j, k), NodeAt(i + 1, j, k), NodeAt(i, j, k + 1), NodeAt(i + 1, j, k + 1));

    private (int, int, int, int) AcrossZ(int i, int j, int k) =>
        (NodeAt(i, j, k), NodeAt(i + 1, j, k), NodeAt(i, j + 1, k), NodeAt(i + 1, j + 1, k));
}
