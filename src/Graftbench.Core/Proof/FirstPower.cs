using Graftbench.Core.Findings;

namespace Graftbench.Core.Proof;

/// <summary>When a rail comes up, in the order in which rails are trusted.</summary>
public enum PowerOrder
{
    /// <summary>Main input, standby rails, clock cell.</summary>
    AlwaysOn,

    /// <summary>Main 5 and 3.3 V.</summary>
    Main,

    /// <summary>Memory.</summary>
    Memory,

    /// <summary>Chipset and input-output.</summary>
    Chipset,

    /// <summary>Core of the processor or graphics chip.</summary>
    Core,
}

/// <summary>A rail at first power.</summary>
/// <param name="Name">Name.</param>
/// <param name="NominalV">Nominal voltage [V]; null where unknown.</param>
/// <param name="Order">When it comes up.</param>
/// <param name="LeastV">Lowest voltage of its sheet [V]; null for the usual window.</param>
/// <param name="MostV">Highest voltage of its sheet [V]; null for the usual window.</param>
public sealed record PowerRail(
    string Name,
    double? NominalV,
    PowerOrder Order,
    double? LeastV = null,
    double? MostV = null
)
{
    /// <summary>A rail of the proof, its place in the order by what it feeds.</summary>
    public static PowerRail Of(ProofRail rail)
    {
        ArgumentNullException.ThrowIfNull(rail);
        return new PowerRail(
            rail.Name,
            rail.NominalV,
            rail.Class switch
            {
                RailClass.Input => PowerOrder.AlwaysOn,
                RailClass.Main => PowerOrder.Main,
                RailClass.Memory => PowerOrder.Memory,
                RailClass.Core => PowerOrder.Core,
                _ => PowerOrder.Chipset,
            }
        );
    }
}

/// <summary>What the plan of the first power is asked with.</summary>
/// <param name="Proof">The proof before power.</param>
/// <param name="SupplyV">Voltage of the bench supply [V]; null where not told.</param>
/// <param name="StandbyCurrentA">Current expected at standby [A]; null where not told.</param>
public sealed record FirstPowerRequest(ProofAnswer Proof, double? SupplyV, double? StandbyCurrentA)
{
    /// <summary>Rails; those of the proof where empty.</summary>
    public IReadOnlyList<PowerRail> Rails { get; init; } = [];

    /// <summary>Current expected while it runs [A]; null where not told.</summary>
    public double? RunCurrentA { get; init; }

    /// <summary>Where the expected currents come from, in words: the host's own healthy trace, or typed.</summary>
    public string CurrentFrom { get; init; } = "typed";

    /// <summary>Whether a cooler or dummy load is on the die; null where nobody said.</summary>
    public bool? CoolerOn { get; init; }

    /// <summary>Voltages read on rails under power [V]; readings of kind voltage.</summary>
    public IReadOnlyList<Reading> Measured { get; init; } = [];
}

/// <summary>One step of the first power.</summary>
/// <param name="Number">Number, from 1.</param>
/// <param name="Title">What is done or awaited.</param>
/// <param name="What">In one or two sentences.</param>
/// <param name="Stop">When to switch off at once.</param>
/// <param name="Rails">Rails that are read in it.</param>
public sealed record PowerStep(int Number, string Title, string What, string Stop, IReadOnlyList<PowerWindow> Rails);

/// <summary>The window of a rail.</summary>
/// <param name="Rail">The rail.</param>
/// <param name="LeastV">Lowest voltage [V]; null where the nominal voltage is unknown.</param>
/// <param name="MostV">Highest voltage [V]; null where the nominal voltage is unknown.</param>
/// <param name="MeasuredV">What was read [V]; null where nothing was.</param>
/// <param name="Inside">Whether what was read lies inside; null where that is not known.</param>
/// <param name="Source">Whose window it is.</param>
public sealed record PowerWindow(
    PowerRail Rail,
    double? LeastV,
    double? MostV,
    double? MeasuredV,
    bool? Inside,
    string Source
);

/// <summary>The plan of the first power.</summary>
/// <param name="Allowed">Whether it may be begun.</param>
/// <param name="LimitCurrentA">Current limit for the supply [A]; null where the expected standby current is unknown.</param>
/// <param name="SupplyV">Voltage of the supply [V]; null where unknown.</param>
/// <param name="Steps">Steps in order.</param>
/// <param name="Cautions">What holds throughout, one sentence each.</param>
/// <param name="Findings">What stands against it or is not known, worst first.</param>
public sealed record FirstPowerPlan(
    bool Allowed,
    double? LimitCurrentA,
    double? SupplyV,
    IReadOnlyList<PowerStep> Steps,
    IReadOnlyList<SourcedWords> Cautions,
    IReadOnlyList<Finding> Findings
);
