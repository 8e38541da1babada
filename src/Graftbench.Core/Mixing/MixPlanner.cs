using Graftbench.Core.Drying;
using Graftbench.Core.Facts;
using Graftbench.Core.Physics.Alloys;

namespace Graftbench.Core.Mixing;

/// <summary>Answers what a joint becomes when its solders meet: melting, freezing, what a peak does, heats, density, tension.</summary>
public static class MixPlanner
{
    private const double ColdestC = 60;
    private const double SlowHeatOffDeltaK = 25;
    private const double MeltOffDeltaK = 20;
    private const double DensityOffDeltaK = 10;
    private const double LiquidDensityRatio = 0.015;

    /// <summary>Computes the answer.</summary>
    /// <param name="request">What is mixed.</param>
    /// <param name="assumptions">What was assumed to make the request.</param>
    /// <param name="cancel">Stops it.</param>
    /// <returns>The answer; without figures and with the reason where the mixture is outside the model.</returns>
    /// <exception cref="ArgumentException">There is no part, or a mass is no number above 0.</exception>
    public static MixAnswer Plan(
        MixRequest request,
        IReadOnlyList<Assumption>? assumptions = null,
        CancellationToken cancel = default
    )
    {
        ArgumentNullException.ThrowIfNull(request);
        if (request.Parts.Count == 0)
        {
            throw new ArgumentException("A mixture needs one part at least.", nameof(request));
        }
        foreach (MixPart part in request.Parts)
        {
            Require.FinitePositive(part.MassMg);
        }
        MixPart[] solid = [.. request.Parts.Where(StaysSolid)];
        MixPart[] parts = [.. request.Parts.Except(solid)];
        if (parts.Length == 0)
        {
            (parts, solid) = (solid, []);
        }
        JointMixture joint = Mixture(parts);
        MixAnswer answer = new(
            request.Subject,
            MixState.NoAnswer,
            "",
            parts,
            solid,
            joint.MassMg,
            MixShares.Of(joint.Mix),
            null,
            null,
            null,
            null,
            null,
            null,
            [],
            [],
            [],
            null,
            Density(joint.Mix, null),
            Tensions(joint),
            null,
            [],
            assumptions ?? [],
            MixWords.NotSaid
        );
        if (MeltingModel.OutsideModel(joint.Mix) is string outside)
        {
            return MixFindings.Finish(answer, request, [outside]);
        }
        MeltingModel model = new(joint.Mix);
        MeltPoint liquidus = model.Liquidus();
        MeltPoint full = model.FullMelt();
        MeltPoint solidus = model.Solidus();
        Freezing freezing = model.Freeze();
        string[] wrong =
        [
            .. new[] { liquidus.Why, full.Why, solidus.Why, freezing.End.Why }.OfType<string>().Distinct(),
        ];
        if (wrong.Length > 0)
        {
            return MixFindings.Finish(answer, request, wrong);
        }
        cancel.ThrowIfCancellationRequested();
        double fullC = full.ValueC!.Value;
        double neededC = fullC + full.ErrorDeltaK;
        bool deep = LeadMeetsBismuth(joint.Mix);
        answer = answer with
        {
            State = MixState.Computed,
            Solidus = Point(solidus),
            FullMelt = Point(full),
            Liquidus = Point(liquidus),
            Freezing = Frozen(freezing, deep, solid.Length > 0),
            NeededC = neededC,
            Peak = request.PeakC is double peakC ? Peak(model, parts, peakC, neededC) : null,
            Balances = [.. Balances(model, request.PeakC, solidus.ValueC!.Value)],
            Heat = Heat(model, solidus.ValueC!.Value, liquidus.ValueC!.Value),
            Density = Density(joint.Mix, Math.Max(request.PeakC ?? 0, fullC + DensityOffDeltaK)),
        };
        if (request.WithCurves)
        {
            answer = answer with
            {
                Heating = MixCurves.Heating(model, answer, cancel),
                Cooling = MixCurves.Cooling(freezing),
                Map = MixCurves.Map(parts, cancel),
            };
        }
        return MixFindings.Finish(answer, request, []);
    }

    /// <summary>The hottest that a joint may get on a board.</summary>
    internal static ReworkTemperature Hottest { get; } = ReflowTables.Rework("joint-hottest", SolderProcess.LeadFree);

    /// <summary>Whether a part melts in no board process: its first melt lies above the hottest that a joint may get.</summary>
    internal static bool StaysSolid(MixPart part) =>
        part.Alloy.Shares.LeadPercent > 50 && Solidus(part.Alloy) is double solidusC && solidusC > Hottest.High!.Value;

    internal static JointMixture Mixture(IReadOnlyList<MixPart> parts) =>
        JointMixture.Of([.. parts.Select(part => new JointPart(part.Name, part.Alloy.Shares.ToMix(), part.MassMg))]);

    internal static bool LeadMeetsBismuth(SolderMix mix) =>
        mix.LeadPercent > MixFindings.LeadFreePercent && mix.BismuthPercent >= MixFindings.BismuthPercent;

