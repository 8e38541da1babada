using Graftbench.Core.Findings;
using Graftbench.Core.Planning;
using static System.FormattableString;

namespace Graftbench.Core.Proof;

/// <summary>Question 7: is it safe to power?</summary>
public static class ProofQuestion
{
    private const int Named = 3;

    /// <summary>The answer in short; null where nothing was measured and no rail is named.</summary>
    public static QuestionSummary? Answer(ProofAnswer proof)
    {
        ArgumentNullException.ThrowIfNull(proof);
        if (proof.Readings.Readings.Count == 0 && proof.Nets.Count == 0)
        {
            return null;
        }
        return new QuestionSummary(Worst(proof), Line(proof), Next(proof), Finding.WorstFirst(Condensed(proof)));
    }

    /// <summary>The large line: may it be powered, and what decides it.</summary>
    public static string Line(ProofAnswer proof)
    {
        ArgumentNullException.ThrowIfNull(proof);
        NetProof[] stops = [.. proof.Bars.Where(net => net.Verdict is Verdict.Blocker or Verdict.FixFirst)];
        NetProof[] open = [.. proof.Bars.Where(net => net.Verdict is not (Verdict.Blocker or Verdict.FixFirst))];
        if (stops.Length > 0)
        {
            string more =
                stops.Length > 1
                    ? Invariant($" {stops.Length - 1} more {(stops.Length == 2 ? "stands" : "stand")} against it.")
                    : "";
            return $"Do not power: {Told(stops[0])}.{more}";
        }
        if (open.Length > 0)
        {
            string names =
                string.Join(", ", open.Take(Named).Select(net => net.Net)) + (open.Length > Named ? " and others" : "");
            return Invariant(
                $"Not yet: of {open.Length} {(open.Length == 1 ? "rail" : "rails")} it is not known whether {(open.Length == 1 ? "it is" : "they are")} shorted: {names}."
            );
        }
        int rails = proof.Nets.Count(net => net.Rail is not null);
        if (rails == 0)
        {
            return "Not yet: no rail was measured.";
        }
        int waived = proof.Nets.Count(net => net.Waived is not null);
        int signals = proof.Nets.Count(net => net.Rail is null && net.Compared);
        return Invariant(
            $"It may be powered with limited current: {rails} {(rails == 1 ? "rail" : "rails")} and {signals} {(signals == 1 ? "signal" : "signals")} compared{(waived > 0 ? Invariant($", {waived} set aside with a reason") : "")}."
        );
    }

    // Hundreds of signals that read alike are one finding; what stands against power is always told by itself.
    private static IEnumerable<Finding> Condensed(ProofAnswer proof)
    {
        IEnumerable<Finding> rails = proof.Nets.Where(net => net.Rail is not null).SelectMany(net => net.Findings);
        foreach (Finding finding in proof.General.Concat(rails))
        {
            yield return finding;
        }
        foreach (
            IGrouping<(Verdict, string), Finding> alike in proof
                .Nets.Where(net => net.Rail is null)
                .SelectMany(net => net.Findings)
                .GroupBy(finding => (finding.Verdict, finding.Code))
        )
        {
            bool single = alike.Key.Item1 is Verdict.Blocker or Verdict.FixFirst || alike.Count() <= Named;
            foreach (Finding finding in single ? alike : alike.Take(0))
            {
                yield return finding;
            }
            if (!single)
            {
                Finding first = alike.First();
                string names = string.Join(", ", alike.Take(Named).Select(finding => finding.Where));
                yield return first with
                {
                    Where = Invariant($"{names} and {alike.Count() - Named} more signals"),
                    Value = null,
                    Limit = null,
                };
            }
        }
    }

    private static string? Next(ProofAnswer proof) =>
        proof.Bars.FirstOrDefault() is { } bar ? bar.Barring.First().Todo
        : proof.MayPower ? "Follow the plan of the first power: limit, order, stop rules."
        : proof.General.FirstOrDefault(one => one.Code == "proof.no-rails")?.Todo;

    // 1V8_MEM is 0.31 of its baseline.
    private static string Told(NetProof net) =>
        net switch
        {
            { ChangeRatio: { } ratio } when net.Findings[0].Code == "proof.rail-low" => Invariant(
                $"{net.Net} is {ratio:0.00} of its {ProofWords.Of(net.BaselineState!.Value)}"
            ),
            { Now: { } now } when net.Findings[0].Code == "proof.input-short" =>
                $"{net.Net} is shorted, {ReadingText.Of(net.Kind, now)} to ground",
            { Now: { } now } when net.Findings[0].Code == "proof.signal-open" =>
                $"signal {net.Net} is open ({ReadingText.Of(net.Kind, now)})",
            { Now: { } now } when net.Findings[0].Code is "proof.signal-short" or "proof.signal-tied" =>
                $"signal {net.Net} is shorted ({ReadingText.Of(net.Kind, now)})",
            { Now: { } now } when net.Findings[0].Code == "proof.pair-bridge" =>
                $"{net.Net} is joined ({ReadingText.Of(net.Kind, now)})",
            _ => $"{net.Net}: {net.Findings[0].What.TrimEnd('.')}",
        };

    // A rail of which nothing is known leaves the answer unknown, whatever else is only worth a warning.
    private static Verdict Worst(ProofAnswer proof)
    {
        Verdict worst = Finding.Worst(
            proof.General.Concat(proof.Nets.Where(net => net.Waived is null).SelectMany(net => net.Findings))
        );
        return worst is Verdict.Blocker or Verdict.FixFirst ? worst
            : proof.MayPower ? worst
            : Verdict.Unknown;
    }
}
