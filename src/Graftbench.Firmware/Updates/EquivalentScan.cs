using Graftbench.Firmware.Scanning;
using Graftbench.Firmware.Tree;

namespace Graftbench.Firmware.Updates;

/// <summary>Finds what looks like an update of the other x86 maker.</summary>
/// <remarks>
/// Header fields from the Linux kernel's sources. There is no sum over the header: a plausible date and the range of
/// the data id (8000h to 8007h, from memory) are all that tells it from other bytes, so a hit is a sign and no proof.
/// </remarks>
internal static class EquivalentScan
{
    private const int HeaderBytes = 0x40;
    private const int Step = 16;
    private const int FirstYear = 2003;
    private const int LastYear = 2099;

    /// <summary>All hits of a space, in rising order.</summary>
    public static List<EquivalentUpdate> Find(ByteSpace space, int most)
    {
        List<EquivalentUpdate> found = [];
        ReadOnlySpan<byte> bytes = space.Bytes;
        for (int at = 0; at <= bytes.Length - HeaderBytes && found.Count < most; at += Step)
        {
            // Data id first: two bytes throw out nearly everything.
            if (bytes[at + 9] != 0x80 || (bytes[at + 8] & 0xF8) != 0)
            {
                continue;
            }
            uint date = bytes.U32(at);
            ushort equivalence = bytes.U16(at + 0x18);
            if (
                equivalence != 0
                && bytes.U32(at + 4) is not 0 and not uint.MaxValue
                && bytes[at + 0x0B] is 0 or 1
                && BcdDate.Read(date) is { Year: >= FirstYear and <= LastYear }
            )
            {
                found.Add(new EquivalentUpdate(space, at, date, bytes.U32(at + 4), equivalence));
            }
        }
        return found;
    }
}
