using System.Text;
using Graftbench.Firmware.Tree;

namespace Graftbench.Firmware.Scanning;

/// <summary>A run of readable text in a space.</summary>
/// <param name="Space">The space.</param>
/// <param name="Start">Offset of the first byte.</param>
/// <param name="Characters">Number of characters.</param>
/// <param name="IsWide">Whether each character takes two bytes (UTF-16), not one (ASCII).</param>
public readonly record struct TextRun(ByteSpace Space, int Start, int Characters, bool IsWide)
{
    /// <summary>Where it stands in its space.</summary>
    public ByteRange Range => new(Start, IsWide ? 2 * Characters : Characters);

    /// <summary>The text.</summary>
    public string Text
    {
        get
        {
            ReadOnlySpan<byte> bytes = Space.Bytes.Slice(Range.Start, Range.Length);
            return IsWide ? Encoding.Unicode.GetString(bytes) : Encoding.ASCII.GetString(bytes);
        }
    }
}
