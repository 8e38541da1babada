using System.Buffers.Binary;
using System.Text;
using Graftbench.Core.Findings;

namespace Graftbench.Store.Transfer;

/// <summary>Reads a zip of the plain kind from untrusted bytes. Every byte outside the contents is compared with what the
/// writer would have put there; nothing throws on content.</summary>
internal sealed class PlainZipReader(Stream zip, TransferFindings findings)
{
    private const int MaxNameBytes = 200;
    private readonly long _length = zip.Length;

    /// <summary>Reads the closing directory and checks all headers and checksums.</summary>
    /// <returns>The files that lie inside the zip; contents that failed their checksum are among them.</returns>
    public IReadOnlyList<ZipEntry> Read(CancellationToken stop)
    {
        byte[] end = new byte[PlainZip.EndBytes];
        if (
            !TryReadAt(_length - end.Length, end)
            || BinaryPrimitives.ReadUInt32LittleEndian(end) != PlainZip.EndSignature
        )
        {
            ReportCut(stop);
            return [];
        }
        int count = BinaryPrimitives.ReadUInt16LittleEndian(end.AsSpan(10));
        long start = BinaryPrimitives.ReadUInt32LittleEndian(end.AsSpan(16));
        long directoryEnd = _length - end.Length;
        if (!end.AsSpan().SequenceEqual(PlainZip.End(count, directoryEnd - start, start)) || start > directoryEnd)
        {
            findings.Add(
                "import.zip-directory",
                "zip",
                $"The closing record at byte {directoryEnd} does not fit the file."
            );
            return [];
        }
        IReadOnlyList<ZipEntry> entries = ReadDirectory(start, directoryEnd, count);
        CheckPlaces(entries, start);
        List<ZipEntry> readable = [];
        foreach (ZipEntry entry in entries)
        {
            stop.ThrowIfCancellationRequested();
            if (CheckEntry(entry))
            {
                readable.Add(entry);
            }
        }
        return readable;
    }

    /// <summary>Opens the content of a file; never more than its stated length.</summary>
    public Stream Open(ZipEntry entry) => new ZipContentStream(zip, entry.ContentOffset, entry.Length);

    private List<ZipEntry> ReadDirectory(long start, long end, int count)
    {
        List<ZipEntry> entries = [];
        HashSet<string> names = new(StringComparer.OrdinalIgnoreCase);
        long at = start;
        byte[] head = new byte[PlainZip.DirectoryEntryBytes];
        while (at < end)
        {
            if (at + head.Length > end || !TryReadAt(at, head))
            {
                findings.Add("import.zip-directory", "zip", $"The directory breaks off at byte {at}.");
                return entries;
            }
            int nameLength = BinaryPrimitives.ReadUInt16LittleEndian(head.AsSpan(28));
            byte[] name = new byte[Math.Min(nameLength, MaxNameBytes)];
            if (
                nameLength is 0 or > MaxNameBytes
                || at + head.Length + nameLength > end
                || !TryReadAt(at + head.Length, name)
            )
            {
                findings.Add("import.zip-directory", "zip", $"The directory entry at byte {at} has no usable name.");
                return entries;
            }
            ZipEntry entry = new(
                Encoding.Latin1.GetString(name),
                BinaryPrimitives.ReadUInt32LittleEndian(head.AsSpan(24)),
                BinaryPrimitives.ReadUInt32LittleEndian(head.AsSpan(16)),
                BinaryPrimitives.ReadUInt32LittleEndian(head.AsSpan(42))
            );
            if (!IsPlainName(name))
            {
                findings.Add(
                    "import.entry-name",
                    "zip",
                    $"The directory entry at byte {at} has a name that an export never has.",
                    TransferFindings.Shorten(entry.Name)
                );
            }
            else if (!PlainZip.DirectoryEntry(entry).AsSpan().SequenceEqual([.. head, .. name]))
            {
                findings.Add(
                    "import.zip-directory",
                    entry.Name,
                    $"Its directory entry at byte {at} is not as an export writes it."
                );
            }
            else if (!names.Add(entry.Name))
            {
                findings.Add("import.entry-twice", entry.Name, "The zip holds two files of this name.");
            }
            else
            {
                entries.Add(entry);
            }
            at += head.Length + nameLength;
            count--;
        }
        if (count != 0)
        {
            findings.Add("import.zip-directory", "zip", "The number of files is not what the closing record says.");
        }
        return entries;
    }

