using System.Buffers.Binary;

namespace Graftbench.Firmware.Dumps;

/// <summary>What a serial flash chip says of itself in its parameter table (JESD216).</summary>
/// <param name="DensityBytes">Capacity [bytes]; null where the table does not give it.</param>
/// <param name="ErasesBlocks">Whether 4 KiB can be erased everywhere.</param>
/// <param name="Problem">Why the table cannot be read; null where it can.</param>
public sealed record ChipParameters(long? DensityBytes, bool ErasesBlocks, string? Problem)
{
    private const int HeaderBytes = 8;

    /// <summary>Reads the table. Never throws on its content.</summary>
    public static ChipParameters Read(ReadOnlySpan<byte> table)
    {
        if (table.Length < 2 * HeaderBytes || !table.StartsWith("SFDP"u8))
        {
            return Bad("it does not start with SFDP");
        }
        ReadOnlySpan<byte> first = table[HeaderBytes..];
        int pointer = first[4] | (first[5] << 8) | (first[6] << 16);
        // Two words are all that is wanted of it.
        if (first[3] < 2 || pointer > table.Length - 8)
        {
            return Bad("its first part lies outside what was read");
        }
        uint erase = BinaryPrimitives.ReadUInt32LittleEndian(table[pointer..]);
        uint density = BinaryPrimitives.ReadUInt32LittleEndian(table[(pointer + 4)..]);
        long bits;
        if (density >> 31 == 0)
        {
            bits = density + 1L;
        }
        else if ((density & int.MaxValue) is >= 32 and <= 48 and var power)
        {
            bits = 1L << (int)power;
        }
        else
        {
            return Bad("its density is no size");
        }
        return bits % 8 == 0
            ? new ChipParameters(bits / 8, (erase & 3) == 1, null)
            : Bad("its density is no whole number of bytes");

        static ChipParameters Bad(string why) => new(null, false, why);
    }
}
