using Graftbench.Core.Numerics;

namespace Graftbench.Core.Physics.Heat;

/// <summary>Levels of the test runs that a reduced model is built from.</summary>
/// <param name="GasC">Gas temperature of the steps [°C].</param>
/// <param name="PreheaterC">Bottom heater's temperature of the steps [°C].</param>
internal sealed record ReducedLevels(double GasC, double PreheaterC);

/// <summary>
/// Builds a <see cref="ReducedModel"/>: eight test runs of the full model, their main shapes, the shapes of heat drawn in
/// the ball layer, and every operator seen through them.
/// </summary>
/// <remarks>
/// Shapes: eigenvectors of XᵀCX (method of snapshots) of T − T₀ in steps of the gas and of the bottom heater, and in both
/// with factors to either side; plus (K + sC)⁻¹·latent heat of each tile for s = 0.01, 0.1 and 1 1/s, since melting is a
/// source that the test runs do not have. Radiation points are picked greedily [1 in <see cref="ReducedModel"/>].
/// </remarks>
internal static class ReducedBuilder
{
    private const double MeanRadiatingK = 400;
    private const double TestStepS = 5;
    private const double HeatS = 220;
    private const double TestS = 420;
    private const int ColumnsPerRun = 24;
    private const int MainShapes = 36;
    private const int MeltShapes = 12;
    private const int RadiantPoints = 24;
    private const double SmallestShapeRatio = 1e-6;
    private const int TilesAcross = 5;
    private const int PointsAcross = 2;

    // Factors of the test runs with both heaters: each goes to either side three times, in three pairs of opposites, so
    // that no two always go together.
    private static readonly HeatFactors[] Sides =
    [
        Side("+--++-+-"),
        Side("-++--+-+"),
        Side("+++-++--"),
        Side("---+--++"),
        Side("+-++-+++"),
        Side("-+--+---"),
    ];

    private static HeatFactors Side(string signs)
    {
        double At(int place, double ratio) => signs[place] == '+' ? ratio : 1 / ratio;
        return new HeatFactors
        {
            TopFactor = At(0, 1.45),
            SpillFactor = At(1, 1.45),
            BottomFactor = At(2, 1.4),
            AmbientFactor = At(3, 1.4),
            RadiationFactor = At(4, 1.3),
            BoardConductivityFactor = At(5, 1.4),
            BoardCapacityFactor = At(6, 1.12),
            SubstrateConductivityFactor = At(7, 1.5),
        };
    }

    /// <summary>Builds the model.</summary>
    /// <param name="heat">The case; its signals are <c>gas</c>, <c>preheater</c> and <c>room</c>, held at the start's temperature.</param>
    /// <param name="mesh">Grid of the full model.</param>
    /// <param name="levels">Levels of the test runs.</param>
    /// <param name="places">Places to read.</param>
    /// <param name="stepS">Step of the reduced model [s].</param>
    /// <param name="progress">Share done.</param>
    /// <param name="cancel">Stops it.</param>
    /// <returns>The model; null where a test run failed.</returns>
    public static ReducedModel? Build(
        HeatCase heat,
        HeatMesh mesh,
        ReducedLevels levels,
        IReadOnlyList<(double XMm, double YMm, double ZMm)> places,
        double stepS,
        IProgress<double>? progress,
        CancellationToken cancel
    )
    {
        HeatGrid grid = HeatGrid.Of(heat, mesh);
        HeatCase solid = heat with { Boxes = [.. heat.Boxes.Select(box => box with { Melting = null })] };
        HeatNetwork network = HeatNetwork.Of(heat, grid, HeatFactors.Nominal);
        int tests = 2 + Sides.Length;
        List<double[]>?[] runs = new List<double[]>?[tests];
        double[] shares = new double[tests];
        Parallel.For(
            0,
            tests,
            new ParallelOptions { CancellationToken = cancel, MaxDegreeOfParallelism = 2 },
            r =>
            {
                HeatFactors factors = r < 2 ? HeatFactors.Nominal : Sides[r - 2];
                HeatCase test = Test(solid, levels, gas: r != 1, preheater: r != 0);
                runs[r] = Snapshots(
                    test,
                    HeatNetwork.Of(solid, grid, factors),
                    factors,
                    share =>
                    {
                        shares[r] = share;
                        progress?.Report(0.8 * shares.Average());
                    },
                    cancel
                );
            }
        );
        if (runs.Any(run => run is null))
        {
            return null;
        }
        List<double[]> columns = [.. runs.SelectMany(run => run!)];
        List<double[]> basis = MainBasis(columns, network.CapacityJPerK, MainShapes);
        List<Patch> tiles = Patches(network, TilesAcross);
        basis.AddRange(MeltBasis(network, tiles, basis, cancel));
        Orthonormalise(basis, network.CapacityJPerK);
        progress?.Report(0.95);
        ReducedModel.Parts parts = Project(heat, network, grid, basis, columns, tiles, places);
        progress?.Report(1);
        return new ReducedModel(parts, stepS);
    }

