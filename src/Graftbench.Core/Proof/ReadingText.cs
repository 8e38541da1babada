using System.Globalization;
using static System.FormattableString;

namespace Graftbench.Core.Proof;

/// <summary>What came of reading a typed value.</summary>
/// <param name="Value">The value in the unit of its kind; null where it cannot be taken.</param>
/// <param name="Problem">What is wrong and what to write instead; null where nothing is.</param>
public sealed record ValueReading(MeterValue? Value, string? Problem);

/// <summary>Values as people type and read them: <c>0.452</c>, <c>452 mV</c>, <c>4,7k</c>, <c>4k7</c>, <c>1.2 MΩ</c>, <c>OL</c>.</summary>
/// <remarks>Never throws on content. A comma is the decimal mark; a number that may mean two things is refused.</remarks>
public static class ReadingText
{
    /// <summary>Longest text that is read [characters].</summary>
    public const int LongestText = 64;

    /// <summary>Reads a value.</summary>
    /// <param name="text">What was typed.</param>
    /// <param name="kind">What it is of; a number without a unit is in its unit (Ω, V, A).</param>
    public static ValueReading Parse(string text, ReadingKind kind)
    {
        ArgumentNullException.ThrowIfNull(text);
        ElectricalUnit unit = ElectricalUnits.Of(kind);
        string given = text.Trim().Replace('\u00a0', ' ').Replace('−', '-');
        if (given.Length is 0 or > LongestText)
        {
            return Refuse(given.Length == 0 ? "There is no value." : "The value is too long.", unit);
        }
        if (OverloadIn(given, unit) is { } overload)
        {
            return overload;
        }
        int digits = NumberScan.Length(given);
        if (digits == 0)
        {
            return Refuse($"'{given}' is no value.", unit);
        }
        string number = given[..digits];
        string rest = given[digits..].Trim();
        if (NumberScan.MayBeThousands(number) is { } doubt)
        {
            return new ValueReading(null, doubt);
        }
        double? factor = Factor(ref number, rest, unit, out string? problem);
        if (factor is not { } scale)
        {
            return Refuse(problem ?? $"'{given}' is no value.", unit);
        }
        if (!NumberScan.TryParse(number, out double value) || !double.IsFinite(value * scale))
        {
            return Refuse($"'{given}' is no number.", unit);
        }
        return Checked(value * scale, kind, hadUnit: rest.Length > 0);
    }

    /// <summary>A value as a person reads it: <c>0.452 V</c>, <c>4.7 kΩ</c>, <c>OL</c>.</summary>
    /// <param name="kind">What it is of.</param>
    /// <param name="value">The value.</param>
    public static string Of(ReadingKind kind, MeterValue value)
    {
        ArgumentNullException.ThrowIfNull(value);
        return value.Number is { } number ? Of(kind, number) : "OL";
    }

    /// <summary>A number as a person reads it, four digits.</summary>
    /// <param name="kind">What it is of.</param>
    /// <param name="number">In the unit of the kind (Ω, V or A).</param>
    public static string Of(ReadingKind kind, double number)
    {
        string sign = ElectricalUnits.Sign(ElectricalUnits.Of(kind));
        double size = Math.Abs(number);
        (double factor, string prefix) =
            kind == ReadingKind.Diode && size < 10 ? (1, "")
            : size >= 1e9 ? (1e-9, "G")
            : size >= 1e6 ? (1e-6, "M")
            : size >= 1e3 ? (1e-3, "k")
            : size >= 1 || size == 0 ? (1, "")
            : size >= 1e-3 ? (1e3, "m")
            : (1e6, "µ");
        return Invariant($"{Four(number * factor)} {prefix}{sign}");
    }

