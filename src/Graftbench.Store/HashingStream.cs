using System.Security.Cryptography;

namespace Graftbench.Store;

/// <summary>Passes on what is written, and counts and hashes it, so that a long file need not be held in memory.</summary>
internal sealed class HashingStream(Stream target) : Stream
{
    private readonly IncrementalHash _hash = IncrementalHash.CreateHash(HashAlgorithmName.SHA256);
    private long _length;

    public override bool CanRead => false;

    public override bool CanSeek => false;

    public override bool CanWrite => true;

    public override long Length => _length;

    public override long Position
    {
        get => _length;
        set => throw new NotSupportedException();
    }

    /// <summary>SHA-256 of all that was written, as 64 small hexadecimal digits.</summary>
    public string Sha256() => Convert.ToHexStringLower(_hash.GetCurrentHash());

    public override void Write(byte[] buffer, int offset, int count) => Write(buffer.AsSpan(offset, count));

    public override void Write(ReadOnlySpan<byte> buffer)
    {
        target.Write(buffer);
        _hash.AppendData(buffer);
        _length += buffer.Length;
    }

    public override void Flush() => target.Flush();

    public override int Read(byte[] buffer, int offset, int count) => throw new NotSupportedException();

    public override long Seek(long offset, SeekOrigin origin) => throw new NotSupportedException();

    public override void SetLength(long value) => throw new NotSupportedException();

    protected override void Dispose(bool disposing)
    {
        if (disposing)
        {
            _hash.Dispose();
        }
        base.Dispose(disposing);
    }
}
