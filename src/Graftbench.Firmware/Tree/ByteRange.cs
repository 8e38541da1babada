namespace Graftbench.Firmware.Tree;

/// <summary>A run of bytes in a space: from <see cref="Start"/> up to, not including, <see cref="End"/>.</summary>
/// <param name="Start">Offset of the first byte.</param>
/// <param name="Length">Number of bytes.</param>
public readonly record struct ByteRange(int Start, int Length)
{
    /// <summary>Offset of the first byte behind the range.</summary>
    public int End => Start + Length;

    /// <summary>Whether the range has no byte.</summary>
    public bool IsEmpty => Length == 0;

    /// <summary>The range between two offsets.</summary>
    /// <param name="start">Offset of the first byte.</param>
    /// <param name="end">Offset behind the last byte.</param>
    public static ByteRange Between(int start, int end) => new(start, end - start);

    /// <summary>Whether a byte lies in the range.</summary>
    public bool Contains(int offset) => offset >= Start && offset < End;

    /// <summary>Whether a whole range lies in this one.</summary>
    public bool Contains(ByteRange other) => other.Start >= Start && other.End <= End;

    /// <summary>Whether the two share at least one byte.</summary>
    public bool Overlaps(ByteRange other) => Start < other.End && other.Start < End;

    /// <summary>The range as a technician reads it: <c>0x00084000-0x000843FF</c>, both ends included.</summary>
    public override string ToString() => IsEmpty ? $"0x{Start:X8}, empty" : $"0x{Start:X8}-0x{End - 1:X8}";
}
