using static Graftbench.Tests.Shared.Firmware.Bytes;

namespace Graftbench.Tests.Shared.Firmware;

/// <summary>Builds updates for processors by the layout of the manual; what they hold is noise.</summary>
internal static class UpdateBuilder
{
    /// <summary>An update, sums included.</summary>
    /// <param name="signature">Processor of the header.</param>
    /// <param name="flags">Platforms of the header.</param>
    /// <param name="revision">Revision.</param>
    /// <param name="date">Date, mmddyyyy in decimal-coded digits.</param>
    /// <param name="dataBytes">Bytes of data, a multiple of 4; 0 for the default of 2000 bytes.</param>
    /// <param name="more">Processors of an extended table.</param>
    public static byte[] Update(
        uint signature,
        uint flags,
        int revision = 0x25,
        uint date = 0x11242025,
        int dataBytes = 2000,
        params ReadOnlySpan<(uint Signature, uint Flags)> more
    )
    {
        int data = dataBytes == 0 ? 2000 : dataBytes;
        int table = more.Length == 0 ? 0 : 20 + 12 * more.Length;
        int total = (48 + data + table + 1023) / 1024 * 1024;
        byte[] update = new byte[total];
        Noise(data, (int)signature).CopyTo(update, 48);
        Put32(update, 0x00, 1);
        Put32(update, 0x04, (uint)revision);
        Put32(update, 0x08, date);
        Put32(update, 0x0C, signature);
        Put32(update, 0x14, 1);
        Put32(update, 0x18, flags);
        Put32(update, 0x1C, (uint)dataBytes);
        Put32(update, 0x20, dataBytes == 0 ? 0 : (uint)total);
        if (table > 0)
        {
            Span<byte> rows = update.AsSpan(48 + data, table);
            Put32(rows, 0, (uint)more.Length);
            // The manual: an entry's checksum is what the header's would be with that entry's signature and flags. It
            // needs the header's own, which needs the table's sum to be 0 first: that sum does not hang on the rest.
            Put32(update, 0x10, unchecked(0u - SumWithout(update, table, data)));
            uint wanted = unchecked(BitConverter.ToUInt32(update, 0x10) + signature + flags);
            for (int i = 0; i < more.Length; i++)
            {
                Put32(rows, 20 + 12 * i, more[i].Signature);
                Put32(rows, 24 + 12 * i, more[i].Flags);
                Put32(rows, 28 + 12 * i, unchecked(wanted - more[i].Signature - more[i].Flags));
            }
            Put32(rows, 4, unchecked(0u - Sum32(rows)));
        }
        else
        {
            Put32(update, 0x10, unchecked(0u - Sum32(update)));
        }
        return update;
    }

    // The table sums to 0 by itself, so the rest has to as well.
    private static uint SumWithout(byte[] update, int table, int data) =>
        unchecked(Sum32(update.AsSpan(0, 48 + data)) + Sum32(update.AsSpan(48 + data + table)));
}
