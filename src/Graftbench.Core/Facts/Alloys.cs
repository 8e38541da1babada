namespace Graftbench.Core.Facts;

/// <summary>A solder alloy.</summary>
/// <param name="Id">Name by which the job document says it.</param>
/// <param name="Aliases">Other spellings.</param>
/// <param name="TinPercent">Tin, share by mass [%].</param>
/// <param name="LeadPercent">Lead.</param>
/// <param name="SilverPercent">Silver.</param>
/// <param name="CopperPercent">Copper.</param>
/// <param name="BismuthPercent">Bismuth.</param>
/// <param name="IndiumPercent">Indium.</param>
/// <param name="SolidusC">First melt [°C].</param>
/// <param name="LiquidusC">Last crystal gone, as printed [°C].</param>
/// <param name="MoltenC">Temperature above which at most 1 % is still solid [°C].</param>
/// <param name="DensityKgPerM3">Density of the solid [kg/m³].</param>
/// <param name="ConductivityWPerMK">Conductivity of the solid [W/(m K)].</param>
/// <param name="MeltingHeatJPerKg">Latent heat [J/kg].</param>
/// <param name="SpecificHeatJPerKgK">Specific heat of the solid [J/(kg K)].</param>
/// <param name="Note">What differs between sources, and cautions.</param>
/// <param name="Confidence">Confidence mark.</param>
/// <param name="Source">Source id.</param>
public sealed record Alloy(
    string Id,
    IReadOnlyList<string> Aliases,
    double TinPercent,
    double LeadPercent,
    double SilverPercent,
    double CopperPercent,
    double BismuthPercent,
    double IndiumPercent,
    double SolidusC,
    double LiquidusC,
    double MoltenC,
    double DensityKgPerM3,
    double ConductivityWPerMK,
    double MeltingHeatJPerKg,
    double SpecificHeatJPerKgK,
    string Note,
    Confidence Confidence,
    string Source
)
{
    /// <summary>Whether it holds more lead than the 0.1 % that counts as none.</summary>
    public bool Leaded => LeadPercent > 0.1;
}

/// <summary>Solder alloys by name (<c>data/alloys.csv</c>).</summary>
public static class Alloys
{
    private static readonly Lazy<IReadOnlyList<Alloy>> LazyAlloys = new(() =>
        CsvTable.Load("alloys").Rows.Select(Row).ToList()
    );

    private static readonly Lazy<Dictionary<string, Alloy>> LazyNames = new(() =>
        LazyAlloys
            .Value.SelectMany(alloy =>
                alloy.Aliases.Prepend(alloy.Id).Select(name => (Name: Plain(name), Alloy: alloy))
            )
            .ToDictionary(pair => pair.Name, pair => pair.Alloy, StringComparer.Ordinal)
    );

    /// <summary>All alloys, in file order.</summary>
    public static IReadOnlyList<Alloy> All => LazyAlloys.Value;

    /// <summary>The alloy of a name in any usual spelling; null where the table has none of that name.</summary>
    /// <param name="name">Name; capitals, blanks, dashes and slashes do not matter.</param>
    public static Alloy? Find(string name) => LazyNames.Value.GetValueOrDefault(Plain(name));

    /// <summary>The known alloy whose name is spelled most like this one.</summary>
    /// <param name="name">A name that the table does not have.</param>
    public static Alloy Nearest(string name)
    {
        string plain = Plain(name);
        return LazyNames
            .Value.OrderBy(pair => Steps(plain, pair.Key))
            .ThenBy(pair => pair.Key, StringComparer.Ordinal)
            .First()
            .Value;
    }

    private static string Plain(string name) =>
        string.Concat(name.Where(c => char.IsAsciiLetterOrDigit(c) || c is '.')).ToLowerInvariant();

    // Edit distance: letters to add, take away or change. Names are at most 40 letters long.
    private static int Steps(string from, string to)
    {
        int[] before = [.. Enumerable.Range(0, to.Length + 1)];
        for (int i = 1; i <= from.Length; i++)
        {
            int[] now = new int[to.Length + 1];
            now[0] = i;
            for (int j = 1; j <= to.Length; j++)
            {
                int change = before[j - 1] + (from[i - 1] == to[j - 1] ? 0 : 1);
                now[j] = Math.Min(change, 1 + Math.Min(before[j], now[j - 1]));
            }
            before = now;
        }
        return before[^1];
    }

    private static Alloy Row(CsvRow row) =>
        new(
            row["id"],
            row["aliases"].Split(';', StringSplitOptions.RemoveEmptyEntries | StringSplitOptions.TrimEntries),
            row.NumberOrNull("snPercent") ?? 0,
            row.NumberOrNull("pbPercent") ?? 0,
            row.NumberOrNull("agPercent") ?? 0,
            row.NumberOrNull("cuPercent") ?? 0,
            row.NumberOrNull("biPercent") ?? 0,
            row.NumberOrNull("inPercent") ?? 0,
            row.Number("solidusC"),
            row.Number("liquidusC"),
            row.Number("moltenC"),
            row.Number("densityKgPerM3"),
            row.Number("conductivityWPerMK"),
            row.Number("meltingHeatJPerKg"),
            row.Number("specificHeatJPerKgK"),
            row["note"],
            row.Confidence,
            row["source"]
        );
}
