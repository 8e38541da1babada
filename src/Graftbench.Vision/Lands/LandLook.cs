using Graftbench.Vision.Pictures;
using Graftbench.Vision.Planes;

namespace Graftbench.Vision.Lands;

/// <summary>How one land looks.</summary>
/// <param name="Row">Row from 0.</param>
/// <param name="Column">Column from 0.</param>
/// <param name="Place">Where.</param>
/// <param name="Seen">Whether it lies whole in the picture.</param>
/// <param name="Contrast">Brightness and two colour differences, inside less around.</param>
/// <param name="Tint">Two colour differences inside, by the brightness.</param>
/// <param name="Unevenness">Standard deviation of brightness inside, by the brightness around.</param>
/// <param name="Blown">Share of the land that is as bright as the picture can be.</param>
/// <param name="OffPlaceRatio">How far the middle of what stands out lies off, by the radius.</param>
/// <param name="OutsideShare">Share of the ring close around the land that looks like land.</param>
internal sealed record LandLook(
    int Row,
    int Column,
    PicturePoint Place,
    bool Seen,
    double[] Contrast,
    double[] Tint,
    double Unevenness,
    double Blown,
    double OffPlaceRatio,
    double OutsideShare
)
{
    private const float BlownLevel = 0.985f;

    /// <summary>Looks.</summary>
    public static LandLook Of(
        Picture picture,
        Plane grey,
        int row,
        int column,
        PicturePoint at,
        double radius,
        double pitch
    )
    {
        double far = Math.Min(1.55 * radius, 0.5 * pitch);
        if (!grey.Holds(at.XPx - far - 1, at.YPx - far - 1) || !grey.Holds(at.XPx + far + 1, at.YPx + far + 1))
        {
            return new LandLook(row, column, at, false, [0, 0, 0], [0, 0], 0, 0, 0, 0);
        }
        List<float>[] inside =
        [
            [],
            [],
            [],
        ];
        List<float>[] around =
        [
            [],
            [],
            [],
        ];
        double blown = 0;
        double near = Math.Min(1.22 * radius, 0.97 * far);
        double reach = 0.78 * radius;
        for (int y = (int)(at.YPx - far); y <= at.YPx + far + 1; y++)
        {
            for (int x = (int)(at.XPx - far); x <= at.XPx + far + 1; x++)
            {
                double d = Math.Sqrt(Math.Pow(x - at.XPx, 2) + Math.Pow(y - at.YPx, 2));
                bool isIn = d <= reach;
                if (!isIn && (d < near || d > far))
                {
                    continue;
                }
                (float l, float p, float q) = Colour(picture, grey, x, y);
                List<float>[] to = isIn ? inside : around;
                to[0].Add(l);
                to[1].Add(p);
                to[2].Add(q);
                blown += isIn && l >= BlownLevel ? 1 : 0;
            }
        }
        double[] inner = [.. inside.Select(list => Ranks.Median([.. list]))];
        double[] outer = [.. around.Select(list => Ranks.Median([.. list]))];
        double light = Math.Max(0.02, outer[0]);
        float[] level = [.. inside[0]];
        // Both ends: a blob shines on one side and is dark on the other.
        double uneven = Ranks.Quantile(level, 0.93) - Ranks.Quantile(level, 0.07);
        return new LandLook(
            row,
            column,
            at,
            true,
            [.. inner.Select((value, k) => (value - outer[k]) / light)],
            [inner[1] / Math.Max(0.05, inner[0]), inner[2] / Math.Max(0.05, inner[0])],
            uneven / Math.Max(0.05, inner[0]),
            blown / Math.Max(1, level.Length),
            OffPlace(grey, at, radius, far, outer[0], inner[0]),
            Outside(grey, at, radius, far, outer[0], inner[0])
        );
    }

    private static double Outside(Plane grey, PicturePoint at, double radius, double far, double outer, double inner)
    {
        int on = 0;
        const int Rays = 36;
        double d = Math.Min(1.25 * radius, far);
        for (int k = 0; k < Rays; k++)
        {
            double angle = 2 * Math.PI * k / Rays;
            double value = grey.At(at.XPx + d * Math.Cos(angle), at.YPx + d * Math.Sin(angle));
            on += Math.Abs(inner - outer) > 0.02 && (value - outer) / (inner - outer) > 0.5 ? 1 : 0;
        }
        return on / (double)Rays;
    }

    // Middle of what differs from the board around, weighted by how much.
    private static double OffPlace(Plane grey, PicturePoint at, double radius, double far, double outer, double inner)
    {
        double sum = 0;
        double sx = 0;
        double sy = 0;
        double whole = 0;
        double sign = inner >= outer ? 1 : -1;
        double size = Math.Max(0.02, Math.Abs(inner - outer));
        for (int y = (int)(at.YPx - far); y <= at.YPx + far + 1; y++)
        {
            for (int x = (int)(at.XPx - far); x <= at.XPx + far + 1; x++)
            {
                double d = Math.Sqrt(Math.Pow(x - at.XPx, 2) + Math.Pow(y - at.YPx, 2));
                if (d > far)
                {
                    continue;
                }
                double weight = Math.Clamp(sign * (grey[x, y] - outer) / size - 0.3, 0, 0.7);
                sum += weight;
                sx += weight * (x - at.XPx);
                sy += weight * (y - at.YPx);
                whole += 0.7;
            }
        }
        // Too little stands out to have a middle.
        return sum < 0.06 * whole ? 0 : Math.Sqrt(sx * sx + sy * sy) / sum / radius;
    }

    private static (float L, float P, float Q) Colour(Picture picture, Plane grey, int x, int y)
    {
        if (picture.Rgb is not { } rgb)
        {
            return (grey[x, y], 0, 0);
        }
        int k = 3 * (y * picture.WidthPx + x);
        float r = rgb[k] / 255f;
        float g = rgb[k + 1] / 255f;
        float b = rgb[k + 2] / 255f;
        return ((r + g + b) / 3, r - g, (r + g) / 2 - b);
    }
}

