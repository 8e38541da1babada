using Graftbench.Core.Drying;
using Graftbench.Core.Facts;
using Graftbench.Core.Findings;
using Graftbench.Core.Physics.Capillary;

namespace Graftbench.Core.Joints;

/// <summary>Answers question 5: which balls, how much solder on the lands, will every joint form.</summary>
public static class JointPlanner
{
    /// <summary>Most joints of one package.</summary>
    public const int MostJoints = 10000;

    private const int SearchTrials = 400;
    private const int LeastTrials = 100;
    private const int UsualJoints = 1500;
    private const int CurvePoints = 60;
    private const int CentringSamples = 48;

    /// <summary>Computes the answer.</summary>
    /// <param name="request">The request.</param>
    /// <param name="assumptions">What was assumed to make the request.</param>
    /// <param name="progress">Told how far it is.</param>
    /// <param name="cancel">Stops it.</param>
    /// <returns>The answer; without figures and with findings where it cannot be computed.</returns>
    public static JointPlan Plan(
        JointRequest request,
        IReadOnlyList<Assumption>? assumptions = null,
        IProgress<PlanProgress>? progress = null,
        CancellationToken cancel = default
    )
    {
        ArgumentNullException.ThrowIfNull(request);
        assumptions ??= [];
        if (JointFindings.Refuse(request) is { } refused)
        {
            return None(request, refused, assumptions);
        }
        if (JointTables.Create(request) is not { } tables)
        {
            return None(request, JointFindings.NoShape(request), assumptions);
        }
        NominalSeat nominal = JointNominal.Settle(request, tables);
        if (nominal.Cold is null || nominal.Molten is null)
        {
            return None(request, JointFindings.Tips(request), assumptions);
        }
        if (!nominal.Molten.Converged)
        {
            return None(request, JointFindings.NotSettled(request, nominal.Molten), assumptions);
        }
        if (nominal.Joints.Any(joint => !(joint.GapMm > 0)))
        {
            return None(request, JointFindings.Crushed(request), assumptions);
        }
        NominalSeat squeezed = request.Stops.Any(stop => stop.FilmMm > 0)
            ? JointNominal.Settle(request, tables, squeezedFraction: 1)
            : nominal;
        NominalSeat[] bowed = Bowed(request, tables);
        progress?.Report(new PlanProgress("Drawing packages", 0.02));
        JointChance chance = JointChances.Draw(request, tables, request.Goal.Trials, cancel: cancel);
        JointSite typical = JointChanges.Typical(request);
        BridgeCase bridge = JointChanges.Bridge(request, typical);
        BridgeLimit? spill = BridgeLimits.Spill(bridge);
        BridgeLimit? breaks = BridgeLimits.PullApart(bridge);
        JointLimits limits = Limits(request, nominal, squeezed, typical, spill);
        SolderNeed? need = null;
        IReadOnlyList<JointLever> levers = [];
        if (request.Goal.WithLevers)
        {
            int trials = TrialsOf(request);
            NominalSeat[] seats = [nominal, .. bowed];
            need = SolderNeeds.Find(
                new SolderAsk(request, tables, seats, limits.SlideDomeMm, trials),
                Part(progress, "Searching the least solder", 0.2, 0.7),
                cancel
            );
            levers = JointLevers.Find(
                request,
                seats,
                limits.SafeLoadG ?? 0,
                trials,
                Part(progress, "Trying what helps", 0.7, 1),
                cancel
            );
        }
        (double? leastGap, double? mostGap) = OverTension(request, tables);
        MoltenSeat molten = nominal.Molten with
        {
            CentringMilliNPerMm = Centring(request, nominal),
            LeastGapMm = leastGap,
            MostGapMm = mostGap,
            LeastReachMm = JointLevers.WorstMargin(nominal),
        };
        JointPlan plan = new(
            request.Subject,
            JointPlanState.NoAnswer,
            "",
            nominal.Cold,
            molten,
            [.. nominal.Joints.Select((joint, i) => joint with { OpenFraction = chance.OpenByJointFraction[i] })],
            nominal.Stops,
            chance,
            need,
            limits,
            levers,
            BallChoices.Find(request),
            Count(request),
            Curve(bridge, spill, breaks, TouchMm(request, typical)),
            [],
            assumptions,
            request
        )
        {
            WarpageEnds =
            [
                .. bowed
                    .Zip([-2, 2])
                    .Select(end => new WarpageEnd(
                        request.HotWarpageMm + end.Second * request.Spread.WarpageSdMm,
                        end.First.Molten?.OpenNumber ?? request.Sites.Count,
                        end.First.Joints.Count(joint => joint.Class.HasFlag(JointClass.Spill))
                    )),
            ],
        };
        return JointFindings.Finish(plan, squeezed);
    }

