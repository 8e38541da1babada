using System.Globalization;
using Graftbench.Core.Physics.Capillary;
using static System.FormattableString;

namespace Graftbench.Core.Joints;

/// <summary>Which balls suit pads, pitch and the original standoff.</summary>
internal static class BallChoices
{
    /// <summary>Sizes of balls that are sold [mm].</summary>
    public static IReadOnlyList<double> Sizes { get; } =
    [0.20, 0.25, 0.30, 0.35, 0.40, 0.45, 0.50, 0.55, 0.60, 0.635, 0.65, 0.70, 0.76, 0.80, 0.89];

    private const string Forum = "[F1] public forum thread on ball-grid pad design, quoting the IPC-7095 tables";
    private const string Manual = "[F2] embedded-module user manual, tables 5-2 and 5-3";
    private const string Memory = "IPC-7351 table, 20 % class, from memory";
    private const string Rule =
        "rule behind the table: land 25 % smaller (20 % up to 0.55 mm), 0.10 mm wide, [F1], [F3]";

    // Land for a ball: least and largest [mm].
    private static readonly Dictionary<double, (double Least, double Most, string Source)> Lands = new()
    {
        [0.76] = (0.50, 0.60, Forum),
        [0.60] = (0.40, 0.50, Forum),
        [0.50] = (0.35, 0.45, Forum),
        [0.30] = (0.20, 0.25, Manual),
        [0.45] = (0.30, 0.40, Memory),
        [0.40] = (0.25, 0.35, Memory),
        [0.35] = (0.25, 0.35, Memory),
        [0.25] = (0.15, 0.25, Memory),
    };

    // Lands on real boards run a little past the table: 0.53 for 0.60 balls, 0.255 and 0.275 for 0.30.
    private const double LandSlackMm = 0.03;
    private const double HoleFactor = 1.1;

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
            .. Sizes
                .Where(size => size > pad * 0.9 && size < pad * 2.2 && size < request.PitchMm)
                .Select(size => Choice(request, typical, size, pad, load))
                .OrderByDescending(choice => choice.Suits)
                .ThenBy(choice =>
                    choice.OffOriginalMm is { } off ? Math.Abs(off) : Math.Abs(0.77 * choice.BallDiameterMm - pad)
                ),
        ];
    }

    private static BallChoice Choice(
        JointRequest request,
        JointSite typical,
        double size,
        double pad,
        double loadMilliN
    )
    {
        (double least, double most, string source) = Lands.TryGetValue(size, out (double, double, string) row)
            ? row
            : (Share(size) * size - 0.05, Share(size) * size + 0.05, Rule);
        double volume = SolderCap.BallVolumeMm3(size) * request.Solder.SwellingFactor;
        BridgeShape? shape = LiquidBridge
            .AtLoad(
                JointChanges.Bridge(request, typical with { BallVolumeMm3 = SolderCap.BallVolumeMm3(size) }),
                loadMilliN
            )
            .Shape;
        double? spacing = shape is null ? null : request.PitchMm - shape.WidestMm;
        bool padFits = pad >= least - LandSlackMm && pad <= most + LandSlackMm;
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
            Math.Round(size * HoleFactor * 20) / 20,
            SolderCap.HeightMm(volume, typical.PackageRadiusMm),
            shape?.GapMm,
            off,
            spacing,
            padFits && apart,
            why,
            source + "; stencil hole a tenth larger than the ball, to 0.05 mm: common practice, no source"
        );
    }

    private static double Share(double size) => size > 0.55 ? 0.75 : 0.80;
}
