using System.Buffers;
using System.Buffers.Binary;
using System.Security.Cryptography;
using System.Text;
using System.Text.Json;

namespace Graftbench.Store;

/// <summary>The hash that ties a line of evidence to all lines before it.</summary>
/// <remarks>
/// SHA-256 over eleven fields in a fixed order. Each field is one byte that tells whether it is there (1) or not (0) and,
/// where it is there, its length in bytes as an unsigned 64-bit number, most significant byte first, and its bytes. So no
/// two different lines give the same input. The fields: the name of this layout, the previous hash (32 bytes), the record
/// id, the sequence (64-bit, most significant byte first), the time as <see cref="StoreTime"/> writes it, who, kind,
/// payload, hash of the file (32 bytes or not there), name of the file, media type of the file. Text is UTF-8.
/// </remarks>
public static class EvidenceChain
{
    /// <summary>Name of the layout; first field of the hash, so that a later layout cannot be mistaken for this one.</summary>
    public const string Layout = "graftbench-evidence-1";

    /// <summary>Previous hash of the first line of a record.</summary>
    public const string Start = "0000000000000000000000000000000000000000000000000000000000000000";

    private static readonly SearchValues<char> HashDigits = SearchValues.Create("0123456789abcdef");

    /// <summary>Turns text to bytes and throws where a text is no valid Unicode, instead of storing something else.</summary>
    internal static UTF8Encoding Utf8 { get; } = new(encoderShouldEmitUTF8Identifier: false, throwOnInvalidBytes: true);

    /// <summary>Whether reading JSON by a layout failed since the JSON is none or has another layout.</summary>
    internal static bool IsNotSuchPayload(Exception problem) =>
        problem
            is JsonException
                or KeyNotFoundException
                or InvalidOperationException
                or FormatException
                or ArgumentException;

    /// <summary>Hash of a line, from all its fields but <see cref="EvidenceLine.Sha256"/> itself.</summary>
    public static string Hash(EvidenceLine line) => Hash(RawLine.Of(line));

    /// <summary>SHA-256 of a file's bytes as 64 small hexadecimal digits.</summary>
    public static string FileHash(ReadOnlySpan<byte> bytes) => Convert.ToHexStringLower(SHA256.HashData(bytes));

    /// <summary>Whether a text is 64 small hexadecimal digits.</summary>
    public static bool IsHash(string? text) => text is { Length: 64 } && text.AsSpan().IndexOfAnyExcept(HashDigits) < 0;

    /// <summary>Hash of a line; null where a hash in it is none, so that there is nothing to follow.</summary>
    internal static string? TryHash(RawLine line) =>
        IsHash(line.PreviousSha256) && (line.FileSha256 is null || IsHash(line.FileSha256)) ? Hash(line) : null;

    internal static string Hash(RawLine line)
    {
        using IncrementalHash hash = IncrementalHash.CreateHash(HashAlgorithmName.SHA256);
        Span<byte> sequence = stackalloc byte[sizeof(long)];
        BinaryPrimitives.WriteInt64BigEndian(sequence, line.Sequence);
        Add(hash, Utf8.GetBytes(Layout));
        Add(hash, Convert.FromHexString(line.PreviousSha256));
        Add(hash, line.RecordId);
        Add(hash, sequence);
        Add(hash, line.At);
        Add(hash, line.Who);
        Add(hash, line.Kind);
        Add(hash, line.Payload);
        AddOptional(hash, line.FileSha256 is null ? null : Convert.FromHexString(line.FileSha256));
        AddOptional(hash, line.FileName);
        AddOptional(hash, line.FileMediaType);
        return Convert.ToHexStringLower(hash.GetHashAndReset());
    }

    private static void AddOptional(IncrementalHash hash, byte[]? field)
    {
        if (field is null)
        {
            hash.AppendData([0]);
        }
        else
        {
            Add(hash, field);
        }
    }

    private static void Add(IncrementalHash hash, ReadOnlySpan<byte> field)
    {
        Span<byte> head = stackalloc byte[1 + sizeof(ulong)];
        head[0] = 1;
        BinaryPrimitives.WriteUInt64BigEndian(head[1..], (ulong)field.Length);
        hash.AppendData(head);
        hash.AppendData(field);
    }
}

/// <summary>A line as bytes, exactly as they lie in the store: what is hashed is what is there, not what it decodes to.</summary>
internal sealed record RawLine(
    byte[] RecordId,
    long Sequence,
    byte[] At,
    byte[] Who,
    byte[] Kind,
    byte[] Payload,
    string? FileSha256,
    byte[]? FileName,
    byte[]? FileMediaType,
    string PreviousSha256,
    string Sha256
)
{
    public static RawLine Of(EvidenceLine line) =>
        new(
            EvidenceChain.Utf8.GetBytes(line.RecordId),
            line.Sequence,
            EvidenceChain.Utf8.GetBytes(StoreTime.Write(line.At)),
            EvidenceChain.Utf8.GetBytes(line.Who),
            EvidenceChain.Utf8.GetBytes(line.Kind),
            EvidenceChain.Utf8.GetBytes(line.PayloadJson),
            line.FileSha256,
            line.FileName is null ? null : EvidenceChain.Utf8.GetBytes(line.FileName),
            line.FileMediaType is null ? null : EvidenceChain.Utf8.GetBytes(line.FileMediaType),
            line.PreviousSha256,
            line.Sha256
        );
}
