using Graftbench.Core.Numerics;
using Graftbench.Core.Physics.Heat;

namespace Graftbench.Core.Tests.Reviewing;

/// <summary>The backward pass against the answer that all readings at once give: one large least-squares problem.</summary>
public sealed class SmootherTests
{
    private const int Shapes = 2;
    private const int All = 4;
    private const int Steps = 25;
    private const double Noise = 0.5;

    // Two shapes, one factor that drives them, one offset of the probe. Everything is made by arithmetic.
    private static readonly double[] Transition = [0.9, 0.08, 0.05, 0.85];
    private static readonly double[] ByFactor = [0.3, 0.1];
    private static readonly double[] Observed = [1, 0.4, 0, 1];
    private static readonly double[] Flux = [0.2, 0.05, 0, 0];

    [Fact]
    public void It_gives_what_all_readings_at_once_give()
    {
        double[] readings = [.. Enumerable.Range(0, Steps).Select(k => 3 * Math.Sin(0.4 * k) + 0.3 * (k % 3))];
        (double[] means, double[] spreads) = AtOnce(readings);
        LiveHistory history = new();
        double[] x = new double[All];
        double[] p = new double[All * All];
        double[] start = [0, 0, 0.5, 1.2];
        for (int i = 0; i < All; i++)
        {
            p[i * All + i] = start[i] * start[i];
        }
        for (int k = 0; k < Steps; k++)
        {
            x = Through(x);
            p = Spread(p);
            history.Predicted(Transition, [ByFactor]);
            double[] column = new double[All];
            Dense.Multiply(p, Observed, column);
            double variance = Dense.Dot(Observed, column) + Noise * Noise;
            double innovation = readings[k] - Dense.Dot(Observed, x);
            history.Updated(Observed, column, variance, innovation);
            for (int i = 0; i < All; i++)
            {
                x[i] += column[i] / variance * innovation;
            }
            for (int i = 0; i < All; i++)
            {
                Dense.AddScaled(p.AsSpan(i * All, All), -column[i] / variance, column);
            }
            history.Closed(x.AsSpan(0, Shapes), p, All);
        }
        int seen = 0;
        history.Back(
            [1, 0, 0, 1],
            20,
            (k, temperaturesC, spread) =>
            {
                seen++;
                for (int i = 0; i < Shapes; i++)
                {
                    Assert.Equal(20 + means[k * Shapes + i], temperaturesC[i], 8);
                    Assert.Equal(spreads[k * Shapes + i], spread[i], 8);
                }
            },
            CancellationToken.None
        );
        Assert.Equal(Steps, seen);
    }

    private static double[] Through(double[] x) =>
        [
            Transition[0] * x[0] + Transition[1] * x[1] + ByFactor[0] * x[2],
            Transition[2] * x[0] + Transition[3] * x[1] + ByFactor[1] * x[2],
            x[2],
            x[3],
        ];

    private static double[] Spread(double[] p)
    {
        double[] f = new double[All * All];
        for (int i = 0; i < All; i++)
        {
            double[] unit = new double[All];
            unit[i] = 1;
            double[] column = Through(unit);
            for (int r = 0; r < All; r++)
            {
                f[r * All + i] = column[r];
            }
        }
        double[] next = new double[All * All];
        for (int i = 0; i < All; i++)
        {
            for (int j = 0; j < All; j++)
            {
                double sum = Flux[i] * Flux[j];
                for (int a = 0; a < All; a++)
                {
                    for (int b = 0; b < All; b++)
                    {
                        sum += f[i * All + a] * p[a * All + b] * f[j * All + b];
                    }
                }
                next[i * All + j] = sum;
            }
        }
        return next;
    }

    // Unknowns: factor, offset and one flux for each step, all of unit variance: states and readings are sums of them, so that
    // the mean given all readings and its covariance are those of linear Gaussian conditioning, solved densely.
    private static (double[] Means, double[] Spreads) AtOnce(double[] readings)
    {
        int unknowns = 2 + Steps;
        double[][] states = new double[Steps * Shapes][];
        double[][] rows = new double[Steps][];
        double[][] x = [.. Enumerable.Range(0, All).Select(_ => new double[unknowns])];
        x[2][0] = 0.5;
        x[3][1] = 1.2;
        for (int k = 0; k < Steps; k++)
        {
            double[][] next = [.. Enumerable.Range(0, All).Select(_ => new double[unknowns])];
            for (int u = 0; u < unknowns; u++)
            {
                double[] moved = Through([x[0][u], x[1][u], x[2][u], x[3][u]]);
                for (int i = 0; i < All; i++)
                {
                    next[i][u] = moved[i] + (u == 2 + k ? Flux[i] : 0);
                }
            }
            x = next;
            rows[k] =
            [
                .. Enumerable.Range(0, unknowns).Select(u => Enumerable.Range(0, All).Sum(i => Observed[i] * x[i][u])),
            ];
            for (int i = 0; i < Shapes; i++)
            {
                states[k * Shapes + i] = [.. x[i]];
            }
        }
        double[,] s = new double[Steps, Steps];
        for (int a = 0; a < Steps; a++)
        {
            for (int b = 0; b < Steps; b++)
            {
                s[a, b] = Dense.Dot(rows[a], rows[b]) + (a == b ? Noise * Noise : 0);
            }
        }
        double[] means = new double[states.Length];
        double[] spreads = new double[states.Length];
        for (int n = 0; n < states.Length; n++)
        {
            double[] cross = [.. rows.Select(row => Dense.Dot(row, states[n]))];
            double[] weights = Solved(s, cross);
            means[n] = Dense.Dot(weights, readings);
            spreads[n] = Math.Sqrt(Dense.Dot(states[n], states[n]) - Dense.Dot(weights, cross));
        }
        return (means, spreads);
    }

    private static double[] Solved(double[,] matrix, double[] right)
    {
        int n = right.Length;
        double[,] a = (double[,])matrix.Clone();
        double[] b = [.. right];
        for (int k = 0; k < n; k++)
        {
            for (int i = k + 1; i < n; i++)
            {
                double factor = a[i, k] / a[k, k];
                for (int j = k; j < n; j++)
                {
                    a[i, j] -= factor * a[k, j];
                }
                b[i] -= factor * b[k];
            }
        }
        for (int k = n - 1; k >= 0; k--)
        {
            for (int j = k + 1; j < n; j++)
            {
                b[k] -= a[k, j] * b[j];
            }
            b[k] /= a[k, k];
        }
        return b;
    }
}
