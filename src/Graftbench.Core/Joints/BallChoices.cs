using System.Globalization;
using Graftbench.Core.Facts;
using Graftbench.Core.Physics.Capillary;
using static System.FormattableString;

namespace Graftbench.Core.Joints;

/// <summary>Which balls suit pads, pitch and the original standoff.</summary>
internal static class BallChoices
{
    /// <summary>Sizes of balls that are sold [mm].</summary>
    public static IReadOnlyList<double> Sizes { get; } = [.. JointFacts.Balls.Select(ball => ball.BallMm)];

    /// <summary>Choices, best first.</summary>
    public static IReadOnlyList<BallChoice> Find(JointRequest request)
    {
        JointSite typical = JointChanges.Typical(request);
        double pad = 2 * typical.PackageRadiusMm;
        double load =
            Units.WeightMilliN(request.Load.PackageG + request.Load.LidG)
            / Math.Max(1, request.Sites.Count(site => site.BallVolumeMm3 > 0));
        return
        [
            .. JointFacts
                .Balls.Where(row => row.BallMm > pad * 0.9 && row.BallMm < pad * 2.2 && row.BallMm < request.PitchMm)
                .Select(row => Choice(request, typical, row, pad, load))
                .OrderByDescending(choice => choice.Suits)
                .ThenBy(choice =>
                    choice.OffOriginalMm is { } off ? Math.Abs(off) : Math.Abs(0.77 * choice.BallDiameterMm - pad)
                ),
        ];
    }

    private static BallChoice Choice(
        JointRequest request,
        JointSite typical,
        BallLand land,
        double pad,
        double loadMilliN
    )
    {
        (double size, double least, double most) = (land.BallMm, land.LeastLandMm, land.MostLandMm);
        double slack = JointFacts.Figure("land-slack").Value;
        double volume = SolderCap.BallVolumeMm3(size) * request.Solder.SwellingFactor;
        BridgeShape? shape = LiquidBridge
            .AtLoad(
                JointChanges.Bridge(request, typical with { BallVolumeMm3 = SolderCap.BallVolumeMm3(size) }),
                loadMilliN
            )
            .Shape;
        double? spacing = shape is null ? null : request.PitchMm - shape.WidestMm;
        bool padFits = pad >= least - slack && pad <= most + slack;
        bool apart = spacing >= JointNominal.AskedSpacingMm;
        double? off = shape is null ? null : shape.GapMm - request.OriginalStandoffMm;
        string why =
            !padFits ? Invariant($"the pad of {pad:0.00} mm is outside {least:0.00} to {most:0.00} mm for this ball")
            : !apart ? "neighbours come too near"
            : off is { } by
                ? Invariant($"stands {Math.Abs(by):0.00} mm {(by < 0 ? "lower" : "higher")} than the original")
            : Invariant($"suits the pad of {pad:0.00} mm");
        return new BallChoice(
            size,
            Math.Round(size * JointFacts.Figure("stencil-hole").Value * 20) / 20,
            SolderCap.HeightMm(volume, typical.PackageRadiusMm),
            shape?.GapMm,
            off,
            spacing,
            padFits && apart,
            why,
            land.Source
        );
    }
}
