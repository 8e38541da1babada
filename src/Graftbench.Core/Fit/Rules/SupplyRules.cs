using Graftbench.Core.Facts;
using Graftbench.Core.Findings;
using Graftbench.Core.Jobs;
using static System.FormattableString;

namespace Graftbench.Core.Fit.Rules;

/// <summary>Voltages, codes and currents.</summary>
internal static class SupplyRules
{
    /// <summary>The board's window must lie inside the chip's.</summary>
    public static IEnumerable<Finding> Windows(FitContext context, FitRule rule)
    {
        if (context.Rails.Count == 0)
        {
            yield return rule.Lacks(
                context.Where,
                "The rails of the chip are not entered.",
                "Enter lowest and highest voltage of each rail from its data sheet, or give a ball list that tells them."
            );
        }
        foreach (FoundRail rail in context.Rails)
        {
            yield return Window(context, rule, rail);
        }
    }

    private static Finding Window(FitContext context, FitRule rule, FoundRail rail)
    {
        string where = $"{context.Where}, {rail.Needed.Name}";
        string takes = Invariant($"{rail.Needed.LeastV:0.###} to {rail.Needed.MostV:0.###} V");
        if (rail.Given is not { } given)
        {
            if (rail.MadeFor is { } made && (made.MostV < rail.Needed.LeastV || made.LeastV > rail.Needed.MostV))
            {
                return rule.Find(
                    Verdict.FixFirst,
                    where,
                    "By its ball list the board is made for another voltage here than the chip takes.",
                    Invariant($"made for {made.LeastV:0.###} to {made.MostV:0.###} V"),
                    takes,
                    "Measure this rail on the board before anything is heated, and enter it; or take a chip of that voltage."
                );
            }
            return rule.Lacks(
                where,
                rail.Needed.OnBoard is { } told
                    ? $"The board has no rail '{told}'."
                    : "Which rail of the board feeds it is not known.",
                "Enter the board's rail with its voltage, under the same name, or say with the chip's rail which rail of the board feeds it."
            );
        }
        string gives = Invariant(
            $"{given.Name}: {rail.LowV:0.###} to {rail.HighV:0.###} V ({given.SetV:0.###} V ± {rail.TolerancePercent:0.#} %)"
        );
        string measured = given.MeasuredV is { } volts ? Invariant($", measured {volts:0.###} V") : "";
        string source = given.TolerancePercent is null ? FitFacts.Limit("rail-tolerance").Source : rule.Source;
        return rail.Verdict switch
        {
            Verdict.Ok => rule.Find(
                Verdict.Ok,
                where,
                "The board's voltage stays inside what the chip takes.",
                gives,
                takes,
                source: source
            ),
            Verdict.Warning => rule.Find(
                Verdict.Warning,
                where,
                "The board's window passes that of the chip, but the voltage measured on this board is inside.",
                gives + measured,
                takes,
                "Measure it again under load once the chip runs.",
                source: source
            ),
            Verdict.FixFirst => rule.Find(
                Verdict.FixFirst,
                where,
                "The board's window passes that of the chip.",
                gives,
                takes,
                "Measure this rail on the board before the chip is placed, and enter the voltage.",
                source: source
            ),
            _ => rule.Find(
                Verdict.Blocker,
                where,
                "The board gives a voltage that the chip does not take.",
                gives + measured,
                takes,
                Invariant(
                    $"Do not place it: take a chip for {given.MeasuredV ?? given.SetV:0.##} V here. Else {given.Name} would have to be set otherwise, and what else it feeds would have to stand that."
                ),
                source: source
            ),
        };
    }

    /// <summary>Every voltage that the chip may ask for must be one that the regulator has.</summary>
    public static IEnumerable<Finding> Codes(FitContext context, FitRule rule)
    {
        if (context.Needs.CoreCodes is not { } asks || context.Gives.CoreCodes is not { } has)
        {
            yield return rule.Lacks(
                context.Where,
                context.Needs.CoreCodes is null
                    ? "The voltages that the chip may ask of the core regulator are not entered."
                    : "The voltages that the core regulator has are not entered.",
                "Enter coding table, lines, range and step of both; for a chip with a fixed core voltage set this aside with that reason."
            );
            yield break;
        }
        if (!string.Equals(asks.Table.Trim(), has.Table.Trim(), StringComparison.OrdinalIgnoreCase))
        {
            yield return rule.Find(
                Verdict.Blocker,
                context.Where,
                "Chip and regulator speak different coding tables: one code means two voltages.",
                asks.Table,
                has.Table,
                "Check both data sheets; if the two names mean one table, write them alike."
            );
            yield break;
        }
        if (asks.Lines > has.Lines)
        {
            yield return rule.Find(
                Verdict.Blocker,
                context.Where,
                "The chip has more code lines than the regulator reads.",
                Invariant($"{asks.Lines} lines"),
                Invariant($"{has.Lines} lines"),
                "Do not place it: its codes would be read cut short."
            );
        }
        List<double> missing = [.. Voltages(asks).Where(volts => !Has(has, volts))];
        int all = Voltages(asks).Count();
        yield return missing.Count > 0
            ? rule.Find(
                Verdict.Blocker,
                context.Where,
                "The chip may ask for voltages that the regulator does not have.",
                Invariant($"{missing.Count} of {all}, from {missing[0]:0.####} to {missing[^1]:0.####} V"),
                Invariant($"{has.LeastV:0.####} to {has.MostV:0.####} V in steps of {1000 * has.StepV:0.##} mV"),
                "Do not place it, unless the maker says that these codes are never asked for on this board."
            )
            : rule.Find(
                Verdict.Ok,
                context.Where,
                "The regulator has every voltage that the chip may ask for.",
                Invariant($"{all} voltages, {asks.LeastV:0.####} to {asks.MostV:0.####} V"),
                Invariant($"{has.LeastV:0.####} to {has.MostV:0.####} V in steps of {1000 * has.StepV:0.##} mV")
            );
    }

