namespace Graftbench.Vision.Balls;

/// <summary>What was measured at a node.</summary>
/// <param name="I">Node.</param>
/// <param name="J">Node.</param>
/// <param name="Fit">The fit of a ball.</param>
/// <param name="Red">Colour inside.</param>
/// <param name="Blue">Colour inside.</param>
/// <param name="Inside">Brightness inside.</param>
/// <param name="HasPoint">Whether something round was seen there when the lattice was found.</param>
internal readonly record struct NodeLook(
    int I,
    int J,
    SiteFit Fit,
    double Red,
    double Blue,
    double Inside,
    bool HasPoint
);

/// <summary>What is usual among the balls of a picture, and how far a site is from it.</summary>
internal sealed class SitePopulation
{
    private const double LeastSpread = 0.28;
    private readonly double whole;
    private readonly double solid;
    private readonly double wholeSpread;
    private readonly double solidSpread;
    private readonly double red;
    private readonly double redSpread;
    private readonly double blue;
    private readonly double blueSpread;
    private readonly Dictionary<(int, int), (double Amount, double Contrast)> local = [];

    private SitePopulation(IReadOnlyList<NodeLook> balls, IReadOnlyList<NodeLook> all)
    {
        Count = balls.Count;
        whole = Median(balls.Select(ball => 1 - ball.Fit.WholeLikeness)) + 0.003;
        solid = Median(balls.Select(ball => 1 - ball.Fit.SolidLikeness)) + 0.02;
        wholeSpread = Spread(balls.Select(ball => Far(ball.Fit.WholeLikeness, whole, 0.003)));
        solidSpread = Spread(balls.Select(ball => Far(ball.Fit.SolidLikeness, solid, 0.02)));
        (red, redSpread) = Usual(balls.Select(ball => ball.Red), 0.03);
        (blue, blueSpread) = Usual(balls.Select(ball => ball.Blue), 0.03);
        SizeRatio = Median(balls.Select(ball => ball.Fit.SizeRatio));
        SolidLikeness = 1 - solid + 0.02;
        OffX = Plane(balls, ball => ball.Fit.XSteps);
        OffY = Plane(balls, ball => ball.Fit.YSteps);
        Dictionary<(int, int), NodeLook> at = balls.ToDictionary(ball => (ball.I, ball.J));
        double amount = Median(balls.Select(ball => ball.Fit.SolidAmountRatio));
        double contrast = Median(balls.Select(ball => ball.Fit.Contrast));
        foreach (NodeLook node in all)
        {
            List<NodeLook> around = [];
            for (int reach = 1; reach <= 3 && around.Count < 5; reach++)
            {
                around.Clear();
                for (int di = -reach; di <= reach; di++)
                {
                    for (int dj = -reach; dj <= reach; dj++)
                    {
                        if ((di, dj) != (0, 0) && at.TryGetValue((node.I + di, node.J + dj), out NodeLook one))
                        {
                            around.Add(one);
                        }
                    }
                }
            }
            local[(node.I, node.J)] =
                around.Count < 3
                    ? (amount, contrast)
                    : (
                        Median(around.Select(one => one.Fit.SolidAmountRatio)),
                        Median(around.Select(one => one.Fit.Contrast))
                    );
        }
    }

    /// <summary>How many places look like balls.</summary>
    public int Count { get; }

    /// <summary>Median size by the look's.</summary>
    public double SizeRatio { get; }

    /// <summary>Median likeness in what no flat thing explains.</summary>
    public double SolidLikeness { get; }

    private double[] OffX { get; }

    private double[] OffY { get; }

    /// <summary>Takes the places that look like balls; null where there are too few.</summary>
    public static SitePopulation? Of(IReadOnlyList<NodeLook> nodes, BallLook look, HashSet<(int, int)> solid)
    {
        double enough = Math.Max(0.45, 0.78 * look.LikenessMedian);
        NodeLook[] balls =
        [
            .. nodes.Where(node =>
                solid.Contains((node.I, node.J))
                && node.Fit.SolidLikeness >= enough
                && node.Fit.WholeLikeness >= 0.8
                && node.Fit.SizeRatio is > 0.8 and < 1.22
            ),
        ];
        return balls.Length >= 6 ? new SitePopulation(balls, nodes) : null;
    }

    /// <summary>Amount of the solid look by that of the balls around.</summary>
    public double AmountRatio(NodeLook node)
    {
        double usual = local[(node.I, node.J)].Amount;
        return usual > 1e-9 ? node.Fit.SolidAmountRatio / usual : 0;
    }

    /// <summary>Contrast of the patch by that of the balls around.</summary>
    public double ContrastRatio(NodeLook node) => node.Fit.Contrast / Math.Max(local[(node.I, node.J)].Contrast, 1e-9);

    /// <summary>Contrast of the balls around a node.</summary>
    public double LocalContrast(int i, int j) =>
        local.TryGetValue((i, j), out (double Amount, double Contrast) one) ? one.Contrast : 0;

    /// <summary>How far a site is from what is usual: 1 is one standard deviation.</summary>
    public double Distance(NodeLook node)
    {
        double a = Math.Max(0, Far(node.Fit.WholeLikeness, whole, 0.003) / wholeSpread);
        double b = Math.Max(0, Far(node.Fit.SolidLikeness, solid, 0.02) / solidSpread);
        return Math.Sqrt((a * a + b * b) / 2);
    }

    /// <summary>How far its colour is from what is usual.</summary>
    public double ColourDistance(NodeLook node) =>
        Math.Sqrt((Sq((node.Red - red) / redSpread) + Sq((node.Blue - blue) / blueSpread)) / 2);

    /// <summary>How far a ball lies beside where balls lie there [steps].</summary>
    public double Away(NodeLook node)
    {
        double x = node.Fit.XSteps - (OffX[0] + OffX[1] * node.I + OffX[2] * node.J);
        double y = node.Fit.YSteps - (OffY[0] + OffY[1] * node.I + OffY[2] * node.J);
        return Math.Sqrt(x * x + y * y);
    }

    private static double Far(double likeness, double usual, double floor) => Math.Log((1 - likeness + floor) / usual);

    private static double Spread(IEnumerable<double> far) =>
        Math.Max(1.4826 * Median(far.Select(Math.Abs)), LeastSpread);

    private static (double Middle, double Spread) Usual(IEnumerable<double> values, double least)
    {
        double[] all = [.. values];
        double middle = Median(all);
        return (middle, Math.Max(1.4826 * Median(all.Select(value => Math.Abs(value - middle))), least));
    }

    // a + b·i + c·j by least squares: balls stand up, so that a tilted camera moves them all, more and more.
    private static double[] Plane(IReadOnlyList<NodeLook> balls, Func<NodeLook, double> value)
    {
        double mi = balls.Average(ball => ball.I);
        double mj = balls.Average(ball => ball.J);
        double mean = Median(balls.Select(value));
        double ii = 5;
        double jj = 5;
        double vi = 0;
        double vj = 0;
        foreach (NodeLook ball in balls)
        {
            double off = Math.Clamp(value(ball) - mean, -0.06, 0.06);
            ii += Sq(ball.I - mi);
            jj += Sq(ball.J - mj);
            vi += (ball.I - mi) * off;
            vj += (ball.J - mj) * off;
        }
        double b = vi / ii;
        double c = vj / jj;
        return [mean - b * mi - c * mj, b, c];
    }

    internal static double Median(IEnumerable<double> values)
    {
        double[] all = [.. values.Order()];
        return all.Length == 0 ? 0 : all[all.Length / 2];
    }

    private static double Sq(double x) => x * x;
}
