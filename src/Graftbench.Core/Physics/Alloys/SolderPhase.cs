namespace Graftbench.Core.Physics.Alloys;

/// <summary>What a solder consists of, by the names of the phase diagrams.</summary>
public enum SolderPhase
{
    /// <summary>Melt.</summary>
    Liquid,

    /// <summary>(Sn), white tin.</summary>
    Tin,

    /// <summary>(Pb).</summary>
    Lead,

    /// <summary>(Ag).</summary>
    Silver,

    /// <summary>(Cu).</summary>
    Copper,

    /// <summary>Epsilon Pb-Bi, or zeta Ag-Sn where silver leads.</summary>
    Hexagonal,

    /// <summary>(Bi).</summary>
    Bismuth,

    /// <summary>Ag3Sn.</summary>
    Ag3Sn,

    /// <summary>Cu3Sn.</summary>
    Cu3Sn,

    /// <summary>Cu6Sn5, both forms.</summary>
    Cu6Sn5,
}

/// <summary>A phase of a solder at one temperature.</summary>
/// <param name="Phase">Which.</param>
/// <param name="MassFraction">Its share of the mass.</param>
/// <param name="Mix">Its composition.</param>
public sealed record PhaseShare(SolderPhase Phase, double MassFraction, SolderMix Mix);

/// <summary>Phases of a solder at one temperature.</summary>
/// <param name="TemperatureC">Temperature [°C].</param>
/// <param name="Converged">False: there are no phases, see the residual.</param>
/// <param name="ResidualJ">How far the phases lie off one plane [J/mol]; at most 0.0005 where they are exact, refused above 1.</param>
/// <param name="LiquidFraction">Share of the mass that is melt.</param>
/// <param name="Phases">Phases, largest share first.</param>
public sealed record PhaseBalance(
    double TemperatureC,
    bool Converged,
    double ResidualJ,
    double LiquidFraction,
    IReadOnlyList<PhaseShare> Phases
);

/// <summary>A temperature that the model gives, or why it gives none.</summary>
/// <param name="ValueC">Temperature [°C]; null where there is none.</param>
/// <param name="ErrorDeltaK">How far it may be off, either way [K].</param>
/// <param name="Phase">Phase that forms first, for a liquidus.</param>
/// <param name="ResidualJ">Worst residual of the balances that it leans on [J/mol]; 1 J/mol is about 0.1 K.</param>
/// <param name="Why">Why there is no value; null where there is one.</param>
public sealed record MeltPoint(double? ValueC, double ErrorDeltaK, SolderPhase? Phase, double ResidualJ, string? Why)
{
    internal static MeltPoint None(string why, double residualJ = 0) => new(null, 0, null, residualJ, why);
}
