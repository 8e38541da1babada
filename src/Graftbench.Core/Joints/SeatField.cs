using Graftbench.Core.Physics.Capillary;

namespace Graftbench.Core.Joints;

/// <summary>One package in plain arrays, so that thousands can be settled without allocating.</summary>
internal sealed class SeatField
{
    public SeatField(JointRequest request, JointTables tables)
    {
        Tables = tables;
        Count = request.Sites.Count;
        Stops = request.Stops.Count;
        X = [.. request.Sites.Select(site => site.XMm)];
        Y = [.. request.Sites.Select(site => site.YMm)];
        Offset = new double[Count];
        Touch = new double[Count];
        Free = new double[Count];
        ForceUnit = new double[Count];
        Scale = new double[Count];
        Shift = new double[Count];
        Break = new double[Count];
        TensionNPerM = request.Solder.TensionNPerM;
        DensityKgPerM3 = request.Solder.DensityKgPerM3;
        Row = new int[Count];
        Share = new double[Count];
        Missing = new bool[Count];
        StopX = [.. request.Stops.Select(stop => stop.XMm)];
        StopY = [.. request.Stops.Select(stop => stop.YMm)];
        StopOffset = new double[Stops];
        LargestSquare = Math.Max(1e-12, request.Sites.Max(site => site.XMm * site.XMm + site.YMm * site.YMm));
        ReachX = Math.Max(1e-3, X.Max(Math.Abs));
        ReachY = Math.Max(1e-3, Y.Max(Math.Abs));
        LoadMilliN = Units.WeightMilliN(request.Load.PackageG + request.Load.LidG + request.Load.PressG);
        CentreX = request.Load.CentreXMm;
        CentreY = request.Load.CentreYMm;
    }

    public JointTables Tables { get; }
    public int Count { get; }
    public int Stops { get; }
    public double[] X { get; }
    public double[] Y { get; }

    /// <summary>Gap less plane [mm]: warpage less height of the land.</summary>
    public double[] Offset { get; }

    /// <summary>Gap at which ball and dome touch [mm].</summary>
    public double[] Touch { get; }

    /// <summary>Gap without load of the cut sphere [mm].</summary>
    public double[] Free { get; }

    /// <summary>Tension times scale [mN].</summary>
    public double[] ForceUnit { get; }
    public double[] Scale { get; }

    /// <summary>
    /// What the force is more than the table's for weight and tension of its own [mN]: the table holds one Bond number, and a
    /// little weight more takes half of itself off the force on the package (exact to first order for equal pads).
    /// </summary>
    public double[] Shift { get; }

    /// <summary>Gap above which the neck breaks [mm].</summary>
    public double[] Break { get; }

    /// <summary>Surface tension [N/m]; set before joints are.</summary>
    public double TensionNPerM { get; set; }

    /// <summary>Density molten [kg/m³]; set before joints are.</summary>
    public double DensityKgPerM3 { get; set; }
    public int[] Row { get; }
    public double[] Share { get; }
    public bool[] Missing { get; }

    /// <summary>Whether a joint holds more or less solder than its table covers; cleared by who fills the field.</summary>
    public bool Outside { get; set; }
    public double[] StopX { get; }
    public double[] StopY { get; }

    /// <summary>Clearance less plane [mm]: warpage less stop height.</summary>
    public double[] StopOffset { get; }
    public double LargestSquare { get; }
    public double ReachX { get; }
    public double ReachY { get; }
    public double LoadMilliN { get; set; }
    public double CentreX { get; }
    public double CentreY { get; }

    /// <summary>Nominal sizes, cold or molten.</summary>
    /// <param name="request">The request.</param>
    /// <param name="hot">Molten volumes and hot warpage, else those at room temperature.</param>
    /// <param name="squeezedFraction">Share of the films under the parts that is squeezed out.</param>
    public void Fill(JointRequest request, bool hot, double squeezedFraction = 0)
    {
        Outside = false;
        double swelling = hot ? request.Solder.SwellingFactor : 1;
        double warpage = hot ? request.HotWarpageMm : request.ColdWarpageMm;
        for (int i = 0; i < Count; i++)
        {
            JointSite site = request.Sites[i];
            Missing[i] = site.BallVolumeMm3 <= 0;
            double ball = site.BallVolumeMm3 * swelling;
            double dome = site.DomeVolumeMm3 * swelling;
            Offset[i] = Warp(X[i], Y[i], warpage) - site.LandHeightMm;
            Touch[i] = SolderCap.HeightMm(ball, site.PackageRadiusMm) + SolderCap.HeightMm(dome, site.BoardRadiusMm);
            Joint(i, JointTables.Scale(site), ball + dome);
        }
        for (int k = 0; k < Stops; k++)
        {
            JointStop stop = request.Stops[k];
            StopOffset[k] = Warp(StopX[k], StopY[k], warpage) - stop.StopHeightMm + squeezedFraction * stop.FilmMm;
        }
    }

    /// <summary>Sets what the force of a joint is read from.</summary>
    public void Joint(int i, double scale, double volume)
    {
        if (Missing[i])
        {
            (Free[i], Scale[i], ForceUnit[i], Shift[i]) = (1, scale, 0, 0);
            return;
        }
        Joint(i, scale, volume, SolderCap.TruncatedSphereHeightMm(volume, scale, scale));
    }

    /// <summary>The same with the gap without load at hand.</summary>
    public void Joint(int i, double scale, double volume, double free)
    {
        BridgeTable table = Tables.Tables[Tables.BySite[i]];
        Free[i] = free;
        Scale[i] = scale;
        ForceUnit[i] = TensionNPerM * scale;
        Row[i] = table.Row(free / scale, out Share[i]);
        Outside |= !table.Holds(free / scale);
        double weight = DensityKgPerM3 * Units.StandardGravityMilliNPerG * 1e-6;
        Shift[i] = volume / 2 * (table.BondRatio * TensionNPerM / (scale * scale) - weight);
        Break[i] = table.BreakShare(Row[i], Share[i]) * free;
    }

    public double Warp(double x, double y, double warpage) => warpage * (x * x + y * y) / LargestSquare;

    public double Gap(int i, in SeatPlane plane) =>
        plane.GapMm + plane.TiltXRatio * X[i] + plane.TiltYRatio * Y[i] + Offset[i];

    public double StopGap(int k, in SeatPlane plane) =>
        plane.GapMm + plane.TiltXRatio * StopX[k] + plane.TiltYRatio * StopY[k] + StopOffset[k];

    public double Force(int i, double gap, out double slope, out bool inside)
    {
        inside = Tables.Tables[Tables.BySite[i]].Read(Row[i], Share[i], gap / Free[i], out double value, out slope);
        slope *= ForceUnit[i] / Free[i];
        return value * ForceUnit[i] + Shift[i];
    }

    public double WidestRadius(int i, double gap) =>
        Tables.Tables[Tables.BySite[i]].Width(Row[i], Share[i], gap / Free[i]) * Scale[i];

    public double SpillGap(int i) => Tables.Tables[Tables.BySite[i]].SpillShare(Row[i], Share[i]) * Free[i];
}
