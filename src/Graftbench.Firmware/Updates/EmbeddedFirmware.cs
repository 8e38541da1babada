using Graftbench.Firmware.Scanning;
using Graftbench.Firmware.Tree;

namespace Graftbench.Firmware.Updates;

/// <summary>The structure from which the other x86 maker's firmware directories are found.</summary>
/// <remarks>Signature and places: the open firmware documentation on that maker's security processor.</remarks>
internal static class EmbeddedFirmware
{
    private const uint Signature = 0x55AA55AA;
    private const int Window = 0x100_0000;
    private const int Length = 0x20;

    // Physical addresses FFFA0000h and so on, as offsets in the top 16 MiB below 4 GiB.
    private static readonly int[] Places = [0xFA0000, 0xF20000, 0xE20000, 0xC20000, 0x820000, 0x020000];

    /// <summary>All places of the file at which the signature stands.</summary>
    public static IReadOnlyList<ByteRange> Find(ByteSpace file)
    {
        List<ByteRange> found = [];
        ReadOnlySpan<byte> bytes = file.Bytes;
        // A chip of at most 16 MiB ends at 4 GiB; of a larger one any 16 MiB may be mapped there.
        for (long end = bytes.Length; end > 0; end -= Window)
        {
            foreach (int place in Places)
            {
                long at = end - Window + place;
                if (at >= 0 && at <= bytes.Length - Length && bytes.U32((int)at) == Signature)
                {
                    found.Add(new ByteRange((int)at, Length));
                }
            }
        }
        found.Sort((a, b) => a.Start.CompareTo(b.Start));
        return found;
    }
}
