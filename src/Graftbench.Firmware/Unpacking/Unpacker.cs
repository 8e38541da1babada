using System.Buffers;
using System.IO.Compression;
using System.Runtime.InteropServices;
using Graftbench.Firmware.Reading;
using Graftbench.Firmware.Scanning;
using SharpCompress.Compressors.LZMA;

namespace Graftbench.Firmware.Unpacking;

/// <summary>How the body of a section is packed.</summary>
internal enum Packing
{
    None,
    Lzma,
    LzmaX86,
    Brotli,
    Standard,
    Unknown,
}

/// <summary>What unpacking gave.</summary>
/// <param name="Content">The content; null when there is none.</param>
/// <param name="Trouble">What went wrong, in words; null when nothing did.</param>
/// <param name="IsDamage">Whether the bytes are damaged, rather than of a kind that is not read.</param>
/// <param name="Limit">This program's own limit that was met; null when none was.</param>
internal readonly record struct Unpacked(byte[]? Content, string? Trouble, bool IsDamage, string? Limit = null);

/// <summary>Unpacks the bodies of sections.</summary>
internal static class Unpacker
{
    /// <summary>A section with a CRC-32 over its body.</summary>
    public static readonly Guid Crc32Guid = new("FC1BCDB0-7D31-49AA-936A-A4600D9DD083");

    private static readonly Guid LzmaGuid = new("EE4E5898-3914-4259-9D6E-DC7BD79403CF");

    // From memory, unconfirmed: no free image at hand has sections of these three kinds.
    private static readonly Guid LzmaX86Guid = new("D42AE6BD-1352-4BFB-909A-CA72A6EAE889");
    private static readonly Guid StandardGuid = new("A31280AD-481E-41B6-95E8-127F4C984779");
    private static readonly Guid BrotliGuid = new("3D532050-5CDA-4FD0-879E-0F7F630D5AFB");

    private const int LzmaHeaderBytes = 13;
    private const int BrotliHeaderBytes = 16;
    private const int LeastDictionary = 4096;

    public static Packing MethodOf(Guid guid) =>
        guid == LzmaGuid ? Packing.Lzma
        : guid == LzmaX86Guid ? Packing.LzmaX86
        : guid == StandardGuid ? Packing.Standard
        : guid == BrotliGuid ? Packing.Brotli
        : Packing.None;

    public static string NameOf(Packing method) =>
        method switch
        {
            Packing.Lzma => "LZMA",
            Packing.LzmaX86 => "LZMA with x86 filter",
            Packing.Brotli => "Brotli",
            Packing.Standard => "standard compression",
            _ => "unknown packing",
        };

    /// <summary>Unpacks a body within the limits of the reading.</summary>
    /// <param name="context">The reading.</param>
    /// <param name="packed">The packed bytes.</param>
    /// <param name="method">How they are packed.</param>
    /// <param name="announced">Size of the content by the section's header; null where the header has none.</param>
    public static Unpacked Unpack(ReadContext context, ReadOnlyMemory<byte> packed, Packing method, uint? announced)
    {
        if (!context.Limits.Unpack)
        {
            return new Unpacked(null, "Packed sections were left packed, as asked for.", IsDamage: false);
        }
        ulong? size = method switch
        {
            Packing.Lzma or Packing.LzmaX86 when packed.Length > LzmaHeaderBytes => packed.Span.U64(5),
            Packing.Brotli when packed.Length > BrotliHeaderBytes => packed.Span.U64(0),
            Packing.Standard or Packing.Unknown => null,
            _ => 0,
        };
        switch (size)
        {
            case null:
                return new Unpacked(
                    null,
                    $"A section is packed in a way that is not read ({NameOf(method)}); what it holds is unknown.",
                    IsDamage: false
                );
            case 0:
                return new Unpacked(
                    null,
                    "A packed section is too short for its own header, or empty.",
                    IsDamage: true
                );
        }
        int most = (int)
            Math.Min(
                context.Limits.MaxUnpackedSectionBytes,
                context.Limits.MaxUnpackedImageBytes - context.UnpackedBytes
            );
        if (size > (ulong)most)
        {
            return new Unpacked(
                null,
                "A packed section would give more bytes than are unpacked; it stays packed.",
                IsDamage: false,
                FormattableString.Invariant(
                    $"{context.Limits.MaxUnpackedSectionBytes} bytes a section, {context.Limits.MaxUnpackedImageBytes} an image"
                )
            );
        }
        // Counted before the work is done, so that a thousand broken sections cost no more than the limit.
        context.UnpackedBytes += (long)size;
        byte[] content = GC.AllocateUninitializedArray<byte>((int)size);
        int got = Fill(packed, method, content);
        if (got < content.Length)
        {
            return new Unpacked(
                null,
                FormattableString.Invariant(
                    $"A packed section is damaged: unpacking stopped after {got} of {content.Length} bytes."
                ),
                IsDamage: true
            );
        }
        if (method == Packing.LzmaX86)
        {
            X86Filter.Decode(content);
        }
        return new Unpacked(content, null, IsDamage: false);
    }

    // How many bytes came out before the end or before the library gave up.
    private static int Fill(ReadOnlyMemory<byte> packed, Packing method, byte[] content)
    {
        int got = 0;
        try
        {
            if (method == Packing.Brotli)
            {
                using BrotliDecoder decoder = default;
                return
                    decoder.Decompress(packed.Span[BrotliHeaderBytes..], content, out _, out got)
                    == OperationStatus.InvalidData
                    ? Math.Min(got, content.Length - 1)
                    : got;
            }
            ReadOnlySpan<byte> head = packed.Span;
            byte[] properties = head[..5].ToArray();
            // A dictionary larger than the content is memory for nothing; the header's figure is not trusted.
            uint dictionary = Math.Min(head.U32(1), (uint)Math.Max(LeastDictionary, content.Length));
            BitConverter.TryWriteBytes(properties.AsSpan(1), dictionary);
            using MemoryStream input = StreamOf(packed[LzmaHeaderBytes..]);
            using LzmaStream stream = LzmaStream.Create(properties, input, -1, content.Length);
            int count;
            while (got < content.Length && (count = stream.Read(content, got, content.Length - got)) > 0)
            {
                got += count;
            }
        }
#pragma warning disable CA1031 // Whatever a decoder throws on hostile bytes means one thing: these bytes are damaged.
        catch (Exception error) when (error is not OutOfMemoryException)
#pragma warning restore CA1031
        {
            return Math.Min(got, content.Length - 1);
        }
        return got;
    }

    private static MemoryStream StreamOf(ReadOnlyMemory<byte> bytes) =>
        MemoryMarshal.TryGetArray(bytes, out ArraySegment<byte> array)
            ? new MemoryStream(array.Array!, array.Offset, array.Count, writable: false)
            : new MemoryStream(bytes.ToArray(), writable: false);
}
