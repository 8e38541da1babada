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

    /// <summary>Adds the product of a matrix, stored column by column, with a vector.</summary>
    /// <param name="columns">Length rows·columns.</param>
    /// <param name="x">Length columns.</param>
    /// <param name="sum">Length rows; added to.</param>
    public static void AddColumns(ReadOnlySpan<double> columns, ReadOnlySpan<double> x, Span<double> sum)
    {
        int rows = sum.Length;
        int k = 0;
        // Four columns at once: the sums are read and written a quarter as often.
        for (; k + 4 <= x.Length; k += 4)
        {
            AddFour(columns.Slice(k * rows, 4 * rows), x[k], x[k + 1], x[k + 2], x[k + 3], sum);
        }
        for (; k < x.Length; k++)
        {
            AddScaled(sum, x[k], columns.Slice(k * rows, rows));
        }
    }

    private static void AddFour(ReadOnlySpan<double> four, double a, double b, double c, double d, Span<double> sum)
    {
        int rows = sum.Length;
        int width = Vector<double>.Count;
        ReadOnlySpan<double> first = four[..rows];
        ReadOnlySpan<double> second = four.Slice(rows, rows);
        ReadOnlySpan<double> third = four.Slice(2 * rows, rows);
        ReadOnlySpan<double> fourth = four.Slice(3 * rows, rows);
        Vector<double> va = new(a);
        Vector<double> vb = new(b);
        Vector<double> vc = new(c);
        Vector<double> vd = new(d);
        int i = 0;
        for (; i <= rows - width; i += width)
        {
            Vector<double> one = va * new Vector<double>(first[i..]) + vb * new Vector<double>(second[i..]);
            Vector<double> two = vc * new Vector<double>(third[i..]) + vd * new Vector<double>(fourth[i..]);
            (new Vector<double>(sum[i..]) + one + two).CopyTo(sum[i..]);
        }
        for (; i < rows; i++)
        {
            sum[i] += a * first[i] + b * second[i] + c * third[i] + d * fourth[i];
        }
    }
}
