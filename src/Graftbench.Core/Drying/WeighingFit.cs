using System.Globalization;
using Graftbench.Core.Jobs;
using Graftbench.Core.Numerics;
using static System.FormattableString;

namespace Graftbench.Core.Drying;

/// <summary>End point of drying from successive weighings: w(t) = w_end + A·exp(−t/τ) by least squares.</summary>
/// <remarks>
/// For each time constant the two weights follow linearly, so one search over τ is enough. Errors come from the covariance
/// of the linearised model, with the scatter found or the balance's own error, whichever is larger. Drying starts faster
/// than an exponential, which would make the end look too near: the fit leaves out the first half of the loss as soon as
/// five later points are there. Checked against an independent least-squares solver.
/// </remarks>
public static class WeighingFit
{
    /// <summary>Fewest weighings for a fit with an error.</summary>
    public const int FewestPoints = 4;

    private const int FewestLatePoints = 5;
    private const double AssumedBalanceErrorG = 0.01;

    /// <summary>Fits the weighings of one subject.</summary>
    /// <param name="weighings">Weighings, in any order.</param>
    /// <returns>The trend; null where there is no weighing.</returns>
    public static WeighingTrend? Fit(IEnumerable<Weighing> weighings)
    {
        List<Weighing> ordered = weighings.OrderBy(weighing => weighing.At).ToList();
        if (ordered.Count == 0)
        {
            return null;
        }
        DateTimeOffset first = ordered[0].At;
        List<WeighingPoint> points = ordered
            .Select(weighing => new WeighingPoint((weighing.At - first).TotalHours, weighing.WeightG))
            .ToList();
        double balanceG = ordered.Max(weighing => weighing.BalanceErrorG) ?? AssumedBalanceErrorG;
        if (points.Count < FewestPoints)
        {
            return NotYet(points, $"{points.Count} of at least {FewestPoints} weighings: no end point yet.");
        }
        double lostG = points[0].WeightG - points[^1].WeightG;
        if (points.Max(point => point.WeightG) - points.Min(point => point.WeightG) <= 2 * balanceG)
        {
            return NotYet(
                points,
                Invariant(
                    $"No change beyond twice the balance's error of {balanceG:0.#####} g: either dry, or lighter than this balance can see."
                ),
                flat: true
            );
        }
        if (lostG <= 0)
        {
            return NotYet(
                points,
                "The weight does not fall: check the balance, and that the same parts were on it each time."
            );
        }
        List<WeighingPoint> late = points.Where(point => points[0].WeightG - point.WeightG >= lostG / 2).ToList();
        bool lateOnly = late.Count >= FewestLatePoints;
        return Solve(points, lateOnly ? late : points, lateOnly, balanceG);
    }

    private static WeighingTrend Solve(
        List<WeighingPoint> all,
        List<WeighingPoint> used,
        bool lateOnly,
        double balanceG
    )
    {
        double startH = used[0].TimeH;
        double[] timeH = used.Select(point => point.TimeH - startH).ToArray();
        double[] weightG = used.Select(point => point.WeightG).ToArray();
        double spanH = timeH[^1];
        // τ from a fiftieth of the span (already flat) to twenty spans (still a straight line).
        double low = Math.Log(spanH / 50);
        double high = Math.Log(spanH * 20);
        double best = Grid(low, high, logTau => Linear(timeH, weightG, Math.Exp(logTau)).Squares);
        double cell = (high - low) / GridCells;
        double logTau = GoldenSection.Minimum(
            candidate => Linear(timeH, weightG, Math.Exp(candidate)).Squares,
            Math.Max(low, best - cell),
            Math.Min(high, best + cell),
            1e-10
        );
        double tauH = Math.Exp(logTau);
        (double endG, double amplitudeG, double squares) = Linear(timeH, weightG, tauH);
        if (logTau < low + 1e-6)
        {
            return NotYet(
                all,
                "The weight fell at once and then stood still: too few weighings on the way for an end point."
            );
        }
        if (logTau > high - 1e-6 || amplitudeG <= 0)
        {
            return NotYet(all, "The weight still falls in a straight line: no end in sight yet, go on weighing.");
        }
        double balanceVariance = balanceG * balanceG / 3;
        double variance = Math.Max(squares / Math.Max(1, timeH.Length - 3), balanceVariance);
        double[,]? covariance = Covariance(timeH, amplitudeG, tauH, variance);
        if (covariance is null)
        {
            return NotYet(all, "The weighings are too few or too close together for an end point.");
        }
        double decay = Math.Exp(-spanH / tauH);
        double leftG = amplitudeG * decay;
        double slope = amplitudeG * decay * spanH / (tauH * tauH);
        double leftErrorG = Math.Sqrt(
            decay * decay * covariance[1, 1] + slope * slope * covariance[2, 2] + 2 * decay * slope * covariance[1, 2]
        );
        double endErrorG = Math.Sqrt(covariance[0, 0]);
        double tauErrorH = Math.Sqrt(covariance[2, 2]);
        bool flat = leftG + 2 * leftErrorG < balanceG && Rests(used, endG, balanceG);
        double endsInH = leftG > balanceG ? tauH * Math.Log(leftG / balanceG) : 0;
        string part = lateOnly
            ? "the later half of the loss"
            : "all weighings, the first ones of which fall faster than an exponential, so that the end may lie further off";
        string says = flat
            ? Invariant(
                $"End point reached: what is still to lose is less than the {balanceG:0.#####} g that the balance can see."
            )
            : Invariant(
                $"{leftG:0.####} ± {2 * leftErrorG:0.####} g still to lose (95 %), time constant {tauH:0.#} ± {2 * tauErrorH:0.#} h; below the balance's {balanceG:0.#####} g in {endsInH:0.#} h. Fitted to {part}."
            );
        return new WeighingTrend(all, true, endG, endErrorG, tauH, tauErrorH, leftG, leftErrorG, endsInH, flat, says);
    }

