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
    /// <param name="doneFraction">Share done.</param>
    /// <param name="cancel">Stops it.</param>
    /// <returns>The model; null where a test run failed.</returns>
    public static ReducedModel? Build(
        HeatCase heat,
        HeatMesh mesh,
        ReducedLevels levels,
        IReadOnlyList<(double XMm, double YMm, double ZMm)> places,
        double stepS,
        IProgress<double>? doneFraction,
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
                        doneFraction?.Report(0.8 * shares.Average());
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
        List<double[]> basis = Shapes.MainBasis(columns, network.CapacityJPerK, MainShapes);
        List<BallPatch> tiles = BallPatches.Tiles(network);
        basis.AddRange(MeltBasis(network, tiles, basis, cancel));
        Shapes.Orthonormalise(basis, network.CapacityJPerK);
        doneFraction?.Report(0.95);
        ReducedModel.Parts parts = Project(heat, network, grid, basis, columns, tiles, places);
        doneFraction?.Report(1);
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

    private static ReducedModel.Tiles TilesOf(
        List<double[]> basis,
        Melting law,
        List<BallPatch> tiles,
        IEnumerable<BallPatch> points
    )
    {
        int count = basis[0].Length;
        // Numbered anew: a narrow layer may leave places of the field empty.
        Dictionary<int, int> number = tiles.Select((tile, z) => (tile.Tile, z)).ToDictionary(e => e.Tile, e => e.z);
        List<(int Tile, BallPatch Patch)> placed =
        [
            .. points.Select(point => (number[BallPatches.TileOf(point.Tile)], point)).OrderBy(entry => entry.Item1),
        ];
        double[] total = new double[tiles.Count];
        foreach ((int tile, BallPatch point) in placed)
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

    private static List<double[]> MeltBasis(
        HeatNetwork network,
        List<BallPatch> tiles,
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
            double size = Shapes.Size(column, network.CapacityJPerK);
            if (size > 0)
            {
                Shapes.Scale(column, 1 / size);
            }
            Shapes.Remove(column, basis, network.CapacityJPerK);
        }
        return Shapes.MainBasis(columns, network.CapacityJPerK, MeltShapes);
    }

    private static ReducedModel.Parts Project(
        HeatCase heat,
        HeatNetwork network,
        HeatGrid grid,
        List<double[]> basis,
        List<double[]> columns,
        List<BallPatch> tiles,
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
        (double[] points, double[] weights) = RadiantPoints.Interpolate(basis, columns, radiating, startK);
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
                            BallPatches.Points(network).Where(point => point.Law == group.Key)
                        )
                    ),
            ],
            outputs,
            places.Count
        );
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
