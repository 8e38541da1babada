namespace Graftbench.Vision.Balls;

/// <summary>The ground between the balls: where flux colours it, and where the edge of a shadow runs.</summary>
internal sealed class GroundLook
{
    private readonly FieldLook field;
    private readonly Dictionary<(int, int), double> levels = [];
    private readonly (double Middle, double Spread) red;
    private readonly (double Middle, double Spread) blue;

    public GroundLook(FieldLook field)
    {
        this.field = field;
        (double Red, double Blue)[] all =
        [
            .. field.Lattice.Nodes.Select(node => Colour(node.I + 0.5, node.J + 0.5)).OfType<(double, double)>(),
        ];
        red = Usual(all.Select(one => one.Red));
        blue = Usual(all.Select(one => one.Blue));
    }

    /// <summary>How far the colour around a site is from what is usual; the largest of its four corners.</summary>
    public double ColourDistance(double i, double j)
    {
        double most = 0;
        foreach ((double u, double v) in Corners(i, j))
        {
            most = Math.Max(most, ColourAt(u, v));
        }
        return most;
    }

    /// <summary>How far the colour of one place is from what is usual.</summary>
    public double ColourAt(double i, double j)
    {
        if (Colour(i, j) is not { } one)
        {
            return 0;
        }
        double a = (one.Red - red.Middle) / red.Spread;
        double b = (one.Blue - blue.Middle) / blue.Spread;
        return Math.Sqrt((a * a + b * b) / 2);
    }

    /// <summary>Brightness of the brightest corner by that of the darkest.</summary>
    public double ShadeRatio(double i, double j)
    {
        double least = double.MaxValue;
        double most = 0;
        foreach ((double u, double v) in Corners(i, j))
        {
            if (Level(u, v) is { } level)
            {
                least = Math.Min(least, level);
                most = Math.Max(most, level);
            }
        }
        // Black ground has no ratio to speak of.
        return most <= 0 ? 1 : (most + 0.08) / (least + 0.08);
    }

    /// <summary>Median brightness of the ground around a place: 36 places between balls.</summary>
    public double UsualLevel(double i, double j)
    {
        (int, int) at = ((int)Math.Floor(i), (int)Math.Floor(j));
        if (!levels.TryGetValue(at, out double level))
        {
            List<double> around = [];
            for (int b = -3; b < 3; b++)
            {
                for (int a = -3; a < 3; a++)
                {
                    if (Level(at.Item1 + a + 0.5, at.Item2 + b + 0.5) is { } one)
                    {
                        around.Add(one);
                    }
                }
            }
            level = SitePopulation.Median(around);
            levels[at] = level;
        }
        return level;
    }

    /// <summary>Brightness of the ground at a place; null outside of what was seen.</summary>
    public double? Level(double i, double j)
    {
        double sum = 0;
        foreach ((double du, double dv) in Spots)
        {
            float value = field.Flat.At(X(i + du), Y(j + dv));
            if (float.IsNaN(value))
            {
                return null;
            }
            sum += value;
        }
        return sum / Spots.Length;
    }

    private static readonly (double U, double V)[] Spots =
    [
        (0, 0),
        (0.07, 0),
        (-0.07, 0),
        (0, 0.07),
        (0, -0.07),
        (0.05, 0.05),
        (-0.05, 0.05),
        (0.05, -0.05),
        (-0.05, -0.05),
    ];

    private static (double, double)[] Corners(double i, double j) =>
        [(i - 0.5, j - 0.5), (i + 0.5, j - 0.5), (i - 0.5, j + 0.5), (i + 0.5, j + 0.5)];

    private double X(double i) => field.Flat.XPx(i + field.Outline.OffsetXSteps);

    private double Y(double j) => field.Flat.YPx(j + field.Outline.OffsetYSteps);

    private (double Red, double Blue)? Colour(double i, double j)
    {
        double r = 0;
        double b = 0;
        foreach ((double du, double dv) in Spots)
        {
            float one = field.Flat.Sample(field.Flat.Red, X(i + du), Y(j + dv));
            if (float.IsNaN(one))
            {
                return null;
            }
            r += one;
            b += field.Flat.Sample(field.Flat.Blue, X(i + du), Y(j + dv));
        }
        return (r / Spots.Length, b / Spots.Length);
    }

    private static (double Middle, double Spread) Usual(IEnumerable<double> values)
    {
        double[] all = [.. values];
        double middle = SitePopulation.Median(all);
        return (middle, Math.Max(1.4826 * SitePopulation.Median(all.Select(one => Math.Abs(one - middle))), 0.04));
    }
}