    // At rest: the last weighings, over a day at least, lie within the balance's error of the fitted end.
    private static bool Rests(List<WeighingPoint> points, double endG, double balanceG)
    {
        List<WeighingPoint> resting =
        [
            .. Enumerable.Reverse(points).TakeWhile(point => Math.Abs(point.WeightG - endG) <= balanceG),
        ];
        return resting.Count >= FewestAtRest && resting[0].TimeH - resting[^1].TimeH >= RestH;
    }

    /// <summary>Whether weighings prove the laminate of a board dry: at rest, on a balance fine enough to see what may be left.</summary>
    /// <param name="trend">The fit; null for none.</param>
    /// <param name="weighings">The weighings of that fit.</param>
    /// <param name="targetPercent">Moisture that may be left [% by weight].</param>
    public static bool ProvesLaminate(WeighingTrend? trend, IReadOnlyList<Weighing> weighings, double targetPercent)
    {
        if (trend is not { Converged: true, Flat: true, EndWeightG: { } endG })
        {
            return false;
        }
        double mayBeLeftG = targetPercent / 100 * endG;
        return weighings.All(weighing => weighing.BalanceErrorG <= mayBeLeftG / BalanceMargin);
    }

    private const int FewestAtRest = 3;
    private const double RestH = 24;
    private const double BalanceMargin = 5;

    private const int GridCells = 200;

    private static double Grid(double low, double high, Func<double, double> squares) =>
        Enumerable.Range(0, GridCells + 1).Select(i => low + (high - low) * i / GridCells).MinBy(squares);

    // Best end weight and amplitude for one time constant, and the sum of squares that they leave.
    private static (double EndG, double AmplitudeG, double Squares) Linear(
        double[] timeH,
        double[] weightG,
        double tauH
    )
    {
        double meanE = 0;
        double meanW = 0;
        for (int i = 0; i < timeH.Length; i++)
        {
            meanE += Math.Exp(-timeH[i] / tauH) / timeH.Length;
            meanW += weightG[i] / timeH.Length;
        }
        double ee = 0;
        double ew = 0;
        for (int i = 0; i < timeH.Length; i++)
        {
            double e = Math.Exp(-timeH[i] / tauH) - meanE;
            ee += e * e;
            ew += e * (weightG[i] - meanW);
        }
        double amplitude = ee > 0 ? ew / ee : 0;
        double end = meanW - amplitude * meanE;
        double squares = 0;
        for (int i = 0; i < timeH.Length; i++)
        {
            double residual = weightG[i] - end - amplitude * Math.Exp(-timeH[i] / tauH);
            squares += residual * residual;
        }
        return (end, amplitude, squares);
    }

    // (JᵀJ)⁻¹·variance for the parameters end weight, amplitude, time constant; null where the weighings do not tell them apart.
    private static double[,]? Covariance(double[] timeH, double amplitudeG, double tauH, double variance)
    {
        double[,] m = new double[3, 3];
        foreach (double t in timeH)
        {
            double decay = Math.Exp(-t / tauH);
            double[] row = [1, decay, amplitudeG * decay * t / (tauH * tauH)];
            for (int i = 0; i < 3; i++)
            {
                for (int j = 0; j < 3; j++)
                {
                    m[i, j] += row[i] * row[j];
                }
            }
        }
        double Minor(int r0, int r1, int c0, int c1) => m[r0, c0] * m[r1, c1] - m[r0, c1] * m[r1, c0];
        double determinant = m[0, 0] * Minor(1, 2, 1, 2) - m[0, 1] * Minor(1, 2, 0, 2) + m[0, 2] * Minor(1, 2, 0, 1);
        double scale = m[0, 0] * m[1, 1] * m[2, 2];
        if (!(determinant > scale * 1e-13))
        {
            return null;
        }
        double[,] inverse = new double[3, 3];
        for (int i = 0; i < 3; i++)
        {
            for (int j = 0; j < 3; j++)
            {
                // Cofactor of the transposed place; cyclic indices carry the sign.
                inverse[i, j] = variance * Minor((j + 1) % 3, (j + 2) % 3, (i + 1) % 3, (i + 2) % 3) / determinant;
            }
        }
        return inverse;
    }

    private static WeighingTrend NotYet(List<WeighingPoint> points, string says, bool flat = false) =>
        new(points, false, null, null, null, null, null, null, null, flat, says);
}
