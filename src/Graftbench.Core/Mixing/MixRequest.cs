using Graftbench.Core.Physics.Alloys;
using Graftbench.Core.Physics.Capillary;
using static System.FormattableString;

namespace Graftbench.Core.Mixing;

/// <summary>Solder that goes into a joint.</summary>
/// <param name="Name">What it is: ball, land, paste, wire.</param>
/// <param name="Alloy">Its alloy.</param>
/// <param name="MassMg">Its mass [mg], above 0.</param>
/// <param name="Size">What the mass was taken from, in words: <c>ball of 0.6 mm</c>.</param>
public sealed record MixPart(string Name, MixAlloy Alloy, double MassMg, string Size)
{
    /// <summary>Metal of printed paste by its volume, transfer included (common practice, no source).</summary>
    public const double UsualMetalFraction = 0.5;

    /// <summary>A ball.</summary>
    /// <param name="alloy">Its alloy.</param>
    /// <param name="diameterMm">Diameter at room temperature [mm].</param>
    /// <param name="name">What it is.</param>
    public static MixPart Ball(MixAlloy alloy, double diameterMm, string name = "ball") =>
        OfVolume(name, alloy, SolderCap.BallVolumeMm3(diameterMm), Invariant($"ball of {diameterMm:0.###} mm"));

    /// <summary>A layer left on a round land.</summary>
    /// <param name="alloy">Its alloy.</param>
    /// <param name="landMm">Diameter of the land [mm].</param>
    /// <param name="layerMm">Thickness [mm].</param>
    /// <param name="name">What it is.</param>
    public static MixPart Layer(MixAlloy alloy, double landMm, double layerMm, string name = "land") =>
        OfVolume(
            name,
            alloy,
            JointPart.LayerVolumeMm3(landMm, layerMm),
            Invariant($"layer of {layerMm:0.####} mm on a land of {landMm:0.###} mm")
        );

    /// <summary>A dome left on a round land.</summary>
    /// <param name="alloy">Its alloy.</param>
    /// <param name="landMm">Diameter of the land [mm].</param>
    /// <param name="heightMm">Height of the dome [mm].</param>
    /// <param name="name">What it is.</param>
    public static MixPart Dome(MixAlloy alloy, double landMm, double heightMm, string name = "land") =>
        OfVolume(
            name,
            alloy,
            SolderCap.VolumeMm3(heightMm, landMm / 2),
            Invariant($"dome of {heightMm:0.###} mm on a land of {landMm:0.###} mm")
        );

    /// <summary>Printed paste.</summary>
    /// <param name="alloy">Its alloy.</param>
    /// <param name="apertureMm">Diameter of the aperture [mm].</param>
    /// <param name="stencilMm">Thickness of the stencil [mm].</param>
    /// <param name="metalFraction">Metal by volume times transfer.</param>
    /// <param name="name">What it is.</param>
    public static MixPart Paste(
        MixAlloy alloy,
        double apertureMm,
        double stencilMm,
        double metalFraction = UsualMetalFraction,
        string name = "paste"
    ) =>
        OfVolume(
            name,
            alloy,
            JointPart.PasteVolumeMm3(apertureMm, stencilMm, metalFraction),
            Invariant(
                $"paste {apertureMm:0.###} mm wide, {stencilMm:0.###} mm thick, {100 * metalFraction:0.#} % metal"
            )
        );

    /// <summary>Solder of a given mass.</summary>
    /// <param name="alloy">Its alloy.</param>
    /// <param name="massMg">Mass [mg].</param>
    /// <param name="name">What it is.</param>
    public static MixPart Mass(MixAlloy alloy, double massMg, string name) =>
        new(name, alloy, massMg, Invariant($"{massMg:0.####} mg"));

    internal static MixPart OfVolume(string name, MixAlloy alloy, double volumeMm3, string size)
    {
        ArgumentNullException.ThrowIfNull(alloy);
        return new MixPart(name, alloy, JointPart.MassOfMg(volumeMm3, alloy.DensityKgPerM3), size);
    }
}

/// <summary>What a joint is mixed from.</summary>
/// <param name="Subject">What it is about: <c>chip U1</c>.</param>
/// <param name="Parts">Solder that goes in; one at least.</param>
/// <param name="PeakC">Temperature that the joint reaches at its coldest [°C]; null where it is not known.</param>
/// <param name="PeakWanted">Whether a peak that is not known is said as unknown; a job leaves it to its heat plan.</param>
/// <param name="WithCurves">Whether curves and the map of two alloys are computed too; they take most of the time.</param>
public sealed record MixRequest(
    string Subject,
    IReadOnlyList<MixPart> Parts,
    double? PeakC = null,
    bool PeakWanted = true,
    bool WithCurves = true
);
