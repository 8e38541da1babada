namespace Graftbench.Core.Physics.Heat;

/// <summary>How fine the grid and the steps of the full model are.</summary>
/// <param name="FineMm">In-plane step at the edges of the package and what is stacked in it [mm].</param>
/// <param name="GrowthRatio">Growth of the step with distance from such an edge.</param>
/// <param name="InsideMm">Largest in-plane step under the nozzle [mm].</param>
/// <param name="OutsideMm">Largest in-plane step elsewhere [mm].</param>
/// <param name="BoardLayersNumber">n: the layer at the board's top face is 2/(n(n+1)) of its thickness; it grows downwards.</param>
/// <param name="PackageLayerMm">Thickest layer above the board up to the package's top [mm].</param>
/// <param name="SnapMm">Edges of boxes outside the nozzle that lie closer than this are drawn together [mm].</param>
/// <param name="StepS">Time step [s].</param>
public sealed record HeatMesh(
    double FineMm,
    double GrowthRatio,
    double InsideMm,
    double OutsideMm,
    double BoardLayersNumber,
    double PackageLayerMm,
    double SnapMm,
    double StepS
)
{
    /// <summary>The usual grid: within 0.6 K of finite elements at the joints of the reference cases.</summary>
    public static HeatMesh Usual { get; } = new(0.5, 0.4, 4, 6, 8, 0.42, 0, 1);

    /// <summary>For plans: boards with many neighbours at about 40,000 nodes; what it costs in accuracy is computed with each plan.</summary>
    public static HeatMesh Plan { get; } = new(0.6, 0.45, 4, 8, 6, 0.42, 1.2, 1);

    /// <summary>Half the work or less, for trends and first guesses.</summary>
    public static HeatMesh Coarse { get; } = Usual.Scaled(1.7) with { StepS = 2 };

    /// <summary>A finer grid, to see how far the usual one is off.</summary>
    public static HeatMesh Fine { get; } = Usual.Scaled(1 / 1.5);

    /// <summary>All lengths of the grid scaled; steps in time stay.</summary>
    /// <param name="byRatio">Above 1 is coarser.</param>
    public HeatMesh Scaled(double byRatio) =>
        this with
        {
            FineMm = FineMm * byRatio,
            InsideMm = InsideMm * byRatio,
            OutsideMm = OutsideMm * byRatio,
            BoardLayersNumber = BoardLayersNumber / byRatio,
            PackageLayerMm = PackageLayerMm * byRatio,
        };
}
