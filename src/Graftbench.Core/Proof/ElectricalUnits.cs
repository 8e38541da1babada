namespace Graftbench.Core.Proof;

/// <summary>Unit of what a meter shows, without its prefix.</summary>
public enum ElectricalUnit
{
    /// <summary>Ohm.</summary>
    Ohm,

    /// <summary>Volt.</summary>
    Volt,

    /// <summary>Ampere.</summary>
    Ampere,
}

/// <summary>Units and prefixes as people type them and meters send them.</summary>
internal static class ElectricalUnits
{
    private static readonly string[] Overloads =
    [
        "OL",
        "0L",
        "O.L",
        "O.L.",
        "0.L",
        "0.L.",
        ".OL",
        ".0L",
        "+OL",
        "-OL",
        "+0L",
        "-0L",
        "OVERLOAD",
        "OVLD",
        "OVERRANGE",
        "OPEN",
        "INF",
        "+INF",
        "INFINITE",
        "∞",
    ];

    private static readonly (string Word, ElectricalUnit Unit)[] Words =
    [
        ("ohms", ElectricalUnit.Ohm),
        ("ohm", ElectricalUnit.Ohm),
        ("Ω", ElectricalUnit.Ohm),
        ("Ω", ElectricalUnit.Ohm),
        ("volts", ElectricalUnit.Volt),
        ("volt", ElectricalUnit.Volt),
        ("V", ElectricalUnit.Volt),
        ("amperes", ElectricalUnit.Ampere),
        ("ampere", ElectricalUnit.Ampere),
        ("amps", ElectricalUnit.Ampere),
        ("amp", ElectricalUnit.Ampere),
        ("A", ElectricalUnit.Ampere),
    ];

    /// <summary>Unit of a kind.</summary>
    public static ElectricalUnit Of(ReadingKind kind) =>
        kind switch
        {
            ReadingKind.Resistance => ElectricalUnit.Ohm,
            ReadingKind.Current => ElectricalUnit.Ampere,
            _ => ElectricalUnit.Volt,
        };

    /// <summary>Sign of a unit.</summary>
    public static string Sign(ElectricalUnit unit) =>
        unit switch
        {
            ElectricalUnit.Ohm => "Ω",
            ElectricalUnit.Volt => "V",
            _ => "A",
        };

    /// <summary>Whether a word means overload.</summary>
    public static bool IsOverload(ReadOnlySpan<char> word)
    {
        foreach (string one in Overloads)
        {
            if (word.Equals(one, StringComparison.OrdinalIgnoreCase))
            {
                return true;
            }
        }
        return false;
    }

    /// <summary>A unit with its prefix: <c>mV</c>, <c>kOhm</c>, <c>V</c>; null where it is none.</summary>
    /// <remarks>M before ohm is mega and m is milli; before volt and ampere both are milli: no meter shows megavolts.</remarks>
    public static (ElectricalUnit Unit, double Factor)? Parse(ReadOnlySpan<char> text)
    {
        foreach ((string word, ElectricalUnit unit) in Words)
        {
            if (!text.EndsWith(word, StringComparison.OrdinalIgnoreCase))
            {
                continue;
            }
            ReadOnlySpan<char> prefix = text[..^word.Length].TrimEnd();
            if (Prefix(prefix, unit) is { } factor)
            {
                return (unit, factor);
            }
            // "kilohm" and "megohm" share their o.
            if (unit == ElectricalUnit.Ohm && word.Length > 1 && Prefix(string.Concat(prefix, "o"), unit) is { } shared)
            {
                return (unit, shared);
            }
        }
        return null;
    }

    /// <summary>Factor of a prefix; null where it is none.</summary>
    public static double? Prefix(ReadOnlySpan<char> prefix, ElectricalUnit unit)
    {
        if (prefix.Length == 1)
        {
            return prefix[0] switch
            {
                'p' => 1e-12,
                'n' => 1e-9,
                'u' or 'U' or 'µ' or 'μ' => 1e-6,
                'm' => 1e-3,
                'M' => unit == ElectricalUnit.Ohm ? 1e6 : 1e-3,
                'k' or 'K' => 1e3,
                'G' => 1e9,
                _ => null,
            };
        }
        return prefix switch
        {
            "" => 1,
            _ when Is(prefix, "milli") => 1e-3,
            _ when Is(prefix, "micro") => 1e-6,
            _ when Is(prefix, "kilo") => 1e3,
            _ when Is(prefix, "mega") || Is(prefix, "meg") || Is(prefix, "mego") => 1e6,
            _ when Is(prefix, "giga") => 1e9,
            _ => null,
        };
    }

    private static bool Is(ReadOnlySpan<char> text, string word) =>
        text.Equals(word, StringComparison.OrdinalIgnoreCase);
}
