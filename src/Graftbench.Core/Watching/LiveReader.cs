using Graftbench.Core.Heating;
using Graftbench.Core.Physics.Heat;

namespace Graftbench.Core.Watching;

/// <summary>Reads a filter's state as joints, bodies and neighbours with bands, and runs it ahead.</summary>
internal sealed class LiveReader
{
    /// <summary>The reduced model melts joints early by up to this much [s].</summary>
    public const double EarlyMeltS = 5;

    private const double SigmasNumber = 2;
    private const double RoughStepS = 2;

    private readonly BoardHeatModel model;
    private readonly WatchModel watch;
    private readonly LiveFilter filter;
    private readonly LiveStep ahead;
    private readonly int[] joints;
    private readonly int[] corners;
    private readonly int bodyTop;
    private readonly int[] beside;
    private readonly string[] names;
    private readonly (HeatLimit Limit, int Row)[] limits;
    private readonly double[] halfBand;

    public LiveReader(WatchModel watch, LiveFilter filter)
    {
        this.watch = watch;
        this.filter = filter;
        model = watch.Setup.Model;
        ahead = new LiveStep(watch.Reduced, RoughStepS);
        IReadOnlyList<HeatPlace> places = model.Places;
        joints = Rows(HeatPlaceKind.Joint);
        bodyTop = Rows(HeatPlaceKind.BodyTop).FirstOrDefault(-1);
        beside =
        [
            .. Rows(HeatPlaceKind.NeighbourBody),
            .. Rows(HeatPlaceKind.NeighbourJoint),
            .. Rows(HeatPlaceKind.Underside),
        ];
        RectMm chip = model.Chip;
        corners =
        [
            Nearest(chip.X0Mm, chip.Y0Mm),
            Nearest(chip.X1Mm, chip.Y0Mm),
            Nearest(chip.X0Mm, chip.Y1Mm),
            Nearest(chip.X1Mm, chip.Y1Mm),
        ];
        names =
        [
            .. places.Select(place => place.Kind == HeatPlaceKind.Joint ? Places.OfJoint(place, chip) : place.Name),
        ];
        limits = [.. watch.Setup.Limits.Select(limit => (limit, RowOf(limit))).Where(one => one.Item2 >= 0)];
        halfBand = new double[places.Count];
    }

    private int[] Rows(HeatPlaceKind kind) =>
        [.. Enumerable.Range(0, model.Places.Count).Where(i => model.Places[i].Kind == kind)];

    private int Nearest(double xMm, double yMm) =>
        joints.MinBy(j =>
        {
            double dx = model.Places[j].XMm - xMm;
            double dy = model.Places[j].YMm - yMm;
            return dx * dx + dy * dy;
        });

    // Peaks that one place can pass; times and slopes are for the review.
    private int RowOf(HeatLimit limit)
    {
        bool peak =
            limit.Kind
            is HeatLimitKind.BodyPeak
                or HeatLimitKind.NeighbourPeak
                or HeatLimitKind.NeighbourSolid
                or HeatLimitKind.UndersidePeak;
        if (limit.Kind == HeatLimitKind.HottestJointPeak)
        {
            return int.MaxValue;
        }
        if (!peak)
        {
            return -1;
        }
        string? place = limit.Place;
        for (int i = 0; i < model.Places.Count; i++)
        {
            HeatPlace one = model.Places[i];
            bool meant =
                place is not null ? one.Name == place
                : limit.Kind == HeatLimitKind.BodyPeak ? one.Kind == HeatPlaceKind.BodyTop
                : limit.Kind == HeatLimitKind.UndersidePeak && one.Kind == HeatPlaceKind.Underside;
            if (meant)
            {
                return i;
            }
        }
        return -1;
    }

