using Graftbench.Core.Physics.Capillary;

namespace Graftbench.Core.Joints;

/// <summary>What became of one drawn package.</summary>
internal readonly record struct DrawnOutcome(
    bool Settled,
    int Open,
    int Parted,
    int Spilled,
    double LeastSpacingMm,
    bool Outside,
    double OnStopsMilliN
)
{
    public bool NearBridge => LeastSpacingMm < JointNominal.AskedSpacingMm;
}

/// <summary>Draws packages one after another into the same arrays and lets each settle.</summary>
internal sealed class DrawnSeat
{
    private const double SettledMm = 1e-6;
    private const double LeastDomeShare = 0.1;
    private const double LeastSizeShare = 0.2;

    private readonly JointRequest request;
    private readonly SeatField field;
    private readonly NeighbourPairs pairs;
    private readonly double[] ballDiameter;
    private readonly double[] ballHeight;
    private readonly double[] domeHeight;
    private readonly double[] radius;
    private readonly bool[] parted;
    private readonly int[] basis = [-1, -1, -1];

    public DrawnSeat(JointRequest request, JointTables tables, NeighbourPairs pairs)
    {
        this.request = request;
        this.pairs = pairs;
        field = new SeatField(request, tables);
        int n = field.Count;
        Joined = new bool[n];
        parted = new bool[n];
        radius = new double[n];
        ballDiameter = [.. request.Sites.Select(site => Math.Cbrt(6 * site.BallVolumeMm3 / Math.PI))];
        double swelling = request.Solder.SwellingFactor;
        ballHeight =
        [
            .. request.Sites.Select(site => SolderCap.HeightMm(site.BallVolumeMm3 * swelling, site.PackageRadiusMm)),
        ];
        domeHeight =
        [
            .. request.Sites.Select(site => SolderCap.HeightMm(site.DomeVolumeMm3 * swelling, site.BoardRadiusMm)),
        ];
    }

    public bool[] Joined { get; }

    public bool Missing(int i) => field.Missing[i];

    /// <summary>Draws and settles one package.</summary>
    public DrawnOutcome Next(ulong seed, int trial, double overshootMm = 0)
    {
        if (!Stand(seed, trial, out SeatPlane plane))
        {
            return new DrawnOutcome(false, field.Count, 0, 0, double.PositiveInfinity, false, 0);
        }
        Array.Clear(Joined);
        Array.Clear(parted);
        SeatOutcome outcome = SeatSolver.Settle(field, ref plane, Joined, parted, SettledMm, overshootMm);
        int open = 0;
        int apart = 0;
        int spilled = 0;
        for (int i = 0; i < field.Count; i++)
        {
            if (!Joined[i])
            {
                open++;
                apart += parted[i] ? 1 : 0;
                radius[i] = ballDiameter[i] / 2;
                continue;
            }
            double gap = field.Gap(i, in plane);
            spilled += gap < field.SpillGap(i) ? 1 : 0;
            radius[i] = field.WidestRadius(i, gap);
        }
        double spacing = double.PositiveInfinity;
        for (int p = 0; p < pairs.First.Length; p++)
        {
            spacing = Math.Min(spacing, pairs.DistanceMm[p] - radius[pairs.First[p]] - radius[pairs.Second[p]]);
        }
        return new DrawnOutcome(
            outcome.Converged,
            open,
            apart,
            spilled,
            spacing,
            outcome.Outside || field.Outside,
            outcome.OnStopsMilliN
        );
    }

    /// <summary>Draws one package and stands it, swollen but with nothing joined; false where it tips over.</summary>
    public bool Stand(ulong seed, int trial, out SeatPlane plane)
    {
        Draw(seed, trial);
        if (ColdStand.Find(field, basis, out plane))
        {
            return true;
        }
        (basis[0], basis[1], basis[2]) = (-1, -1, -1);
        return ColdStand.Find(field, basis, out plane);
    }

