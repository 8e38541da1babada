using System.Buffers.Binary;
using System.IO.Compression;
using SkiaSharp;

namespace Graftbench.Vision.Tests.Pictures;

/// <summary>Picture files made in memory.</summary>
internal static class PictureFiles
{
    /// <summary>A picture whose left upper quarter is red and whose rest is blue, so that every turn can be told.</summary>
    public static byte[] Quarter(int width, int height, SKEncodedImageFormat format, int quality = 95)
    {
        using SKBitmap bitmap = new(new SKImageInfo(width, height, SKColorType.Rgba8888, SKAlphaType.Opaque));
        using SKCanvas canvas = new(bitmap);
        canvas.Clear(new SKColor(0, 0, 255));
        using SKPaint paint = new() { Color = new SKColor(255, 0, 0) };
        canvas.DrawRect(0, 0, width / 2, height / 2, paint);
        canvas.Flush();
        using SKImage image = SKImage.FromBitmap(bitmap);
        return image.Encode(format, quality).ToArray();
    }

    /// <summary>A JPEG that says how the camera was held (Exif tag 274).</summary>
    public static byte[] Turned(byte[] jpeg, byte orientation)
    {
        byte[] tiff =
        [
            0x4D,
            0x4D,
            0x00,
            0x2A,
            0x00,
            0x00,
            0x00,
            0x08, // big endian, first directory at 8
            0x00,
            0x01, // one entry
            0x01,
            0x12,
            0x00,
            0x03,
            0x00,
            0x00,
            0x00,
            0x01,
            0x00,
            orientation,
            0x00,
            0x00,
            0x00,
            0x00,
            0x00,
            0x00,
        ];
        byte[] body = [.. "Exif\0\0"u8, .. tiff];
        int length = body.Length + 2;
        return [0xFF, 0xD8, 0xFF, 0xE1, (byte)(length >> 8), (byte)length, .. body, .. jpeg[2..]];
    }

    /// <summary>A PNG of one grey channel with 16 bits.</summary>
    public static byte[] DeepGrey(int width, int height, Func<int, int, ushort> value)
    {
        byte[] raw = new byte[height * (1 + 2 * width)];
        for (int y = 0; y < height; y++)
        {
            for (int x = 0; x < width; x++)
            {
                BinaryPrimitives.WriteUInt16BigEndian(raw.AsSpan(y * (1 + 2 * width) + 1 + 2 * x), value(x, y));
            }
        }
        return Png(width, height, 16, 0, raw);
    }

    /// <summary>A PNG with any header, whatever its content.</summary>
    public static byte[] Png(int width, int height, byte depth, byte colour, byte[] raw)
    {
        using MemoryStream packed = new();
        using (ZLibStream zip = new(packed, CompressionLevel.Fastest, leaveOpen: true))
        {
            zip.Write(raw);
        }
        byte[] header = new byte[13];
        BinaryPrimitives.WriteInt32BigEndian(header, width);
        BinaryPrimitives.WriteInt32BigEndian(header.AsSpan(4), height);
        header[8] = depth;
        header[9] = colour;
        return
        [
            0x89,
            .. "PNG\r\n"u8,
            0x1A,
            0x0A,
            .. Chunk("IHDR"u8, header),
            .. Chunk("IDAT"u8, packed.ToArray()),
            .. Chunk("IEND"u8, []),
        ];
    }

    private static byte[] Chunk(ReadOnlySpan<byte> name, byte[] content)
    {
        byte[] named = [.. name, .. content];
        byte[] chunk = new byte[named.Length + 8];
        BinaryPrimitives.WriteInt32BigEndian(chunk, content.Length);
        named.CopyTo(chunk, 4);
        BinaryPrimitives.WriteUInt32BigEndian(chunk.AsSpan(chunk.Length - 4), Crc(named));
        return chunk;
    }

    private static uint Crc(byte[] bytes)
    {
        uint crc = uint.MaxValue;
        foreach (byte one in bytes)
        {
            crc ^= one;
            for (int bit = 0; bit < 8; bit++)
            {
                crc = (crc & 1) != 0 ? (crc >> 1) ^ 0xEDB88320 : crc >> 1;
            }
        }
        return ~crc;
    }
}
