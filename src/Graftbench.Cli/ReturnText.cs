using Graftbench.Core.Proof;
using Graftbench.Core.Returns;
using static System.FormattableString;

namespace Graftbench.Cli;

/// <summary>Hand-over against return as a person reads it.</summary>
internal static class ReturnText
{
    private const int MostNets = 60;

    public static string Of(ReturnAnswer answer)
    {
        Page page = new();
        page.Add(answer.Answer);
        if (answer.Next is { } next)
        {
            page.Add("→ " + next, 2);
        }
        FindingText.Add(page, answer.Findings);
        page.Add();
        foreach (Repeatability repeat in answer.Repeat)
        {
            page.Add(
                $"Repeatability of {ProofWords.Of(repeat.Kind)}{(repeat.Meter is null ? "" : $", {repeat.Meter}")}: "
                    + (
                        repeat.Kind == ReadingKind.Resistance
                            ? Invariant($"{100 * repeat.SpreadNumber:0.0} %")
                            : Invariant(
                                $"{1000 * repeat.SpreadNumber:0.0} m{(repeat.Kind == ReadingKind.Current ? "A" : "V")}"
                            )
                    )
                    + (repeat.Measured ? Invariant($", measured on {repeat.Nets} nets") : ", an estimate"),
                4
            );
        }
        NetReturn[] still = [.. answer.Nets.Where(net => !net.StandsOut && net.Why is null)];
        if (still.Length > 0)
        {
            page.Add(
                Invariant(
                    $"As at hand-over: {string.Join(", ", still.Take(MostNets).Select(net => net.Net))}{(still.Length > MostNets ? " ..." : "")}"
                ),
                4
            );
        }
        return page.ToString();
    }
}
