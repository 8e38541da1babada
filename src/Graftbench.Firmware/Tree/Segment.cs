using Graftbench.Core.Findings;

namespace Graftbench.Firmware.Tree;

/// <summary>A part of an image. The children of a segment tile it: no gap, no overlap, in rising order.</summary>
public sealed class Segment
{
    private static readonly IReadOnlyList<Segment> NoChildren = [];
    private static readonly IReadOnlyList<Finding> NoFindings = [];

    internal Segment(
        ByteSpace space,
        ByteRange range,
        SegmentKind kind,
        string name,
        IReadOnlyList<Segment>? children = null,
        SegmentDetail? detail = null,
        IReadOnlyList<Finding>? findings = null
    )
    {
        Space = space;
        Range = range;
        Kind = kind;
        Name = name;
        Detail = detail;
        Children = children ?? NoChildren;
        Findings = findings is { Count: > 0 } ? findings : NoFindings;
        foreach (Segment child in Children)
        {
            child.Parent = this;
        }
    }

    /// <summary>The bytes that <see cref="Range"/> counts in: the file, or what a packed part holds.</summary>
    public ByteSpace Space { get; }

    /// <summary>Where the segment lies in its space.</summary>
    public ByteRange Range { get; }

    /// <summary>What it is.</summary>
    public SegmentKind Kind { get; }

    /// <summary>What it is called, from the image itself where it says so. May hold whatever an image holds.</summary>
    public string Name { get; }

    /// <summary>What was read from its structure; null where there is nothing but bytes.</summary>
    public SegmentDetail? Detail { get; }

    /// <summary>Its parts in rising order; empty for a leaf. Together they cover exactly this segment's bytes.</summary>
    public IReadOnlyList<Segment> Children { get; }

    /// <summary>What is wrong or remarkable with this very segment, not with its parts.</summary>
    public IReadOnlyList<Finding> Findings { get; }

    /// <summary>The segment that this one is a part of; null for the root of a space.</summary>
    public Segment? Parent { get; private set; }

    /// <summary>What the packed bytes of this segment hold; null where nothing was unpacked.</summary>
    public ByteSpace? Unpacked { get; internal set; }

    /// <summary>Its bytes.</summary>
    public ReadOnlySpan<byte> Bytes => Space.Bytes.Slice(Range.Start, Range.Length);

    /// <summary>Whether it has no parts.</summary>
    public bool IsLeaf => Children.Count == 0;

    /// <summary>Itself and everything below it in the same space, top down and in rising order.</summary>
    public IEnumerable<Segment> Walk()
    {
        Stack<Segment> open = new();
        open.Push(this);
        while (open.TryPop(out Segment? segment))
        {
            yield return segment;
            for (int i = segment.Children.Count - 1; i >= 0; i--)
            {
                open.Push(segment.Children[i]);
            }
        }
    }

    /// <summary>Itself and everything below it, and below each packed part what it holds.</summary>
    public IEnumerable<Segment> WalkUnpacked()
    {
        Stack<Segment> open = new();
        open.Push(this);
        while (open.TryPop(out Segment? segment))
        {
            yield return segment;
            if (segment.Unpacked is { } inner)
            {
                open.Push(inner.Root);
            }
            for (int i = segment.Children.Count - 1; i >= 0; i--)
            {
                open.Push(segment.Children[i]);
            }
        }
    }

    /// <summary>The segments that this one lies in, from the root of its space down to itself.</summary>
    public IReadOnlyList<Segment> Path()
    {
        List<Segment> path = [];
        for (Segment? segment = this; segment is not null; segment = segment.Parent)
        {
            path.Add(segment);
        }
        path.Reverse();
        return path;
    }

    /// <summary>The leaf that holds a byte.</summary>
    /// <param name="offset">Offset in this segment's space, inside the segment.</param>
    /// <exception cref="ArgumentOutOfRangeException">The byte is not in this segment.</exception>
    public Segment LeafAt(int offset)
    {
        if (!Range.Contains(offset))
        {
            throw new ArgumentOutOfRangeException(nameof(offset), offset, $"The segment is {Range}.");
        }
        Segment segment = this;
        while (!segment.IsLeaf)
        {
            int low = 0;
            int high = segment.Children.Count - 1;
            while (low < high)
            {
                int middle = (low + high + 1) / 2;
                if (segment.Children[middle].Range.Start <= offset)
                {
                    low = middle;
                }
                else
                {
                    high = middle - 1;
                }
            }
            segment = segment.Children[low];
        }
        return segment;
    }

    /// <inheritdoc/>
    public override string ToString() => $"{Range} {Kind} {Name}";
}
