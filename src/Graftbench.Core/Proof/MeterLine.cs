using System.Text;

namespace Graftbench.Core.Proof;

/// <summary>What a line of a meter says.</summary>
/// <param name="Value">The value in Ω, V or A, or as sent where no unit stands; null where the line holds none.</param>
/// <param name="Unit">Its unit; null where the line names none.</param>
/// <param name="Problem">Why there is no value; null where there is one.</param>
public sealed record MeterLine(MeterValue? Value, ElectricalUnit? Unit, string? Problem)
{
    /// <summary>Longest line that is read [characters].</summary>
    public const int LongestLine = 4096;

    /// <summary>
    /// Reads any line with a number and a unit: <c>+0.4523 V DC</c>, <c>OL  kOhm</c>, <c>DCV 1.234E+00</c>,
    /// <c>12.34 mV  AUTO</c>. Never throws on content.
    /// </summary>
    /// <remarks>
    /// The unit may stand behind its number, apart or not, or before it. A number with a unit wins over one without; two
    /// different values, each with a unit, are refused, since which of them was meant is not known.
    /// </remarks>
    /// <param name="line">The line.</param>
    public static MeterLine Read(string line)
    {
        ArgumentNullException.ThrowIfNull(line);
        if (line.Length > LongestLine)
        {
            return new MeterLine(null, null, "The line is too long for a meter's.");
        }
        List<Part> parts = Parts(line);
        MeterLine? withUnit = null;
        List<MeterValue> bare = [];
        (ElectricalUnit Unit, double Factor)? before = null;
        for (int i = 0; i < parts.Count; i++)
        {
            if (parts[i].Number is null && !parts[i].Overload)
            {
                before = UnitOf(parts[i].Text) ?? before;
                continue;
            }
            (ElectricalUnit Unit, double Factor)? behind =
                i + 1 < parts.Count && parts[i + 1] is { Number: null, Overload: false } next
                    ? UnitOf(next.Text)
                    : null;
            if ((behind ?? before) is not { } unit)
            {
                bare.Add(parts[i].Overload ? MeterValue.Overload : MeterValue.Of(parts[i].Number!.Value));
                continue;
            }
            double? scaled = parts[i].Number * unit.Factor;
            if (scaled is { } number && !double.IsFinite(number))
            {
                continue;
            }
            MeterLine found = new(scaled is { } value ? MeterValue.Of(value) : MeterValue.Overload, unit.Unit, null);
            if (withUnit is not null && withUnit != found)
            {
                return new MeterLine(null, null, "The line holds two values: let the meter send one display only.");
            }
            withUnit = found;
            before = null;
            // The unit behind a number is spent on it.
            i += behind is null ? 0 : 1;
        }
        return withUnit
            ?? bare.Distinct().ToList() switch
            {
                [MeterValue one] => new MeterLine(one, null, null),
                [] => new MeterLine(null, null, "The line holds no number."),
                _ => new MeterLine(null, null, "The line holds several numbers and no unit."),
            };
    }

    // V, mV, VDC, DCV, DC mV, kOhm, "Ohm": with or without what kind of current it is.
    private static (ElectricalUnit Unit, double Factor)? UnitOf(string word)
    {
        ReadOnlySpan<char> bare = word.AsSpan().Trim(" ~=:()[]\"'".AsSpan());
        foreach (string kind in new[] { "DC", "AC" })
        {
            if (bare.Length > 2 && bare.StartsWith(kind, StringComparison.OrdinalIgnoreCase))
            {
                bare = bare[2..].TrimStart(" _-".AsSpan());
            }
            else if (bare.Length > 2 && bare.EndsWith(kind, StringComparison.OrdinalIgnoreCase))
            {
                bare = bare[..^2].TrimEnd(" _-".AsSpan());
            }
        }
        return bare.Equals("diode", StringComparison.OrdinalIgnoreCase)
            ? (ElectricalUnit.Volt, 1)
            : ElectricalUnits.Parse(bare);
    }

    private readonly record struct Part(string Text, double? Number, bool Overload);

    // Numbers, overload words and other words, in order.
    private static List<Part> Parts(string line)
    {
        string plain = Plain(line);
        bool commaParts = plain.Contains('.', StringComparison.Ordinal) || plain.Count(sign => sign == ',') > 1;
        char[] ends = commaParts ? [' ', ';', '|', ','] : [' ', ';', '|'];
        List<Part> parts = [];
        foreach (string word in plain.Split(ends, StringSplitOptions.RemoveEmptyEntries))
        {
            string rest = word;
            if (ElectricalUnits.IsOverload(word.AsSpan().Trim(":=".AsSpan())))
            {
                parts.Add(new Part(word, null, true));
                continue;
            }
            int start = Start(rest);
            if (start < 0)
            {
                parts.Add(new Part(rest, null, false));
                continue;
            }
            if (start > 0)
            {
                parts.Add(new Part(rest[..start], null, false));
            }
            int length = NumberScan.Length(rest.AsSpan(start));
            if (NumberScan.TryParse(rest.Substring(start, length), out double number))
            {
                parts.Add(new Part(rest, number, false));
            }
            if (start + length < rest.Length)
            {
                parts.Add(new Part(rest[(start + length)..], null, false));
            }
        }
        return parts;
    }

    // A number starts the word, or follows a colon or an equals sign: CH1 is a name.
    private static int Start(string word)
    {
        if (NumberScan.Length(word) > 0)
        {
            return 0;
        }
        int sign = word.IndexOfAny([':', '=']);
        return sign >= 0 && sign + 1 < word.Length && NumberScan.Length(word.AsSpan(sign + 1)) > 0 ? sign + 1 : -1;
    }

    private static string Plain(string line)
    {
        StringBuilder plain = new(line.Length);
        bool afterSign = false;
        foreach (char given in line)
        {
            char sign =
                given is '−' ? '-'
                : char.IsControl(given) || char.IsWhiteSpace(given) ? ' '
                : given;
            // A sign that stands apart from its number belongs to it.
            if (sign == ' ' && afterSign)
            {
                continue;
            }
            afterSign = sign is '+' or '-';
            plain.Append(sign);
        }
        return plain.ToString();
    }
}