    public LiveEstimate Read(
        double nowS,
        ProbeState[] probes,
        double gasC,
        double preheaterC,
        (bool Lost, bool Broken) end
    )
    {
        HeatFactors learned = filter.Factors;
        LearnedFactors factors = new(
            learned.TopFactor,
            filter.FactorLogSdRatio(0),
            learned.BottomFactor,
            filter.FactorLogSdRatio(1)
        );
        List<ProbeEstimate> read =
        [
            .. probes.Select(
                (probe, p) =>
                    new ProbeEstimate(
                        probe.Probe.Channel,
                        probe.LastReadC,
                        filter.ExpectedC(probe.Row, p) + probe.GasShare * (gasC - filter.TemperatureC(probe.Row)),
                        Math.Sqrt(filter.ExpectedVariance(probe.Row, p)),
                        probe.Innovations.Mean,
                        filter.Offset(p).DeltaK,
                        nowS - probe.LastS,
                        probe.LeftOut
                    )
            ),
        ];
        double unreadS = probes.Length == 0 ? nowS : nowS - Math.Max(0, probes.Max(probe => probe.LastS));
        (WatchTrust trust, List<string> reasons) = TrustRules.Of(nowS, unreadS, probes, read, factors, watch, end);
        PlaceEstimate[] all = [.. joints.Select(Place)];
        return new LiveEstimate(
            nowS,
            Extreme(all, coldest: true),
            Extreme(all, coldest: false),
            [.. corners.Select(Place)],
            bodyTop >= 0 ? Place(bodyTop) : null,
            [.. beside.Select(Place)],
            factors,
            read,
            gasC,
            preheaterC,
            trust,
            reasons,
            unreadS
        );
    }

    public WatchAhead Ahead(HeaterTrack gas, HeaterTrack preheater, double nowS, bool held, double reachS)
    {
        HeatFactors learned = filter.Factors;
        ahead.Use(learned);
        double[] state = filter.State.ToArray();
        double[] gain = filter.Gain.ToArray();
        ahead.Settle(state);
        double[] temperaturesC = new double[watch.Reduced.OutputCount];
        for (int i = 0; i < halfBand.Length; i++)
        {
            halfBand[i] = HalfBand(i, filter.TemperatureC(i));
        }
        AheadMoments found = new(model, joints, limits, halfBand);
        found.Look(0, Outputs(state, temperaturesC));
        int steps = (int)Math.Ceiling(reachS / RoughStepS);
        for (int k = 0; k < steps && !found.Done; k++)
        {
            LiveDrive first = HeaterTrack.Drive(
                watch.Setup,
                gas,
                preheater,
                nowS + (k + LiveStep.FirstStageFraction) * RoughStepS
            );
            LiveDrive end = HeaterTrack.Drive(watch.Setup, gas, preheater, nowS + (k + 1) * RoughStepS);
            if (!ahead.Step(state, gain, first, end))
            {
                break;
            }
            found.Look((k + 1) * RoughStepS, Outputs(state, temperaturesC));
        }
        return found.Answer(held, reachS);
    }

    private double[] Outputs(double[] state, double[] intoC)
    {
        ReducedModel.Parts parts = watch.Reduced.Matrices;
        Array.Clear(intoC);
        Numerics.Dense.AddColumns(parts.Outputs, state, intoC);
        for (int i = 0; i < intoC.Length; i++)
        {
            intoC[i] += parts.StartC;
        }
        return intoC;
    }

    // The structure's error grows with the rise, as everything that it scales does.
    private double HalfBand(int row, double temperatureC)
    {
        double share = (temperatureC - model.RoomC) / Math.Max(1, model.MoltenC - model.RoomC);
        return SigmasNumber * filter.SpreadDeltaK(row) + watch.Setup.StructureDeltaK * Math.Clamp(share, 0, 1.5);
    }

    private PlaceEstimate Place(int row)
    {
        double temperatureC = filter.TemperatureC(row);
        double half = HalfBand(row, temperatureC);
        return new PlaceEstimate(
            model.Places[row].Name,
            names[row],
            new TemperatureBand(temperatureC, temperatureC - half, temperatureC + half),
            filter.SlopeKPerS(row)
        );
    }

    private static PlaceEstimate Extreme(PlaceEstimate[] all, bool coldest)
    {
        PlaceEstimate named = coldest ? all.MinBy(one => one.Band.EstimateC)! : all.MaxBy(one => one.Band.EstimateC)!;
        double Pick(Func<PlaceEstimate, double> of) => coldest ? all.Min(of) : all.Max(of);
        return named with
        {
            Band = new TemperatureBand(named.Band.EstimateC, Pick(one => one.Band.LowC), Pick(one => one.Band.HighC)),
        };
    }
}
