using Graftbench.Core.Findings;

namespace Graftbench.Core.Reviewing;

/// <summary>The same figure of two runs.</summary>
/// <param name="First">Of the first run.</param>
/// <param name="Second">Of the other run.</param>
/// <param name="Difference">Second less first, in their unit; null where one is not known.</param>
/// <param name="Differs">Whether their ranges have nothing in common; null where one is not known or not all seen.</param>
public sealed record OverlayFigure(ReviewFigure First, ReviewFigure Second, double? Difference, bool? Differs);

/// <summary>Two runs laid over each other.</summary>
/// <param name="ShiftS">What the other run's times are moved by [s].</param>
/// <param name="AlignedBy">How they were brought together, one sentence.</param>
/// <param name="Figures">Figures that both have.</param>
public sealed record RunOverlay(double ShiftS, string AlignedBy, IReadOnlyList<OverlayFigure> Figures)
{
    /// <summary>Lays two runs over each other.</summary>
    /// <param name="first">The run that stays.</param>
    /// <param name="second">The other one.</param>
    /// <param name="crossingC">Temperature at whose first crossing they are brought together; null for their starts [°C].</param>
    public static RunOverlay Of(RunReview first, RunReview second, double? crossingC)
    {
        ArgumentNullException.ThrowIfNull(first);
        ArgumentNullException.ThrowIfNull(second);
        double shiftS = 0;
        string words = "both from their start";
        if (crossingC is double levelC)
        {
            (string Title, double ShiftS)? found = Crossing(first, second, levelC);
            shiftS = found?.ShiftS ?? 0;
            words = found is { } one
                ? $"where {one.Title} first comes to {ReviewWords.Digits(levelC, "°C")} °C"
                : $"no curve of both runs comes to {ReviewWords.Digits(levelC, "°C")} °C, so from their start";
        }
        List<OverlayFigure> figures = [];
        foreach (ReviewFigure figure in first.Figures)
        {
            ReviewFigure? other = second.Figures.FirstOrDefault(one =>
                one.Key == figure.Key && one.Unit == figure.Unit && SameSubject(one, figure) && SameTitle(one, figure)
            );
            if (other is not null)
            {
                figures.Add(new OverlayFigure(figure, other, other.Value - figure.Value, Differs(figure, other)));
            }
        }
        return new RunOverlay(shiftS, words, figures);
    }

    // Words of a joint's place may differ, and so may the window that a slow logger needs.
    private static bool SameTitle(ReviewFigure a, ReviewFigure b) =>
        a.Key is "peak" or "rise" or "fall" || a.Title == b.Title;

    private static bool SameSubject(ReviewFigure a, ReviewFigure b) => a.Subject == b.Subject;

    private static bool? Differs(ReviewFigure a, ReviewFigure b)
    {
        if (a.Value is null || b.Value is null)
        {
            return null;
        }
        bool apart =
            (a.High ?? double.PositiveInfinity) < (b.Low ?? double.NegativeInfinity)
            || (b.High ?? double.PositiveInfinity) < (a.Low ?? double.NegativeInfinity);
        return apart ? true
            : a.AtLeast || b.AtLeast ? null
            : false;
    }

    private static (string Title, double ShiftS)? Crossing(RunReview first, RunReview second, double levelC)
    {
        string[] order = ["joint-coldest", "body-top"];
        IEnumerable<string> names = order.Concat(first.Curves.Select(curve => curve.Name)).Distinct();
        foreach (string name in names.Where(name => name != "planned-coldest"))
        {
            ReviewCurve? a = first.Curves.FirstOrDefault(curve => curve.Name == name);
            ReviewCurve? b = second.Curves.FirstOrDefault(curve => curve.Name == name);
            if (
                a is not null
                && b is not null
                && RunMeasures.FirstUp(RunCurve.Of(a.TimesS, a.TemperaturesC), levelC) is { } at
                && RunMeasures.FirstUp(RunCurve.Of(b.TimesS, b.TemperaturesC), levelC) is { } other
            )
            {
                return (a.Title, at.AtS - other.AtS);
            }
        }
        return null;
    }
}
