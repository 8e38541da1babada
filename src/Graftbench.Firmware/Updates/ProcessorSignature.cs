using System.Globalization;

namespace Graftbench.Firmware.Updates;

/// <summary>What a processor answers when asked for its signature (leaf 1).</summary>
/// <param name="Value">The word.</param>
public readonly record struct ProcessorSignature(uint Value)
{
    /// <summary>Family as it is shown: with the extended family when the family is Fh.</summary>
    public int Family
    {
        get
        {
            int family = (int)(Value >> 8) & 0xF;
            return family == 0xF ? family + ((int)(Value >> 20) & 0xFF) : family;
        }
    }

    /// <summary>Model as it is shown: with the extended model for families 6h and Fh.</summary>
    public int Model
    {
        get
        {
            int model = (int)(Value >> 4) & 0xF;
            return ((int)(Value >> 8) & 0xF) is 0x6 or 0xF ? model + (((int)(Value >> 16) & 0xF) << 4) : model;
        }
    }

    /// <summary>Stepping.</summary>
    public int Stepping => (int)Value & 0xF;

    /// <summary>Whether two processors differ at most in their stepping.</summary>
    public bool SameModelAs(ProcessorSignature other) => (Value & 0x0FFF3FF0) == (other.Value & 0x0FFF3FF0);

    /// <summary>The signature as a person types it: <c>000906EA</c>, with or without 0x.</summary>
    /// <returns>Whether the text is 1 to 8 hexadecimal digits.</returns>
    public static bool TryParse(string? text, out ProcessorSignature signature)
    {
        ReadOnlySpan<char> digits = text.AsSpan().Trim();
        if (digits.StartsWith("0x", StringComparison.OrdinalIgnoreCase))
        {
            digits = digits[2..];
        }
        bool read =
            digits.Length <= 8
            & uint.TryParse(digits, NumberStyles.AllowHexSpecifier, CultureInfo.InvariantCulture, out uint value);
        signature = new ProcessorSignature(value);
        return read;
    }

    /// <inheritdoc/>
    public override string ToString() => Value.ToString("X8", CultureInfo.InvariantCulture);
}
