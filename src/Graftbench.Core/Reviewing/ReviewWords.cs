using Graftbench.Core.Heating;
using static System.FormattableString;

namespace Graftbench.Core.Reviewing;

/// <summary>Figures of a review in words.</summary>
public static class ReviewWords
{
    /// <summary>Stands before everything that comes from a simulated bench.</summary>
    public const string Simulation = "SIMULATION";

    /// <summary>A figure with its range: <c>243.1 °C (238.0 to 248.2)</c>, <c>at least 35 s</c>.</summary>
    public static string Of(ReviewFigure figure)
    {
        ArgumentNullException.ThrowIfNull(figure);
        if (figure.Value is not double value)
        {
            return "not known";
        }
        string least = figure.AtLeast ? "at least " : "";
        string range =
            figure is { Low: double low, High: double high }
                ? $" ({Digits(low, figure.Unit)} to {Digits(high, figure.Unit)})"
            : figure.Low is double only ? $" ({Digits(only, figure.Unit)} or more)"
            : "";
        return $"{least}{Digits(value, figure.Unit)} {figure.Unit}{range}";
    }

    /// <summary>A number with the digits that its unit is worth.</summary>
    public static string Digits(double value, string unit) =>
        unit switch
        {
            "K/s" => Invariant($"{value:0.00}"),
            "s" => Invariant($"{value:0}"),
            _ => Invariant($"{value:0.0}"),
        };

    /// <summary>A basis with its channel: <c>measured by T1</c>.</summary>
    public static string Basis(ReviewFigure figure)
    {
        ArgumentNullException.ThrowIfNull(figure);
        return figure.Basis switch
        {
            FigureBasis.Measured => $"measured by {figure.By}",
            FigureBasis.Estimated => "estimated",
            _ => "set",
        };
    }

    /// <summary>What to do where a limit was passed or may have been.</summary>
    internal static string Todo(HeatLimitKind kind) =>
        kind switch
        {
            HeatLimitKind.ColdestJointPeak or HeatLimitKind.MoltenTimeLeast =>
                "Look at the joints from the side and check them before power; a further heat is a decision for the ledger.",
            HeatLimitKind.HottestJointPeak => "Look for discoloured laminate and lifted lands at the hot side.",
            HeatLimitKind.BodyPeak => "Look for a bulge or a dull spot on the body; hold the gas lower next time.",
            HeatLimitKind.MoltenTimeMost => "Shorten the last stage or cool sooner next time; mind lands and body.",
            HeatLimitKind.BodyRise or HeatLimitKind.NeighbourRise =>
                "Raise the gas more slowly next time; look at ceramic parts nearby for cracks.",
            HeatLimitKind.BodyFall => "Cool more slowly next time: no blowing, gas on at a lower setting.",
            HeatLimitKind.JointSpread => "Check the nozzle: its size and whether it stood centred.",
            HeatLimitKind.TimeToPeak or HeatLimitKind.HeatingTime => "Warm the board faster or start warmer next time.",
            HeatLimitKind.NeighbourPeak or HeatLimitKind.NeighbourTime or HeatLimitKind.NeighbourSolid =>
                "Look at the part and test it before power; shield it or take it off next time.",
            HeatLimitKind.UndersidePeak => "Look at the underside for blisters and white spots, and at parts there.",
            _ => "Compare with the plan before the next heat.",
        };
}
