using System.Text;
using Graftbench.Firmware.Tree;

namespace Graftbench.Firmware.Scanning;

/// <summary>A place where a search found what was asked for.</summary>
/// <param name="Leaf">The leaf that holds its first byte.</param>
/// <param name="Range">Where it stands in the leaf's space.</param>
/// <param name="How">In which form: <c>bytes</c>, <c>ASCII</c>, <c>UTF-16</c>.</param>
public sealed record SearchHit(Segment Leaf, ByteRange Range, string How);

/// <summary>Searches an image and everything that was unpacked from it.</summary>
public static class ImageSearch
{
    /// <summary>All places of some bytes, overlapping ones too, in rising order within each space.</summary>
    /// <param name="image">The image.</param>
    /// <param name="bytes">What to look for, at least one byte.</param>
    /// <param name="most">Most places that are listed.</param>
    public static IReadOnlyList<SearchHit> Bytes(ImageTree image, ReadOnlySpan<byte> bytes, int most)
    {
        ArgumentNullException.ThrowIfNull(image);
        List<SearchHit> hits = [];
        Find(image, bytes, "bytes", most, hits);
        return hits;
    }

    /// <summary>All places of a text, as ASCII and as UTF-16; capital and small letters differ.</summary>
    /// <param name="image">The image.</param>
    /// <param name="text">What to look for, at least one character.</param>
    /// <param name="most">Most places that are listed.</param>
    public static IReadOnlyList<SearchHit> Text(ImageTree image, string text, int most)
    {
        ArgumentNullException.ThrowIfNull(image);
        ArgumentException.ThrowIfNullOrEmpty(text);
        List<SearchHit> hits = [];
        Find(image, Encoding.UTF8.GetBytes(text), Ascii.IsValid(text) ? "ASCII" : "UTF-8", most, hits);
        Find(image, Encoding.Unicode.GetBytes(text), "UTF-16", most, hits);
        return [.. hits.OrderBy(hit => hit.Leaf.Space.Number).ThenBy(hit => hit.Range.Start).Take(most)];
    }

    private static void Find(ImageTree image, ReadOnlySpan<byte> wanted, string how, int most, List<SearchHit> hits)
    {
        if (wanted.IsEmpty)
        {
            throw new ArgumentException("There is nothing to look for.", nameof(wanted));
        }
        int room = hits.Count + most;
        foreach (ByteSpace space in image.Spaces)
        {
            int from = 0;
            int step;
            while (hits.Count < room && (step = space.Bytes[from..].IndexOf(wanted)) >= 0)
            {
                int at = from + step;
                hits.Add(new SearchHit(space.Root.LeafAt(at), new ByteRange(at, wanted.Length), how));
                from = at + 1;
            }
        }
    }
}
