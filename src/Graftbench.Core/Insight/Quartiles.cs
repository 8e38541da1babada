namespace Graftbench.Core.Insight;

/// <summary>Middle and quarters of a list of figures; null where there are too few to say.</summary>
/// <param name="Number">How many figures.</param>
/// <param name="Least">Smallest; 0 without a figure.</param>
/// <param name="Most">Largest; 0 without a figure.</param>
/// <param name="LowerQuartile">A quarter lies at or below it; null from fewer than five.</param>
/// <param name="Median">Half lies at or below it; null from fewer than five.</param>
/// <param name="UpperQuartile">Three quarters lie at or below it; null from fewer than five.</param>
public sealed record Quartiles(
    int Number,
    double Least,
    double Most,
    double? LowerQuartile,
    double? Median,
    double? UpperQuartile
)
{
    /// <summary>Fewest figures that a median is told from.</summary>
    public const int Fewest = 5;

    /// <summary>Quartiles of figures in any order.</summary>
    /// <param name="figures">The figures.</param>
    /// <remarks>
    /// Between two figures by a straight line, at place (n - 1) p counted from 0: number 7 of R. J. Hyndman, Y. Fan 1996, Sample
    /// quantiles in statistical packages, The American Statistician 50, 361-365.
    /// </remarks>
    public static Quartiles Of(IEnumerable<double> figures)
    {
        double[] sorted = [.. figures.Order()];
        double At(double share)
        {
            double place = (sorted.Length - 1) * share;
            int below = (int)place;
            return below + 1 < sorted.Length
                ? sorted[below] + ((place - below) * (sorted[below + 1] - sorted[below]))
                : sorted[below];
        }
        return sorted.Length == 0 ? new Quartiles(0, 0, 0, null, null, null)
            : sorted.Length < Fewest ? new Quartiles(sorted.Length, sorted[0], sorted[^1], null, null, null)
            : new Quartiles(sorted.Length, sorted[0], sorted[^1], At(0.25), At(0.5), At(0.75));
    }
}
