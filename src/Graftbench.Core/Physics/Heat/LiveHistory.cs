using Graftbench.Core.Numerics;

namespace Graftbench.Core.Physics.Heat;

/// <summary>
/// What a <see cref="LiveFilter"/> did, step by step, so that its states can be corrected afterwards by what was read later.
/// Kept only for a review: a step takes some fifty kilobytes.
/// </summary>
/// <remarks>
/// Backward pass of Bierman for the modified Bryson-Frazier smoother: no covariance is inverted. A. E. Bryson, M. Frazier,
/// "Smoothing for linear and nonlinear dynamic systems" (1963); G. J. Bierman, "Fixed interval smoothing with discrete
/// measurements", Int. J. Control 18 (1973) 65-75. The filter's own linearisation is used both ways.
/// </remarks>
internal sealed class LiveHistory
{
    private readonly List<Entry> entries = [];
    private double[] transition = [];
    private double[][] byFactor = [];
    private List<Reading> readings = [];

    /// <summary>Steps kept.</summary>
    public int Count => entries.Count;

    /// <summary>A step without readings was made.</summary>
    public void Predicted(double[] ofShapes, double[][] ofFactors)
    {
        transition = (double[])ofShapes.Clone();
        byFactor = [.. ofFactors.Select(one => (double[])one.Clone())];
        readings = [];
    }

    /// <summary>A reading was taken.</summary>
    /// <param name="observed">How states make the reading, length all.</param>
    /// <param name="column">Covariance of states and reading before it.</param>
    /// <param name="variance">Its variance with noise [K²].</param>
    /// <param name="innovationDeltaK">What it was off by [K].</param>
    public void Updated(double[] observed, ReadOnlySpan<double> column, double variance, double innovationDeltaK)
    {
        double[] gain = column.ToArray();
        for (int i = 0; i < gain.Length; i++)
        {
            gain[i] /= variance;
        }
        readings.Add(new Reading(observed, gain, variance, innovationDeltaK));
    }

    /// <summary>A step is over.</summary>
    /// <param name="state">Rises through the shapes, after its readings.</param>
    /// <param name="covariance">Covariance of all states, row by row, of length all·all.</param>
    /// <param name="all">Number of all states.</param>
    public void Closed(ReadOnlySpan<double> state, ReadOnlySpan<double> covariance, int all) =>
        entries.Add(
            new Entry(transition, byFactor, readings, state.ToArray(), covariance[..(state.Length * all)].ToArray())
        );

    /// <summary>Goes back from the last step and gives each step's places with all that was read before and after it.</summary>
    /// <param name="rows">How shapes make a place's temperature, place by place, n each.</param>
    /// <param name="startC">Temperature of no rise [°C].</param>
    /// <param name="take">Told the step's number from 0, temperatures [°C] and standard deviations [K] of all places, last step first.</param>
    /// <param name="cancel">Stops it.</param>
    public void Back(double[] rows, double startC, Action<int, double[], double[]> take, CancellationToken cancel)
    {
        if (entries.Count == 0)
        {
            return;
        }
        int n = entries[0].State.Length;
        int all = entries[0].Covariance.Length / n;
        int places = rows.Length / n;
        double[] pull = new double[all];
        double[] known = new double[all * all];
        double[] work = new double[all * all];
        double[] vector = new double[all];
        double[] withAll = new double[all];
        for (int k = entries.Count - 1; k >= 0; k--)
        {
            cancel.ThrowIfCancellationRequested();
            Entry entry = entries[k];
            double[] temperaturesC = new double[places];
            double[] spreads = new double[places];
            for (int p = 0; p < places; p++)
            {
                ReadOnlySpan<double> row = rows.AsSpan(p * n, n);
                Array.Clear(withAll);
                for (int i = 0; i < n; i++)
                {
                    Dense.AddScaled(withAll, row[i], entry.Covariance.AsSpan(i * all, all));
                }
                Dense.Multiply(known, withAll, vector);
                double own = Dense.Dot(row, withAll.AsSpan(0, n));
                temperaturesC[p] = startC + Dense.Dot(row, entry.State) - Dense.Dot(withAll, pull);
                // Rounding may take a little too much away; what is left is never more than the filter's own.
                spreads[p] = Math.Sqrt(Math.Clamp(own - Dense.Dot(withAll, vector), 0, Math.Max(0, own)));
            }
            take(k, temperaturesC, spreads);
            for (int r = entry.Readings.Count - 1; r >= 0; r--)
            {
                Undo(entry.Readings[r], pull, known, vector);
            }
            StepBack(entry, n, all, pull, known, work);
        }
    }

    // Before a reading: Λ = (I-KH)'Λ(I-KH) + H'H/S and λ = (I-KH)'λ - H'v/S.
    private static void Undo(Reading reading, double[] pull, double[] known, double[] vector)
    {
        int all = pull.Length;
        double[] h = reading.Observed;
        Dense.Multiply(known, reading.Gain, vector);
        double twice = Dense.Dot(reading.Gain, vector);
        double along = Dense.Dot(reading.Gain, pull);
        for (int i = 0; i < all; i++)
        {
            Span<double> row = known.AsSpan(i * all, all);
            Dense.AddScaled(row, -h[i], vector);
            Dense.AddScaled(row, -vector[i] + h[i] * (twice + 1 / reading.Variance), h);
        }
        Dense.AddScaled(pull, -(along + reading.InnovationDeltaK / reading.Variance), h);
    }

    // Through the step: λ = F'λ and Λ = F'ΛF, with F = [shapes, factors; 0, 1].
    private static void StepBack(Entry entry, int n, int all, double[] pull, double[] known, double[] work)
    {
        Through(pull, 0);
        for (int i = 0; i < all; i++)
        {
            Through(known, i * all);
        }
        for (int i = 0; i < all; i++)
        {
            for (int j = 0; j < all; j++)
            {
                work[j * all + i] = known[i * all + j];
            }
        }
        for (int i = 0; i < all; i++)
        {
            Through(work, i * all);
        }
        for (int i = 0; i < all; i++)
        {
            for (int j = 0; j <= i; j++)
            {
                double mean = 0.5 * (work[i * all + j] + work[j * all + i]);
                known[i * all + j] = mean;
                known[j * all + i] = mean;
            }
        }

        // A row times F.
        void Through(double[] values, int at)
        {
            Span<double> row = values.AsSpan(at, all);
            Span<double> shapes = stackalloc double[n];
            for (int f = 0; f < entry.ByFactor.Length; f++)
            {
                row[n + f] += Dense.Dot(row[..n], entry.ByFactor[f]);
            }
            shapes.Clear();
            for (int i = 0; i < n; i++)
            {
                Dense.AddScaled(shapes, row[i], entry.Transition.AsSpan(i * n, n));
            }
            shapes.CopyTo(row);
        }
    }

    private sealed record Reading(double[] Observed, double[] Gain, double Variance, double InnovationDeltaK);

    private sealed record Entry(
        double[] Transition,
        double[][] ByFactor,
        IReadOnlyList<Reading> Readings,
        double[] State,
        double[] Covariance
    );
}
