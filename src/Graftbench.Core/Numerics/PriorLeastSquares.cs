namespace Graftbench.Core.Numerics;

/// <summary>Outcome of <see cref="PriorLeastSquares"/>.</summary>
/// <param name="Numbers">Most likely numbers.</param>
/// <param name="Covariance">Their covariance, row by row: the inverse of the information of data and prior.</param>
/// <param name="Predicted">What the model gives at them, one for each measured value.</param>
/// <param name="Iterations">Steps taken.</param>
/// <param name="Converged">Whether the last step was small; without that nothing of it is to be used.</param>
public sealed record PriorFit(
    double[] Numbers,
    double[] Covariance,
    double[] Predicted,
    int Iterations,
    bool Converged
);

/// <summary>Least squares with a normal prior on every number, by the method of Levenberg and Marquardt.</summary>
/// <remarks>
/// Minimises Σ((y − m(θ))/σ)² + Σ((θ − θ₀)/s)². The covariance is (JᵀΣ⁻¹J + S⁻¹)⁻¹ at the minimum, exact for a linear
/// model [1]. [1] A. Tarantola, "Inverse Problem Theory", 2005, chapter 3 (from memory).
/// </remarks>
public static class PriorLeastSquares
{
    private const double SmallStepRatio = 1e-3;

    /// <summary>Fits.</summary>
    /// <param name="predict">The model; null where it cannot be solved at these numbers.</param>
    /// <param name="slopes">Derivatives by number, then value, from the numbers and the values there.</param>
    /// <param name="measured">Measured values.</param>
    /// <param name="sd">Standard deviation of each, above 0.</param>
    /// <param name="prior">Most likely numbers before measuring.</param>
    /// <param name="priorSd">Their standard deviations, above 0.</param>
    /// <param name="mostIterations">Steps to take at most.</param>
    /// <param name="cancel">Stops between steps.</param>
    public static PriorFit Fit(
        Func<double[], double[]?> predict,
        Func<double[], double[], double[][]> slopes,
        double[] measured,
        double[] sd,
        double[] prior,
        double[] priorSd,
        int mostIterations = 40,
        CancellationToken cancel = default
    )
    {
        ArgumentNullException.ThrowIfNull(predict);
        ArgumentNullException.ThrowIfNull(slopes);
        ArgumentNullException.ThrowIfNull(measured);
        ArgumentNullException.ThrowIfNull(sd);
        ArgumentNullException.ThrowIfNull(prior);
        ArgumentNullException.ThrowIfNull(priorSd);
        int n = prior.Length;
        double[] at = [.. prior];
        if (predict(at) is not { } values)
        {
            return new PriorFit(at, new double[n * n], [], 0, false);
        }
        double Cost(double[] numbers, double[] there) =>
            Squares(measured, there, sd) + Squares(numbers, prior, priorSd);
        double cost = Cost(at, values);
        double damping = 1e-3;
        bool converged = false;
        int iteration = 0;
        double[][] slope = slopes(at, values);
        while (iteration < mostIterations && !converged)
        {
            cancel.ThrowIfCancellationRequested();
            iteration++;
            double[] information = Information(slope, sd, priorSd);
            double[] downhill = new double[n];
            for (int i = 0; i < n; i++)
            {
                double sum = (prior[i] - at[i]) / (priorSd[i] * priorSd[i]);
                for (int k = 0; k < measured.Length; k++)
                {
                    sum += slope[i][k] * (measured[k] - values[k]) / (sd[k] * sd[k]);
                }
                downhill[i] = sum;
            }
            bool better = false;
            while (!better && damping < 1e9)
            {
                double[] damped = [.. information];
                for (int i = 0; i < n; i++)
                {
                    damped[i * n + i] *= 1 + damping;
                }
                double[] step = new double[n];
                new DenseLu(damped, n).Solve(downhill, step);
                double[] next = [.. at.Zip(step, (a, b) => a + b)];
                double[]? there = predict(next);
                double nextCost = there is null ? double.PositiveInfinity : Cost(next, there);
                if (nextCost <= cost)
                {
                    better = true;
                    converged = Small(step, information, 1);
                    (at, values, cost) = (next, there!, nextCost);
                    damping = Math.Max(damping / 10, 1e-9);
                }
                else
                {
                    // Nothing is gained any more, and the step asked for is next to nothing.
                    converged = Small(step, information, 10);
                    if (converged)
                    {
                        break;
                    }
                    damping *= 10;
                }
            }
            slope = slopes(at, values);
            if (!better)
            {
                break;
            }
        }
        double[] covariance = new DenseLu(Information(slope, sd, priorSd), n).Inverse();
        return new PriorFit(at, covariance, values, iteration, converged && covariance.All(double.IsFinite));
    }

    // Small beside what data and prior leave in doubt of each number.
    private static bool Small(double[] step, double[] information, double times)
    {
        int n = step.Length;
        for (int i = 0; i < n; i++)
        {
            if (Math.Abs(step[i]) * Math.Sqrt(information[i * n + i]) > times * SmallStepRatio)
            {
                return false;
            }
        }
        return true;
    }

    private static double Squares(double[] a, double[] b, double[] sd)
    {
        double sum = 0;
        for (int i = 0; i < a.Length; i++)
        {
            double off = (a[i] - b[i]) / sd[i];
            sum += off * off;
        }
        return double.IsFinite(sum) ? sum : double.PositiveInfinity;
    }

    private static double[] Information(double[][] slope, double[] sd, double[] priorSd)
    {
        int n = priorSd.Length;
        double[] information = new double[n * n];
        for (int i = 0; i < n; i++)
        {
            for (int j = 0; j <= i; j++)
            {
                double sum = 0;
                for (int k = 0; k < sd.Length; k++)
                {
                    sum += slope[i][k] * slope[j][k] / (sd[k] * sd[k]);
                }
                information[i * n + j] = sum;
                information[j * n + i] = sum;
            }
            information[i * n + i] += 1 / (priorSd[i] * priorSd[i]);
        }
        return information;
    }
}