    // Nominal sizes with the warpage two standard deviations off, either way.
    private static NominalSeat[] Bowed(JointRequest request, JointTables tables) =>
        request.Spread.WarpageSdMm <= 0
            ? []
            :
            [
                .. new[] { -2, 2 }.Select(sigmas =>
                    JointNominal.Settle(
                        request with
                        {
                            HotWarpageMm = request.HotWarpageMm + sigmas * request.Spread.WarpageSdMm,
                        },
                        tables
                    )
                ),
            ];

    // Thousands of joints cost as much for each package as hundreds do for ten; the error of the chances says so.
    private static int TrialsOf(JointRequest request) =>
        Math.Min(
            request.Goal.Trials,
            Math.Clamp(SearchTrials * UsualJoints / request.Sites.Count, LeastTrials, SearchTrials)
        );

    private static PartOf? Part(IProgress<PlanProgress>? whole, string step, double from, double to) =>
        whole is null ? null : new PartOf(whole, step, from, to);

    private sealed class PartOf(IProgress<PlanProgress> whole, string step, double from, double to)
        : IProgress<PlanProgress>
    {
        public void Report(PlanProgress value) =>
            whole.Report(new PlanProgress(step, from + (to - from) * value.DoneFraction));
    }

    private static JointPlan None(JointRequest request, Finding finding, IReadOnlyList<Assumption> assumptions) =>
        new(
            request.Subject,
            JointPlanState.NoAnswer,
            $"No answer: {finding.What}",
            null,
            null,
            [],
            [],
            null,
            null,
            null,
            [],
            [],
            Count(request),
            null,
            [finding],
            assumptions,
            request
        );

    private static BallCount Count(JointRequest request)
    {
        // mm³ times kg/m³ is µg; 1e-6 of it is g.
        double gramsByVolume = request.Solder.SolidDensityKgPerM3 * 1e-6;
        return new BallCount(
            request.Sites.Count(site => site.BallVolumeMm3 > 0),
            request.Sites.Sum(site => site.BallVolumeMm3) * gramsByVolume,
            request.Sites.Sum(site => site.DomeVolumeMm3) * gramsByVolume
        );
    }

    private static JointLimits Limits(
        JointRequest request,
        NominalSeat nominal,
        NominalSeat squeezed,
        JointSite typical,
        BridgeLimit? spill
    )
    {
        int balls = request.Sites.Count(site => site.BallVolumeMm3 > 0);
        double? spillG = spill is { } limit ? Units.WeightG(limit.ForceMilliN * balls) : null;
        SeatPlane plane = nominal.Cold!.Plane;
        double x = request.Sites.Max(site => site.XMm) - request.Sites.Min(site => site.XMm);
        double y = request.Sites.Max(site => site.YMm) - request.Sites.Min(site => site.YMm);
        double? spacing =
            nominal.LeastSpacingMm is { } one && squeezed.LeastSpacingMm is { } two
                ? Math.Min(one, two)
                : nominal.LeastSpacingMm;
        return new JointLimits(
            SlideDome(typical),
            spillG,
            spillG / 3,
            spacing,
            JointNominal.AskedSpacingMm,
            Math.Abs(plane.TiltXRatio) * x + Math.Abs(plane.TiltYRatio) * y
        );
    }

