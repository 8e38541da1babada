using Graftbench.Core.Physics.Alloys;

namespace Graftbench.Core.Mixing;

/// <summary>Words that answers about mixtures share.</summary>
internal static class MixWords
{
    /// <summary>What the model cannot say, the same for every mixture.</summary>
    public static readonly IReadOnlyList<string> NotSaid =
    [
        "Undercooling: small joints may stay liquid 10 to 30 K below these temperatures while they cool (from memory).",
        "Bias: first melt and freezing end of tin-rich solder come out 0.7 to 2 K low; those of tin, bismuth and lead 2 to 3 K high.",
        "Steep surfaces: where Ag3Sn or Cu6Sn5 forms first the liquidus is good to 10 K only; full melt (99 % liquid) is what counts.",
        "Copper, nickel and gold of lands and finishes: not mixed in; copper moves full melt by 1.5 K at most.",
        "Time: shares that dissolve are upper bounds; solid solder dissolves by diffusion, 60 s and more above full melt (common practice, no source).",
        "Strength and life of the joint.",
    ];

    /// <summary>Name of a phase as diagrams write it.</summary>
    public static string Phase(SolderPhase phase) =>
        phase switch
        {
            SolderPhase.Liquid => "liquid",
            SolderPhase.Tin => "(Sn)",
            SolderPhase.Lead => "(Pb)",
            SolderPhase.Silver => "(Ag)",
            SolderPhase.Copper => "(Cu)",
            SolderPhase.Hexagonal => "epsilon",
            SolderPhase.Bismuth => "(Bi)",
            SolderPhase.Ag3Sn => "Ag3Sn",
            SolderPhase.Cu3Sn => "Cu3Sn",
            _ => "Cu6Sn5",
        };

    /// <summary>What lies on the melt.</summary>
    public static string Cover(MeltCover cover) =>
        cover switch
        {
            MeltCover.Flux => "flux",
            MeltCover.Nitrogen => "nitrogen",
            _ => "air",
        };
}
