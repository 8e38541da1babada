namespace Graftbench.Core.Physics.Capillary;

/// <summary>A drop of molten solder between two wetted circles on one axis.</summary>
/// <param name="LowerRadiusMm">Wetted radius below [mm], above 0.</param>
/// <param name="UpperRadiusMm">Wetted radius above [mm], above 0.</param>
/// <param name="VolumeMm3">Volume molten [mm³], above 0.</param>
/// <param name="TensionNPerM">Surface tension [N/m], above 0.</param>
/// <param name="DensityKgPerM3">Density molten [kg/m³], 0 or above.</param>
public sealed record BridgeCase(
    double LowerRadiusMm,
    double UpperRadiusMm,
    double VolumeMm3,
    double TensionNPerM,
    double DensityKgPerM3
)
{
    /// <summary>Length that everything is measured by: the root mean square of both radii [mm].</summary>
    public double ScaleMm => Math.Sqrt((LowerRadiusMm * LowerRadiusMm + UpperRadiusMm * UpperRadiusMm) / 2);

    // kg/m³ times m/s² is N/m³; 1 N/m³ = 1e-6 mN/mm³.
    internal double WeightPerVolume => DensityKgPerM3 * Units.StandardGravityMilliNPerG * 1e-6;

    internal double BondRatio => WeightPerVolume * ScaleMm * ScaleMm / TensionNPerM;

    internal BridgeProblem Problem()
    {
        Require.FinitePositive(LowerRadiusMm);
        Require.FinitePositive(UpperRadiusMm);
        Require.FinitePositive(VolumeMm3);
        Require.FinitePositive(TensionNPerM);
        Require.Within(DensityKgPerM3, 0, 1e6);
        double scale = ScaleMm;
        return new BridgeProblem(
            LowerRadiusMm / scale,
            UpperRadiusMm / scale,
            VolumeMm3 / (scale * scale * scale),
            BondRatio
        );
    }
}

/// <summary>Why there is no shape.</summary>
public enum BridgeFailure
{
    /// <summary>There is a shape.</summary>
    None,

    /// <summary>The volume cannot span the gap: the neck breaks before.</summary>
    PulledApart,

    /// <summary>The equations were not solved to the asked residual.</summary>
    NotConverged,
}

/// <summary>A shape, or why there is none.</summary>
/// <param name="Shape">The shape; null where there is none.</param>
/// <param name="Failure">Why there is none.</param>
/// <param name="ResidualRatio">What was left of the end conditions, by the pad radius.</param>
public sealed record BridgeSolution(BridgeShape? Shape, BridgeFailure Failure, double ResidualRatio);

/// <summary>Shape and force of a drop between two circles.</summary>
/// <param name="GapMm">Gap [mm].</param>
/// <param name="ForceMilliN">Force on the upper pad [mN]; above 0 it carries load, below 0 it pulls the package down.</param>
/// <param name="SlopeMilliNPerMm">Change of that force by gap [mN/mm].</param>
/// <param name="PressureKPa">Pressure over the surroundings at the lower pad [kPa].</param>
/// <param name="WidestMm">Widest diameter [mm].</param>
/// <param name="NarrowestMm">Narrowest diameter [mm].</param>
/// <param name="LowerRimDeg">Angle of the surface at the lower rim against the horizontal [°]; 0 or below lies on the mask.</param>
/// <param name="UpperRimDeg">The same at the upper rim, measured from its outside [°].</param>
/// <param name="BalanceMilliN">Force below less force above less weight [mN]; 0 for an exact shape.</param>
/// <param name="Outline">Points of the meridian from below.</param>
public sealed record BridgeShape(
    double GapMm,
    double ForceMilliN,
    double SlopeMilliNPerMm,
    double PressureKPa,
    double WidestMm,
    double NarrowestMm,
    double LowerRimDeg,
    double UpperRimDeg,
    double BalanceMilliN,
    IReadOnlyList<OutlinePoint> Outline
);

/// <summary>A point of a meridian.</summary>
/// <param name="RadiusMm">Distance from the axis [mm].</param>
/// <param name="HeightMm">Height above the lower pad [mm].</param>
public readonly record struct OutlinePoint(double RadiusMm, double HeightMm);
