namespace Graftbench.Core.Jobs;

/// <summary>The range that a number in the job document may take, both ends included.</summary>
/// <param name="min">Smallest allowed value, in the unit that the field's name ends in.</param>
/// <param name="max">Largest allowed value.</param>
[AttributeUsage(AttributeTargets.Property)]
public sealed class AllowedAttribute(double min, double max) : Attribute
{
    /// <summary>Smallest allowed value.</summary>
    public double Min { get; } = min;

    /// <summary>Largest allowed value.</summary>
    public double Max { get; } = max;

    /// <summary>Unit as a person writes it: <c>mm</c>, <c>°C</c>, <c>% RH</c>; empty for a pure number.</summary>
    public string Unit { get; init; } = "";

    /// <summary>Who sets the limit: a source id, or Graftbench's own plausibility limit.</summary>
    public string Whose { get; init; } = "Graftbench plausibility limit";
}

/// <summary>The longest text that a field takes [characters], and optionally the form it must have.</summary>
/// <param name="maxLength">Most characters.</param>
[AttributeUsage(AttributeTargets.Property)]
public sealed class TextAttribute(int maxLength) : Attribute
{
    /// <summary>Most characters.</summary>
    public int MaxLength { get; } = maxLength;

    /// <summary>Fewest characters.</summary>
    public int MinLength { get; init; }

    /// <summary>Regular expression that the whole text must match; null for any text.</summary>
    public string? Pattern { get; init; }

    /// <summary>The pattern in words, for the message.</summary>
    public string? PatternInWords { get; init; }
}

/// <summary>The most entries that a list takes.</summary>
/// <param name="max">Most entries.</param>
[AttributeUsage(AttributeTargets.Property)]
public sealed class AtMostAttribute(int max) : Attribute
{
    /// <summary>Most entries.</summary>
    public int Max { get; } = max;
}
