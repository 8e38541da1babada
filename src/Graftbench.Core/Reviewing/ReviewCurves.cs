using Graftbench.Core.Heating;

namespace Graftbench.Core.Reviewing;

/// <summary>Curves of a reviewed run for pictures.</summary>
internal static class ReviewCurves
{
    public static IReadOnlyList<ReviewCurve> Of(ReviewRequest request, ReviewBook book)
    {
        List<ReviewCurve> curves = [.. book.Probes.Where(probe => probe.Curve.Count > 1).Select(Measured)];
        if (request.Estimate is { TimesS.Count: > 1 } estimate && estimate.Joints.Any())
        {
            curves.Add(Extreme(estimate, coldest: true));
            curves.Add(Extreme(estimate, coldest: false));
            if (estimate.BodyTop is { } body)
            {
                curves.Add(
                    new ReviewCurve(
                        "body-top",
                        "body, estimated",
                        estimate.TimesS,
                        body.TemperaturesC,
                        [.. body.TemperaturesC.Select((value, k) => value - body.BandDeltaK[k])],
                        [.. body.TemperaturesC.Select((value, k) => value + body.BandDeltaK[k])]
                    )
                );
            }
            if (request.Planned is { Count: > 1 } planned)
            {
                curves.Add(Planned(estimate, planned));
            }
        }
        return curves;
    }

    // A gap is a point of nothing between its two ends.
    private static ReviewCurve Measured(Track probe)
    {
        List<double> times = [];
        List<double> values = [];
        for (int i = 0; i < probe.Curve.Count; i++)
        {
            if (i > 0 && !probe.Curve.Joined(i))
            {
                times.Add((probe.Curve.TimesS[i - 1] + probe.Curve.TimesS[i]) / 2);
                values.Add(double.NaN);
            }
            times.Add(probe.Curve.TimesS[i]);
            values.Add(probe.Curve.RawC[i]);
        }
        return new ReviewCurve($"probe {probe.By}", probe.By, times, values, null, null);
    }

    private static ReviewCurve Extreme(RunEstimate estimate, bool coldest)
    {
        EstimatedPlace[] joints = [.. estimate.Joints];
        double[] Pick(Func<EstimatedPlace, int, double> of) =>
            [
                .. Enumerable
                    .Range(0, estimate.TimesS.Count)
                    .Select(k => coldest ? joints.Min(joint => of(joint, k)) : joints.Max(joint => of(joint, k))),
            ];
        return new ReviewCurve(
            coldest ? "joint-coldest" : "joint-hottest",
            coldest ? "coldest joint, estimated" : "hottest joint, estimated",
            estimate.TimesS,
            Pick((joint, k) => joint.TemperaturesC[k]),
            Pick((joint, k) => joint.TemperaturesC[k] - joint.BandDeltaK[k]),
            Pick((joint, k) => joint.TemperaturesC[k] + joint.BandDeltaK[k])
        );
    }

    private static ReviewCurve Planned(RunEstimate estimate, HeatTrace planned)
    {
        int[] joints =
        [
            .. Enumerable
                .Range(0, estimate.Places.Count)
                .Where(i => estimate.Places[i].Place.Kind == HeatPlaceKind.Joint),
        ];
        return new ReviewCurve(
            "planned-coldest",
            "coldest joint, planned",
            [.. Enumerable.Range(0, planned.Count).Select(k => k * planned.StepS)],
            [.. Enumerable.Range(0, planned.Count).Select(k => joints.Min(joint => planned.TemperaturesC[joint][k]))],
            null,
            null
        );
    }
}
