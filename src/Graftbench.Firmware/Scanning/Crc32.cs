namespace Graftbench.Firmware.Scanning;

/// <summary>CRC-32 with the reflected polynomial EDB88320h, as in ISO 3309.</summary>
internal static class Crc32
{
    private static readonly uint[] Table = MakeTable();

    /// <summary>The checksum of some bytes.</summary>
    public static uint Of(ReadOnlySpan<byte> bytes)
    {
        uint crc = uint.MaxValue;
        foreach (byte value in bytes)
        {
            crc = Table[(byte)(crc ^ value)] ^ crc >> 8;
        }
        return ~crc;
    }

    private static uint[] MakeTable()
    {
        uint[] table = new uint[256];
        for (uint i = 0; i < 256; i++)
        {
            uint value = i;
            for (int bit = 0; bit < 8; bit++)
            {
                value = (value & 1) != 0 ? 0xEDB88320 ^ value >> 1 : value >> 1;
            }
            table[i] = value;
        }
        return table;
    }
}
