using System.Buffers.Binary;
using System.IO.Compression;

namespace Graftbench.Vision.Pictures;

/// <summary>Decodes a PNG of 16 bits a channel, which the library would cut to 8 (grey) or round (colour).</summary>
/// <remarks>
/// W3C PNG specification, 3rd ed.: colour types 0, 2, 4 and 6, filters 0 to 4. Interlaced files are left to the library.
/// Check sums of the chunks are not looked at; the one of the packed data is, by the decompressor.
/// </remarks>
internal static class DeepPng
{
    private const int HeaderEnd = 33;

    /// <summary>Whether this reader takes the file: 16 bits and not interlaced.</summary>
    public static bool Takes(ReadOnlySpan<byte> file) =>
        file.Length > HeaderEnd
        && file[24] == 16
        && Channels(file[25]) > 0
        && file[26] == 0
        && file[27] == 0
        && file[28] == 0;

    /// <summary>Decodes.</summary>
    /// <param name="file">A file that <see cref="Takes"/> passed, its size checked.</param>
    /// <returns>The picture; null where the file is damaged or ends too early.</returns>
    public static Picture? Read(byte[] file)
    {
        int width = BinaryPrimitives.ReadInt32BigEndian(file.AsSpan(16));
        int height = BinaryPrimitives.ReadInt32BigEndian(file.AsSpan(20));
        int channels = Channels(file[25]);
        int bytes = 2 * channels;
        float[] grey = new float[width * height];
        byte[]? rgb = channels >= 3 ? new byte[3 * width * height] : null;
        byte[] line = new byte[width * bytes];
        byte[] above = new byte[width * bytes];
        try
        {
            using MemoryStream packed = Packed(file);
            using ZLibStream zip = new(packed, CompressionMode.Decompress);
            for (int y = 0; y < height; y++)
            {
                int filter = zip.ReadByte();
                zip.ReadExactly(line);
                if (filter is < 0 or > 4)
                {
                    return null;
                }
                Unfilter(filter, line, above, bytes);
                Keep(line, channels, grey.AsSpan(y * width, width), rgb is null ? [] : rgb.AsSpan(3 * y * width));
                (line, above) = (above, line);
            }
        }
        catch (Exception error) when (error is InvalidDataException or EndOfStreamException)
        {
            return null;
        }
        return new Picture(width, height, grey, rgb);
    }

    private static int Channels(byte colour) =>
        colour switch
        {
            0 => 1,
            2 => 3,
            4 => 2,
            6 => 4,
            _ => 0,
        };

    private static MemoryStream Packed(byte[] file)
    {
        MemoryStream packed = new();
        int at = 8;
        while (at + 12 <= file.Length)
        {
            uint length = BinaryPrimitives.ReadUInt32BigEndian(file.AsSpan(at));
            if (length > file.Length - at - 12)
            {
                break;
            }
            if (file.AsSpan(at + 4, 4).SequenceEqual("IDAT"u8))
            {
                packed.Write(file, at + 8, (int)length);
            }
            at += 12 + (int)length;
        }
        packed.Position = 0;
        return packed;
    }

    private static void Unfilter(int filter, byte[] line, byte[] above, int back)
    {
        if (filter == 0)
        {
            return;
        }
        for (int i = 0; i < line.Length; i++)
        {
            int left = i >= back ? line[i - back] : 0;
            int up = above[i];
            int corner = i >= back ? above[i - back] : 0;
            line[i] += (byte)(
                filter switch
                {
                    1 => left,
                    2 => up,
                    3 => (left + up) / 2,
                    _ => Paeth(left, up, corner),
                }
            );
        }
    }

    private static int Paeth(int left, int up, int corner)
    {
        int guess = left + up - corner;
        int toLeft = Math.Abs(guess - left);
        int toUp = Math.Abs(guess - up);
        int toCorner = Math.Abs(guess - corner);
        return toLeft <= toUp && toLeft <= toCorner ? left
            : toUp <= toCorner ? up
            : corner;
    }

    private static void Keep(byte[] line, int channels, Span<float> grey, Span<byte> rgb)
    {
        for (int x = 0; x < grey.Length; x++)
        {
            float Value(int channel) =>
                BinaryPrimitives.ReadUInt16BigEndian(line.AsSpan(2 * (x * channels + channel))) / 65535f;
            float alpha = channels % 2 == 0 ? Value(channels - 1) : 1;
            float rest = 1 - alpha;
            if (channels < 3)
            {
                grey[x] = Value(0) * alpha + rest;
                continue;
            }
            (float r, float g, float b) = (Value(0) * alpha + rest, Value(1) * alpha + rest, Value(2) * alpha + rest);
            grey[x] = PictureBuffers.Brightness(r, g, b);
            rgb[3 * x] = (byte)(r * 255 + 0.5f);
            rgb[3 * x + 1] = (byte)(g * 255 + 0.5f);
            rgb[3 * x + 2] = (byte)(b * 255 + 0.5f);
        }
    }
}
