using Graftbench.Core.Physics.Capillary;

namespace Graftbench.Core.Joints;

/// <summary>The same request with one thing changed.</summary>
internal static class JointChanges
{
    /// <summary>Another amount of solder on every land, and how uneven it is.</summary>
    public static JointRequest WithDome(JointRequest request, double domeMm, double spreadPercent) =>
        request with
        {
            Sites =
            [
                .. request.Sites.Select(site =>
                    site with
                    {
                        DomeVolumeMm3 = SolderCap.VolumeMm3(domeMm, site.BoardRadiusMm),
                    }
                ),
            ],
            Spread = request.Spread with { DomeVolumeSdPercent = spreadPercent },
        };

    /// <summary>Another surface tension.</summary>
    public static JointRequest WithTension(JointRequest request, double factor) =>
        request with
        {
            Solder = request.Solder with { TensionNPerM = factor * request.Solder.TensionNPerM },
        };

    /// <summary>Other balls.</summary>
    public static JointRequest WithBall(JointRequest request, double diameterMm) =>
        request with
        {
            Sites =
            [
                .. request.Sites.Select(site =>
                    site.BallVolumeMm3 <= 0 ? site : site with { BallVolumeMm3 = SolderCap.BallVolumeMm3(diameterMm) }
                ),
            ],
        };

    /// <summary>Other pads on the package.</summary>
    public static JointRequest WithPackagePad(JointRequest request, double changeMm) =>
        request with
        {
            Sites =
            [
                .. request.Sites.Select(site => site with { PackageRadiusMm = site.PackageRadiusMm + changeMm / 2 }),
            ],
        };

    /// <summary>Lower parts.</summary>
    public static JointRequest WithStops(JointRequest request, double changeMm) =>
        request with
        {
            Stops = [.. request.Stops.Select(stop => stop with { StopHeightMm = stop.StopHeightMm + changeMm })],
        };

    /// <summary>Lands that need it brought to a height each, the others as they are.</summary>
    public static JointRequest WithRetinned(JointRequest request, IReadOnlyList<double> domesMm) =>
        request with
        {
            Sites =
            [
                .. request.Sites.Select(
                    (site, i) =>
                        SolderCap.VolumeMm3(domesMm[i], site.BoardRadiusMm) is var volume && volume > site.DomeVolumeMm3
                            ? site with
                            {
                                DomeVolumeMm3 = volume,
                            }
                            : site
                ),
            ],
            Spread = request.Spread with { DomeVolumeSdPercent = Math.Min(10, request.Spread.DomeVolumeSdPercent) },
        };

    /// <summary>Diameter of the ball that most joints have [mm]; 0 without balls.</summary>
    public static double BallMm(JointRequest request)
    {
        double volume = Middle(request.Sites.Where(site => site.BallVolumeMm3 > 0).Select(site => site.BallVolumeMm3));
        return Math.Cbrt(6 * volume / Math.PI);
    }

    /// <summary>Mean height of the domes [mm].</summary>
    public static double DomeMm(JointRequest request) =>
        request.Sites.Average(site => SolderCap.HeightMm(site.DomeVolumeMm3, site.BoardRadiusMm));

    /// <summary>The joint in the middle of the sizes.</summary>
    public static JointSite Typical(JointRequest request) =>
        new(
            "typical",
            0,
            0,
            SolderCap.BallVolumeMm3(Math.Max(1e-3, BallMm(request))),
            Middle(request.Sites.Select(site => site.DomeVolumeMm3)),
            Middle(request.Sites.Select(site => site.PackageRadiusMm)),
            Middle(request.Sites.Select(site => site.BoardRadiusMm))
        );

    /// <summary>Its drop of liquid.</summary>
    public static BridgeCase Bridge(JointRequest request, JointSite site) =>
        new(
            site.BoardRadiusMm,
            site.PackageRadiusMm,
            (site.BallVolumeMm3 + site.DomeVolumeMm3) * request.Solder.SwellingFactor,
            request.Solder.TensionNPerM,
            request.Solder.DensityKgPerM3
        );

    /// <summary>Standard deviation of one joint's reach by ball, radii, growth on melting and land, the dome left out [mm].</summary>
    public static double ReachSdMm(JointRequest request)
    {
        JointSite site = Typical(request);
        double a = site.PackageRadiusMm;
        double h = SolderCap.HeightMm(site.BallVolumeMm3, a);
        double square = a * a + h * h;
        double ball = BallMm(request);
        double byBall = ball * ball / square * request.Spread.BallDiameterSdMm;
        double byRadius = 2 * a * h / square * request.Spread.PadRadiusSdMm;
        double melt = site.BallVolumeMm3 * request.Solder.SwellingErrorPercent / 200 / (Math.PI / 2 * square);
        double land = request.Spread.LandHeightSdMm;
        double part = request.Stops.Select(stop => stop.ErrorMm / 2).DefaultIfEmpty(0).Max();
        return Math.Sqrt(byBall * byBall + byRadius * byRadius + melt * melt + land * land + part * part);
    }

    private static double Middle(IEnumerable<double> values)
    {
        double[] sorted = [.. values.Order()];
        return sorted.Length == 0 ? 0 : sorted[sorted.Length / 2];
    }
}
