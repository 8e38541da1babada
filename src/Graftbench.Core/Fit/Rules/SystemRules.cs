using Graftbench.Core.Facts;
using Graftbench.Core.Findings;
using Graftbench.Core.Jobs;
using static System.FormattableString;

namespace Graftbench.Core.Fit.Rules;

/// <summary>Clocks, links, firmware, memory.</summary>
internal static class SystemRules
{
    private const double BytesPerGib = 1024.0 * 1024 * 1024;

    /// <summary>The reference clock that the chip asks for, and its multiple.</summary>
    public static IEnumerable<Finding> Clock(FitContext context, FitRule rule)
    {
        ChipNeeds needs = context.Needs;
        StrapRow? row = needs.StrapTable.FirstOrDefault(one => one.Levels == needs.Straps);
        if (needs.ClockMhz is null && needs.Straps is { } straps && needs.StrapTable.Count > 0 && row is null)
        {
            yield return rule.Find(
                Verdict.Blocker,
                context.Where,
                "Its straps ask for a clock that its own table does not have.",
                straps,
                string.Join(", ", needs.StrapTable.Select(one => one.Levels)),
                "Check the levels of the strap balls against the data sheet."
            );
            yield break;
        }
        if (needs.ClockMhz is { } said && row is { ClockMhz: { } decoded } && !Same(said, decoded, "clock-difference"))
        {
            yield return rule.Find(
                Verdict.FixFirst,
                context.Where,
                "The clock that was entered is not the one that its straps ask for.",
                Invariant($"{said:0.###} MHz"),
                Invariant($"{decoded:0.###} MHz by {row.Levels}"),
                "Find out which is right; straps that are misread start the chip at the wrong speed."
            );
        }
        if ((needs.ClockMhz ?? row?.ClockMhz) is not { } asksMhz || context.Gives.Clocks.Count == 0)
        {
            yield return rule.Lacks(
                context.Where,
                (needs.ClockMhz ?? row?.ClockMhz) is null
                    ? "The reference clock that it needs is not entered."
                    : "The clocks that the board can make are not entered.",
                "Enter the chip's clock or its straps with their table, and the clocks of the board."
            );
        }
        else
        {
            bool has = context.Gives.Clocks.Any(clock => Same(clock.ClockMhz, asksMhz, "clock-difference"));
            yield return rule.Find(
                has ? Verdict.Ok : Verdict.Blocker,
                context.Where,
                has
                    ? "The board makes the clock that the chip needs."
                    : "The board does not make the clock that the chip needs.",
                Invariant($"{asksMhz:0.###} MHz{(needs.ClockMhz is null ? $" by straps {row!.Levels}" : "")}"),
                string.Join(", ", context.Gives.Clocks.Select(clock => Invariant($"{clock.ClockMhz:0.###} MHz"))),
                has ? null : "Do not place it, unless the clock source can be set otherwise."
            );
        }
        if (
            Range(needs.LeastClockRatio, needs.MostClockRatio) is { } mine
            && Range(context.Gives.LeastClockRatio, context.Gives.MostClockRatio) is { } theirs
        )
        {
            bool inside = mine.Low >= theirs.Low && mine.High <= theirs.High;
            bool apart = mine.Low > theirs.High || mine.High < theirs.Low;
            yield return rule.Find(
                apart ? Verdict.Blocker
                    : inside ? Verdict.Ok
                    : Verdict.Warning,
                context.Where,
                apart ? "The board cannot set any multiple that the chip takes."
                    : inside ? "The board can set every multiple that the chip takes."
                    : "The board can set only some of the multiples: the chip may run slower than it could.",
                Invariant($"{mine.Low:0.##} to {mine.High:0.##}"),
                Invariant($"{theirs.Low:0.##} to {theirs.High:0.##}"),
                inside ? null : "See whether the multiple that is wanted is among them.",
                "fit.clock-multiple"
            );
        }
    }

    private static (double Low, double High)? Range(double? least, double? most) =>
        least is { } low && most is { } high ? (low, high) : null;

    private static bool Same(double a, double b, string limit) =>
        Math.Abs(a - b) <= FitFacts.Limit(limit).Value / 100 * Math.Max(a, b);

    /// <summary>Buses and links: type, generation, width, termination.</summary>
    public static IEnumerable<Finding> Links(FitContext context, FitRule rule)
    {
        if (context.Needs.Links.Count == 0 || context.Gives.Links.Count == 0)
        {
            yield return rule.Lacks(
                context.Where,
                context.Needs.Links.Count == 0
                    ? "The buses and links of the chip are not entered."
                    : "The buses and links of the board are not entered.",
                "Enter them for both: type, generation, lanes, termination."
            );
            yield break;
        }
        foreach (ChipLink link in context.Needs.Links)
        {
            string where = $"{context.Where}, {link.Name}";
            ChipLink? other = context.Gives.Links.FirstOrDefault(one =>
                string.Equals(one.Name.Trim(), link.Name.Trim(), StringComparison.OrdinalIgnoreCase)
            );
            if (other is null)
            {
                yield return link.Optional == YesNo.Yes
                    ? rule.Find(
                        Verdict.Warning,
                        where,
                        "The board has no such link; the machine works without it.",
                        link.Type,
                        string.Join(", ", context.Gives.Links.Select(one => one.Name))
                    )
                    : rule.Find(
                        Verdict.Blocker,
                        where,
                        "The board has no such link.",
                        link.Type,
                        string.Join(", ", context.Gives.Links.Select(one => one.Name)),
                        "Check the names; mark it as optional if the machine works without it."
                    );
                continue;
            }
            yield return Link(rule, where, link, other);
        }
    }

