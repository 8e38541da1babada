using System.Buffers.Binary;

namespace Graftbench.Vision.Pictures;

/// <summary>The one thing that must be known of a JPEG before it is decoded.</summary>
internal static class JpegHeader
{
    /// <summary>
    /// Whether it is stored in several passes: then all coefficients are held in memory, however small it is decoded.
    /// True also where no frame header was found, the cautious side.
    /// </summary>
    /// <remarks>ITU-T T.81, annex B: marker FF C2 starts a progressive frame, FF C0 and C1 a sequential one.</remarks>
    public static bool IsProgressive(ReadOnlySpan<byte> file)
    {
        int at = 2;
        while (at + 4 <= file.Length && file[at] == 0xFF)
        {
            byte marker = file[at + 1];
            if (marker is 0xC0 or 0xC1)
            {
                return false;
            }
            if (marker is 0xFF)
            {
                at++;
                continue;
            }
            if (marker is >= 0xC2 and <= 0xCF and not (0xC4 or 0xC8 or 0xCC) or 0xDA)
            {
                return true;
            }
            int length = marker is 0x01 or (>= 0xD0 and <= 0xD8)
                ? 0
                : BinaryPrimitives.ReadUInt16BigEndian(file[(at + 2)..]);
            at += 2 + length;
        }
        return true;
    }
}
