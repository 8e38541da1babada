using Graftbench.Core.Numerics;

namespace Graftbench.Core.Physics.Heat;

/// <summary>Interpolates radiation from a few nodes (discrete empirical interpolation, see <see cref="ReducedModel"/>).</summary>
internal static class RadiantPoints
{
    private const double MeanRadiatingK = 400;
    private const int MostPoints = 24;

    /// <summary>Points and weights of g = c(T⁴ − 4T_m³T): Vᵀ U (PᵀU)⁻¹, with U the main shapes of g in the test runs.</summary>
    /// <param name="basis">Shapes of the temperature field.</param>
    /// <param name="columns">Rises in the test runs [K].</param>
    /// <param name="radiating">εσA of each node [W/K⁴].</param>
    /// <param name="startK">Start of the runs [K].</param>
    /// <returns>Shapes at the points, one state after the other; weights, one point after the other.</returns>
    public static (double[] Points, double[] Weights) Interpolate(
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
        List<double[]> shapes = Shapes.MainBasis(values, ones, MostPoints);
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
}
