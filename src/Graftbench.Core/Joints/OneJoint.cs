using Graftbench.Core.Physics.Capillary;

namespace Graftbench.Core.Joints;

/// <summary>One molten joint on its own: shape and force at a gap or under a load.</summary>
/// <param name="Solved">False where there is no shape; then only the message and the limits count.</param>
/// <param name="Message">Why there is none; null where there is one.</param>
/// <param name="ResidualRatio">What was left of the equations, by the pad's radius.</param>
/// <param name="VolumeMm3">Volume [mm³].</param>
/// <param name="GapMm">Gap [mm].</param>
/// <param name="ForceMilliN">Force on the package, up positive [mN].</param>
/// <param name="SlopeMilliNPerMm">Its change by gap [mN/mm].</param>
/// <param name="WidestMm">Widest diameter [mm].</param>
/// <param name="NarrowestMm">Narrowest diameter [mm].</param>
/// <param name="BoardRimDeg">Angle at the board's rim [°]; 0 or below spills.</param>
/// <param name="PackageRimDeg">Angle at the package's rim [°].</param>
/// <param name="CentringMilliNPerMm">Sideways force by offset [mN/mm]; null where it does not stand straight.</param>
/// <param name="SpillGapMm">Gap below which it spills [mm]; null where not found.</param>
/// <param name="SpillMilliN">Load there [mN].</param>
/// <param name="BreakGapMm">Gap above which it breaks [mm]; null where not found.</param>
/// <param name="CutSphereMm">Cross-check: gap without load of a sphere cut by both pads [mm].</param>
/// <param name="ArcMilliN">Cross-check: force by the arc model [mN]; null where it has none.</param>
public sealed record OneJoint(
    bool Solved,
    string? Message,
    double ResidualRatio,
    double VolumeMm3,
    double? GapMm,
    double? ForceMilliN,
    double? SlopeMilliNPerMm,
    double? WidestMm,
    double? NarrowestMm,
    double? BoardRimDeg,
    double? PackageRimDeg,
    double? CentringMilliNPerMm,
    double? SpillGapMm,
    double? SpillMilliN,
    double? BreakGapMm,
    double? CutSphereMm,
    double? ArcMilliN
)
{
    /// <summary>Whether it stands beyond a rim: such a shape lies on the mask and does not stay there.</summary>
    public bool Spills => BoardRimDeg <= 0 || PackageRimDeg <= 0;

    private const double SolvedRatio = 1e-9;

    /// <summary>Solves one joint.</summary>
    /// <param name="boardRadiusMm">Wetted radius on the board [mm].</param>
    /// <param name="packageRadiusMm">Wetted radius on the package [mm].</param>
    /// <param name="volumeMm3">Volume molten [mm³].</param>
    /// <param name="tensionNPerM">Surface tension [N/m].</param>
    /// <param name="densityKgPerM3">Density molten [kg/m³].</param>
    /// <param name="gapMm">Gap [mm]; null where the load is given.</param>
    /// <param name="loadMilliN">Load [mN]; null where the gap is given.</param>
    /// <exception cref="ArgumentException">Not exactly one of gap and load is given.</exception>
    public static OneJoint Solve(
        double boardRadiusMm,
        double packageRadiusMm,
        double volumeMm3,
        double tensionNPerM,
        double densityKgPerM3,
        double? gapMm,
        double? loadMilliN
    )
    {
        if (gapMm is null == loadMilliN is null)
        {
            throw new ArgumentException("Give either the gap or the load.", nameof(gapMm));
        }
        BridgeCase bridge = new(boardRadiusMm, packageRadiusMm, volumeMm3, tensionNPerM, densityKgPerM3);
        BridgeSolution found = gapMm is { } gap
            ? LiquidBridge.AtGap(bridge, gap)
            : LiquidBridge.AtLoad(bridge, loadMilliN!.Value);
        BridgeLimit? spill = BridgeLimits.Spill(bridge);
        BridgeShape? shape = found.Shape;
        return new OneJoint(
            shape is not null,
            found.Failure switch
            {
                BridgeFailure.None => null,
                BridgeFailure.PulledApart when loadMilliN > 0 =>
                    "No gap was found at which this volume holds that load: it is squashed over its pads before.",
                BridgeFailure.PulledApart => "This volume cannot span that gap or hold that pull: the neck breaks.",
                // The shapes that were tried are solved; none of them holds the load.
                _ when found.ResidualRatio < SolvedRatio =>
                    "No gap was found at which this volume holds that load: too little solder between pads of that size.",
                _ => "The equations were not solved; there is no figure.",
            },
            double.IsFinite(found.ResidualRatio) ? found.ResidualRatio : 1,
            volumeMm3,
            shape?.GapMm,
            shape?.ForceMilliN,
            shape is { } s && double.IsFinite(s.SlopeMilliNPerMm) ? s.SlopeMilliNPerMm : null,
            shape?.WidestMm,
            shape?.NarrowestMm,
            shape?.LowerRimDeg,
            shape?.UpperRimDeg,
            shape is null ? null : BridgeSideways.CentringMilliNPerMm(bridge, shape.GapMm),
            spill?.GapMm,
            spill?.ForceMilliN,
            BridgeLimits.PullApart(bridge)?.GapMm,
            SolderCap.TruncatedSphereHeightMm(volumeMm3, boardRadiusMm, packageRadiusMm),
            shape is null ? null : ArcBridge.ForceMilliN(bridge, shape.GapMm)
        );
    }

    /// <summary>Volume of a ball.</summary>
    /// <param name="diameterMm">Diameter [mm].</param>
    public static double BallVolumeMm3(double diameterMm) => SolderCap.BallVolumeMm3(diameterMm);
}
