using Graftbench.Core.Numerics;

namespace Graftbench.Core.Physics.Heat;

/// <summary>Shapes of fields over nodes: main shapes of a set, and sets that are orthonormal in the capacity's product.</summary>
internal static class Shapes
{
    private const double SmallestShapeRatio = 1e-6;

    /// <summary>The main shapes of a set of fields: eigenvectors of XᵀCX (method of snapshots), largest first.</summary>
    /// <param name="columns">Fields.</param>
    /// <param name="capacity">Weights of the nodes.</param>
    /// <param name="most">Most shapes.</param>
    public static List<double[]> MainBasis(List<double[]> columns, double[] capacity, int most)
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

    /// <summary>Makes a set orthonormal, in order.</summary>
    public static void Orthonormalise(List<double[]> basis, double[] capacity)
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

    /// <summary>Takes out of a field what a set of shapes holds of it.</summary>
    public static void Remove(double[] column, List<double[]> basis, double[] capacity)
    {
        double[] weighted = Weigh(column, capacity);
        double[] shares = [.. basis.Select(shape => Dense.Dot(weighted, shape))];
        for (int k = 0; k < shares.Length; k++)
        {
            Dense.AddScaled(column, -shares[k], basis[k]);
        }
    }

    /// <summary>Size of a field in the capacity's product.</summary>
    public static double Size(double[] vector, double[] capacity) =>
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

    /// <summary>Multiplies a field.</summary>
    public static void Scale(double[] vector, double by)
    {
        for (int i = 0; i < vector.Length; i++)
        {
            vector[i] *= by;
        }
    }
}