    // Four digits, without an exponent.
    internal static string Four(double number)
    {
        int before = number == 0 ? 0 : (int)Math.Floor(Math.Log10(Math.Abs(number)));
        int decimals = Math.Clamp(3 - Math.Max(before, 0), 0, 3);
        return Math.Round(number, decimals).ToString("0.###", CultureInfo.InvariantCulture);
    }

    private static ValueReading? OverloadIn(string given, ElectricalUnit unit)
    {
        int blank = given.IndexOf(' ', StringComparison.Ordinal);
        string word = blank < 0 ? given : given[..blank];
        string rest = blank < 0 ? "" : given[blank..].Trim();
        if (!ElectricalUnits.IsOverload(word))
        {
            return null;
        }
        bool fits = rest.Length == 0 || (ElectricalUnits.Parse(rest) is { } told && told.Unit == unit);
        return fits
            ? new ValueReading(MeterValue.Overload, null)
            : Refuse($"'{rest}' behind {word} is no unit of it.", unit);
    }

    // The factor of what stands behind the number; 4k7 moves its k to where the point goes.
    private static double? Factor(ref string number, string rest, ElectricalUnit unit, out string? problem)
    {
        problem = null;
        if (rest.Length == 0)
        {
            return 1;
        }
        if (ElectricalUnits.Parse(rest) is { } told)
        {
            if (told.Unit == unit)
            {
                return told.Factor;
            }
            problem = $"{rest} is no unit of this: it is measured in {ElectricalUnits.Sign(unit)}.";
            return null;
        }
        if (ElectricalUnits.Prefix(rest, unit) is { } factor)
        {
            return factor;
        }
        if (rest is "R" or "r" && unit == ElectricalUnit.Ohm)
        {
            return 1;
        }
        string after = rest[1..];
        bool whole = number.All(char.IsAsciiDigit) && after.Length > 0 && after.Length <= 6;
        int end = 0;
        while (end < after.Length && char.IsAsciiDigit(after[end]))
        {
            end++;
        }
        double? mark = rest[0] switch
        {
            'R' or 'r' when unit == ElectricalUnit.Ohm => 1,
            'V' or 'v' when unit == ElectricalUnit.Volt => 1,
            'k' or 'K' or 'M' or 'm' or 'G' when unit == ElectricalUnit.Ohm => ElectricalUnits.Prefix(
                rest.AsSpan(0, 1),
                unit
            ),
            _ => null,
        };
        string tail = after[end..].Trim();
        bool ends = tail.Length == 0 || (ElectricalUnits.Parse(tail) is { Factor: 1 } last && last.Unit == unit);
        if (whole && end > 0 && mark is not null && ends)
        {
            number = $"{number}.{after[..end]}";
            return mark;
        }
        problem = $"'{rest}' is no unit.";
        return null;
    }

    private static ValueReading Checked(double value, ReadingKind kind, bool hadUnit)
    {
        if (ReadingLimits.Problem(kind, value) is not { } problem)
        {
            return new ValueReading(MeterValue.Of(value), null);
        }
        string todo =
            !hadUnit && kind == ReadingKind.Diode && ReadingLimits.Problem(kind, value / 1000) is null
                ? Invariant($" If the meter shows millivolts, write {value} mV.")
            : value < 0 && kind == ReadingKind.Resistance
                ? " A resistance below zero: the leads were subtracted twice, or the board still holds a charge."
            : value < 0 && kind == ReadingKind.Diode ? " Below zero: the board still holds a charge, or is powered."
            : " Check the number and its unit; write OL where the meter shows overload.";
        return new ValueReading(null, problem + todo);
    }

    private static ValueReading Refuse(string what, ElectricalUnit unit) =>
        new(
            null,
            what
                + unit switch
                {
                    ElectricalUnit.Ohm => " Write it like 0.35, 4.7k, 4k7, 1.2 MΩ or OL.",
                    ElectricalUnit.Volt => " Write it like 0.452, 452 mV or OL.",
                    _ => " Write it like 0.51, 510 mA or OL.",
                }
        );
}
