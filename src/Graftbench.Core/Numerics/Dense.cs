using System.Numerics;

namespace Graftbench.Core.Numerics;

/// <summary>Sums over plain arrays.</summary>
public static class Dense
{
    /// <summary>Scalar product.</summary>
    public static double Dot(ReadOnlySpan<double> a, ReadOnlySpan<double> b)
    {
        int width = Vector<double>.Count;
        Vector<double> sum = Vector<double>.Zero;
        Vector<double> second = Vector<double>.Zero;
        int i = 0;
        for (; i <= a.Length - 2 * width; i += 2 * width)
        {
            sum += new Vector<double>(a[i..]) * new Vector<double>(b[i..]);
            second += new Vector<double>(a[(i + width)..]) * new Vector<double>(b[(i + width)..]);
        }
        double total = Vector.Sum(sum + second);
        for (; i < a.Length; i++)
        {
            total += a[i] * b[i];
        }
        return total;
    }

    /// <summary>Adds a multiple of one vector to another.</summary>
    public static void AddScaled(Span<double> target, double scale, ReadOnlySpan<double> added)
    {
        int width = Vector<double>.Count;
        Vector<double> factor = new(scale);
        int i = 0;
        for (; i <= added.Length - width; i += width)
        {
            (new Vector<double>(target[i..]) + factor * new Vector<double>(added[i..])).CopyTo(target[i..]);
        }
        for (; i < added.Length; i++)
        {
            target[i] += scale * added[i];
        }
    }

    /// <summary>Product of a matrix, stored row by row, with a vector.</summary>
    /// <param name="matrix">Length rows·columns.</param>
    /// <param name="x">Length columns.</param>
    /// <param name="product">Length rows; written in full.</param>
    public static void Multiply(ReadOnlySpan<double> matrix, ReadOnlySpan<double> x, Span<double> product)
    {
        for (int i = 0; i < product.Length; i++)
        {
            product[i] = Dot(matrix.Slice(i * x.Length, x.Length), x);
        }
    }
}
