using System.Globalization;

namespace Graftbench.Core.Jobs;

/// <summary>Guesses the slip behind a number that cannot be: another unit, a lost sign, a decimal comma.</summary>
internal static class JobReaderUnits
{
    private static readonly Dictionary<string, (string Family, double Scale, double Offset)> Units = new(
        StringComparer.Ordinal
    )
    {
        // Value in the family's own unit = number * scale + offset.
        ["nm"] = ("mm", 1e-6, 0),
        ["um"] = ("mm", 1e-3, 0),
        ["µm"] = ("mm", 1e-3, 0),
        ["μm"] = ("mm", 1e-3, 0),
        ["mm"] = ("mm", 1, 0),
        ["cm"] = ("mm", 10, 0),
        ["m"] = ("mm", 1000, 0),
        ["mil"] = ("mm", 0.0254, 0),
        ["mils"] = ("mm", 0.0254, 0),
        ["thou"] = ("mm", 0.0254, 0),
        ["in"] = ("mm", 25.4, 0),
        ["inch"] = ("mm", 25.4, 0),
        ["\""] = ("mm", 25.4, 0),
        ["C"] = ("°C", 1, 0),
        ["°C"] = ("°C", 1, 0),
        ["degC"] = ("°C", 1, 0),
        ["F"] = ("°C", 5.0 / 9, -160.0 / 9),
        ["°F"] = ("°C", 5.0 / 9, -160.0 / 9),
        ["degF"] = ("°C", 5.0 / 9, -160.0 / 9),
        ["K"] = ("°C", 1, -273.15),
        ["%"] = ("%", 1, 0),
        ["%RH"] = ("%", 1, 0),
        ["ppm"] = ("%", 1e-4, 0),
        ["s"] = ("s", 1, 0),
        ["sec"] = ("s", 1, 0),
        ["min"] = ("s", 60, 0),
        ["h"] = ("s", 3600, 0),
        ["d"] = ("s", 86400, 0),
        ["mg"] = ("g", 1e-3, 0),
        ["g"] = ("g", 1, 0),
        ["kg"] = ("g", 1000, 0),
        ["°"] = ("°", 1, 0),
        ["deg"] = ("°", 1, 0),
        ["K/s"] = ("K/s", 1, 0),
        ["C/s"] = ("K/s", 1, 0),
        ["°C/s"] = ("K/s", 1, 0),
        ["F/s"] = ("K/s", 5.0 / 9, 0),
        ["°F/s"] = ("K/s", 5.0 / 9, 0),
        ["K/min"] = ("K/s", 1.0 / 60, 0),
        ["C/min"] = ("K/s", 1.0 / 60, 0),
        ["°C/min"] = ("K/s", 1.0 / 60, 0),
        ["W/m²K"] = ("W/m²K", 1, 0),
        ["W/m2K"] = ("W/m²K", 1, 0),
        ["W/(m²K)"] = ("W/m²K", 1, 0),
        ["W/(m2K)"] = ("W/m²K", 1, 0),
        ["W/cm²K"] = ("W/m²K", 1e4, 0),
        ["W/cm2K"] = ("W/m²K", 1e4, 0),
    };

    // What a number out of range may have been written in, likeliest first.
    private static readonly Dictionary<string, string[]> Likely = new(StringComparer.Ordinal)
    {
        ["mm"] = ["µm", "m", "mil", "inch", "cm"],
        ["°C"] = ["°F", "K"],
        ["s"] = ["min"],
        ["min"] = ["h", "s"],
        ["g"] = ["kg", "mg"],
        ["% by weight"] = ["ppm"],
        ["K/s"] = ["K/min"],
        ["W/m²K"] = ["W/cm²K"],
    };

