using System.Numerics;
using System.Runtime.InteropServices;

namespace Graftbench.Firmware.Scanning;

/// <summary>Sums that wrap, as firmware formats use them. A tail shorter than one word is left out.</summary>
internal static class Sums
{
    /// <summary>Sum of the bytes, 8 bits wide.</summary>
    public static byte Bytes(ReadOnlySpan<byte> bytes) => Wrapping(bytes);

    /// <summary>Sum of the 16-bit words.</summary>
    public static ushort Words(ReadOnlySpan<byte> bytes) => Wrapping(MemoryMarshal.Cast<byte, ushort>(bytes));

    /// <summary>Sum of the 32-bit words.</summary>
    public static uint DoubleWords(ReadOnlySpan<byte> bytes) => Wrapping(MemoryMarshal.Cast<byte, uint>(bytes));

    // Lanes wrap one by one, and the sum of the lanes wraps to the same value.
    private static T Wrapping<T>(ReadOnlySpan<T> values)
        where T : unmanaged, IBinaryInteger<T>
    {
        T sum = T.Zero;
        int i = 0;
        if (Vector.IsHardwareAccelerated && values.Length >= 2 * Vector<T>.Count)
        {
            Vector<T> lanes = Vector<T>.Zero;
            for (; i <= values.Length - Vector<T>.Count; i += Vector<T>.Count)
            {
                lanes += new Vector<T>(values[i..]);
            }
            for (int lane = 0; lane < Vector<T>.Count; lane++)
            {
                sum = unchecked(sum + lanes[lane]);
            }
        }
        for (; i < values.Length; i++)
        {
            sum = unchecked(sum + values[i]);
        }
        return sum;
    }
}
