using static System.FormattableString;

namespace Graftbench.Core.Findings;

/// <summary>Chances that were counted over samples, as text: none of them is not never, and all of them is not always.</summary>
public static class ChanceText
{
    /// <summary>A chance: <c>83 %</c>, <c>under 1 %</c>, <c>over 99 %</c>.</summary>
    /// <param name="fraction">The chance, 0 to 1.</param>
    public static string Of(double fraction) =>
        fraction < 0.005 ? "under 1 %"
        : fraction > 0.995 ? "over 99 %"
        : Invariant($"{100 * fraction:0} %");

    /// <summary>A chance with two standard errors: <c>83 % ± 2.4 %</c>.</summary>
    /// <param name="fraction">The chance, 0 to 1.</param>
    /// <param name="errorFraction">Its standard error.</param>
    public static string Of(double fraction, double errorFraction) =>
        Invariant($"{Of(fraction)} ± {200 * errorFraction:0.#} %");

    /// <summary>A chance that is asked for: <c>90 %</c>, <c>99.5 %</c>.</summary>
    /// <param name="fraction">The chance, 0 to 1.</param>
    public static string Wanted(double fraction) => Invariant($"{100 * fraction:0.##} %");
}
