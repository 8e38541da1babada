using Graftbench.Core.Numerics;

namespace Graftbench.Core.Calibrating;

/// <summary>One fit of a trial, with its residuals, its uncertainty widened by what the residuals show.</summary>
/// <param name="Fit">Numbers and covariance.</param>
/// <param name="Residuals">Reading less model, by probe, in the order of time [K].</param>
/// <param name="SdDeltaK">Standard deviation that each mean was given [K].</param>
internal sealed record TrialFit(PriorFit Fit, double[][] Residuals, double SdDeltaK)
{
    // A model error of 0.9 K that lasts 30 s, beside which the noise of the probe does not count: figures of the prototype.
    private const double ModelErrorDeltaK = 0.9;
    private const double ModelErrorS = 30;

    /// <summary>Least standard deviation of a mean: errors that last are counted as if they did not, but were larger [K].</summary>
    public static double LeastSdDeltaK => ModelErrorDeltaK * Math.Sqrt(ModelErrorS / TrialReadings.MeanS);

    /// <summary>Root mean square of all residuals [K].</summary>
    public double RmsDeltaK => Rms([.. Residuals.SelectMany(one => one)]);

    /// <summary>Fits; where the residuals are larger or last longer than assumed, fits again with that.</summary>
    /// <returns>Null where the model has no answer or no fit is found.</returns>
    public static TrialFit? Of(TrialModel model, TrialReadings readings, CancellationToken cancel)
    {
        double[] measured = [.. readings.MeansC.SelectMany(one => one)];
        double sdDeltaK = LeastSdDeltaK;
        double[] start = new double[model.PriorSd.Length];
        TrialFit? best = null;
        for (int round = 0; round < 3; round++)
        {
            double[] sd = new double[measured.Length];
            Array.Fill(sd, sdDeltaK);
            PriorFit fit = PriorLeastSquares.Fit(
                numbers => model.Predict(numbers, readings),
                (numbers, there) => model.Slopes(numbers, there, readings, cancel),
                measured,
                sd,
                start,
                model.PriorSd,
                cancel: cancel
            );
            if (!fit.Converged)
            {
                return null;
            }
            best = new TrialFit(fit, Split(measured, fit.Predicted, readings), sdDeltaK);
            // The mean variance of what a residual is worth once its neighbours are not independent of it.
            double worth = Math.Sqrt(
                best.Residuals.Where(one => one.Length > 0).Average(one => Rms(one) * Rms(one) * CorrelatedSteps(one))
            );
            if (worth <= 1.05 * sdDeltaK)
            {
                break;
            }
            sdDeltaK = worth;
        }
        return best;
    }

    /// <summary>Residuals at numbers that were not fitted to these readings, by probe; null where the model has no answer.</summary>
    public static double[][]? Left(TrialModel model, double[] numbers, TrialReadings readings) =>
        model.Predict(numbers, readings) is { } predicted
            ? Split([.. readings.MeansC.SelectMany(one => one)], predicted, readings)
            : null;

    /// <summary>Root mean square.</summary>
    public static double Rms(double[] values) =>
        values.Length == 0 ? 0 : Math.Sqrt(values.Average(value => value * value));

    /// <summary>Steps that a residual lasts: its autocorrelation added up until it is gone; 1 for white noise.</summary>
    public static double CorrelatedSteps(double[] residuals)
    {
        double variance = residuals.Length == 0 ? 0 : residuals.Average(one => one * one);
        if (variance <= 0)
        {
            return 1;
        }
        double sum = 1;
        for (int lag = 1; lag < residuals.Length / 2; lag++)
        {
            double there = 0;
            for (int i = lag; i < residuals.Length; i++)
            {
                there += residuals[i] * residuals[i - lag];
            }
            double correlation = there / residuals.Length / variance;
            if (correlation <= 0)
            {
                break;
            }
            sum += 2 * correlation;
        }
        return sum;
    }

    private static double[][] Split(double[] measured, double[] predicted, TrialReadings readings)
    {
        int next = 0;
        double[][] split = new double[readings.TimesS.Length][];
        for (int p = 0; p < split.Length; p++)
        {
            split[p] = new double[readings.TimesS[p].Length];
            for (int i = 0; i < split[p].Length; i++, next++)
            {
                split[p][i] = measured[next] - predicted[next];
            }
        }
        return split;
    }
}