    /// <summary>Parts put together by alloy, in the order in which the alloys first appear.</summary>
    internal static IReadOnlyList<(MixAlloy Alloy, double MassMg)> ByAlloy(IReadOnlyList<MixPart> parts) =>
        [.. parts.GroupBy(part => part.Alloy.Shares).Select(one => (one.First().Alloy, one.Sum(part => part.MassMg)))];

    private static double? Solidus(MixAlloy alloy) =>
        MeltingModel.OutsideModel(alloy.Shares.ToMix()) is null
            ? new MeltingModel(alloy.Shares.ToMix()).Solidus().ValueC
            : null;

    private static MixPoint Point(MeltPoint point, double? downDeltaK = null) =>
        new(
            point.ValueC!.Value,
            point.ValueC.Value - (downDeltaK ?? point.ErrorDeltaK),
            point.ValueC.Value + point.ErrorDeltaK,
            point.Phase is SolderPhase phase ? MixWords.Phase(phase) : null,
            point.ResidualJ
        );

    // Tin-rich ends come out 0.7 to 2 K low, those of tin, bismuth and lead 2 to 3 K high: a kelvin down is safe for the one,
    // three for the other.
    private static MixFreezing Frozen(Freezing freezing, bool deep, bool leadBeside)
    {
        double down = deep ? 3 : 1;
        double endC = freezing.End.ValueC!.Value;
        LiquidPoint late = freezing.Curve.LastOrDefault(point => point.TemperatureC >= endC + 1);
        double stillC = Still(endC, down);
        // A ball that stays solid still gives lead to the solder around it.
        stillC = leadBeside ? Math.Min(stillC, Still(ReflowTables.Rework("mix-lead-solidus").Low!.Value, 1)) : stillC;
        return new MixFreezing(Point(freezing.End, down), stillC, late.LiquidFraction);
    }

    // Half a step of the freezing is no reason for a whole degree.
    private static double Still(double endC, double downDeltaK) => Math.Floor(endC - downDeltaK + 0.2);

    private static MixPeak Peak(MeltingModel model, IReadOnlyList<MixPart> parts, double peakC, double neededC)
    {
        double liquid =
            peakC >= MeltingModel.HighC ? 1
            : peakC <= MeltingModel.LowC ? 0
            : model.At(peakC).LiquidFraction;
        IReadOnlyList<(MixAlloy Alloy, double MassMg)> alloys = ByAlloy(parts);
        if (alloys.Count < 2)
        {
            return new MixPeak(peakC, liquid, null, null, peakC >= neededC);
        }
        (MixAlloy last, double lastMg) = alloys.MaxBy(one =>
            new MeltingModel(one.Alloy.Shares.ToMix()).FullMelt().ValueC ?? double.PositiveInfinity
        );
        double rest = 1 - lastMg / alloys.Sum(one => one.MassMg);
        return new MixPeak(peakC, liquid, last.Name, JointMixture.DissolvedFraction(liquid, rest), peakC >= neededC);
    }

    private static IEnumerable<MixBalance> Balances(MeltingModel model, double? peakC, double solidusC)
    {
        (double AtC, string What)[] wanted =
        [
            (peakC ?? double.NaN, "at the peak"),
            (solidusC + 1, "just above the first melt"),
            (solidusC - 1, "just below the first melt"),
            (ColdestC, "solid, long at rest"),
        ];
        foreach ((double atC, string what) in wanted)
        {
            if (atC >= ColdestC && atC < MeltingModel.HighC)
            {
                yield return new MixBalance(
                    atC,
                    what,
                    [
                        .. model
                            .At(atC)
                            .Phases.Select(each => new MixPhase(
                                MixWords.Phase(each.Phase),
                                each.MassFraction,
                                MixShares.Of(each.Mix)
                            )),
                    ]
                );
            }
        }
    }

    private static MixHeat Heat(MeltingModel model, double solidusC, double liquidusC) =>
        new(
            model.MeltingHeatJPerKg(),
            model.MeanSolidHeatJPerKgK(),
            solidusC - SlowHeatOffDeltaK > ColdestC ? model.SpecificHeatJPerKgK(solidusC - SlowHeatOffDeltaK) : null,
            model.SpecificHeatJPerKgK(liquidusC + MeltOffDeltaK)
        );

    private static MixDensity Density(SolderMix mix, double? atC)
    {
        double solid = SolderDensity.SolidKgPerM3(mix);
        if (atC is not double hotC)
        {
            return new MixDensity(solid, null, null, null, null, null);
        }
        double hot = Math.Clamp(hotC, 50, 700);
        double liquid = SolderDensity.LiquidKgPerM3(mix, hot);
        return new MixDensity(
            solid,
            liquid,
            liquid * (1 - LiquidDensityRatio),
            liquid * (1 + LiquidDensityRatio),
            hot,
            SolderDensity.SwellingFactor(mix, hot)
        );
    }

    private static List<MixTension> Tensions(JointMixture joint)
    {
        List<MixTension> tensions = [];
        foreach (MeltCover cover in Enum.GetValues<MeltCover>())
        {
            if (joint.Tension(cover) is { } range)
            {
                tensions.Add(
                    new MixTension(MixWords.Cover(cover), range.TensionNPerM, range.LowNPerM, range.HighNPerM)
                );
            }
        }
        return tensions;
    }
}