    /// <summary>How far a ball hangs above its land's solder with the package on a plane [mm].</summary>
    public double FloatMm(int i, in SeatPlane plane) => field.Gap(i, in plane) - field.Touch[i];

    private void Draw(ulong seed, int trial)
    {
        NormalDraw draw = new(seed, trial);
        field.Outside = false;
        JointSpread spread = request.Spread;
        JointSolder solder = request.Solder;
        // One melt: its figures are off by the same for every joint of a package.
        field.TensionNPerM = solder.TensionNPerM * Off(ref draw, solder.TensionErrorPercent);
        field.DensityKgPerM3 = solder.DensityKgPerM3 * Off(ref draw, solder.DensityErrorPercent);
        double swelling = solder.SwellingFactor + Off(ref draw, solder.SwellingErrorPercent) - 1;
        double warpage = request.HotWarpageMm + spread.WarpageSdMm * draw.Normal();
        for (int k = 0; k < field.Stops; k++)
        {
            JointStop stop = request.Stops[k];
            // The measurement's error is taken as two standard deviations.
            double height = stop.StopHeightMm + stop.ErrorMm / 2 * draw.Normal();
            field.StopOffset[k] = field.Warp(field.StopX[k], field.StopY[k], warpage) - height;
        }
        double domeSd = spread.DomeVolumeSdPercent / 100;
        for (int i = 0; i < field.Count; i++)
        {
            JointSite site = request.Sites[i];
            double diameter = ballDiameter[i] + spread.BallDiameterSdMm * draw.Normal();
            double upper = site.PackageRadiusMm + spread.PadRadiusSdMm * draw.Normal();
            double lower = site.BoardRadiusMm + spread.PadRadiusSdMm * draw.Normal();
            double land = site.LandHeightMm + spread.LandHeightSdMm * draw.Normal();
            double share = Math.Max(LeastDomeShare, 1 + domeSd * draw.Normal());
            bool missing = spread.MissingFraction > 0 && draw.Uniform() < spread.MissingFraction;
            field.Missing[i] = missing || site.BallVolumeMm3 <= 0;
            field.Offset[i] = field.Warp(field.X[i], field.Y[i], warpage) - land;
            if (field.Missing[i])
            {
                continue;
            }
            diameter = Math.Max(diameter, LeastSizeShare * ballDiameter[i]);
            upper = Math.Max(upper, LeastSizeShare * site.PackageRadiusMm);
            lower = Math.Max(lower, LeastSizeShare * site.BoardRadiusMm);
            double ball = Math.PI / 6 * diameter * diameter * diameter * swelling;
            double dome = site.DomeVolumeMm3 * share * swelling;
            double squares = upper * upper + lower * lower;
            double ballMm = Cap(ball, upper * upper, ballHeight[i]);
            double domeMm = dome <= 0 ? 0 : Cap(dome, lower * lower, domeHeight[i]);
            double scale = Math.Sqrt(squares / 2);
            field.Touch[i] = ballMm + domeMm;
            field.Joint(i, scale, ball + dome, Cap(ball + dome, squares, 0.85 * (ballMm + domeMm)));
        }
    }

    // A stated error is two standard deviations; cut off at three.
    private static double Off(ref NormalDraw draw, double errorPercent) =>
        Math.Max(LeastSizeShare, 1 + errorPercent / 200 * Math.Clamp(draw.Normal(), -3, 3));

    // Height of a cap by Newton from a near value; the cubic is convex above 0, so it comes down onto the root.
    private static double Cap(double volume, double square, double near)
    {
        double target = 6 * volume / Math.PI;
        double h = near;
        for (int i = 0; i < 20; i++)
        {
            double change = (target - h * (3 * square + h * h)) / (3 * (square + h * h));
            h += change;
            if (Math.Abs(change) < 1e-8)
            {
                break;
            }
        }
        return h;
    }
}