    private static HeatCase Test(HeatCase heat, ReducedLevels levels, bool gas, bool preheater)
    {
        HeatSignal Step(string name, double levelC, bool on) =>
            new(
                name,
                on
                    ? [new SignalPoint(0, levelC), new SignalPoint(HeatS, levelC), new SignalPoint(HeatS, heat.StartC)]
                    : [new SignalPoint(0, heat.StartC)]
            );
        return heat with
        {
            DurationS = TestS,
            Signals =
            [
                .. heat.Signals.Where(signal => signal.Name is not (HeatSignals.Gas or HeatSignals.Preheater)),
                Step(HeatSignals.Gas, levels.GasC, gas),
                Step(HeatSignals.Preheater, levels.PreheaterC, preheater),
            ],
        };
    }

    private static List<double[]>? Snapshots(
        HeatCase test,
        HeatNetwork network,
        HeatFactors factors,
        Action<double> progress,
        CancellationToken cancel
    )
    {
        List<double[]> columns = [];
        int steps = (int)Math.Round(TestS / TestStepS);
        int off = (int)Math.Round(HeatS / TestStepS);
        HashSet<int> kept = [.. Spread(0, off, ColumnsPerRun * 5 / 8), .. Spread(off, steps, ColumnsPerRun * 3 / 8)];
        double startK = Units.Kelvin(test.StartC);
        FullRun run = FullModel.Run(
            network,
            test,
            factors,
            TestStepS,
            FieldSampler.Of(network, []),
            (step, field) =>
            {
                progress((double)step / steps);
                if (!kept.Contains(step))
                {
                    return;
                }
                double[] rise = new double[field.Length];
                for (int i = 0; i < rise.Length; i++)
                {
                    rise[i] = field[i] - startK;
                }
                columns.Add(rise);
            },
            null,
            cancel
        );
        return run.Converged ? columns : null;
    }

    // Close together after a step of the heaters, where the field changes its shape, and wider later.
    private static IEnumerable<int> Spread(int from, int to, int count)
    {
        for (int i = 1; i <= count; i++)
        {
            double share = (double)i / count;
            yield return from + (int)Math.Ceiling((to - from) * Math.Pow(share, 1.8));
        }
    }

    private static List<double[]> MainBasis(List<double[]> columns, double[] capacity, int most)
    {
        int m = columns.Count;
        double[] gram = new double[m * m];
        double[][] weighted = new double[m][];
        Parallel.For(
            0,
            m,
            a =>
            {
                weighted[a] = Weigh(columns[a], capacity);
            }
        );
        Parallel.For(
            0,
            m,
            a =>
            {
                for (int b = 0; b <= a; b++)
                {
                    double product = Dense.Dot(weighted[a], columns[b]);
                    gram[a * m + b] = product;
                    gram[b * m + a] = product;
                }
            }
        );
        (double[] values, double[][] vectors) = SymmetricEigen.Decompose(gram, m);
        List<double[]> basis = [];
        for (
            int k = 0;
            k < Math.Min(most, m) && Math.Sqrt(Math.Max(0, values[k] / values[0])) > SmallestShapeRatio;
            k++
        )
        {
            double[] shape = new double[capacity.Length];
            for (int a = 0; a < m; a++)
            {
                Dense.AddScaled(shape, vectors[k][a] / Math.Sqrt(values[k]), columns[a]);
            }
            basis.Add(shape);
        }
        return basis;
    }

    /// <summary>A tile of the ball layer, or a point of it: nodes that melt together, with their latent heat.</summary>
    private sealed record Patch(Melting Law, int Tile, int[] Nodes, double[] LatentJ);

