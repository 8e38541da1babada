namespace Graftbench.Firmware.Showing;

/// <summary>Tells files that are no raw image of a chip.</summary>
public static class RawImage
{
    /// <summary>Why a file cannot be a raw image; null where nothing speaks against it.</summary>
    /// <param name="bytes">The whole file.</param>
    public static string? Problem(ReadOnlySpan<byte> bytes)
    {
        if (bytes.IsEmpty)
        {
            return "it is empty. Read the chip again and look at the size before you add it";
        }
        if (
            bytes.StartsWith((ReadOnlySpan<byte>)[(byte)'P', (byte)'K', 3, 4])
            || bytes.StartsWith((ReadOnlySpan<byte>)[0x1F, 0x8B, 8])
            || bytes.StartsWith((ReadOnlySpan<byte>)[(byte)'7', (byte)'z', 0xBC, 0xAF])
        )
        {
            return "it is an archive. Unpack it and add the image that is in it";
        }
        ReadOnlySpan<byte> head = bytes[..Math.Min(bytes.Length, 4096)];
        if (bytes[0] is (byte)':' or (byte)'S' && IsHexText(head))
        {
            return "it is a hexadecimal text of records. Save the image as raw bytes and add that";
        }
        return null;
    }

    // Record formats of programmers: letters of hexadecimal, record marks and line ends, nothing else.
    private static bool IsHexText(ReadOnlySpan<byte> head)
    {
        foreach (byte one in head)
        {
            bool fits =
                one is (byte)':' or (byte)'S' or (byte)'\r' or (byte)'\n'
                || one is >= (byte)'0' and <= (byte)'9'
                || one is >= (byte)'A' and <= (byte)'F'
                || one is >= (byte)'a' and <= (byte)'f';
            if (!fits)
            {
                return false;
            }
        }
        return head.ContainsAny((byte)'\r', (byte)'\n');
    }
}
