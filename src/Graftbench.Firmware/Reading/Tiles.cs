using Graftbench.Firmware.Tree;

namespace Graftbench.Firmware.Reading;

/// <summary>Parts of a range in rising order. What nobody claims becomes a part of its own, so nothing is left out.</summary>
internal sealed class Tiles(ReadContext context, ByteSpace space, ByteRange range)
{
    private readonly List<Segment> parts = [];

    /// <summary>Offset behind the last part.</summary>
    public int Position { get; private set; } = range.Start;

    public int Left => range.End - Position;

    public void Add(Segment part)
    {
        if (part.Range.Start < Position || part.Range.End > range.End || part.Space != space)
        {
            throw new InvalidOperationException($"{part} does not fit behind 0x{Position:X} in {range}.");
        }
        FillTo(part.Range.Start, SegmentKind.Opaque);
        if (part.Range.Length > 0)
        {
            parts.Add(part);
            Position = part.Range.End;
        }
    }

    public void AddAll(IEnumerable<Segment> several)
    {
        foreach (Segment part in several)
        {
            Add(part);
        }
    }

    /// <summary>Makes one part of everything up to an offset.</summary>
    public void FillTo(int end, SegmentKind kind, string? name = null)
    {
        if (end > Position)
        {
            parts.Add(context.Segment(space, ByteRange.Between(Position, end), kind, name ?? Words.Of(kind)));
            Position = end;
        }
    }

    public IReadOnlyList<Segment> Finish(SegmentKind rest = SegmentKind.Opaque)
    {
        FillTo(range.End, rest);
        return parts;
    }
}