/// <summary>How lands of a picture look as a rule.</summary>
internal sealed class LandPopulation
{
    private const int FewestLands = 8;
    private const double LeastTintSpread = 0.02;
    private readonly double[] contrast;
    private readonly double[] tint;
    private readonly double[] tintSpread;
    private readonly double uneven;
    private readonly double unevenSpread;

    private LandPopulation(LandLook[] seen)
    {
        contrast = Middle(seen, look => look.Contrast, 3);
        tint = Middle(seen, look => look.Tint, 2);
        tintSpread =
        [
            .. Enumerable
                .Range(0, 2)
                .Select(k => Math.Max(LeastTintSpread, Ranks.Spread(seen.Select(look => look.Tint[k])))),
        ];
        // In logarithms: unevenness is spread by a factor.
        uneven = Ranks.Median(seen.Select(look => Math.Log(look.Unevenness + 0.01)));
        unevenSpread = Math.Max(0.16, Ranks.Spread(seen.Select(look => Math.Log(look.Unevenness + 0.01))));
        StandOutSpread = Ranks.Spread(seen.Select(StandsOut));
        Blown = Ranks.Median(seen.Select(look => look.Blown));
        Outside = Ranks.Median(seen.Select(look => look.OutsideShare));
        OffPlace = Ranks.Median(seen.Select(look => look.OffPlaceRatio));
    }

    /// <summary>Spread of how far lands stand out, by how far they do.</summary>
    public double StandOutSpread { get; }

    /// <summary>Usual share of a land that is blown out.</summary>
    public double Blown { get; }

    /// <summary>Usual distance of a land's middle from its place, by the radius.</summary>
    public double OffPlace { get; }

    /// <summary>Usual share of the ring close around a land that looks like land.</summary>
    public double Outside { get; }

    /// <summary>Learns; null where too few lands are seen, or they do not stand out.</summary>
    public static LandPopulation? Of(LandLook[] looks)
    {
        LandLook[] seen = [.. looks.Where(look => look.Seen)];
        if (seen.Length < FewestLands)
        {
            return null;
        }
        LandPopulation population = new(seen);
        return population.contrast.Sum(one => one * one) < 1e-4 ? null : population;
    }

    /// <summary>1 where it stands out as the others do, 0 where it looks like the board around it.</summary>
    public double StandsOut(LandLook look)
    {
        double along = 0;
        double norm = 0;
        for (int k = 0; k < contrast.Length; k++)
        {
            along += look.Contrast[k] * contrast[k];
            norm += contrast[k] * contrast[k];
        }
        return along / Math.Max(1e-9, norm);
    }

    /// <summary>How far its colour is off, in the population's spreads.</summary>
    public double Colour(LandLook look)
    {
        double sum = 0;
        for (int k = 0; k < tint.Length; k++)
        {
            sum += Math.Pow((look.Tint[k] - tint[k]) / tintSpread[k], 2);
        }
        return Math.Sqrt(sum);
    }

    /// <summary>How much more uneven it is, in the population's spreads.</summary>
    public double Texture(LandLook look) => (Math.Log(look.Unevenness + 0.01) - uneven) / unevenSpread;

    private static double[] Middle(LandLook[] seen, Func<LandLook, double[]> of, int count) =>
        [.. Enumerable.Range(0, count).Select(k => Ranks.Median(seen.Select(look => of(look)[k])))];
}
