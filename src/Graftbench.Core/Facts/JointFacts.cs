namespace Graftbench.Core.Facts;

/// <summary>A size of ball that is sold, and the lands that suit it.</summary>
/// <param name="BallMm">Diameter [mm].</param>
/// <param name="LeastLandMm">Smallest land [mm].</param>
/// <param name="MostLandMm">Largest land [mm].</param>
/// <param name="Note">What it holds for.</param>
/// <param name="Confidence">Confidence mark.</param>
/// <param name="Source">Source id.</param>
public sealed record BallLand(
    double BallMm,
    double LeastLandMm,
    double MostLandMm,
    string Note,
    Confidence Confidence,
    string Source
);

/// <summary>A figure behind the joint answer.</summary>
/// <param name="Title">What a person reads.</param>
/// <param name="Value">The figure, in <paramref name="Unit"/>.</param>
/// <param name="Unit">Its unit.</param>
/// <param name="Confidence">Confidence mark.</param>
/// <param name="Source">Source id.</param>
internal sealed record JointFigure(string Title, double Value, string Unit, Confidence Confidence, string Source);

/// <summary>Balls, lands, warpage and what is taken for usual of joints (<c>data/ball-lands.csv</c> and others).</summary>
public static class JointFacts
{
    private static readonly Lazy<IReadOnlyList<BallLand>> LazyBalls = new(() =>
        CsvTable
            .Load("ball-lands")
            .Rows.Select(row => new BallLand(
                row.Number("ballMm"),
                row.Number("leastLandMm"),
                row.Number("mostLandMm"),
                row["note"],
                row.Confidence,
                row["source"]
            ))
            .OrderBy(row => row.BallMm)
            .ToList()
    );

    private static readonly Lazy<Dictionary<string, JointFigure>> LazyFigures = new(() =>
        CsvTable
            .Load("joint-figures")
            .Rows.ToDictionary(
                row => row["name"],
                row => new JointFigure(row["title"], row.Number("value"), row["unit"], row.Confidence, row["source"]),
                StringComparer.Ordinal
            )
    );

    private static readonly Lazy<IReadOnlyList<(double PitchMm, double LimitMm, string Source)>> LazyWarpage = new(() =>
        CsvTable
            .Load("package-warpage-limits")
            .Rows.Select(row => (row.Number("pitchMm"), row.Number("limitMm"), row["source"]))
            .ToList()
    );

    private static readonly Lazy<IReadOnlyList<(string Word, double FromMm, double ToMm, string Source)>> LazyAmounts =
        new(() =>
            CsvTable
                .Load("solder-amounts")
                .Rows.Select(row => (row["word"], row.Number("fromMm"), row.Number("toMm"), row["source"]))
                .OrderBy(row => row.Item2)
                .ToList()
        );

    /// <summary>Balls that are sold, smallest first.</summary>
    public static IReadOnlyList<BallLand> Balls => LazyBalls.Value;

    /// <summary>Words for solder on a land, least first.</summary>
    internal static IReadOnlyList<(string Word, double FromMm, double ToMm, string Source)> Amounts =>
        LazyAmounts.Value;

    /// <summary>A figure by its name.</summary>
    internal static JointFigure Figure(string name) => LazyFigures.Value[name];

    /// <summary>Warpage limit of the nearest pitch; the more cautious one where two rows speak of it.</summary>
    internal static (double LimitMm, string Source) WarpageLimit(double pitchMm)
    {
        (double _, double limit, string source) = LazyWarpage
            .Value.OrderBy(row => Math.Abs(row.PitchMm - pitchMm))
            .ThenByDescending(row => row.LimitMm)
            .First();
        return (limit, source);
    }

    /// <summary>Tolerance of a ball's diameter, three standard deviations; the wider one where two rows speak of it.</summary>
    internal static (double ToleranceMm, string Source) Tolerance(double ballMm)
    {
        CsvRow row = CsvTable
            .Load("ball-tolerances")
            .Rows.Where(row => ballMm <= row.Number("toMm") && ballMm > row.Number("fromMm"))
            .MaxBy(row => row.Number("toleranceMm"))!;
        return (row.Number("toleranceMm"), row["source"]);
    }
}
