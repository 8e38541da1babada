using System.Globalization;
using Graftbench.Vision.Answering;

namespace Graftbench.Web.Inspecting;

/// <summary>The marks as paths of a drawing, the same shapes as in the exported picture; page and script both take them from here.</summary>
internal static class SitePath
{
    /// <summary>The path of a mark.</summary>
    /// <param name="mark">The mark.</param>
    /// <param name="x">Middle [px].</param>
    /// <param name="y">Middle [px].</param>
    /// <param name="radius">Radius of what it stands on [px].</param>
    public static string Of(SiteMark mark, double x, double y, double radius)
    {
        double r = 1.15 * radius;
        string box = $"M{N(x - r)} {N(y - r)}H{N(x + r)}V{N(y + r)}H{N(x - r)}Z";
        return mark switch
        {
            SiteMark.Cross =>
                $"M{N(x - r)} {N(y - r)}L{N(x + r)} {N(y + r)}M{N(x + r)} {N(y - r)}L{N(x - r)} {N(y + r)}",
            SiteMark.RingInSquare => box + Ring(x, y, 0.6 * r),
            SiteMark.Square => box,
            SiteMark.DoubleRing => Ring(x, y, r) + Ring(x, y, 1.3 * r),
            SiteMark.Diamond =>
                $"M{N(x)} {N(y - (1.2 * r))}L{N(x + (1.2 * r))} {N(y)}L{N(x)} {N(y + (1.2 * r))}L{N(x - (1.2 * r))} {N(y)}Z",
            SiteMark.Triangle =>
                $"M{N(x)} {N(y - r)}L{N(x + (0.9 * r))} {N(y + (0.6 * r))}L{N(x - (0.9 * r))} {N(y + (0.6 * r))}Z",
            _ => Ring(x, y, radius),
        };
    }

    /// <summary>A number of pixels.</summary>
    public static string N(double value) => value.ToString("0.#", CultureInfo.InvariantCulture);

    private static string Ring(double x, double y, double r) =>
        $"M{N(x - r)} {N(y)}a{N(r)} {N(r)} 0 1 0 {N(2 * r)} 0a{N(r)} {N(r)} 0 1 0 {N(-2 * r)} 0";
}
