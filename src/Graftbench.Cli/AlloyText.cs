using Graftbench.Core.Drying;
using Graftbench.Core.Findings;
using Graftbench.Core.Mixing;

namespace Graftbench.Cli;

/// <summary>Mixtures as a person reads them.</summary>
internal static class AlloyText
{
    private const int Column = 26;
    private const int MapColumn = 12;

    /// <summary>A whole answer.</summary>
    public static string Of(MixAnswer answer)
    {
        Page page = new();
        page.Add($"{answer.Subject}: {answer.Answer}", 2).Add();
        AddParts(page, answer);
        AddMelting(page, answer);
        AddFigures(page, answer);
        AddMap(page, answer.Map);
        page.Add().Add("Findings");
        AddFindings(page, answer.Findings);
        page.Add().Add("Not said");
        foreach (string one in answer.NotSaid)
        {
            page.Add($"  {one}", 4);
        }
        if (answer.Assumptions.Count > 0)
        {
            page.Add().Add("Assumed");
            foreach (Assumption assumption in answer.Assumptions)
            {
                page.Add($"  {assumption.What} ({assumption.Source})", 4);
            }
        }
        return page.ToString();
    }

    /// <summary>The part of a mixture that stands inside another answer.</summary>
    public static void AddShort(Page page, MixAnswer answer)
    {
        page.Add().Add("Solder of the joint");
        page.Add($"  {answer.Answer}", 2);
        AddParts(page, answer);
        AddMelting(page, answer);
    }

    private static void AddParts(Page page, MixAnswer answer)
    {
        foreach (MixPart part in answer.Parts.Concat(answer.Solid))
        {
            page.Add(
                $"  {part.Name}",
                $"{part.Alloy.Name}, {part.Size}{(part.Size.EndsWith("mg", StringComparison.Ordinal) ? "" : $", {part.MassMg:0.0000} mg")}{(answer.Solid.Contains(part) ? "; stays solid, not in the mixture" : "")}",
                Column
            );
        }
        page.Add("  mixture", $"{answer.MassMg:0.0000} mg: {Shares(answer.Shares)}", Column);
    }

    private static void AddMelting(Page page, MixAnswer answer)
    {
        if (answer is not { Solidus: { } solidus, FullMelt: { } full, Liquidus: { } liquidus, Freezing: { } freezing })
        {
            return;
        }
        page.Add("  first melt", $"{Point(solidus)}, long at rest; as it froze it softens where it froze last", Column);
        page.Add("  fully molten", $"{Point(full)}; 99 % liquid, this counts", Column);
        page.Add("  last crystal", $"{Point(liquidus)}; {liquidus.Phase} forms first on cooling", Column);
        page.Add(
            "  frozen",
            $"{Point(freezing.End)}; {100 * freezing.LateFraction:0.#} % liquid 1 K above; do not move before {freezing.StillC:0} °C",
            Column
        );
        if (answer.NeededC is double neededC)
        {
            page.Add("  needed to mix", $"{Math.Ceiling(neededC):0} °C at the coldest joint", Column);
        }
        if (answer.Peak is { } peak)
        {
            page.Add(
                $"  at {peak.PeakC:0.#} °C",
                $"{100 * peak.LiquidFraction:0.#} % liquid{(peak.DissolvedFraction is double share ? $"; {100 * share:0} % of the {peak.LastAlloy} dissolved at most" : "")}",
                Column
            );
        }
    }

