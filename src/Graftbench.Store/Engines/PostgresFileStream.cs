using System.Data.Common;

namespace Graftbench.Store.Engines;

/// <summary>Reads a file out of PostgreSQL piece by piece; the connection stays free in between.</summary>
internal sealed class PostgresFileStream(DbConnection connection, long id, long length) : Stream
{
    private const int PieceBytes = 1024 * 1024;

    private byte[] _piece = [];
    private long _pieceAt;
    private long _position;

    public override bool CanRead => true;

    public override bool CanSeek => true;

    public override bool CanWrite => false;

    public override long Length => length;

    public override long Position
    {
        get => _position;
        set
        {
            ArgumentOutOfRangeException.ThrowIfNegative(value);
            _position = value;
        }
    }

    public override int Read(byte[] buffer, int offset, int count) => Read(buffer.AsSpan(offset, count));

    public override int Read(Span<byte> buffer)
    {
        if (buffer.IsEmpty || _position >= length)
        {
            return 0;
        }
        if (_position < _pieceAt || _position >= _pieceAt + _piece.Length)
        {
            _pieceAt = _position;
            _piece =
                connection.Scalar(
                    "SELECT substring(content FROM @from FOR @count) FROM file WHERE id = @id",
                    ("@from", (int)_position + 1),
                    ("@count", PieceBytes),
                    ("@id", id)
                ) as byte[]
                ?? [];
            if (_piece.Length == 0)
            {
                throw new EndOfStreamException("The file in the store ended early.");
            }
        }
        int start = (int)(_position - _pieceAt);
        int count = Math.Min(buffer.Length, _piece.Length - start);
        _piece.AsSpan(start, count).CopyTo(buffer);
        _position += count;
        return count;
    }

    public override long Seek(long offset, SeekOrigin origin) =>
        Position = origin switch
        {
            SeekOrigin.Begin => offset,
            SeekOrigin.Current => _position + offset,
            _ => length + offset,
        };

    public override void Flush() { }

    public override void SetLength(long value) => throw new NotSupportedException();

    public override void Write(byte[] buffer, int offset, int count) => throw new NotSupportedException();
}
