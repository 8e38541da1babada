namespace Graftbench.Store;

/// <summary>Reads a file out of the store and gives the connection back at the end.</summary>
internal sealed class StoredFileStream(Stream content, Action giveBack) : Stream
{
    private bool _isDisposed;

    public override bool CanRead => true;

    public override bool CanSeek => true;

    public override bool CanWrite => false;

    public override long Length => content.Length;

    public override long Position
    {
        get => content.Position;
        set => content.Position = value;
    }

    public override int Read(byte[] buffer, int offset, int count) => content.Read(buffer, offset, count);

    public override int Read(Span<byte> buffer) => content.Read(buffer);

    public override long Seek(long offset, SeekOrigin origin) => content.Seek(offset, origin);

    public override void Flush() { }

    public override void SetLength(long value) => throw new NotSupportedException();

    public override void Write(byte[] buffer, int offset, int count) => throw new NotSupportedException();

    protected override void Dispose(bool disposing)
    {
        if (disposing && !_isDisposed)
        {
            _isDisposed = true;
            content.Dispose();
            giveBack();
        }
        base.Dispose(disposing);
    }
}