    private static void AddFigures(Page page, MixAnswer answer)
    {
        if (answer.Balances.Count > 0)
        {
            page.Add().Add("Phases, by mass");
            foreach (MixBalance balance in answer.Balances)
            {
                page.Add(
                    $"  {balance.TemperatureC:0.0} °C",
                    $"{balance.What}: {string.Join(", ", balance.Phases.Select(phase => $"{phase.Name} {100 * phase.MassFraction:0.0} %"))}",
                    Column
                );
            }
        }
        page.Add().Add("Figures");
        if (answer.Heat is { } heat)
        {
            page.Add("  melting heat", $"{Kilo(heat.MeltingJPerKg)} J/g ± 5 %, compounds included", Column);
            page.Add(
                "  specific heat",
                $"solid on a ramp {Kilo(heat.SolidJPerKgK, 3)}, in equilibrium below the first melt {Kilo(heat.SlowSolidJPerKgK, 3)}, melt {Kilo(heat.LiquidJPerKgK, 3)} J/(g K), each ± 5 %",
                Column
            );
        }
        MixDensity density = answer.Density;
        string melt = density is { LiquidKgPerM3: double liquid, LiquidAtC: double atC }
            ? $"; melt at {atC:0} °C {liquid:0} kg/m³ ± 1.5 %, swollen by {100 * (density.SwellingFactor - 1):0.0} %"
            : "; melt not known";
        page.Add("  density", $"solid {density.SolidKgPerM3:0} kg/m³ ± 0.7 %{melt}", Column);
        page.Add(
            "  surface tension",
            answer.Tensions.Count == 0
                ? "not known for one of the alloys"
                : string.Join(
                    "; ",
                    answer.Tensions.Select(one =>
                        $"{Cover(one.Cover)} {one.TensionNPerM:0.00} ({one.LowNPerM:0.00} to {one.HighNPerM:0.00}) N/m"
                    )
                ),
            Column
        );
    }

    private static void AddMap(Page page, MixMap? map)
    {
        if (map is null)
        {
            return;
        }
        page.Add().Add($"Mixtures of {map.First} and {map.Second}, °C; here {map.HerePercent:0.#} % {map.Second}");
        page.Add(
            $"  {$"{map.Second} %", -16}{"first melt", MapColumn}{"99 % liquid", MapColumn}{"last crystal", MapColumn + 2}{"frozen", MapColumn - 2}"
        );
        foreach (
            MixMapRow row in map.Rows.Where(row => row.SecondPercent % 10 == 0 || row.SecondPercent is < 1 or > 99)
        )
        {
            page.Add(
                $"  {row.SecondPercent, -16:0.#}{C(row.SolidusC), MapColumn}{C(row.FullMeltC), MapColumn}{C(row.LiquidusC), MapColumn + 2}{C(row.FreezingEndC), MapColumn - 2}"
            );
        }

        static string C(double? temperatureC) => temperatureC is double value ? $"{value:0.0}" : "none";
    }

    private static void AddFindings(Page page, IReadOnlyList<Finding> findings)
    {
        foreach (Finding finding in findings)
        {
            string limit = finding.Limit is null ? "" : $", limit {finding.Limit}";
            string value = finding.Value is null && limit.Length == 0 ? "" : $" ({finding.Value ?? "no value"}{limit})";
            page.Add(
                $"  {Say.Verdict(finding.Verdict)}: {finding.What}{value}{(finding.Source is null ? "" : $" [{finding.Source}]")}{(finding.Todo is null ? "" : " → " + finding.Todo)}",
                4
            );
        }
    }

    private static string Point(MixPoint point) => $"{point.ValueC:0.0} °C ({point.LowC:0} to {point.HighC:0})";

    private static string Shares(MixShares shares) =>
        string.Join(
            " ",
            new[]
            {
                ("Sn", shares.TinPercent),
                ("Pb", shares.LeadPercent),
                ("Bi", shares.BismuthPercent),
                ("Ag", shares.SilverPercent),
                ("Cu", shares.CopperPercent),
                ("In", shares.IndiumPercent),
            }
                .Where(one => one.Item2 > 0)
                .Select(one => $"{one.Item1} {one.Item2:0.##}")
        ) + " % by mass";

    private static string Cover(string cover) =>
        cover switch
        {
            "flux" => "under flux",
            "nitrogen" => "in nitrogen, no flux",
            _ => "bare in air",
        };

    private static string Kilo(double? value, int digits = 1) =>
        value is double number
            ? (number / 1000).ToString(digits == 1 ? "0.0" : "0.000", System.Globalization.CultureInfo.InvariantCulture)
            : "not found";
}
