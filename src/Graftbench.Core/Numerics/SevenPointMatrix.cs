using System.Numerics;
using System.Runtime.CompilerServices;

namespace Graftbench.Core.Numerics;

/// <summary>
/// A symmetric positive definite matrix whose unknowns sit on a tensor grid with holes: a diagonal, and couplings to the
/// next unknown in +x, +y and +z. Unknowns are numbered x fastest, then y, then z, holes left out.
/// </summary>
/// <remarks>
/// Unknowns are kept in runs along x within which the neighbours in ±y and ±z sit at one fixed distance in the numbering;
/// products and the two sweeps of the preconditioner then run over plain arrays.
/// </remarks>
public sealed class SevenPointMatrix
{
    // A run of unknowns along x; an offset of 0 says that there is no neighbour on that side.
    internal readonly record struct Run(int Start, int End, int UpY, int UpZ, int DownY, int DownZ);

    private readonly Run[] runs;

    /// <summary>Builds the structure; couplings and diagonal start at 0.</summary>
    /// <param name="nextY">For each unknown the number of its +y neighbour, or −1.</param>
    /// <param name="nextZ">For each unknown the number of its +z neighbour, or −1.</param>
    /// <param name="rowStarts">True where an unknown does not follow its predecessor in +x.</param>
    public SevenPointMatrix(ReadOnlySpan<int> nextY, ReadOnlySpan<int> nextZ, ReadOnlySpan<bool> rowStarts)
    {
        Count = nextY.Length;
        Diagonal = new double[Count];
        CouplingX = new double[Count];
        CouplingY = new double[Count];
        CouplingZ = new double[Count];
        int[] downY = new int[Count];
        int[] downZ = new int[Count];
        for (int i = 0; i < Count; i++)
        {
            if (nextY[i] >= 0)
            {
                downY[nextY[i]] = i - nextY[i];
            }
            if (nextZ[i] >= 0)
            {
                downZ[nextZ[i]] = i - nextZ[i];
            }
        }
        List<Run> found = [];
        int start = 0;
        for (int i = 1; i <= Count; i++)
        {
            if (
                i == Count
                || rowStarts[i]
                || Step(nextY, i) != Step(nextY, start)
                || Step(nextZ, i) != Step(nextZ, start)
                || downY[i] != downY[start]
                || downZ[i] != downZ[start]
            )
            {
                found.Add(new Run(start, i, Step(nextY, start), Step(nextZ, start), downY[start], downZ[start]));
                start = i;
            }
        }
        runs = [.. found];
    }

    /// <summary>Number of unknowns.</summary>
    public int Count { get; }

    /// <summary>Diagonal.</summary>
    public double[] Diagonal { get; }

    /// <summary>Size of the coupling to the next unknown in +x, 0 where there is none; the matrix holds its negative.</summary>
    public double[] CouplingX { get; }

    /// <summary>The same in +y.</summary>
    public double[] CouplingY { get; }

    /// <summary>The same in +z.</summary>
    public double[] CouplingZ { get; }

    internal ReadOnlySpan<Run> Runs => runs;

    /// <summary>A matrix of the same structure and couplings with a diagonal of its own.</summary>
    public SevenPointMatrix WithDiagonal(ReadOnlySpan<double> diagonal)
    {
        SevenPointMatrix copy = new(this);
        diagonal.CopyTo(copy.Diagonal);
        return copy;
    }

    private SevenPointMatrix(SevenPointMatrix other)
    {
        Count = other.Count;
        Diagonal = new double[Count];
        CouplingX = other.CouplingX;
        CouplingY = other.CouplingY;
        CouplingZ = other.CouplingZ;
        runs = other.runs;
    }

    /// <summary>Product with a vector.</summary>
    /// <param name="x">Vector, one value an unknown.</param>
    /// <param name="product">Written in full; may not overlap <paramref name="x"/>.</param>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public void Multiply(ReadOnlySpan<double> x, Span<double> product)
    {
        int width = Vector<double>.Count;
        foreach (ref readonly Run run in runs.AsSpan())
        {
            int i = run.Start;
            // The first unknown of a run may have a neighbour at −x that belongs to the run before it.
            for (; i <= run.End - width; i += width)
            {
                Vector<double> sum = new Vector<double>(Diagonal, i) * new Vector<double>(x[i..]);
                if (i + width < Count)
                {
                    sum -= new Vector<double>(CouplingX, i) * new Vector<double>(x[(i + 1)..]);
                }
                else
                {
                    sum -= Tail(CouplingX, x, i);
                }
                if (i > 0)
                {
                    sum -= new Vector<double>(CouplingX, i - 1) * new Vector<double>(x[(i - 1)..]);
                }
                else
                {
                    sum -= Head(x);
                }
                if (run.UpY != 0)
                {
                    sum -= new Vector<double>(CouplingY, i) * new Vector<double>(x[(i + run.UpY)..]);
                }
                if (run.DownY != 0)
                {
                    int down = i + run.DownY;
                    sum -= new Vector<double>(CouplingY, down) * new Vector<double>(x[down..]);
                }
                if (run.UpZ != 0)
                {
                    sum -= new Vector<double>(CouplingZ, i) * new Vector<double>(x[(i + run.UpZ)..]);
                }
                if (run.DownZ != 0)
                {
                    int down = i + run.DownZ;
                    sum -= new Vector<double>(CouplingZ, down) * new Vector<double>(x[down..]);
                }
                sum.CopyTo(product[i..]);
            }
            for (; i < run.End; i++)
            {
                double sum = Diagonal[i] * x[i];
                if (i + 1 < Count)
                {
                    sum -= CouplingX[i] * x[i + 1];
                }
                if (i > 0)
                {
                    sum -= CouplingX[i - 1] * x[i - 1];
                }
                if (run.UpY != 0)
                {
                    sum -= CouplingY[i] * x[i + run.UpY];
                }
                if (run.DownY != 0)
                {
                    sum -= CouplingY[i + run.DownY] * x[i + run.DownY];
                }
                if (run.UpZ != 0)
                {
                    sum -= CouplingZ[i] * x[i + run.UpZ];
                }
                if (run.DownZ != 0)
                {
                    sum -= CouplingZ[i + run.DownZ] * x[i + run.DownZ];
                }
                product[i] = sum;
            }
        }
    }

    private static int Step(ReadOnlySpan<int> next, int at) => next[at] < 0 ? 0 : next[at] - at;

    // CouplingX is 0 at the last unknown of a row, so reading over the end only needs care at the ends of the arrays.
    private Vector<double> Tail(double[] coupling, ReadOnlySpan<double> x, int at)
    {
        Span<double> values = stackalloc double[Vector<double>.Count];
        for (int k = 0; k < values.Length && at + k + 1 < Count; k++)
        {
            values[k] = coupling[at + k] * x[at + k + 1];
        }
        return new Vector<double>(values);
    }

    private Vector<double> Head(ReadOnlySpan<double> x)
    {
        Span<double> values = stackalloc double[Vector<double>.Count];
        for (int k = 1; k < values.Length; k++)
        {
            values[k] = CouplingX[k - 1] * x[k - 1];
        }
        return new Vector<double>(values);
    }
}