    // Dome on which a ball, put down a quarter of the land's diameter off, rests on too steep a slope.
    private static double? SlideDome(JointSite site)
    {
        double ball = SolderCap.HeightMm(site.BallVolumeMm3, site.PackageRadiusMm);
        double offset = site.BoardRadiusMm / 2;
        double Slope(double dome) =>
            SolderCap.TouchSlopeDeg(ball, site.PackageRadiusMm, dome, site.BoardRadiusMm, offset);
        double most = JointFacts.Figure("slide-slope").Value;
        (double low, double high) = (1e-3, site.BoardRadiusMm);
        if (Slope(high) < most)
        {
            return null;
        }
        while (high - low > 1e-4)
        {
            double middle = (low + high) / 2;
            (low, high) = Slope(middle) < most ? (middle, high) : (low, middle);
        }
        return high;
    }

    // The tables hold for any tension, so the ends of its range cost two more seats.
    private static (double? LeastMm, double? MostMm) OverTension(JointRequest request, JointTables tables)
    {
        double error = request.Solder.TensionErrorPercent / 100;
        double?[] gaps =
        [
            .. new[] { 1 - error, 1 + error }.Select(factor =>
                JointNominal.Settle(JointChanges.WithTension(request, factor), tables).Molten
                    is { Converged: true } seat
                    ? seat.Plane.GapMm
                    : (double?)null
            ),
        ];
        return gaps.Any(gap => gap is null) ? (null, null) : (gaps.Min(), gaps.Max());
    }

    // Exact for every joint would cost more than all the rest; evenly picked ones stand for all.
    private static double? Centring(JointRequest request, NominalSeat nominal)
    {
        int[] joined =
        [
            .. Enumerable.Range(0, nominal.Joints.Count).Where(i => nominal.Joints[i].Class.HasFlag(JointClass.Joined)),
        ];
        if (joined.Length == 0)
        {
            return null;
        }
        int stride = Math.Max(1, joined.Length / CentringSamples);
        double sum = 0;
        int count = 0;
        for (int k = 0; k < joined.Length; k += stride)
        {
            int i = joined[k];
            BridgeCase bridge = JointChanges.Bridge(request, request.Sites[i]);
            if (BridgeSideways.CentringMilliNPerMm(bridge, nominal.Joints[i].GapMm) is not { } one)
            {
                return null;
            }
            sum += one;
            count++;
        }
        return sum / count * joined.Length;
    }

    private static double TouchMm(JointRequest request, JointSite site) =>
        SolderCap.HeightMm(site.BallVolumeMm3 * request.Solder.SwellingFactor, site.PackageRadiusMm)
        + SolderCap.HeightMm(site.DomeVolumeMm3 * request.Solder.SwellingFactor, site.BoardRadiusMm);

    private static ForceCurve Curve(BridgeCase bridge, BridgeLimit? spill, BridgeLimit? breaks, double touch)
    {
        double free = SolderCap.TruncatedSphereHeightMm(bridge.VolumeMm3, bridge.LowerRadiusMm, bridge.UpperRadiusMm);
        double from = 0.95 * (spill?.GapMm ?? 0.75 * free);
        double to = Math.Min(0.98 * (breaks?.GapMm ?? 1.6 * free), Math.Max(1.4 * free, 1.1 * touch));
        List<ForcePoint> points = [];
        for (int i = 0; i < CurvePoints; i++)
        {
            double gap = from + (to - from) * i / (CurvePoints - 1);
            if (LiquidBridge.AtGap(bridge, gap).Shape is { } shape)
            {
                points.Add(new ForcePoint(gap, shape.ForceMilliN, shape.WidestMm));
            }
        }
        return new ForceCurve(points, spill?.GapMm, breaks?.GapMm, touch);
    }
}
