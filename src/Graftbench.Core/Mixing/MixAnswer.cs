using Graftbench.Core.Drying;
using Graftbench.Core.Findings;

namespace Graftbench.Core.Mixing;

/// <summary>Whether there is an answer.</summary>
public enum MixState
{
    /// <summary>Computed.</summary>
    Computed,

    /// <summary>Outside the model, or not found; the findings say why.</summary>
    NoAnswer,
}

/// <summary>What a joint becomes when its solders melt together: where it melts and freezes, and what follows.</summary>
/// <param name="Subject">What it is about.</param>
/// <param name="State">Whether there is an answer.</param>
/// <param name="Answer">The answer in one sentence, to act on.</param>
/// <param name="Parts">Solder that goes in.</param>
/// <param name="Solid">High-lead parts that no board process melts: they stay a column and are not in the mixture.</param>
/// <param name="MassMg">Mass of the mixture [mg].</param>
/// <param name="Shares">Composition of the mixture.</param>
/// <param name="Solidus">First melt on heating, in equilibrium; null without an answer.</param>
/// <param name="FullMelt">Temperature above which at most 1 % by mass is solid; this counts as fully molten.</param>
/// <param name="Liquidus">Last crystal gone on heating.</param>
/// <param name="Freezing">How it freezes and when the board may be moved.</param>
/// <param name="Peak">What the entered peak does; null where none is entered.</param>
/// <param name="NeededC">Temperature that the coldest joint must reach for all to mix [°C]: T99 and its error.</param>
/// <param name="Heating">Liquid on slow heating, coldest first; empty where curves were not asked for.</param>
/// <param name="Cooling">Liquid left on cooling, hottest first; empty where curves were not asked for.</param>
/// <param name="Balances">Phases at a few temperatures, hottest first.</param>
/// <param name="Heat">Latent and specific heat; null without an answer.</param>
/// <param name="Density">Densities.</param>
/// <param name="Tensions">Surface tension by what lies on the melt; empty where a part has no figure.</param>
/// <param name="Map">Every mixture of the two alloys; null where there are not exactly two, or it was not asked for.</param>
/// <param name="Findings">Findings, worst first.</param>
/// <param name="Assumptions">What was assumed.</param>
/// <param name="NotSaid">What the model cannot say.</param>
public sealed record MixAnswer(
    string Subject,
    MixState State,
    string Answer,
    IReadOnlyList<MixPart> Parts,
    IReadOnlyList<MixPart> Solid,
    double MassMg,
    MixShares Shares,
    MixPoint? Solidus,
    MixPoint? FullMelt,
    MixPoint? Liquidus,
    MixFreezing? Freezing,
    MixPeak? Peak,
    double? NeededC,
    IReadOnlyList<MixCurvePoint> Heating,
    IReadOnlyList<MixCurvePoint> Cooling,
    IReadOnlyList<MixBalance> Balances,
    MixHeat? Heat,
    MixDensity Density,
    IReadOnlyList<MixTension> Tensions,
    MixMap? Map,
    IReadOnlyList<Finding> Findings,
    IReadOnlyList<Assumption> Assumptions,
    IReadOnlyList<string> NotSaid
);

/// <summary>A temperature of the melting model with its range.</summary>
/// <param name="ValueC">Temperature [°C].</param>
/// <param name="LowC">It may be as low as this [°C].</param>
/// <param name="HighC">It may be as high as this [°C].</param>
/// <param name="Phase">Phase that forms first on cooling, for a liquidus: <c>(Sn)</c>, <c>Ag3Sn</c>.</param>
/// <param name="ResidualJ">Worst residual of the balances behind it [J/mol]; 1 J/mol is about 0.1 K.</param>
public sealed record MixPoint(double ValueC, double LowC, double HighC, string? Phase, double ResidualJ);

/// <summary>How a joint freezes when nothing moves any more inside what is solid (Scheil): the right picture for a cooling joint.</summary>
/// <param name="End">Last drop frozen.</param>
/// <param name="StillC">The board must not be moved before every joint is below this [°C]: the worse side, whole degrees.</param>
/// <param name="LateFraction">Share of the joint that is still liquid 1 K above the end, by mass.</param>
public sealed record MixFreezing(MixPoint End, double StillC, double LateFraction);

