namespace Graftbench.Store.Transfer;

/// <summary>A stretch of a zip as a stream of its own.</summary>
internal sealed class ZipContentStream(Stream zip, long start, long length) : Stream
{
    private long _position;

    public override bool CanRead => true;

    public override bool CanSeek => false;

    public override bool CanWrite => false;

    public override long Length => length;

    public override long Position
    {
        get => _position;
        set => throw new NotSupportedException();
    }

    public override int Read(byte[] buffer, int offset, int count) => Read(buffer.AsSpan(offset, count));

    public override int Read(Span<byte> buffer)
    {
        int wanted = (int)Math.Min(buffer.Length, length - _position);
        if (wanted == 0)
        {
            return 0;
        }
        zip.Position = start + _position;
        int count = zip.Read(buffer[..wanted]);
        _position += count;
        return count;
    }

    public override void Flush() { }

    public override long Seek(long offset, SeekOrigin origin) => throw new NotSupportedException();

    public override void SetLength(long value) => throw new NotSupportedException();

    public override void Write(byte[] buffer, int offset, int count) => throw new NotSupportedException();
}
