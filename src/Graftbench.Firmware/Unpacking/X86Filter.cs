using System.Buffers.Binary;

namespace Graftbench.Firmware.Unpacking;

/// <summary>Turns the absolute targets of x86 calls and jumps back into relative ones.</summary>
/// <remarks>
/// The branch filter that goes with LZMA: before packing, the four bytes behind E8h and E9h were made absolute where they
/// looked like an address near the code. The same rule, including its memory of the last three bytes, finds those places again.
/// Checked against what another implementation packs.
/// </remarks>
internal static class X86Filter
{
    // Which patterns of opcode bytes just before a branch rule it out, and how far back the deciding byte stands.
    private static readonly bool[] Allowed = [true, true, true, false, true, false, false, false];
    private static readonly int[] DecidingByte = [0, 1, 2, 2, 3, 3, 3, 3];

    /// <summary>Decodes in place.</summary>
    public static void Decode(Span<byte> bytes)
    {
        int mask = 0;
        int last = -1;
        int at = 0;
        while (at + 5 <= bytes.Length)
        {
            int step = bytes[at..(bytes.Length - 4)].IndexOfAny((byte)0xE8, (byte)0xE9);
            if (step < 0)
            {
                return;
            }
            at += step;
            long distance = (long)at - last;
            if (last < 0 || distance > 3)
            {
                mask = 0;
            }
            else
            {
                mask = (mask << ((int)distance - 1)) & 7;
                if (mask != 0)
                {
                    byte deciding = bytes[at + 4 - DecidingByte[mask]];
                    if (!Allowed[mask] || IsSign(deciding))
                    {
                        last = at;
                        mask = ((mask << 1) & 7) | 1;
                        at++;
                        continue;
                    }
                }
            }
            last = at;
            if (!IsSign(bytes[at + 4]))
            {
                mask = ((mask << 1) & 7) | 1;
                at++;
                continue;
            }
            uint source = BinaryPrimitives.ReadUInt32LittleEndian(bytes[(at + 1)..]);
            uint target;
            while (true)
            {
                target = unchecked(source - (uint)(at + 5));
                if (mask == 0)
                {
                    break;
                }
                int shift = DecidingByte[mask] * 8;
                if (!IsSign((byte)(target >> (24 - shift))))
                {
                    break;
                }
                source = target ^ ((1u << (32 - shift)) - 1);
            }
            target &= 0x01FFFFFF;
            target |= 0u - (target & 0x01000000);
            BinaryPrimitives.WriteUInt32LittleEndian(bytes[(at + 1)..], target);
            at += 5;
            mask = 0;
            last = -1;
        }
    }

    private static bool IsSign(byte value) => value is 0 or 0xFF;
}
