namespace Graftbench.Core.Heating;

/// <summary>Ranks probe places by how much a reading tells about the coldest joint when it is to be called molten.</summary>
internal static class ProbePlacer
{
    // Reading of a bead that is well fixed; in the gas stream it follows the gas a little.
    private const double ProbeDeltaK = 1;
    private const double ProbeInGasDeltaK = 4;

    /// <summary>Places, best first.</summary>
    /// <param name="samples">Samples of the plan.</param>
    /// <param name="model">Model, for words.</param>
    /// <param name="places">Places of the samples' runs.</param>
    /// <remarks>
    /// Standard deviation of one of two jointly normal numbers given the other with noise:
    /// σ² = var(X) − cov(X, Y)²/(var(Y) + noise²); for two probes the same with a 2 by 2 matrix.
    /// </remarks>
    public static IReadOnlyList<ProbeAdvice> Rank(
        HeatSamples samples,
        BoardHeatModel model,
        IReadOnlyList<HeatPlace> places
    )
    {
        double[] joint = samples.ColdestAtMomentC;
        double without = Math.Sqrt(Covariance(joint, joint));
        List<(int Row, HeatPlace Place, double[] Reads, double Noise, double Left)> found = [];
        for (int row = 0; row < places.Count; row++)
        {
            if (
                places[row].Kind
                is not (
                    HeatPlaceKind.Probe
                    or HeatPlaceKind.BoardTop
                    or HeatPlaceKind.Underside
                    or HeatPlaceKind.BodyTop
                )
            )
            {
                continue;
            }
            double[] reads = [.. samples.MomentC.Select(moment => moment[row])];
            double noise = places[row].Kind == HeatPlaceKind.BodyTop ? ProbeInGasDeltaK : ProbeDeltaK;
            double with = Covariance(joint, reads);
            double left = without * without - with * with / (Covariance(reads, reads) + noise * noise);
            found.Add((row, places[row], reads, noise, Math.Sqrt(Math.Max(left, 0))));
        }
        found = [.. found.OrderBy(one => one.Left).ThenBy(one => one.Row)];
        string pair = BestPair(found, joint, model);
        double coldest = joint.Length == 0 ? 0 : joint.Average();
        return
        [
            .. found.Select(
                (one, i) =>
                {
                    double slope =
                        Covariance(joint, one.Reads) / (Covariance(one.Reads, one.Reads) + one.Noise * one.Noise);
                    // What it reads when the coldest joint has just melted: the mean, moved along the line of regression.
                    double offset = one.Reads.Average() - coldest;
                    double reads = model.MoltenC + offset;
                    string tells =
                        slope > 0 && one.Left < 0.95 * without
                            ? $"Leaves {one.Left:0.0} K of doubt about the coldest joint, {without:0.0} K without a probe."
                            : $"Tells little: {one.Left:0.0} K of doubt are left of {without:0.0} K.";
                    return new ProbeAdvice(
                        i + 1,
                        one.Place.Name,
                        Places.OfProbe(one.Place, model.Chip),
                        one.Place.XMm,
                        one.Place.YMm,
                        reads,
                        offset,
                        one.Left,
                        without,
                        i == 0 ? tells + pair : tells
                    );
                }
            ),
        ];
    }

    private static string BestPair(
        List<(int Row, HeatPlace Place, double[] Reads, double Noise, double Left)> found,
        double[] joint,
        BoardHeatModel model
    )
    {
        double whole = Covariance(joint, joint);
        double least = double.PositiveInfinity;
        (int A, int B) best = (-1, -1);
        for (int a = 0; a < found.Count; a++)
        {
            double va = Covariance(found[a].Reads, found[a].Reads) + found[a].Noise * found[a].Noise;
            double ca = Covariance(joint, found[a].Reads);
            for (int b = a + 1; b < found.Count; b++)
            {
                double vb = Covariance(found[b].Reads, found[b].Reads) + found[b].Noise * found[b].Noise;
                double cb = Covariance(joint, found[b].Reads);
                double ab = Covariance(found[a].Reads, found[b].Reads);
                double left = whole - (ca * ca * vb - 2 * ca * cb * ab + cb * cb * va) / (va * vb - ab * ab);
                if (left < least)
                {
                    (least, best) = (left, (a, b));
                }
            }
        }
        return best.A < 0
            ? ""
            : $" Best two together: {Places.OfProbe(found[best.A].Place, model.Chip)}; {Places.OfProbe(found[best.B].Place, model.Chip)}: {Math.Sqrt(Math.Max(least, 0)):0.0} K.";
    }

    private static double Covariance(double[] a, double[] b)
    {
        double meanA = a.Average();
        double meanB = b.Average();
        double sum = 0;
        for (int k = 0; k < a.Length; k++)
        {
            sum += (a[k] - meanA) * (b[k] - meanB);
        }
        return sum / Math.Max(a.Length - 1, 1);
    }
}
