namespace Graftbench.Store.Transfer;

/// <summary>The checksum that zip files carry: CRC-32 with the reflected polynomial 0xEDB88320.</summary>
internal struct Crc32
{
    private static readonly uint[] Table = MakeTable();
    private uint _inverted;

    /// <summary>The checksum of all bytes added so far.</summary>
    public readonly uint Value => _inverted;

    public void Add(ReadOnlySpan<byte> bytes)
    {
        uint crc = ~_inverted;
        foreach (byte value in bytes)
        {
            crc = Table[(byte)(crc ^ value)] ^ (crc >> 8);
        }
        _inverted = ~crc;
    }

    private static uint[] MakeTable()
    {
        uint[] table = new uint[256];
        for (uint index = 0; index < table.Length; index++)
        {
            uint crc = index;
            for (int bit = 0; bit < 8; bit++)
            {
                crc = (crc & 1) != 0 ? (crc >> 1) ^ 0xEDB88320u : crc >> 1;
            }
            table[index] = crc;
        }
        return table;
    }
}
