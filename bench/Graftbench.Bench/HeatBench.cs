using System.Runtime.CompilerServices;
using BenchmarkDotNet.Attributes;
using Graftbench.Core.Heating;
using Graftbench.Core.Numerics;
using Graftbench.Core.Physics.Heat;

namespace Graftbench.Bench;

/// <summary>The kernel that a heat run spends its time in: one step's solve on the grid of a board with neighbours.</summary>
[MemoryDiagnoser]
public class HeatBench
{
    private ConjugateGradients solver = null!;
    private SevenPointMatrix matrix = null!;
    private double[] right = [];
    private double[] field = [];
    private double[] product = [];

    /// <summary>Lays the case out and makes a right-hand side 5 K away from the start vector.</summary>
    [GlobalSetup]
    public void Lay()
    {
        HeatCase heat = HeatCaseReader
            .Read(File.ReadAllBytes(Path.Combine(Folder(), "../../tests/corpus/heat/package-among-neighbours.json")))
            .Case!;
        HeatNetwork network = HeatNetwork.Of(heat, HeatMesh.Usual, HeatFactors.Nominal);
        double[] diagonal =
        [
            .. network.Conduction.Diagonal.Select((value, i) => value + 1.5 * network.CapacityJPerK[i]),
        ];
        matrix = network.Conduction.WithDiagonal(diagonal);
        solver = new ConjugateGradients(matrix);
        field = new double[network.Count];
        product = new double[network.Count];
        right = [.. network.CapacityJPerK.Select((c, i) => 1.5 * c * 5 * Math.Sin(i))];
    }

    /// <summary>Product of the matrix and a vector.</summary>
    [Benchmark]
    public void Product() => matrix.Multiply(right, product);

    /// <summary>The preconditioner made anew, as in every round of a melting step.</summary>
    [Benchmark]
    public void Factorise() => solver.Factorise();

    /// <summary>A whole solve to the run's tolerance.</summary>
    [Benchmark]
    public SolveReport Solve()
    {
        Array.Clear(field);
        return solver.Solve(right, field, 1e-4, 400);
    }

    private static string Folder([CallerFilePath] string file = "") => Path.GetDirectoryName(file)!;
}
