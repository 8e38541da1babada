namespace Graftbench.Firmware.Tree;

/// <summary>A run of bytes that offsets count in: the file itself, or what one packed part of it holds.</summary>
public sealed class ByteSpace
{
    private Segment? root;

    internal ByteSpace(int number, string name, ReadOnlyMemory<byte> memory, Segment? origin)
    {
        Number = number;
        Name = name;
        Memory = memory;
        Origin = origin;
    }

    /// <summary>0 for the file; unpacked contents count up in the order in which they were met.</summary>
    public int Number { get; }

    /// <summary>Where the bytes come from: <c>file</c>, <c>unpacked from 0x00020048 of the file</c>.</summary>
    public string Name { get; }

    /// <summary>The bytes.</summary>
    public ReadOnlyMemory<byte> Memory { get; }

    /// <summary>The bytes.</summary>
    public ReadOnlySpan<byte> Bytes => Memory.Span;

    /// <summary>The packed segment that the bytes come from; null for the file.</summary>
    public Segment? Origin { get; internal set; }

    /// <summary>Whether these are the bytes of the file, not derived ones.</summary>
    public bool IsFile => Number == 0;

    /// <summary>The segment that covers the whole space.</summary>
    public Segment Root
    {
        get => root ?? throw new InvalidOperationException("The space is still being read.");
        internal set => root = value;
    }
}
