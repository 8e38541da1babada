using Graftbench.Core.Facts;
using Graftbench.Core.Physics.Capillary;

namespace Graftbench.Core.Physics.Alloys;

/// <summary>Solder that goes into a joint.</summary>
/// <param name="Name">What it is: ball, land, paste, wire.</param>
/// <param name="Mix">Its composition.</param>
/// <param name="MassMg">Its mass [mg], 0 or above.</param>
public sealed record JointPart(string Name, SolderMix Mix, double MassMg)
{
    /// <summary>Solder of a known alloy and mass.</summary>
    /// <param name="name">What it is.</param>
    /// <param name="alloy">Its alloy.</param>
    /// <param name="massMg">Its mass [mg].</param>
    public JointPart(string name, Alloy alloy, double massMg)
        : this(name, SolderMix.Of(alloy), massMg) { }

    /// <summary>A ball: V = πd³/6.</summary>
    /// <param name="alloy">Its alloy.</param>
    /// <param name="diameterMm">Diameter at room temperature [mm].</param>
    public static JointPart Ball(Alloy alloy, double diameterMm)
    {
        Require.FinitePositive(diameterMm);
        return Of("ball", alloy, SolderCap.BallVolumeMm3(diameterMm));
    }

    /// <summary>A layer left on a round land: wicked flat 0.005 to 0.025 mm (common practice, no source).</summary>
    /// <param name="alloy">Its alloy.</param>
    /// <param name="landMm">Diameter of the land [mm].</param>
    /// <param name="layerMm">Thickness [mm].</param>
    public static JointPart Layer(Alloy alloy, double landMm, double layerMm) =>
        Of("land", alloy, LayerVolumeMm3(landMm, layerMm));

    /// <summary>A dome left on a round land: V = πh(3a² + h²)/6.</summary>
    /// <param name="alloy">Its alloy.</param>
    /// <param name="landMm">Diameter of the land [mm].</param>
    /// <param name="heightMm">Height of the dome [mm].</param>
    public static JointPart Dome(Alloy alloy, double landMm, double heightMm)
    {
        Require.FinitePositive(landMm);
        Require.FinitePositive(heightMm);
        return Of("land", alloy, SolderCap.VolumeMm3(heightMm, landMm / 2));
    }

    /// <summary>Printed paste.</summary>
    /// <param name="alloy">Its alloy.</param>
    /// <param name="apertureMm">Diameter of the aperture [mm].</param>
    /// <param name="stencilMm">Thickness of the stencil [mm].</param>
    /// <param name="metalFraction">Metal by volume times transfer; about 0.5 (common practice, no source).</param>
    public static JointPart Paste(Alloy alloy, double apertureMm, double stencilMm, double metalFraction) =>
        Of("paste", alloy, PasteVolumeMm3(apertureMm, stencilMm, metalFraction));

    /// <summary>Volume of a layer on a round land: V = πd²t/4.</summary>
    /// <param name="landMm">Diameter of the land [mm].</param>
    /// <param name="layerMm">Thickness [mm].</param>
    public static double LayerVolumeMm3(double landMm, double layerMm)
    {
        Require.FinitePositive(landMm);
        Require.FinitePositive(layerMm);
        return Math.PI * landMm * landMm / 4 * layerMm;
    }

    /// <summary>Metal of printed paste: aperture times stencil times the share that is metal and transferred.</summary>
    /// <param name="apertureMm">Diameter of the aperture [mm].</param>
    /// <param name="stencilMm">Thickness of the stencil [mm].</param>
    /// <param name="metalFraction">Metal by volume times transfer.</param>
    public static double PasteVolumeMm3(double apertureMm, double stencilMm, double metalFraction)
    {
        Require.Within(metalFraction, 0, 1);
        return LayerVolumeMm3(apertureMm, stencilMm) * metalFraction;
    }

    /// <summary>Mass of a volume [mg]: kg/m³ times mm³ is micrograms.</summary>
    /// <param name="volumeMm3">Volume [mm³].</param>
    /// <param name="densityKgPerM3">Density [kg/m³].</param>
    public static double MassOfMg(double volumeMm3, double densityKgPerM3) => volumeMm3 * densityKgPerM3 / 1000;

    private static JointPart Of(string name, Alloy alloy, double volumeMm3) =>
        new(name, alloy, MassOfMg(volumeMm3, alloy.DensityKgPerM3));
}

/// <summary>What a joint is made of once all of it has melted together.</summary>
/// <param name="Parts">Solder that goes in.</param>
/// <param name="MassMg">Mass together [mg].</param>
/// <param name="Mix">Composition of the whole.</param>
public sealed record JointMixture(IReadOnlyList<JointPart> Parts, double MassMg, SolderMix Mix)
{
    /// <summary>Mixes the parts of a joint: w = Σ m w / Σ m.</summary>
    /// <param name="parts">Parts; at least one with a mass.</param>
    public static JointMixture Of(params IReadOnlyList<JointPart> parts)
    {
        ArgumentNullException.ThrowIfNull(parts);
        return new JointMixture(
            parts,
            parts.Sum(part => part.MassMg),
            SolderMix.Blend([.. parts.Select(part => (part.Mix, part.MassMg))])
        );
    }

    /// <summary>Surface tension with its range; null where a part has no figure.</summary>
    /// <param name="cover">What lies on the melt.</param>
    public TensionRange? Tension(MeltCover cover) =>
        SolderTension.Of(cover, [.. Parts.Select(part => (part.Mix, part.MassMg))]);

    /// <summary>Share of the part that melts last which has dissolved: (L - f)/(1 - f), held to 0..1; an equilibrium bound.</summary>
    /// <param name="liquidFraction">Melt of the whole joint at the peak.</param>
    /// <param name="lowMeltingFraction">Share of the joint's mass that melts first by itself.</param>
    public static double DissolvedFraction(double liquidFraction, double lowMeltingFraction) =>
        lowMeltingFraction >= 1
            ? 1
            : Math.Clamp((liquidFraction - lowMeltingFraction) / (1 - lowMeltingFraction), 0, 1);
}
