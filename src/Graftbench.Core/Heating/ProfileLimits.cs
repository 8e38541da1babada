using Graftbench.Core.Facts;
using Graftbench.Core.Findings;

namespace Graftbench.Core.Heating;

/// <summary>A figure of a curve against a limit of the profile table.</summary>
/// <param name="Item">Stable name: <c>molten-most</c>.</param>
/// <param name="Title">What a person reads.</param>
/// <param name="Value">The figure, in <paramref name="Unit"/>; null where the curve does not have it.</param>
/// <param name="Limit">The limit, in the same unit.</param>
/// <param name="Unit"><c>°C</c>, <c>s</c> or <c>K/s</c>.</param>
/// <param name="Kept">Whether it is kept; null where it could not be checked.</param>
public sealed record ProfileFigure(string Item, string Title, double? Value, double Limit, string Unit, bool? Kept);

/// <summary>A curve of a body's top held against the profile limits.</summary>
/// <param name="Figures">Every limit with its figure.</param>
/// <param name="Findings">One for each figure, worst first.</param>
public sealed record ProfileAnswer(IReadOnlyList<ProfileFigure> Figures, IReadOnlyList<Finding> Findings);

/// <summary>Profile limits at the top centre of the body (J-STD-020 table 5-2), for planned and for measured curves.</summary>
/// <remarks>
/// A body is classed by these limits; a board's run stays inside them. Ramps are means between the crossing of the liquidus and
/// the peak, as the table counts them. Times above a temperature are sums, straight lines between points.
/// </remarks>
public static class ProfileLimits
{
    private const double RoomC = 25;
    private const double NearPeakDeltaK = 5;

    // A ramp below this time is one step of a logger, not a ramp.
    private const double LeastRampS = 1e-6;

    /// <summary>Holds a curve against the limits.</summary>
    /// <param name="timesS">Times, rising, at least two [s].</param>
    /// <param name="temperaturesC">Temperatures at the top centre of the body, as many [°C].</param>
    /// <param name="process">Solder that the body was built for.</param>
    /// <param name="classTemperatureC">Classification temperature [°C].</param>
    /// <param name="where">What the findings are about: <c>chip U1</c>.</param>
    /// <returns>Figures and findings. A limit that the curve does not reach is not passed: a body that never melts has no time above liquidus.</returns>
    /// <exception cref="ArgumentException">Lengths differ, fewer than two points, times do not rise, or a value is not finite.</exception>
    public static ProfileAnswer Check(
        IReadOnlyList<double> timesS,
        IReadOnlyList<double> temperaturesC,
        SolderProcess process,
        double classTemperatureC,
        string where
    )
    {
        BodyCurve curve = new(timesS, temperaturesC);
        double liquidusC = ReflowTables.Profiled("liquidus", process).Value;
        double fromC = ReflowTables.Profiled("soak-from", process).Value;
        double toC = ReflowTables.Profiled("soak-to", process).Value;
        (double peakS, double peakC) = curve.Peak;
        double? upS = curve.FirstUp(liquidusC);
        double? downS = curve.LastDown(liquidusC);
        double warmS = curve.FirstUp(RoomC) ?? timesS[0];
        double? soakS = curve.FirstUp(toC) - curve.FirstUp(fromC);
        double? moltenS = upS is null ? null : curve.Above(liquidusC);
        List<(ReflowProfileRow? Row, ProfileFigure Figure)> figures =
        [
            (
                null,
                new ProfileFigure(
                    "peak",
                    "Peak of the body's top, at most",
                    peakC,
                    classTemperatureC,
                    "°C",
                    peakC <= classTemperatureC
                )
            ),
            AtLeast("soak-least", process, soakS),
            AtMost("soak-most", process, soakS),
            AtMost("rise-most", process, Slope(liquidusC, upS, peakC, peakS)),
            AtLeast("molten-least", process, moltenS),
            AtMost("molten-most", process, moltenS ?? 0),
            AtMost("near-peak-most", process, curve.Above(classTemperatureC - NearPeakDeltaK)),
            AtMost("fall-most", process, Slope(peakC, peakS, liquidusC, downS) is double fall ? -fall : null),
            AtMost("to-peak-most", process, peakS - warmS),
        ];
        return new ProfileAnswer(
            [.. figures.Select(one => one.Figure)],
            Finding.WorstFirst(figures.Select(one => Judge(one.Row, one.Figure, where)))
        );
    }

    private static double? Slope(double fromC, double? fromS, double toC, double? toS) =>
        fromS is double start && toS is double end && end - start > LeastRampS ? (toC - fromC) / (end - start) : null;

    private static (ReflowProfileRow?, ProfileFigure) AtMost(string item, SolderProcess process, double? value) =>
        Figure(item, process, value, (found, limit) => found <= limit);

    private static (ReflowProfileRow?, ProfileFigure) AtLeast(string item, SolderProcess process, double? value) =>
        Figure(item, process, value, (found, limit) => found >= limit);

    private static (ReflowProfileRow?, ProfileFigure) Figure(
        string item,
        SolderProcess process,
        double? value,
        Func<double, double, bool> kept
    )
    {
        ReflowProfileRow row = ReflowTables.Profiled(item, process);
        // Sums of times carry rounding of the last digit; a limit met exactly is kept.
        double? rounded = value is double found ? Math.Round(found, 9) : null;
        bool? isKept = rounded is double number ? kept(number, row.Value) : null;
        return (row, new ProfileFigure(item, row.Title, rounded, row.Value, row.Unit, isKept));
    }

    // Too short a soak or melt is no harm to the body: it is said, but does not stop the work.
    private static Finding Judge(ReflowProfileRow? row, ProfileFigure figure, string where)
    {
        bool least = figure.Item.EndsWith("-least", StringComparison.Ordinal);
        string? value = figure.Value is double found ? $"{Show(found)} {figure.Unit}" : null;
        string limit = $"{Show(figure.Limit)} {figure.Unit}";
        Verdict verdict = figure.Kept switch
        {
            true => Verdict.Ok,
            null => Verdict.Unknown,
            false => least ? Verdict.Warning : Verdict.FixFirst,
        };
        string what = figure.Kept switch
        {
            true => $"{figure.Title}: {value} is inside the limit.",
            null => $"{figure.Title}: the curve does not reach the temperatures that it is counted between.",
            false => $"{figure.Title}: {value} against {limit}.",
        };
        return new Finding(
            verdict,
            "heat.profile." + figure.Item,
            where,
            what,
            value,
            limit,
            row?.Source ?? "reflow-class-sheet",
            figure.Kept == false ? Todo(figure.Item) : null
        );
    }

    private static string Todo(string item) =>
        item switch
        {
            "peak" => "Lower the gas in the last stage, or hold it shorter.",
            "soak-least" or "soak-most" => "Change the length of the stage that soaks.",
            "rise-most" => "Raise the gas in the last stage more slowly.",
            "molten-least" => "Hold the last stage longer, if the joints need it.",
            "molten-most" or "near-peak-most" => "Shorten the last stage, or cool faster.",
            "fall-most" => "Cool more slowly: leave the gas on at a lower setting, no blowing.",
            _ => "Warm the board faster, or start it warmer.",
        };

    private static string Show(double value) => ModelNotes.Show(Math.Round(value, 2));
}
