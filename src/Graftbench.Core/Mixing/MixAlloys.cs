using System.Globalization;
using System.Text.RegularExpressions;
using Graftbench.Core.Facts;
using Graftbench.Core.Physics.Alloys;
using static System.FormattableString;

namespace Graftbench.Core.Mixing;

/// <summary>Alloys by name: those of the table, and compositions spelled with symbols and % by mass, <c>Sn50Pb50</c>.</summary>
public static partial class MixAlloys
{
    private const double SumTolerancePercent = 0.5;
    private const int LongestName = 40;

    private static readonly string[] InModel = ["Sn", "Pb", "Ag", "Cu", "Bi"];

    // Elements that solders and finishes hold and the melting model does not.
    private static readonly Dictionary<string, string> OutsideModel = new(StringComparer.Ordinal)
    {
        ["In"] = "Indium",
        ["Sb"] = "Antimony",
        ["Ni"] = "Nickel",
        ["Zn"] = "Zinc",
        ["Au"] = "Gold",
        ["Ge"] = "Germanium",
        ["Cd"] = "Cadmium",
        ["Al"] = "Aluminium",
        ["Fe"] = "Iron",
        ["Co"] = "Cobalt",
        ["Mn"] = "Manganese",
        ["Ga"] = "Gallium",
        ["Pd"] = "Palladium",
        ["Pt"] = "Platinum",
        ["P"] = "Phosphorus",
        ["As"] = "Arsenic",
    };

    /// <summary>The alloy of a name. Never throws on what the text holds.</summary>
    /// <param name="name">A name of the table in any usual spelling, or symbols with % by mass that add up to 100 ± 0.5.</param>
    public static MixAlloyReading Read(string? name)
    {
        if (string.IsNullOrWhiteSpace(name))
        {
            return No("No alloy is named.", "Name one of the alloy table, or spell it like Sn50Pb50.");
        }
        if (name.Length > LongestName)
        {
            return No(
                Invariant($"The name of the alloy has {name.Length} letters, more than {LongestName}."),
                "Name one of the alloy table, or spell it like Sn50Pb50."
            );
        }
        if (Alloys.Find(name) is { } known)
        {
            return new MixAlloyReading(
                new MixAlloy(known.Id, MixShares.Of(SolderMix.Of(known)), known.DensityKgPerM3, true, known.Source),
                null,
                null
            );
        }
        string spelled = name.Replace(" ", "", StringComparison.Ordinal);
        return Spelling().IsMatch(spelled)
            ? Spelled(name.Trim(), spelled)
            : No(
                $"The alloy {name.Trim()} is not in the alloy table, and is no composition either.",
                $"Name {Alloys.Nearest(name).Id} if that is meant, or spell symbols and % by mass like Sn50Pb50."
            );
    }

    private static MixAlloyReading Spelled(string name, string spelled)
    {
        Dictionary<string, double> shares = new(StringComparer.Ordinal);
        foreach (Match pair in Pair().Matches(spelled))
        {
            string symbol = pair.Value.TrimEnd([.. "0123456789."]);
            double share = double.Parse(pair.Value.AsSpan(symbol.Length), CultureInfo.InvariantCulture);
            if (!InModel.Contains(symbol) && !OutsideModel.ContainsKey(symbol))
            {
                return No(
                    $"{symbol} in {name} is no element that solder is spelled with.",
                    "Use Sn, Pb, Ag, Cu and Bi."
                );
            }
            if (!shares.TryAdd(symbol, share))
            {
                return No($"{symbol} stands twice in {name}.", "Name each element once.");
            }
        }
        double sum = shares.Values.Sum();
        if (!(Math.Abs(sum - 100) <= SumTolerancePercent))
        {
            return No(
                Invariant($"The shares of {name} add up to {sum:0.##} %, not to 100 % (± {SumTolerancePercent} %)."),
                "Give % by mass that add up to 100."
            );
        }
        foreach ((string symbol, double share) in shares)
        {
            if (OutsideModel.TryGetValue(symbol, out string? element) && symbol != "In" && share > 0)
            {
                return No(
                    Invariant(
                        $"{element} ({share:0.##} %) in {name} is not in the melting model, which knows tin, lead, silver, copper and bismuth (collection of Kattner, NIST, 1999)."
                    ),
                    "Use the maker's data sheet for this alloy; the model must not be used without the element."
                );
            }
        }
        double Of(string symbol) => shares.GetValueOrDefault(symbol);
        SolderMix mix = new SolderMix(Of("Sn"), Of("Pb"), Of("Ag"), Of("Cu"), Of("Bi"), Of("In")).Whole();
        return new MixAlloyReading(
            new MixAlloy(name, MixShares.Of(mix), SolderDensity.SolidKgPerM3(mix), false, "job-file"),
            null,
            null
        );
    }

    private static MixAlloyReading No(string problem, string todo) => new(null, problem, todo);

    [GeneratedRegex(@"^(?:[A-Z][a-z]?[0-9]{1,3}(?:\.[0-9]{1,6})?[-/]?)+$", RegexOptions.NonBacktracking)]
    private static partial Regex Spelling();

    [GeneratedRegex(@"[A-Z][a-z]?[0-9]{1,3}(?:\.[0-9]{1,6})?", RegexOptions.NonBacktracking)]
    private static partial Regex Pair();
}