    /// <summary>Files must lie one behind the other from the first byte, without gaps and overlaps.</summary>
    private void CheckPlaces(IReadOnlyList<ZipEntry> entries, long directoryStart)
    {
        long expected = 0;
        foreach (ZipEntry entry in entries)
        {
            if (entry.Offset != expected)
            {
                findings.Add("import.zip-place", entry.Name, $"It begins at byte {entry.Offset}, not at {expected}.");
            }
            expected = entry.ContentOffset + entry.Length;
        }
        if (expected != directoryStart)
        {
            findings.Add(
                "import.zip-place",
                "zip",
                $"The files end at byte {expected}, the directory begins at {directoryStart}."
            );
        }
    }

    /// <summary>Checks a file's header and content.</summary>
    /// <returns>Whether it lies inside the zip, so that it can be read.</returns>
    private bool CheckEntry(ZipEntry entry)
    {
        byte[] wanted = PlainZip.LocalHeader(entry);
        byte[] found = new byte[wanted.Length];
        if (!TryReadAt(entry.Offset, found) || !found.AsSpan().SequenceEqual(wanted))
        {
            findings.Add(
                "import.zip-header",
                entry.Name,
                $"Its header at byte {entry.Offset} does not fit the directory."
            );
        }
        if (entry.ContentOffset + entry.Length > _length)
        {
            findings.Add("import.zip-place", entry.Name, $"Its {entry.Length} bytes reach beyond the end of the zip.");
            return false;
        }
        Crc32 crc = new();
        byte[] buffer = new byte[64 * 1024];
        using Stream content = Open(entry);
        for (int count = content.Read(buffer); count > 0; count = content.Read(buffer))
        {
            crc.Add(buffer.AsSpan(0, count));
        }
        if (crc.Value != entry.Crc)
        {
            findings.Add(
                "import.checksum",
                entry.Name,
                "Its content was damaged: the checksum differs.",
                $"CRC-32 {crc.Value:x8}",
                $"CRC-32 {entry.Crc:x8}"
            );
        }
        return true;
    }

    /// <summary>Walks from the front to say how far a zip without its end is whole.</summary>
    private void ReportCut(CancellationToken stop)
    {
        byte[] head = new byte[PlainZip.LocalHeaderBytes];
        long at = 0;
        int whole = 0;
        while (TryReadAt(at, head) && BinaryPrimitives.ReadUInt32LittleEndian(head) == PlainZip.LocalSignature)
        {
            stop.ThrowIfCancellationRequested();
            long length = BinaryPrimitives.ReadUInt32LittleEndian(head.AsSpan(22));
            int nameLength = BinaryPrimitives.ReadUInt16LittleEndian(head.AsSpan(26));
            byte[] name = new byte[Math.Min(nameLength, MaxNameBytes)];
            long next = at + head.Length + nameLength + length;
            if (!TryReadAt(at + head.Length, name) || next > _length)
            {
                findings.Add(
                    "import.cut-off",
                    "zip",
                    $"The zip is cut off at byte {_length}, inside its file {whole + 1}; {whole} files before that are complete.",
                    TransferFindings.Shorten(Encoding.Latin1.GetString(name))
                );
                return;
            }
            at = next;
            whole++;
        }
        findings.Add(
            "import.cut-off",
            "zip",
            whole == 0
                ? "This is no zip file of an export: neither its beginning nor its end is one."
                : $"The zip has no closing record: {whole} files are complete, the rest from byte {at} on is cut off or altered.",
            $"{_length} bytes"
        );
    }

    private static bool IsPlainName(ReadOnlySpan<byte> name)
    {
        string text = Encoding.Latin1.GetString(name);
        return text.All(letter =>
                char.IsAsciiLetterLower(letter) || char.IsAsciiDigit(letter) || letter is '.' or '-' or '/'
            )
            && !text.StartsWith('/')
            && !text.Split('/').Any(part => part is "" or "." or "..");
    }

    private bool TryReadAt(long offset, Span<byte> buffer)
    {
        if (offset < 0 || offset + buffer.Length > _length)
        {
            return false;
        }
        zip.Position = offset;
        return zip.ReadAtLeast(buffer, buffer.Length, throwOnEndOfStream: false) == buffer.Length;
    }
}
