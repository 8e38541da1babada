namespace Graftbench.Firmware.Scanning;

/// <summary>How evenly byte values are spread: packed and encrypted bytes are close to 8 bits a byte, code is near 6.</summary>
internal static class Entropy
{
    // From here on bytes are taken for packed or encrypted. Random bytes of the shortest length give 7.9 (see the tests).
    private const double PackedFromRatio = 7.5 / 8;

    /// <summary>Shorter pieces are not judged [bytes].</summary>
    public const int Shortest = 2048;

    // Enough to judge a piece by; taken from its start, middle and end.
    private const int SampleBytes = 32 * 1024;

    /// <summary>Entropy of a sample, as a share of 8 bits a byte.</summary>
    public static double Ratio(ReadOnlySpan<byte> bytes)
    {
        if (bytes.IsEmpty)
        {
            return 0;
        }
        Span<int> counts = stackalloc int[256];
        int total = 0;
        int third = SampleBytes / 3;
        if (bytes.Length <= SampleBytes)
        {
            total += Count(bytes, counts);
        }
        else
        {
            total += Count(bytes[..third], counts);
            total += Count(bytes.Slice(bytes.Length / 2, third), counts);
            total += Count(bytes[^third..], counts);
        }
        double bits = 0;
        foreach (int count in counts)
        {
            if (count > 0)
            {
                double share = (double)count / total;
                bits -= share * Math.Log2(share);
            }
        }
        return bits / 8;
    }

    /// <summary>Whether a piece looks packed or encrypted.</summary>
    public static bool LooksPacked(ReadOnlySpan<byte> bytes) =>
        bytes.Length >= Shortest && !IsPicture(bytes) && Ratio(bytes) >= PackedFromRatio;

    // Start-up pictures are packed too and hold nothing for a processor.
    private static bool IsPicture(ReadOnlySpan<byte> bytes) =>
        bytes.StartsWith((ReadOnlySpan<byte>)[0xFF, 0xD8, 0xFF])
        || bytes.StartsWith((ReadOnlySpan<byte>)[0x89, 0x50, 0x4E, 0x47])
        || bytes.StartsWith("GIF8"u8);

    private static int Count(ReadOnlySpan<byte> bytes, Span<int> counts)
    {
        foreach (byte value in bytes)
        {
            counts[value]++;
        }
        return bytes.Length;
    }
}
