namespace Graftbench.Firmware.Tree;

/// <summary>One thing that was read from a segment, as words.</summary>
/// <param name="Name">What it is: <c>type</c>, <c>state</c>.</param>
/// <param name="Value">The value as a person reads it.</param>
public sealed record SegmentFact(string Name, string Value);

/// <summary>What was read from a segment's own structure. Each format has its own record.</summary>
public abstract record SegmentDetail
{
    /// <summary>The same as pairs of words, for a listing.</summary>
    public abstract IReadOnlyList<SegmentFact> Facts();
}
