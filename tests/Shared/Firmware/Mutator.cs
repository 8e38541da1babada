namespace Graftbench.Tests.Shared.Firmware;

/// <summary>Spoils images: at random, and at the places where structures have their headers.</summary>
internal sealed class Mutator(int seed)
{
    private static readonly uint[] Extremes =
    [
        0,
        1,
        2,
        3,
        4,
        7,
        8,
        0x17,
        0x18,
        0x1B,
        0x1C,
        0x3B,
        0x3C,
        0x47,
        0x48,
        0x7F,
        0x80,
        0xFF,
        0x100,
        0x7FFF,
        0x8000,
        0xFFFF,
        0x10000,
        0xFFFFFE,
        0xFFFFFF,
        0x1000000,
        0x7FFFFFFF,
        0x80000000,
        0xFFFFFFFE,
        0xFFFFFFFF,
    ];

    private readonly Random random = new(seed);

    /// <summary>A spoilt copy.</summary>
    /// <param name="image">The image.</param>
    /// <param name="headers">Places where structures start.</param>
    public byte[] Mutate(byte[] image, IReadOnlyList<int> headers)
    {
        byte[] bytes = [.. image];
        if (bytes.Length == 0)
        {
            return bytes;
        }
        int changes = 1 + random.Next(random.Next(4) == 0 ? 12 : 3);
        for (int i = 0; i < changes; i++)
        {
            int at =
                headers.Count > 0 && random.Next(4) != 0
                    ? Math.Min(headers[random.Next(headers.Count)] + random.Next(0x50), bytes.Length - 1)
                    : random.Next(bytes.Length);
            Change(bytes, at, headers);
        }
        return random.Next(20) == 0 ? bytes[..random.Next(bytes.Length + 1)] : bytes;
    }

    /// <summary>A copy cut at a random place.</summary>
    public byte[] Cut(byte[] image) => image[..random.Next(image.Length + 1)];

    private void Change(byte[] bytes, int at, IReadOnlyList<int> headers)
    {
        int left = bytes.Length - at;
        switch (random.Next(8))
        {
            case 0:
                bytes[at] ^= (byte)(1 << random.Next(8));
                break;
            case 1:
                bytes[at] = (byte)random.Next(256);
                break;
            case 2:
                bytes[at] = random.Next(2) == 0 ? (byte)0 : (byte)0xFF;
                break;
            case 3:
            case 4:
                // A field of one to eight bytes, on a boundary of its own most of the time.
                int width = 1 << random.Next(4);
                int start = random.Next(4) == 0 ? at : at & -width;
                ulong value = Extremes[random.Next(Extremes.Length)];
                if (random.Next(3) == 0)
                {
                    value = (ulong)random.Next(bytes.Length + 1);
                }
                for (int k = 0; k < width && start + k < bytes.Length; k++)
                {
                    bytes[start + k] = (byte)(value >> (8 * k));
                }
                break;
            case 5:
                bytes.AsSpan(at, Math.Min(left, 1 + random.Next(64))).Fill(random.Next(2) == 0 ? (byte)0 : (byte)0xFF);
                break;
            case 6:
                // One structure's head over another's.
                int from = headers.Count > 0 ? headers[random.Next(headers.Count)] : random.Next(bytes.Length);
                int length = Math.Min(Math.Min(left, bytes.Length - from), 1 + random.Next(0x50));
                bytes.AsSpan(Math.Min(from, bytes.Length - length), length).ToArray().CopyTo(bytes, at);
                break;
            default:
                random.NextBytes(bytes.AsSpan(at, Math.Min(left, 1 + random.Next(16))));
                break;
        }
    }
}
