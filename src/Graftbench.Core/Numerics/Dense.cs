using System.Numerics;
using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;

namespace Graftbench.Core.Numerics;

/// <summary>Sums over plain arrays.</summary>
public static class Dense
{
    /// <summary>Scalar product.</summary>
    /// <param name="a">First vector.</param>
    /// <param name="b">Second vector, of the same length.</param>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public static double Dot(ReadOnlySpan<double> a, ReadOnlySpan<double> b)
    {
        SameLength(a.Length, b.Length);
        ref double pa = ref MemoryMarshal.GetReference(a);
        ref double pb = ref MemoryMarshal.GetReference(b);
        int width = Vector<double>.Count;
        Vector<double> sum = Vector<double>.Zero;
        Vector<double> second = Vector<double>.Zero;
        int i = 0;
        for (; i <= a.Length - 2 * width; i += 2 * width)
        {
            sum += Vector.LoadUnsafe(ref pa, (nuint)i) * Vector.LoadUnsafe(ref pb, (nuint)i);
            second += Vector.LoadUnsafe(ref pa, (nuint)(i + width)) * Vector.LoadUnsafe(ref pb, (nuint)(i + width));
        }
        double total = Vector.Sum(sum + second);
        for (; i < a.Length; i++)
        {
            total += a[i] * b[i];
        }
        return total;
    }

    /// <summary>Adds a multiple of one vector to another.</summary>
    /// <param name="target">Added to.</param>
    /// <param name="scale">Multiple.</param>
    /// <param name="added">Vector of the same length.</param>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public static void AddScaled(Span<double> target, double scale, ReadOnlySpan<double> added)
    {
        SameLength(target.Length, added.Length);
        ref double pt = ref MemoryMarshal.GetReference(target);
        ref double pa = ref MemoryMarshal.GetReference(added);
        int width = Vector<double>.Count;
        Vector<double> factor = new(scale);
        int i = 0;
        for (; i <= added.Length - width; i += width)
        {
            (Vector.LoadUnsafe(ref pt, (nuint)i) + factor * Vector.LoadUnsafe(ref pa, (nuint)i)).StoreUnsafe(
                ref pt,
                (nuint)i
            );
        }
        for (; i < added.Length; i++)
        {
            target[i] += scale * added[i];
        }
    }

    /// <summary>Multiplies a vector by a number and adds another one.</summary>
    /// <param name="target">Multiplied and added to.</param>
    /// <param name="scale">Number.</param>
    /// <param name="added">Vector of the same length.</param>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public static void ScaleAndAdd(Span<double> target, double scale, ReadOnlySpan<double> added)
    {
        SameLength(target.Length, added.Length);
        ref double pt = ref MemoryMarshal.GetReference(target);
        ref double pa = ref MemoryMarshal.GetReference(added);
        int width = Vector<double>.Count;
        Vector<double> factor = new(scale);
        int i = 0;
        for (; i <= added.Length - width; i += width)
        {
            (factor * Vector.LoadUnsafe(ref pt, (nuint)i) + Vector.LoadUnsafe(ref pa, (nuint)i)).StoreUnsafe(
                ref pt,
                (nuint)i
            );
        }
        for (; i < added.Length; i++)
        {
            target[i] = scale * target[i] + added[i];
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
        SameLength(columns.Length, rows * x.Length);
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

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static void AddFour(ReadOnlySpan<double> four, double a, double b, double c, double d, Span<double> sum)
    {
        int rows = sum.Length;
        ref double ps = ref MemoryMarshal.GetReference(sum);
        ref double pf = ref MemoryMarshal.GetReference(four);
        int width = Vector<double>.Count;
        Vector<double> va = new(a);
        Vector<double> vb = new(b);
        Vector<double> vc = new(c);
        Vector<double> vd = new(d);
        int i = 0;
        for (; i <= rows - width; i += width)
        {
            Vector<double> one =
                va * Vector.LoadUnsafe(ref pf, (nuint)i) + vb * Vector.LoadUnsafe(ref pf, (nuint)(i + rows));
            Vector<double> two =
                vc * Vector.LoadUnsafe(ref pf, (nuint)(i + 2 * rows))
                + vd * Vector.LoadUnsafe(ref pf, (nuint)(i + 3 * rows));
            (Vector.LoadUnsafe(ref ps, (nuint)i) + (one + two)).StoreUnsafe(ref ps, (nuint)i);
        }
        for (; i < rows; i++)
        {
            sum[i] += a * four[i] + b * four[i + rows] + (c * four[i + 2 * rows] + d * four[i + 3 * rows]);
        }
    }

    // Vectors are read without further checks, so their lengths are checked once.
    private static void SameLength(int a, int b)
    {
        if (a != b)
        {
            throw new ArgumentException($"Lengths {a} and {b} do not fit together.", nameof(b));
        }
    }
}
