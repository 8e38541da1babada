using Graftbench.Firmware.Tree;

namespace Graftbench.Tests.Shared.Firmware;

/// <summary>What must hold of every tree, whatever the bytes were.</summary>
internal static class TreeCheck
{
    /// <summary>What is wrong with a tree; null when it covers every byte exactly once and gives the same bytes back.</summary>
    public static string? Fault(ImageTree tree, byte[] image)
    {
        foreach (ByteSpace space in tree.Spaces)
        {
            if (space.Root.Range != new ByteRange(0, space.Bytes.Length))
            {
                return $"the root of {space.Name} is {space.Root.Range}";
            }
            foreach (Segment segment in space.Root.Walk())
            {
                int next = segment.Range.Start;
                foreach (Segment child in segment.Children)
                {
                    if (
                        child.Range.Start != next
                        || child.Range.IsEmpty
                        || child.Space != space
                        || child.Parent != segment
                    )
                    {
                        return $"{child} does not follow 0x{next:X} in {segment}";
                    }
                    next = child.Range.End;
                }
                if (!segment.IsLeaf && next != segment.Range.End)
                {
                    return $"the parts of {segment} end at 0x{next:X}";
                }
            }
        }
        return tree.Write().AsSpan().SequenceEqual(image) ? null : "writing gives other bytes";
    }

    /// <summary>Places in the file where segments start: the headers of its structures.</summary>
    public static IReadOnlyList<int> Headers(ImageTree tree) =>
        [.. tree.Root.Walk().Select(segment => segment.Range.Start).Distinct()];
}
