namespace Graftbench.Store.Transfer;

/// <summary>Writes a zip of the plain kind to a stream that can seek.</summary>
internal sealed class PlainZipWriter(Stream target, string where)
{
    private readonly List<ZipEntry> _entries = [];

    /// <summary>Adds one file; the callback writes its content.</summary>
    public void Add(string name, Action<Stream> writeContent)
    {
        ZipEntry entry = new(name, 0, 0, target.Position);
        target.Write(PlainZip.LocalHeader(entry));
        CountingStream content = new(target);
        writeContent(content);
        entry = entry with { Length = content.Length, Crc = content.Crc };
        long end = target.Position;
        if (end > PlainZip.MostBytes || _entries.Count >= PlainZip.MostEntries)
        {
            throw new StoreException(
                "The export would be larger than a zip file can be (4 GiB or 65,534 files)",
                where,
                "Export the records one by one."
            );
        }
        target.Position = entry.Offset;
        target.Write(PlainZip.LocalHeader(entry));
        target.Position = end;
        _entries.Add(entry);
    }

    /// <summary>Writes the closing directory.</summary>
    public void Finish()
    {
        long start = target.Position;
        foreach (ZipEntry entry in _entries)
        {
            target.Write(PlainZip.DirectoryEntry(entry));
        }
        target.Write(PlainZip.End(_entries.Count, target.Position - start, start));
    }

    /// <summary>Passes bytes on and keeps their number and checksum.</summary>
    private sealed class CountingStream(Stream target) : Stream
    {
        private Crc32 _crc;
        private long _length;

        public uint Crc => _crc.Value;

        public override bool CanRead => false;

        public override bool CanSeek => false;

        public override bool CanWrite => true;

        public override long Length => _length;

        public override long Position
        {
            get => _length;
            set => throw new NotSupportedException();
        }

        public override void Write(byte[] buffer, int offset, int count) => Write(buffer.AsSpan(offset, count));

        public override void Write(ReadOnlySpan<byte> buffer)
        {
            _crc.Add(buffer);
            _length += buffer.Length;
            target.Write(buffer);
        }

        public override void Flush() { }

        public override int Read(byte[] buffer, int offset, int count) => throw new NotSupportedException();

        public override long Seek(long offset, SeekOrigin origin) => throw new NotSupportedException();

        public override void SetLength(long value) => throw new NotSupportedException();
    }
}