    // The ball layer in a field of patches, by where its melting nodes lie; a tile holds two by two points.
    private static List<Patch> Patches(HeatNetwork network, int across)
    {
        List<Patch> patches = [];
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
                    .Select(group => new Patch(
                        term.Law,
                        group.Key,
                        [.. group.Select(entry => entry.Node)],
                        [.. group.Select(entry => entry.Latent)]
                    ))
            );
        }
        return patches;
    }

    private static ReducedModel.Tiles TilesOf(
        List<double[]> basis,
        Melting law,
        List<Patch> tiles,
        IEnumerable<Patch> points
    )
    {
        int count = basis[0].Length;
        // Numbered anew: a narrow layer may leave places of the field empty.
        Dictionary<int, int> number = tiles.Select((tile, z) => (tile.Tile, z)).ToDictionary(e => e.Tile, e => e.z);
        List<(int Tile, Patch Patch)> placed =
        [
            .. points.Select(point => (number[TileOfPoint(point.Tile)], point)).OrderBy(entry => entry.Item1),
        ];
        double[] total = new double[tiles.Count];
        foreach ((int tile, Patch point) in placed)
        {
            total[tile] += point.LatentJ.Sum();
        }
        return new ReducedModel.Tiles(
            law,
            [.. tiles.SelectMany(tile => Onto(basis, Spread(count, tile.Nodes, tile.LatentJ)))],
            [.. placed.SelectMany(entry => Mean(basis, entry.Patch.Nodes, entry.Patch.LatentJ))],
            [.. placed.Select(entry => entry.Tile)],
            [.. placed.Select(entry => entry.Patch.LatentJ.Sum() / total[entry.Tile])]
        );
    }

    private static int TileOfPoint(int point)
    {
        int across = TilesAcross * PointsAcross;
        return point / across / PointsAcross * TilesAcross + point % across / PointsAcross;
    }

    private static List<double[]> MeltBasis(
        HeatNetwork network,
        List<Patch> tiles,
        List<double[]> basis,
        CancellationToken cancel
    )
    {
        if (tiles.Count == 0)
        {
            return [];
        }
        double[] rates = [0.01, 0.1, 1];
        List<double[]> columns =
        [
            .. Enumerable.Range(0, tiles.Count * rates.Length).Select(_ => Array.Empty<double>()),
        ];
        Parallel.For(
            0,
            rates.Length,
            new ParallelOptions { CancellationToken = cancel, MaxDegreeOfParallelism = 2 },
            r =>
            {
                double[] diagonal = new double[network.Count];
                for (int i = 0; i < diagonal.Length; i++)
                {
                    diagonal[i] = network.Conduction.Diagonal[i] + rates[r] * network.CapacityJPerK[i];
                }
                foreach (HeatNetwork.FilmTerm film in network.Films)
                {
                    for (int e = 0; e < film.Nodes.Length; e++)
                    {
                        diagonal[film.Nodes[e]] += film.WPerK[e];
                    }
                }
                ConjugateGradients solver = new(network.Conduction.WithDiagonal(diagonal));
                double[] load = new double[network.Count];
                for (int t = 0; t < tiles.Count; t++)
                {
                    cancel.ThrowIfCancellationRequested();
                    Array.Clear(load);
                    for (int e = 0; e < tiles[t].Nodes.Length; e++)
                    {
                        load[tiles[t].Nodes[e]] = tiles[t].LatentJ[e];
                    }
                    double[] response = new double[network.Count];
                    solver.Solve(load, response, 1e-4, 400);
                    columns[r * tiles.Count + t] = response;
                }
            }
        );
        // What the main shapes do not hold already, each response given the same weight.
        foreach (double[] column in columns)
        {
            double size = Size(column, network.CapacityJPerK);
            if (size > 0)
            {
                Scale(column, 1 / size);
            }
            Remove(column, basis, network.CapacityJPerK);
        }
        return MainBasis(columns, network.CapacityJPerK, MeltShapes);
    }

    private static void Orthonormalise(List<double[]> basis, double[] capacity)
    {
        for (int k = 0; k < basis.Count; k++)
        {
            for (int pass = 0; pass < 2; pass++)
            {
                Remove(basis[k], basis[..k], capacity);
            }
            double size = Size(basis[k], capacity);
            Scale(basis[k], 1 / size);
        }
    }

    private static void Remove(double[] column, List<double[]> basis, double[] capacity)
    {
        double[] weighted = Weigh(column, capacity);
        double[] shares = [.. basis.Select(shape => Dense.Dot(weighted, shape))];
        for (int k = 0; k < shares.Length; k++)
        {
            Dense.AddScaled(column, -shares[k], basis[k]);
        }
    }

    private static double Size(double[] vector, double[] capacity) =>
        Math.Sqrt(Dense.Dot(Weigh(vector, capacity), vector));

    private static double[] Weigh(double[] vector, double[] weights)
    {
        double[] weighted = new double[vector.Length];
        for (int i = 0; i < weighted.Length; i++)
        {
            weighted[i] = weights[i] * vector[i];
        }
        return weighted;
    }

    private static void Scale(double[] vector, double by)
    {
        for (int i = 0; i < vector.Length; i++)
        {
            vector[i] *= by;
        }
    }

    private static ReducedModel.Parts Project(
        HeatCase heat,
        HeatNetwork network,
        HeatGrid grid,
        List<double[]> basis,
        List<double[]> columns,
        List<Patch> tiles,
        IReadOnlyList<(double XMm, double YMm, double ZMm)> places
    )
    {
        int n = basis.Count;
        double[] conduction = Through(basis, network.Conduction);
        HeatNetwork Doubled(HeatFactors factors) => HeatNetwork.Of(heat, grid, factors);
        HeatNetwork board = Doubled(HeatFactors.Nominal with { BoardConductivityFactor = 2, BoardCapacityFactor = 2 });
        HeatNetwork substrate = Doubled(HeatFactors.Nominal with { SubstrateConductivityFactor = 2 });
        List<ReducedModel.Scaled> conductances =
        [
            new(
                factors => factors.BoardConductivityFactor - 1,
                Difference(Through(basis, board.Conduction), conduction)
            ),
            new(
                factors => factors.SubstrateConductivityFactor - 1,
                Difference(Through(basis, substrate.Conduction), conduction)
            ),
        ];
        double[] boardCapacity = [.. board.CapacityJPerK.Select((c, i) => c - network.CapacityJPerK[i])];
        List<ReducedModel.Scaled> capacities =
        [
            new(factors => factors.BoardCapacityFactor - 1, Through(basis, boardCapacity)),
        ];
        List<ReducedModel.Input> inputs = [];
        foreach (IGrouping<FilmGroup, HeatNetwork.FilmTerm> group in network.Films.GroupBy(film => film.Group))
        {
            double[] sum = new double[network.Count];
            foreach (HeatNetwork.FilmTerm film in group)
            {
                double[] vector = Spread(network.Count, film.Nodes, film.WPerK);
                Dense.AddScaled(sum, 1, vector);
                inputs.Add(new ReducedModel.Input(film.Group, film.Sink, Onto(basis, vector)));
            }
            FilmGroup key = group.Key;
            conductances.Add(new ReducedModel.Scaled(f => FullModel.FilmFactor(f, key), Through(basis, sum)));
        }
        double[] radiating = new double[network.Count];
        List<ReducedModel.RadiantInput> radiant = [];
        foreach (HeatNetwork.RadiationTerm patch in network.Radiation)
        {
            double[] vector = Spread(network.Count, patch.Nodes, patch.WPerK4);
            Dense.AddScaled(radiating, 1, vector);
            radiant.Add(new ReducedModel.RadiantInput(patch.Sink, Onto(basis, vector)));
        }
        const double Linear = 4 * MeanRadiatingK * MeanRadiatingK * MeanRadiatingK;
        double[] linear = [.. radiating.Select(c => Linear * c)];
        double startK = Units.Kelvin(heat.StartC);
        double[] linearStart = [.. Onto(basis, linear).Select(value => value * startK)];
        (double[] points, double[] weights) = Interpolate(basis, columns, radiating, startK);
        FieldSampler sampler = FieldSampler.Nearest(network, places);
        double[] outputs = new double[places.Count * n];
        for (int p = 0; p < places.Count; p++)
        {
            for (int k = 0; k < n; k++)
            {
                outputs[k * places.Count + p] = sampler.Read(basis[k], p);
            }
        }
        return new ReducedModel.Parts(
            n,
            heat.StartC,
            conduction,
            conductances,
            capacities,
            inputs,
            radiant,
            Through(basis, linear),
            linearStart,
            points,
            weights,
            [
                .. tiles
                    .GroupBy(tile => tile.Law)
                    .Select(group =>
                        TilesOf(
                            basis,
                            group.Key,
                            [.. group],
                            Patches(network, TilesAcross * PointsAcross).Where(point => point.Law == group.Key)
                        )
                    ),
            ],
            outputs,
            places.Count
        );
    }

    // Points and weights of g = c(T⁴ − 4T_m³T): Vᵀ U (PᵀU)⁻¹, with U the main shapes of g in the test runs.
    private static (double[] Points, double[] Weights) Interpolate(
        List<double[]> basis,
        List<double[]> columns,
        double[] radiating,
        double startK
    )
    {
        int[] nodes = [.. Enumerable.Range(0, radiating.Length).Where(i => radiating[i] != 0)];
        if (nodes.Length == 0)
        {
            return ([], []);
        }
        const double Linear = 4 * MeanRadiatingK * MeanRadiatingK * MeanRadiatingK;
        double[] ones = new double[nodes.Length];
        Array.Fill(ones, 1);
        List<double[]> values = [];
        double G(int node, double riseK)
        {
            double k = startK + riseK;
            return radiating[node] * (k * k * k * k - Linear * k);
        }
        values.Add([.. nodes.Select(node => G(node, 0))]);
        foreach (double[] column in columns)
        {
            values.Add([.. nodes.Select(node => G(node, column[node]))]);
        }
        List<double[]> shapes = MainBasis(values, ones, RadiantPoints);
        int m = shapes.Count;
        List<int> picked = [];
        for (int k = 0; k < m; k++)
        {
            double[] left = (double[])shapes[k].Clone();
            if (k > 0)
            {
                double[] small = new double[k * k];
                double[] load = new double[k];
                for (int a = 0; a < k; a++)
                {
                    load[a] = shapes[k][picked[a]];
                    for (int b = 0; b < k; b++)
                    {
                        small[a * k + b] = shapes[b][picked[a]];
                    }
                }
                double[] solution = new double[k];
                new DenseLu(small, k).Solve(load, solution);
                for (int b = 0; b < k; b++)
                {
                    Dense.AddScaled(left, -solution[b], shapes[b]);
                }
            }
            int largest = 0;
            for (int i = 1; i < left.Length; i++)
            {
                if (Math.Abs(left[i]) > Math.Abs(left[largest]))
                {
                    largest = i;
                }
            }
            picked.Add(largest);
        }
        double[] at = new double[m * m];
        for (int a = 0; a < m; a++)
        {
            for (int b = 0; b < m; b++)
            {
                at[a * m + b] = shapes[b][picked[a]];
            }
        }
        double[] inverse = new DenseLu(at, m).Inverse();
        int n = basis.Count;
        double[] points = new double[m * n];
        double[] weights = new double[n * m];
        double[][] projected = new double[n][];
        for (int i = 0; i < n; i++)
        {
            double[] onShapes = new double[m];
            for (int b = 0; b < m; b++)
            {
                double sum = 0;
                for (int e = 0; e < nodes.Length; e++)
                {
                    sum += basis[i][nodes[e]] * shapes[b][e];
                }
                onShapes[b] = sum;
            }
            projected[i] = onShapes;
        }
        for (int a = 0; a < m; a++)
        {
            double c = radiating[nodes[picked[a]]];
            for (int k = 0; k < n; k++)
            {
                points[k * m + a] = basis[k][nodes[picked[a]]];
                double sum = 0;
                for (int b = 0; b < m; b++)
                {
                    sum += projected[k][b] * inverse[b * m + a];
                }
                weights[a * n + k] = sum * c;
            }
        }
        return (points, weights);
    }

    private static double[] Through(List<double[]> basis, SevenPointMatrix matrix)
    {
        int n = basis.Count;
        double[] small = new double[n * n];
        Parallel.For(
            0,
            n,
            a =>
            {
                double[] product = new double[matrix.Count];
                matrix.Multiply(basis[a], product);
                for (int b = 0; b < n; b++)
                {
                    small[a * n + b] = Dense.Dot(product, basis[b]);
                }
            }
        );
        return small;
    }

    private static double[] Through(List<double[]> basis, double[] diagonal)
    {
        int n = basis.Count;
        int[] nodes = [.. Enumerable.Range(0, diagonal.Length).Where(i => diagonal[i] != 0)];
        double[] small = new double[n * n];
        Parallel.For(
            0,
            n,
            a =>
            {
                for (int b = 0; b <= a; b++)
                {
                    double sum = 0;
                    foreach (int i in nodes)
                    {
                        sum += diagonal[i] * basis[a][i] * basis[b][i];
                    }
                    small[a * n + b] = sum;
                }
            }
        );
        for (int a = 0; a < n; a++)
        {
            for (int b = a + 1; b < n; b++)
            {
                small[a * n + b] = small[b * n + a];
            }
        }
        return small;
    }

    private static double[] Onto(List<double[]> basis, double[] vector) =>
        [.. basis.Select(shape => Dense.Dot(shape, vector))];

    private static double[] Mean(List<double[]> basis, int[] nodes, double[] weights)
    {
        double total = weights.Sum();
        return [.. basis.Select(shape => nodes.Select((node, e) => weights[e] * shape[node]).Sum() / total)];
    }

    private static double[] Spread(int count, int[] nodes, double[] values)
    {
        double[] vector = new double[count];
        for (int e = 0; e < nodes.Length; e++)
        {
            vector[nodes[e]] = values[e];
        }
        return vector;
    }

    private static double[] Difference(double[] a, double[] b) => [.. a.Select((value, i) => value - b[i])];
}