    /// <summary>What to do about a number out of its range.</summary>
    public static string Advice(double value, AllowedAttribute allowed)
    {
        List<string> guesses = [];
        foreach (string unit in Likely.GetValueOrDefault(allowed.Unit, []))
        {
            double converted = Convert(value, unit, allowed.Unit);
            if (IsIn(converted, allowed))
            {
                guesses.Add(
                    $"{Rounded(converted)} ({allowed.Unit}), if {JobReaderNames.Number(value)} was meant in {unit}"
                );
            }
        }
        if (allowed.Unit.StartsWith('%') && value is > 0 and < 1 && IsIn(value * 100, allowed))
        {
            guesses.Add(
                $"{JobReaderNames.Number(value * 100)} (%), if {JobReaderNames.Number(value)} was meant as a share of 1"
            );
        }
        if (guesses.Count == 0 && value < 0 && IsIn(-value, allowed))
        {
            guesses.Add($"{JobReaderNames.Number(-value)}{Tail(allowed)}, without the minus sign");
        }
        if (guesses.Count == 0 && value > 0)
        {
            foreach (double factor in (double[])[0.1, 10, 0.01, 100])
            {
                if (IsIn(value * factor, allowed))
                {
                    guesses.Add(
                        $"{JobReaderNames.Number(value * factor)}{Tail(allowed)}, if the decimal point slipped"
                    );
                    break;
                }
            }
        }
        return guesses.Count == 0
            ? $"Check the value{(allowed.Unit.Length > 0 ? $" and its unit ({allowed.Unit})" : "")}."
            : $"Did you mean {string.Join("; or ", guesses.Take(3))}?";
    }

    /// <summary>What to do about text where a number belongs.</summary>
    public static string Advice(string text, AllowedAttribute? allowed)
    {
        string trimmed = text.Trim();
        int end = 0;
        while (
            end < trimmed.Length
            && (char.IsAsciiDigit(trimmed[end]) || trimmed[end] is '.' or ',' or '-' or '+' or '\u2212')
        )
        {
            end++;
        }
        string digits = trimmed[..end].Replace('\u2212', '-').Replace(',', '.');
        string unit = trimmed[end..].Trim().Replace(" ", "", StringComparison.Ordinal);
        if (
            trimmed.Length > 64
            || !double.TryParse(digits, NumberStyles.Float, CultureInfo.InvariantCulture, out double number)
            || !double.IsFinite(number)
        )
        {
            return allowed?.Unit is { Length: > 0 } wanted
                ? $"Write the number in {wanted}, without quotes and without the unit."
                : "Write the number without quotes.";
        }
        string fieldUnit = allowed?.Unit ?? "";
        bool same = unit.Length == 0 || Plain(unit) == Plain(fieldUnit);
        double converted = same ? number : Convert(number, unit, fieldUnit);
        if (allowed is null || double.IsNaN(converted))
        {
            return fieldUnit.Length > 0
                ? $"Write the number in {fieldUnit}, without quotes and without the unit."
                : $"Write {JobReaderNames.Number(number)} without quotes.";
        }
        if (IsIn(converted, allowed))
        {
            return $"Did you mean {(same ? JobReaderNames.Number(converted) : Rounded(converted))}{Tail(allowed)}? Write it without quotes and without the unit.";
        }
        string shown = $"{JobReaderNames.Number(converted)}{(fieldUnit.Length > 0 ? " " : "")}{fieldUnit}";
        string outside = same
            ? $"{shown} is out of range"
            : $"{JobReaderNames.Number(number)} {unit} is {shown}, which is out of range";
        return IsIn(number, allowed)
            ? $"{outside}. Did you mean {JobReaderNames.Number(number)}{Tail(allowed)}? Write it without quotes and without the unit."
            : $"{outside}. {Advice(converted, allowed)}";
    }

    // A converted figure is a hint: four digits say it.
    private static string Rounded(double value) => value.ToString("G4", CultureInfo.InvariantCulture);

    private static bool IsIn(double value, AllowedAttribute allowed) =>
        double.IsFinite(value) && value >= allowed.Min && value <= allowed.Max;

    private static string Tail(AllowedAttribute allowed) => allowed.Unit.Length > 0 ? $" ({allowed.Unit})" : "";

    private static string Plain(string unit) => unit.Replace(" ", "", StringComparison.Ordinal).ToUpperInvariant();

    // NaN where the two units have nothing to do with each other.
    private static double Convert(double number, string unit, string fieldUnit)
    {
        string field = fieldUnit switch
        {
            "% RH" or "% by weight" => "%",
            _ => fieldUnit,
        };
        if (!Units.TryGetValue(unit, out (string Family, double Scale, double Offset) from))
        {
            string? folded = Units.Keys.FirstOrDefault(key => Plain(key) == Plain(unit));
            if (folded is null)
            {
                return double.NaN;
            }
            from = Units[folded];
        }
        if (field == "K")
        {
            // A difference: only the scale counts.
            return from.Family == "°C" ? number * from.Scale : double.NaN;
        }
        if (!Units.TryGetValue(field, out (string Family, double Scale, double Offset) to) || to.Family != from.Family)
        {
            return double.NaN;
        }
        return (number * from.Scale + from.Offset - to.Offset) / to.Scale;
    }
}
