using Graftbench.Core.Physics.Alloys;

namespace Graftbench.Core.Mixing;

/// <summary>Curves of one mixture and the map of all mixtures of two alloys.</summary>
internal static class MixCurves
{
    private const int HeatingPoints = 72;
    private const double BelowDeltaK = 8;
    private const double AboveDeltaK = 6;

    // Traces of a compound may stay solid far above; the curve does not follow them there.
    private const double MostAboveFullDeltaK = 25;
    private const double ThinFraction = 0.005;
    private const double ThinDeltaK = 2;

    /// <summary>Liquid on slow heating over the range that matters, coldest first.</summary>
    public static IReadOnlyList<MixCurvePoint> Heating(
        MeltingModel model,
        MixAnswer answer,
        CancellationToken cancel = default
    )
    {
        double solidusC = answer.Solidus!.ValueC;
        double fullC = answer.FullMelt!.ValueC;
        double liquidusC = answer.Liquidus!.ValueC;
        double lowC = Math.Min(solidusC, answer.Freezing!.End.ValueC) - BelowDeltaK;
        double highC =
            Math.Max(Math.Min(liquidusC, fullC + MostAboveFullDeltaK), answer.Peak?.PeakC ?? 0) + AboveDeltaK;
        lowC = Math.Max(lowC, MeltingModel.LowC);
        highC = Math.Min(highC, MeltingModel.HighC);
        // Just beside the first melt too: an invariant is a step.
        SortedSet<double> atC =
        [
            solidusC - 0.01,
            solidusC + 0.01,
            fullC,
            .. Marks(liquidusC, answer.Peak?.PeakC, highC),
        ];
        for (int i = 0; i < HeatingPoints; i++)
        {
            atC.Add(lowC + (highC - lowC) * i / (HeatingPoints - 1));
        }
        List<MixCurvePoint> points = [];
        foreach (double temperatureC in atC)
        {
            cancel.ThrowIfCancellationRequested();
            PhaseBalance balance = model.At(temperatureC);
            if (balance.Converged)
            {
                points.Add(new MixCurvePoint(temperatureC, balance.LiquidFraction));
            }
        }
        return points;
    }

    /// <summary>Liquid left on cooling, hottest first, without points that say nothing new.</summary>
    public static IReadOnlyList<MixCurvePoint> Cooling(Freezing freezing)
    {
        List<MixCurvePoint> points = [];
        for (int i = 0; i < freezing.Curve.Count; i++)
        {
            MixCurvePoint one = new(freezing.Curve[i].TemperatureC, freezing.Curve[i].LiquidFraction);
            bool step =
                i + 1 < freezing.Curve.Count
                && one.LiquidFraction - freezing.Curve[i + 1].LiquidFraction > 2 * ThinFraction;
            if (
                i == 0
                || i == freezing.Curve.Count - 1
                || step
                || points[^1].LiquidFraction - one.LiquidFraction > ThinFraction
                || points[^1].TemperatureC - one.TemperatureC > ThinDeltaK
            )
            {
                points.Add(one);
            }
        }
        return points;
    }

    // Close together at the ends: a trace of the other alloy moves the freezing end all the way.
    private static readonly double[] MapPercents =
    [
        0,
        0.5,
        2,
        .. Enumerable.Range(1, 19).Select(i => 5.0 * i),
        98,
        99.5,
        100,
    ];

    /// <summary>Mixtures of two alloys over the share of the second; null where there are not two.</summary>
    public static MixMap? Map(IReadOnlyList<MixPart> parts, CancellationToken cancel = default)
    {
        IReadOnlyList<(MixAlloy Alloy, double MassMg)> alloys = MixPlanner.ByAlloy(parts);
        if (alloys.Count != 2)
        {
            return null;
        }
        SolderMix first = alloys[0].Alloy.Shares.ToMix();
        SolderMix second = alloys[1].Alloy.Shares.ToMix();
        MixMapRow[] rows = new MixMapRow[MapPercents.Length];
        Parallel.For(
            0,
            rows.Length,
            new ParallelOptions { CancellationToken = cancel },
            i => rows[i] = Row(first, second, MapPercents[i])
        );
        return new MixMap(
            alloys[0].Alloy.Name,
            alloys[1].Alloy.Name,
            100 * alloys[1].MassMg / (alloys[0].MassMg + alloys[1].MassMg),
            rows
        );
    }

    private static MixMapRow Row(SolderMix first, SolderMix second, double percent)
    {
        SolderMix mix = SolderMix.Blend((first, 100 - percent), (second, percent));
        if (MeltingModel.OutsideModel(mix) is not null)
        {
            return new MixMapRow(percent, null, null, null, null);
        }
        MeltingModel model = new(mix);
        return new MixMapRow(
            percent,
            model.Solidus().ValueC,
            model.FullMelt().ValueC,
            model.Liquidus().ValueC,
            model.Freeze().End.ValueC
        );
    }

    private static IEnumerable<double> Marks(double liquidusC, double? peakC, double highC)
    {
        if (liquidusC <= highC)
        {
            yield return liquidusC;
        }
        if (peakC is double peak && peak <= highC && peak >= MeltingModel.LowC)
        {
            yield return peak;
        }
    }
}