    private static Finding Link(FitRule rule, string where, ChipLink link, ChipLink other)
    {
        List<string> breaks = [];
        List<string> slows = [];
        if (!string.Equals(link.Type.Trim(), other.Type.Trim(), StringComparison.OrdinalIgnoreCase))
        {
            breaks.Add("type");
        }
        if (
            link.TerminationV is { } mine
            && other.TerminationV is { } theirs
            && !Same(mine, theirs, "termination-difference")
        )
        {
            breaks.Add("termination voltage");
        }
        if (link.Generation is { } generation && other.Generation is { } also && generation != also)
        {
            slows.Add("generation");
        }
        if (link.Lanes is { } lanes && other.Lanes is { } across && lanes != across)
        {
            slows.Add("number of lanes");
        }
        string[] open =
        [
            .. new (string Name, bool Missing)[]
            {
                ("generation", link.Generation is null || other.Generation is null),
                ("lanes", link.Lanes is null || other.Lanes is null),
                ("termination", link.TerminationV is null || other.TerminationV is null),
            }
                .Where(one => one.Missing)
                .Select(one => one.Name),
        ];
        (Verdict verdict, string what, string? todo) =
            breaks.Count > 0
                ? (
                    link.Optional == YesNo.Yes ? Verdict.Warning : Verdict.Blocker,
                    $"The link does not fit: another {string.Join(" and another ", breaks)}.",
                    "Check both data sheets; names of one type must be written alike."
                )
            : slows.Count > 0
                ? (
                    Verdict.Warning,
                    $"The link has another {string.Join(" and another ", slows)}: it works only if both sides fall back.",
                    "Check that both data sheets allow the lower of the two."
                )
            : open.Length > 0
                ? (
                    Verdict.Unknown,
                    $"Of the link was not compared: {string.Join(", ", open)}.",
                    "Enter these for both sides; 0 V where there is no termination."
                )
            : (Verdict.Ok, "The link is the same on both sides.", (string?)null);
        return rule.Find(verdict, where, what, Told(link), Told(other), todo);
    }

    private static string Told(ChipLink link) =>
        link.Type
        + (link.Generation is { } generation ? Invariant($", generation {generation}") : "")
        + (link.Lanes is { } lanes ? Invariant($", {lanes} lanes") : "")
        + (link.TerminationV is { } volts ? Invariant($", {volts:0.###} V termination") : "");

    /// <summary>What the image reader said of the chip.</summary>
    public static IEnumerable<Finding> Firmware(FitContext context, FitRule rule)
    {
        yield return context.Request.Firmware is { } firmware
            ? firmware with
            {
                Code = rule.Id,
            }
            : rule.Lacks(
                context.Where,
                "Whether the firmware of the board knows the chip was not looked at.",
                "Read the flash chip and enter the chip's signature: question 8 looks for it."
            );
    }

    /// <summary>The smallest of four memory limits.</summary>
    public static IEnumerable<Finding> Memory(FitContext context, FitRule rule)
    {
        List<(string Name, double Gib)> limits = MemoryLimits(context);
        if (limits.Count == 0)
        {
            yield return rule.Lacks(
                context.Where,
                "Nothing that limits the memory is entered.",
                "Enter address bits, the limits of chipset and firmware, sockets and largest module; set this aside with a reason where there is no memory."
            );
            yield break;
        }
        (string name, double gib) = limits.MinBy(limit => limit.Gib);
        string all = string.Join(", ", limits.Select(limit => Invariant($"{limit.Name} {limit.Gib:0.####} GiB")));
        double? wanted = context.Gives.Memory?.WantedGib;
        bool enough = wanted is null || wanted <= gib;
        yield return rule.Find(
            !enough ? Verdict.FixFirst
                : limits.Count < 4 ? Verdict.Unknown
                : Verdict.Ok,
            context.Where,
            enough
                ? $"Memory ends with {name}{(limits.Count < 4 ? "; not all four limits are entered" : "")}."
                : $"The memory that is wanted is more than {name} allows.",
            Invariant($"{gib:0.####} GiB{(wanted is { } asks ? $", wanted {asks:0.####}" : "")}"),
            all,
            !enough ? "Tell the owner before the work what the machine will have."
                : limits.Count < 4 ? "Enter the limits that are missing: the smallest one counts."
                : null
        );
    }

    /// <summary>Limits of the memory that are known [GiB].</summary>
    public static List<(string Name, double Gib)> MemoryLimits(FitContext context)
    {
        BoardMemory? memory = context.Gives.Memory;
        List<(string, double)> limits = [];
        if (context.Needs.AddressBits is { } bits)
        {
            limits.Add((Invariant($"{bits} address bits of the chip,"), Math.Pow(2, bits) / BytesPerGib));
        }
        if (memory?.ChipsetGib is { } chipset)
        {
            limits.Add(("the chipset", chipset));
        }
        if (memory?.FirmwareGib is { } firmware)
        {
            limits.Add(("the firmware", firmware));
        }
        if (memory is { Slots: { } slots, ModuleGib: { } module })
        {
            limits.Add((Invariant($"{slots} times the largest module,"), slots * module));
        }
        return limits;
    }
}
