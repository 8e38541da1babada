using System.Security.Cryptography;

namespace Graftbench.Store.Transfer;

// The files of the zip: their names, their order, their bytes.
internal sealed partial class ExportReading
{
    private void CheckFiles(HashSet<string> referenced)
    {
        foreach (ZipEntry entry in _entries.Values)
        {
            if (ExportFormat.HashOf(entry.Name) is not { } hash)
            {
                continue;
            }
            stop.ThrowIfCancellationRequested();
            if (entry.Length > EvidenceRules.MaxFileBytes)
            {
                findings.Add(
                    "import.too-large",
                    entry.Name,
                    "The file is too large.",
                    $"{entry.Length} bytes",
                    $"{EvidenceRules.MaxFileBytes} bytes"
                );
                continue;
            }
            using Stream content = _zip.Open(entry);
            string found = Convert.ToHexStringLower(SHA256.HashData(content));
            if (!string.Equals(found, hash, StringComparison.Ordinal))
            {
                findings.Add(
                    "import.file-altered",
                    entry.Name,
                    "The file was altered: its SHA-256 is not its name.",
                    found,
                    hash
                );
            }
            if (!referenced.Contains(hash))
            {
                findings.Add("import.file-without-evidence", entry.Name, "No line of evidence refers to this file.");
            }
        }
    }

    private void CheckNames(
        IReadOnlyList<ZipEntry> entries,
        IReadOnlyList<ManifestRecord> records,
        HashSet<string> referenced
    )
    {
        List<string> expected = ExportFormat.Names(records, referenced).ToList();
        List<string> found = entries.Select(entry => entry.Name).ToList();
        foreach (string name in expected.Except(found, StringComparer.Ordinal))
        {
            findings.Add("import.entry-missing", TransferFindings.Shorten(name), "The zip lacks this file.");
        }
        foreach (string name in found.Except(expected, StringComparer.Ordinal))
        {
            // A file without evidence has been named already.
            if (ExportFormat.HashOf(name) is null)
            {
                findings.Add(
                    "import.entry-unexpected",
                    TransferFindings.Shorten(name),
                    "An export has no file of this name."
                );
            }
        }
        if (
            found.Count == expected.Count
            && !found.Except(expected, StringComparer.Ordinal).Any()
            && !found.SequenceEqual(expected)
        )
        {
            findings.Add("import.entry-order", "zip", "The files are not in the order in which an export writes them.");
        }
    }

    /// <summary>Cuts an entry into lines, each with its line end; a line longer than any real one ends the reading.</summary>
    private IEnumerable<ReadOnlyMemory<byte>> TextLines(ZipEntry entry)
    {
        using Stream content = _zip.Open(entry);
        byte[] buffer = new byte[64 * 1024];
        int start = 0;
        int end = 0;
        while (true)
        {
            int lineEnd = buffer.AsSpan(start, end - start).IndexOf((byte)'\n');
            if (lineEnd >= 0)
            {
                yield return buffer.AsMemory(start, lineEnd + 1).ToArray();
                start += lineEnd + 1;
                continue;
            }
            buffer.AsSpan(start, end - start).CopyTo(buffer);
            (start, end) = (0, end - start);
            if (end == buffer.Length)
            {
                if (buffer.Length >= ExportFormat.MaxLineBytes)
                {
                    findings.Add("import.too-large", entry.Name, "A line is longer than any line of an export.");
                    yield break;
                }
                Array.Resize(ref buffer, Math.Min(buffer.Length * 2, ExportFormat.MaxLineBytes));
            }
            int count = content.Read(buffer.AsSpan(end));
            if (count == 0)
            {
                if (end > 0)
                {
                    yield return buffer.AsMemory(0, end).ToArray();
                }
                yield break;
            }
            end += count;
        }
    }

    private byte[] ReadAll(ZipEntry entry)
    {
        byte[] bytes = new byte[entry.Length];
        using Stream content = _zip.Open(entry);
        int count = content.ReadAtLeast(bytes, bytes.Length, throwOnEndOfStream: false);
        return count == bytes.Length ? bytes : bytes[..count];
    }
}
