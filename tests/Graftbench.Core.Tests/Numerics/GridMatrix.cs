using Graftbench.Core.Numerics;

namespace Graftbench.Core.Tests.Numerics;

/// <summary>A grid matrix with holes, and the same matrix written out in full.</summary>
internal sealed class GridMatrix
{
    private GridMatrix(SevenPointMatrix sparse, double[] dense)
    {
        Sparse = sparse;
        Full = dense;
    }

    public SevenPointMatrix Sparse { get; }

    /// <summary>Row by row.</summary>
    public double[] Full { get; }

    public int Count => Sparse.Count;

    /// <summary>Points of a box of which some are left out; every coupling is random, every row adds up to a loss above 0.</summary>
    /// <param name="keptFraction">Share of points that are unknowns.</param>
    /// <param name="lossNumber">What the diagonal has beyond the couplings; 0 makes the matrix singular.</param>
    public static GridMatrix Random(int nx, int ny, int nz, double keptFraction, double lossNumber, int seed)
    {
        Random random = new(seed);
        int[] number = new int[nx * ny * nz];
        int count = 0;
        for (int at = 0; at < number.Length; at++)
        {
            number[at] = random.NextDouble() < keptFraction ? count++ : -1;
        }
        if (count == 0)
        {
            number[0] = count++;
        }
        int[] nextX = new int[count];
        int[] nextY = new int[count];
        int[] nextZ = new int[count];
        bool[] starts = new bool[count];
        for (int at = 0; at < number.Length; at++)
        {
            int node = number[at];
            if (node < 0)
            {
                continue;
            }
            int i = at % nx;
            int j = at / nx % ny;
            int k = at / nx / ny;
            nextX[node] = i + 1 < nx ? number[at + 1] : -1;
            nextY[node] = j + 1 < ny ? number[at + nx] : -1;
            nextZ[node] = k + 1 < nz ? number[at + nx * ny] : -1;
            starts[node] = i == 0 || number[at - 1] < 0;
        }
        SevenPointMatrix sparse = new(nextY, nextZ, starts);
        double[] dense = new double[count * count];
        void Couple(double[] couplings, int node, int next)
        {
            if (next < 0)
            {
                return;
            }
            double coupling = Math.Pow(10, 4 * random.NextDouble() - 2);
            couplings[node] = coupling;
            dense[node * count + next] = -coupling;
            dense[next * count + node] = -coupling;
            sparse.Diagonal[node] += coupling;
            sparse.Diagonal[next] += coupling;
        }
        for (int node = 0; node < count; node++)
        {
            Couple(sparse.CouplingX, node, nextX[node]);
            Couple(sparse.CouplingY, node, nextY[node]);
            Couple(sparse.CouplingZ, node, nextZ[node]);
            sparse.Diagonal[node] += lossNumber * (0.5 + random.NextDouble());
        }
        for (int node = 0; node < count; node++)
        {
            dense[node * count + node] = sparse.Diagonal[node];
        }
        return new GridMatrix(sparse, dense);
    }

    public static double[] RandomVector(int count, int seed)
    {
        Random random = new(seed);
        return [.. Enumerable.Range(0, count).Select(_ => 2 * random.NextDouble() - 1)];
    }

    public double[] Times(double[] x) =>
        [.. Enumerable.Range(0, Count).Select(i => Enumerable.Range(0, Count).Sum(j => Full[i * Count + j] * x[j]))];
}
