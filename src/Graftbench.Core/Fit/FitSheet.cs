using Graftbench.Core.Findings;
using Graftbench.Core.Fit.Maps;
using Graftbench.Core.Jobs;

namespace Graftbench.Core.Fit;

/// <summary>What a fit sheet is computed of.</summary>
/// <param name="Job">The job.</param>
/// <param name="Chip">The chip that goes to the host.</param>
public sealed record FitRequest(Job Job, Chip Chip)
{
    /// <summary>Balls that the board is made for; null where there is no list.</summary>
    public BallMap? HostMap { get; init; }

    /// <summary>Balls of the chip; null where there is no list.</summary>
    public BallMap? ChipMap { get; init; }

    /// <summary>What is wrong with a list that was given: it counts as none.</summary>
    public IReadOnlyList<Finding> MapFindings { get; init; } = [];

    /// <summary>What the image reader found about the chip; null where no image was looked at.</summary>
    public Finding? Firmware { get; init; }
}

/// <summary>How a rail of the chip was found on the board.</summary>
public enum RailBasis
{
    /// <summary>It was not.</summary>
    NotFound,

    /// <summary>The job says which.</summary>
    Told,

    /// <summary>Its balls meet balls of that rail.</summary>
    ByBalls,

    /// <summary>Both have the same name.</summary>
    ByName,
}

/// <summary>Voltages of one rail: what the chip takes, and what the board gives.</summary>
/// <param name="Name">Name on the chip.</param>
/// <param name="OnBoard">The board's rail; null where none was found.</param>
/// <param name="Basis">How it was found.</param>
/// <param name="LeastV">Lowest voltage of the chip [V].</param>
/// <param name="UsualV">Usual voltage of the chip; null where it is not known [V].</param>
/// <param name="MostV">Highest voltage of the chip [V].</param>
/// <param name="LowV">Lowest that the board gives; null where no rail was found [V].</param>
/// <param name="SetV">What the board is set to [V].</param>
/// <param name="HighV">Highest that the board gives [V].</param>
/// <param name="MeasuredV">What was measured on this board [V].</param>
/// <param name="Verdict">How the windows lie.</param>
public sealed record RailWindow(
    string Name,
    string? OnBoard,
    RailBasis Basis,
    double LeastV,
    double? UsualV,
    double MostV,
    double? LowV,
    double? SetV,
    double? HighV,
    double? MeasuredV,
    Verdict Verdict
);

/// <summary>Heat that the chip makes and heat that the cooler takes away, at one temperature of the die.</summary>
/// <param name="DieC">Temperature of the die [°C].</param>
/// <param name="MadeW">Heat made [W].</param>
/// <param name="TakenW">Heat taken away [W].</param>
public sealed record HeatPoint(double DieC, double MadeW, double TakenW);

/// <summary>How the chip settles on the cooler of the board.</summary>
/// <param name="AirC">Warmest air [°C].</param>
/// <param name="ThetaKPerW">Thermal resistance from die to air [K/W].</param>
/// <param name="ThetaErrorPercent">How far it may be off [%].</param>
/// <param name="HottestDieC">The chip's limit; null where it is not known [°C].</param>
/// <param name="Balance">Where it settles.</param>
/// <param name="Worst">Where it settles with the thermal resistance as high as it may be.</param>
/// <param name="Curve">The two curves over the temperature of the die; empty where leakage is not known.</param>
public sealed record FitHeat(
    double AirC,
    double ThetaKPerW,
    double ThetaErrorPercent,
    double? HottestDieC,
    ThermalBalance Balance,
    ThermalBalance Worst,
    IReadOnlyList<HeatPoint> Curve
);

/// <summary>What a rule of the fit sheet found.</summary>
/// <param name="Id">Name of the rule.</param>
/// <param name="Title">What a person reads.</param>
/// <param name="Asks">What it holds against what.</param>
/// <param name="Findings">What it found, worst first; at least one.</param>
public sealed record FitRow(string Id, string Title, string Asks, IReadOnlyList<Finding> Findings)
{
    /// <summary>Its verdict: the worst of what it found.</summary>
    public Verdict Verdict => Finding.Worst(Findings);
}

/// <summary>Answer to question 1.</summary>
/// <param name="Chip">The chip that goes to the host.</param>
/// <param name="Replaced">The chip that it replaces; null where the job has none.</param>
/// <param name="Verdict">The verdict over all rules; unknown where no rule stops it and one could not be checked.</param>
/// <param name="Answer">The answer in one line, with its reason.</param>
/// <param name="Next">What to do next; null for nothing.</param>
/// <param name="Rows">Every rule with what it found, in the order of the sheet.</param>
/// <param name="Comparison">The ball lists compared; null where one is missing.</param>
/// <param name="Rails">Rails with their windows.</param>
/// <param name="Heat">How it settles on its cooler; null where too little is known.</param>
/// <param name="MemoryGib">Memory that the machine can use; null where it is not known [GiB].</param>
public sealed record FitSheet(
    Chip Chip,
    Chip? Replaced,
    Verdict Verdict,
    string Answer,
    string? Next,
    IReadOnlyList<FitRow> Rows,
    MapComparison? Comparison,
    IReadOnlyList<RailWindow> Rails,
    FitHeat? Heat,
    double? MemoryGib
)
{
    /// <summary>All findings, worst first.</summary>
    public IReadOnlyList<Finding> Findings => Finding.WorstFirst(Rows.SelectMany(row => row.Findings));
}