    private static IEnumerable<double> Voltages(VoltageCodes codes)
    {
        int last = (int)Math.Floor(((codes.MostV - codes.LeastV) / codes.StepV) + 1e-6);
        for (int i = 0; i <= last; i++)
        {
            yield return codes.LeastV + (i * codes.StepV);
        }
    }

    private static bool Has(VoltageCodes codes, double volts)
    {
        double off = FitFacts.Limit("code-step").Value;
        double nearest = codes.LeastV + (Math.Round((volts - codes.LeastV) / codes.StepV) * codes.StepV);
        return volts >= codes.LeastV - off && volts <= codes.MostV + off && Math.Abs(volts - nearest) <= off;
    }

    /// <summary>Currents, how fast they rise, and load lines.</summary>
    public static IEnumerable<Finding> Currents(FitContext context, FitRule rule)
    {
        if (context.Rails.Count == 0)
        {
            yield return rule.Lacks(
                context.Where,
                "The rails of the chip are not entered.",
                "Enter the highest current of each rail."
            );
        }
        foreach (FoundRail rail in context.Rails)
        {
            string where = $"{context.Where}, {rail.Needed.Name}";
            if (
                rail.Given is not { } given
                || rail.Needed.MostCurrentA is not { } asks
                || given.MostCurrentA is not { } has
            )
            {
                yield return rule.Lacks(
                    where,
                    rail.Needed.MostCurrentA is null
                        ? "Its highest current is not entered."
                        : "What the board's regulator gives for good is not entered.",
                    "Enter both from the data sheets."
                );
                continue;
            }
            double share = given.DeratingPercent ?? FitFacts.Limit("current-derating").Value;
            double counted = has * share / 100;
            bool fits = asks <= counted;
            if (!fits && rail.FromList)
            {
                yield return rule.Find(
                    Verdict.Unknown,
                    where,
                    "What the balls of this rail may carry adds up to more than the regulator is counted on for; how much of it the chip draws is not entered.",
                    Invariant($"{asks:0.###} A at most, added up ball by ball"),
                    Invariant($"{counted:0.###} A ({share:0} % of {has:0.###} A)"),
                    "Enter the rail of the chip with its highest current from the data sheet."
                );
                continue;
            }
            yield return rule.Find(
                fits ? Verdict.Ok
                    : asks <= has ? Verdict.FixFirst
                    : Verdict.Blocker,
                where,
                fits
                    ? "The regulator gives enough current."
                    : "The chip draws more than the regulator is counted on for.",
                Invariant($"{asks:0.###} A"),
                Invariant($"{counted:0.###} A ({share:0} % of {has:0.###} A)"),
                fits ? null : "Cap the chip's power by firmware, or take a chip that draws less.",
                source: given.DeratingPercent is null ? FitFacts.Limit("current-derating").Source : rule.Source
            );
            if (rail.Needed.SlewAPerUs is { } steep && given.SlewAPerUs is { } follows && steep > follows)
            {
                yield return rule.Find(
                    Verdict.FixFirst,
                    where,
                    "The chip's current rises faster than the regulator follows.",
                    Invariant($"{steep:0.##} A/µs"),
                    Invariant($"{follows:0.##} A/µs"),
                    "Look at the voltage with a fast probe at the first full load, and add capacitors only as the maker allows.",
                    "fit.current-slew"
                );
            }
            if (rail.Needed.LoadLineMilliOhm is { } wants && given.LoadLineMilliOhm is { } line)
            {
                double apart = FitFacts.Limit("load-line-difference").Value;
                bool same = Math.Abs(wants - line) <= apart / 100 * Math.Max(wants, line);
                double offV = Math.Abs(wants - line) * asks / 1000;
                yield return rule.Find(
                    same ? Verdict.Ok : Verdict.FixFirst,
                    where,
                    same ? "Load lines agree." : "The load lines differ: under full load the voltage is another one.",
                    Invariant($"{wants:0.##} mΩ asked, {offV * 1000:0} mV apart at {asks:0.#} A"),
                    Invariant($"{line:0.##} mΩ, {apart:0} % apart at most"),
                    same
                        ? null
                        : "Set the regulator's load line, or check that the window still holds with the difference.",
                    "fit.load-line",
                    FitFacts.Limit("load-line-difference").Source
                );
            }
        }
    }
}
