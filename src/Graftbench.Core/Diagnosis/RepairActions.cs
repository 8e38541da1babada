using Graftbench.Core.Facts;

namespace Graftbench.Core.Diagnosis;

/// <summary>What can be done about a cause.</summary>
/// <param name="Id">Its name: <c>new-balls</c>.</param>
/// <param name="Title">What a person reads.</param>
/// <param name="TakesMin">Time at the bench [min].</param>
/// <param name="HeatsNumber">Heats that the chip's place gets.</param>
/// <param name="PadLossFraction">Chance of losing a land.</param>
/// <param name="Fixes">Chance that it undoes the cause, by the cause's id; 0 for one that is not named.</param>
/// <param name="MoneyMin">What else it costs, in minutes of the shop's time [min]: a donor, a board.</param>
public sealed record RepairAction(
    string Id,
    string Title,
    double TakesMin,
    double HeatsNumber,
    double PadLossFraction,
    IReadOnlyDictionary<string, double> Fixes,
    double MoneyMin = 0
);

/// <summary>What a heat costs: more, the more of them the chip and the board have had.</summary>
/// <remarks>
/// An estimate, to be replaced by the shop's own. One heat costs <see cref="FirstMin"/> on a fresh board and twice as much
/// for every <see cref="DoublesAfterNumber"/> heats that are spent; a lost land costs <see cref="PadLossMin"/>.
/// </remarks>
/// <param name="SpentNumber">Heats that the board's place or the chip has had, the larger.</param>
public sealed record HeatPrice(double SpentNumber)
{
    /// <summary>Price of the first heat, in minutes of work [min].</summary>
    public double FirstMin { get; init; } = 30;

    /// <summary>Heats after which one costs twice as much.</summary>
    public double DoublesAfterNumber { get; init; } = 2;

    /// <summary>Price of a lost land, in minutes of work [min].</summary>
    public double PadLossMin { get; init; } = 600;

    /// <summary>Price of further heats [min]; rises with what is spent.</summary>
    /// <param name="heatsNumber">How many more, 0 or more; parts of one count.</param>
    public double OfMin(double heatsNumber)
    {
        // The sum of a doubling price, without steps: the integral of FirstMin * 2^(n / DoublesAfter).
        double a = Math.Log(2) / DoublesAfterNumber;
        return FirstMin * (Math.Exp(a * (SpentNumber + heatsNumber)) - Math.Exp(a * SpentNumber)) / a;
    }
}

/// <summary>An action with what speaks for it.</summary>
/// <param name="Action">The action.</param>
/// <param name="FixesFraction">Chance that it undoes the fault, over all causes.</param>
/// <param name="CostMin">Its cost, heats and risk included [min].</param>
/// <param name="HeatsMin">Share of the heats in it [min].</param>
public sealed record RankedAction(RepairAction Action, double FixesFraction, double CostMin, double HeatsMin)
{
    /// <summary>Chance of fixing per hour of cost: actions are tried in this order.</summary>
    public double PerHourNumber => 60 * FixesFraction / CostMin;
}

/// <summary>Actions in the order of their chance to fix per cost.</summary>
/// <remarks>
/// For one fault and independent costs that order costs least on average (Heckerman, Breese, Rommelse, Communications of the
/// ACM 38(3), 1995, p. 49; quoted, not opened).
/// </remarks>
public static class RepairActions
{
    private static readonly Lazy<IReadOnlyList<RepairAction>> LazyAll = new(() =>
        CsvTable.Load("repair-actions").Rows.Select(Row).ToList()
    );

    /// <summary>Actions that come with the program.</summary>
    public static IReadOnlyList<RepairAction> Standard => LazyAll.Value;

    /// <summary>Orders actions, best first; those that would fix less than one in a hundred are left out.</summary>
    /// <param name="table">Causes.</param>
    /// <param name="posteriorFraction">Chances of the causes.</param>
    /// <param name="price">What a heat costs.</param>
    /// <param name="actions">Actions; the program's own where null.</param>
    public static IReadOnlyList<RankedAction> Ranked(
        CauseTable table,
        IReadOnlyList<double> posteriorFraction,
        HeatPrice price,
        IReadOnlyList<RepairAction>? actions = null
    )
    {
        ArgumentNullException.ThrowIfNull(table);
        ArgumentNullException.ThrowIfNull(posteriorFraction);
        ArgumentNullException.ThrowIfNull(price);
        return
        [
            .. (actions ?? Standard)
                .Select(action => Rank(table, posteriorFraction, price, action))
                .Where(one => one.FixesFraction >= LeastFraction)
                .OrderByDescending(one => one.PerHourNumber),
        ];
    }

    private const double LeastFraction = 0.01;

    private static RankedAction Rank(
        CauseTable table,
        IReadOnlyList<double> posteriorFraction,
        HeatPrice price,
        RepairAction action
    )
    {
        double fixes = table
            .Causes.Select((cause, c) => posteriorFraction[c] * action.Fixes.GetValueOrDefault(cause.Id))
            .Sum();
        double heats = price.OfMin(action.HeatsNumber);
        double cost = action.TakesMin + action.MoneyMin + heats + (action.PadLossFraction * price.PadLossMin);
        return new RankedAction(action, fixes, cost, heats);
    }

    private static RepairAction Row(CsvRow row) =>
        new(
            row["action"],
            row["title"],
            row.Number("minutes"),
            row.Number("heats"),
            row.Number("padLoss"),
            CauseTable.Standard.Causes.ToDictionary(
                cause => cause.Id,
                cause => row.Number(cause.Id),
                StringComparer.Ordinal
            ),
            row.Number("money")
        );
}