/// <summary>What a peak temperature does to the joint, in equilibrium.</summary>
/// <param name="PeakC">The peak [°C].</param>
/// <param name="LiquidFraction">Share of the whole joint that is liquid at it, by mass.</param>
/// <param name="LastAlloy">The alloy that melts last by itself; null where there is only one.</param>
/// <param name="DissolvedFraction">Share of that alloy that has dissolved, an upper bound; null where there is only one alloy.</param>
/// <param name="Mixes">Whether the peak reaches full melt with its error.</param>
public sealed record MixPeak(
    double PeakC,
    double LiquidFraction,
    string? LastAlloy,
    double? DissolvedFraction,
    bool Mixes
);

/// <summary>A point of a melting or freezing curve.</summary>
/// <param name="TemperatureC">Temperature [°C].</param>
/// <param name="LiquidFraction">Share that is liquid, by mass.</param>
public readonly record struct MixCurvePoint(double TemperatureC, double LiquidFraction);

/// <summary>Phases at one temperature.</summary>
/// <param name="TemperatureC">Temperature [°C].</param>
/// <param name="What">Why this temperature: <c>peak</c>, <c>just below the first melt</c>.</param>
/// <param name="Phases">Phases, largest share first.</param>
public sealed record MixBalance(double TemperatureC, string What, IReadOnlyList<MixPhase> Phases);

/// <summary>One phase.</summary>
/// <param name="Name">Its name: <c>liquid</c>, <c>(Sn)</c>, <c>Cu6Sn5</c>.</param>
/// <param name="MassFraction">Its share of the mass.</param>
/// <param name="Shares">Its composition.</param>
public sealed record MixPhase(string Name, double MassFraction, MixShares Shares);

/// <summary>Latent and specific heat, each ±5 %.</summary>
/// <param name="MeltingJPerKg">Heat from just below first melt to just above liquidus [J/kg], dissolving compounds included; null where not found.</param>
/// <param name="SolidJPerKgK">Solid on a ramp of minutes: mean of the elements by mass [J/(kg K)].</param>
/// <param name="SlowSolidJPerKgK">Solid in equilibrium 25 K below first melt, slow dissolving included [J/(kg K)]; null below the model's range.</param>
/// <param name="LiquidJPerKgK">Melt 20 K above liquidus [J/(kg K)]; null where not found.</param>
public sealed record MixHeat(
    double? MeltingJPerKg,
    double? SolidJPerKgK,
    double? SlowSolidJPerKgK,
    double? LiquidJPerKgK
);

/// <summary>Densities.</summary>
/// <param name="SolidKgPerM3">Solid at 20 °C [kg/m³], within 0.7 %.</param>
/// <param name="LiquidKgPerM3">Melt [kg/m³]; null where it is not known where it melts.</param>
/// <param name="LiquidLowKgPerM3">Low end of the melt's [kg/m³].</param>
/// <param name="LiquidHighKgPerM3">High end of the melt's [kg/m³].</param>
/// <param name="LiquidAtC">Temperature that the melt's density is for [°C].</param>
/// <param name="SwellingFactor">Volume molten by volume at 20 °C.</param>
public sealed record MixDensity(
    double SolidKgPerM3,
    double? LiquidKgPerM3,
    double? LiquidLowKgPerM3,
    double? LiquidHighKgPerM3,
    double? LiquidAtC,
    double? SwellingFactor
);

/// <summary>Surface tension with its range.</summary>
/// <param name="Cover">What lies on the melt: <c>flux</c>, <c>nitrogen</c>, <c>air</c>.</param>
/// <param name="TensionNPerM">Value to use [N/m].</param>
/// <param name="LowNPerM">Low end [N/m].</param>
/// <param name="HighNPerM">High end [N/m].</param>
public sealed record MixTension(string Cover, double TensionNPerM, double LowNPerM, double HighNPerM);

/// <summary>All mixtures of two alloys.</summary>
/// <param name="First">The alloy at 0 %.</param>
/// <param name="Second">The alloy at 100 %.</param>
/// <param name="HerePercent">Share of the second alloy in this joint [%].</param>
/// <param name="Rows">Mixtures, share rising.</param>
public sealed record MixMap(string First, string Second, double HerePercent, IReadOnlyList<MixMapRow> Rows);

/// <summary>One mixture of two alloys; null where the model gives no figure.</summary>
/// <param name="SecondPercent">Share of the second alloy by mass [%].</param>
/// <param name="SolidusC">First melt [°C].</param>
/// <param name="FullMeltC">At most 1 % solid above [°C].</param>
/// <param name="LiquidusC">Last crystal gone [°C].</param>
/// <param name="FreezingEndC">Last drop frozen [°C].</param>
public sealed record MixMapRow(
    double SecondPercent,
    double? SolidusC,
    double? FullMeltC,
    double? LiquidusC,
    double? FreezingEndC
);
