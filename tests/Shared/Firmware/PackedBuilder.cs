using System.IO.Compression;
using SharpCompress.Compressors.LZMA;
using static Graftbench.Tests.Shared.Firmware.Bytes;

namespace Graftbench.Tests.Shared.Firmware;

/// <summary>Packs the bodies of sections.</summary>
internal static class PackedBuilder
{
    /// <summary>A section with LZMA in its "alone" form.</summary>
    public static byte[] LzmaSection(byte[] body, string definedBy = VolumeBuilder.Lzma) =>
        VolumeBuilder.GuidSection(definedBy, 1, Lzma(body));

    public static byte[] Lzma(byte[] body)
    {
        using MemoryStream output = new();
        byte[] properties;
        using (LzmaStream stream = LzmaStream.Create(new LzmaEncoderProperties(), isLzma2: false, output))
        {
            stream.Write(body, 0, body.Length);
            properties = stream.Properties;
        }
        byte[] size = new byte[8];
        Put64(size, 0, (ulong)body.Length);
        return Join(properties, size, output.ToArray());
    }

    /// <summary>A Brotli section: size of the content, size of scratch memory, stream.</summary>
    public static byte[] BrotliSection(byte[] body)
    {
        byte[] head = new byte[16];
        Put64(head, 0, (ulong)body.Length);
        Put64(head, 8, 0x100000);
        byte[] packed = new byte[BrotliEncoder.GetMaxCompressedLength(body.Length)];
        if (!BrotliEncoder.TryCompress(body, packed, out int written))
        {
            throw new InvalidOperationException("Packing failed.");
        }
        return VolumeBuilder.GuidSection(VolumeBuilder.Brotli, 1, Join(head, packed[..written]));
    }
}
