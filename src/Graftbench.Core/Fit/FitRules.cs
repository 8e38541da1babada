using Graftbench.Core.Fit.Rules;

namespace Graftbench.Core.Fit;

/// <summary>The rules of the fit sheet, in its order. A new rule is a row here and its function.</summary>
internal static class FitRules
{
    private const string Rule = "fit-rules";
    private const string Maps = "ball-map-rules";

    public static IReadOnlyList<FitRule> All { get; } =
    [
        new(
            "fit.outline",
            "Outline",
            "Same body, pitch and field as the chip it replaces; neighbours clear.",
            Rule,
            PackageRules.Outline
        ),
        new(
            "fit.orientation",
            "Lists lie alike",
            "Both ball lists under all eight turns: as they are must win.",
            Maps,
            PackageRules.Orientation
        ),
        new(
            "fit.balls",
            "Ball by ball",
            "Ground on ground, supply on its rail, signal on its signal.",
            Maps,
            PackageRules.Balls
        ),
        new(
            "fit.rails",
            "Rail voltages",
            "What the board gives lies inside what the chip takes.",
            Rule,
            SupplyRules.Windows
        ),
        new(
            "fit.codes",
            "Core voltage codes",
            "Every voltage that the chip may ask for is one of the regulator's.",
            Rule,
            SupplyRules.Codes
        ),
        new(
            "fit.current",
            "Currents",
            "The chip's highest current against what the regulator gives for good.",
            Rule,
            SupplyRules.Currents
        ),
        new(
            "fit.heat",
            "Heat",
            "Temperature of the die on this cooler at the warmest air.",
            Rule,
            CoolingRules.Hottest
        ),
        new(
            "fit.stability",
            "Settles",
            "Heat made against heat taken: loop gain below 1.",
            "thermal-runaway",
            CoolingRules.Settles
        ),
        new(
            "fit.clock",
            "Clock",
            "The reference clock that the chip asks for, and its multiple.",
            Rule,
            SystemRules.Clock
        ),
        new("fit.links", "Buses and links", "Type, generation, lanes, termination.", Rule, SystemRules.Links),
        new("fit.firmware", "Firmware", "The chip's signature in the image of the board.", Rule, SystemRules.Firmware),
        new(
            "fit.memory",
            "Memory",
            "Address bits, chipset, firmware, sockets: the smallest counts.",
            Rule,
            SystemRules.Memory
        ),
        new("fit.mechanics", "Cooler's seat", "Height of the top, pressure on the die.", Rule, CoolingRules.Seat),
        new(
            "fit.underside",
            "Parts underneath",
            "Heights under the chip against balls and molten joints.",
            Rule,
            SolderRules.Underside
        ),
        new("fit.moisture", "Moisture and heats", "Moisture level, heats had and planned.", Rule, SolderRules.Heats),
        new("fit.alloy", "Alloys", "The alloy of the balls on what is left on the lands.", Rule, SolderRules.Alloys),
    ];
}
