using System.Collections.Concurrent;
using Graftbench.Core.Physics.Capillary;

namespace Graftbench.Core.Joints;

/// <summary>Force tables of a request: one for each group of joints of about the same pads.</summary>
internal sealed class JointTables
{
    private const double RatioStep = 0.02;
    private const double ScaleStep = 0.08;

    // The most uneven solder that the search for the need tries.
    private const double MostTriedFraction = 0.4;
    private const int MostGroups = 24;

    // A slider, and the levers of a plan, ask for the same few tables again and again; a table follows from its key alone.
    private const int MostKept = 48;
    private static readonly ConcurrentDictionary<(double, double, double, double), BridgeTable> Kept = new();

    private JointTables(BridgeTable[] tables, int[] bySite)
    {
        Tables = tables;
        BySite = bySite;
    }

    public BridgeTable[] Tables { get; }

    public int[] BySite { get; }

    /// <summary>Computes the tables; null where pads are too odd or a table could not be solved.</summary>
    public static JointTables? Create(JointRequest request)
    {
        Dictionary<(int, int), (int Index, List<JointSite> Sites)> groups = [];
        int[] bySite = new int[request.Sites.Count];
        for (int i = 0; i < bySite.Length; i++)
        {
            JointSite site = request.Sites[i];
            double scale = Scale(site);
            (int, int) key = (
                (int)Math.Round(Math.Log(site.PackageRadiusMm / site.BoardRadiusMm) / RatioStep),
                (int)Math.Round(Math.Log(scale) / ScaleStep)
            );
            if (!groups.TryGetValue(key, out (int Index, List<JointSite> Sites) group))
            {
                group = (groups.Count, []);
                groups.Add(key, group);
            }
            group.Sites.Add(site);
            bySite[i] = group.Index;
        }
        if (groups.Count > MostGroups)
        {
            return null;
        }
        BridgeTable?[] tables = new BridgeTable?[groups.Count];
        Parallel.ForEach(groups.Values, group => tables[group.Index] = Table(request, group.Sites));
        return tables.Any(table => table is null) ? null : new JointTables([.. tables.Select(table => table!)], bySite);
    }

    /// <summary>Length that a joint is measured by [mm].</summary>
    public static double Scale(JointSite site) => UnitCase(site).ScaleMm;

    private static BridgeCase UnitCase(JointSite site) => new(site.BoardRadiusMm, site.PackageRadiusMm, 1, 1, 0);

    private static BridgeTable? Table(JointRequest request, List<JointSite> sites)
    {
        double ratio = sites.Average(site => site.PackageRadiusMm / site.BoardRadiusMm);
        double scale = sites.Average(Scale);
        double swelling = request.Solder.SwellingFactor;
        double[] balls =
        [
            .. sites
                .Where(site => site.BallVolumeMm3 > 0)
                .Select(site => site.BallVolumeMm3 / Math.Pow(Scale(site), 3)),
        ];
        if (balls.Length == 0)
        {
            balls = [4];
        }
        double domes = sites.Max(site => site.DomeVolumeMm3 / Math.Pow(Scale(site), 3));
        double loose = 1 - 0.5 * Math.Min(1, 30 * request.Spread.BallDiameterSdMm);
        double bond =
            request.Solder.DensityKgPerM3 * Units.WeightMilliN(1) * 1e-6 * scale * scale / request.Solder.TensionNPerM;
        // Room for any dome up to half a sphere, drawn unevenly up to three standard deviations.
        double uneven = 1 + 3 * Math.Max(MostTriedFraction, request.Spread.DomeVolumeSdPercent / 100);
        double grows = 1.5 * request.Solder.SwellingErrorPercent / 100;
        double least = Math.Max(0.05, 0.9 * loose * balls.Min() * (swelling - grows));
        double most = (1.15 * balls.Max() + uneven * Math.Max(2 * Math.PI / 3, domes)) * (swelling + grows);
        (double, double, double, double) key = (ratio, bond, least, most);
        if (Kept.TryGetValue(key, out BridgeTable? kept))
        {
            return kept;
        }
        BridgeTable? made = BridgeTable.Create(ratio, bond, least, most);
        if (made is not null)
        {
            if (Kept.Count >= MostKept)
            {
                Kept.Clear();
            }
            Kept[key] = made;
        }
        return made;
    }
}
