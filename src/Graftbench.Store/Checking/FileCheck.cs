using System.Data.Common;
using System.Security.Cryptography;
using Graftbench.Core.Findings;
using Graftbench.Store.Engines;

namespace Graftbench.Store.Checking;

/// <summary>Checks stored files against their hashes, each one once however many lines refer to it.</summary>
internal sealed class FileCheck(DbConnection connection)
{
    private readonly Dictionary<string, Seen> _checked = new(StringComparer.Ordinal);

    /// <summary>What is wrong with a file; null where it is as it came, or was emptied on request.</summary>
    /// <param name="sha256">The file.</param>
    /// <param name="where">The line that refers to it.</param>
    /// <param name="removed">What the record says of its removal; null where it says nothing.</param>
    /// <param name="isRemoved">Whether it is empty, and rightly so.</param>
    public Finding? Check(string sha256, string where, RemovedFile? removed, out bool isRemoved)
    {
        if (!_checked.TryGetValue(sha256, out Seen? seen))
        {
            seen = Look(sha256);
            _checked.Add(sha256, seen);
        }
        isRemoved = removed is not null && seen.EmptiedBytes == removed.Bytes;
        return isRemoved || seen.Code is null
            ? null
            : new Finding(
                Verdict.Blocker,
                seen.Code,
                where,
                seen.What,
                Limit: $"SHA-256 {sha256}",
                Todo: "Fetch the file from the last export; until then this evidence is worth nothing."
            );
    }

    /// <summary>Files that no line of evidence refers to.</summary>
    public IEnumerable<Finding> NotReferenced() =>
        connection
            .All(
                "SELECT sha256 FROM file WHERE sha256 NOT IN (SELECT file_sha256 FROM evidence WHERE file_sha256 IS NOT NULL)",
                row => row.GetString(0)
            )
            .Select(sha256 => new Finding(
                Verdict.FixFirst,
                "store.file-without-evidence",
                $"file {sha256}",
                "The store holds a file that no line of evidence refers to; the program never writes that.",
                Todo: "A line was taken out, or the file put in by hand: find out who and why."
            ));

    private Seen Look(string sha256)
    {
        var found = connection
            .All(
                "SELECT id, length, length(content) FROM file WHERE sha256 = @sha",
                row => (Id: row.GetInt64(0), Noted: row.GetInt64(1), Length: row.GetInt64(2)),
                ("@sha", sha256)
            )
            .FirstOrDefault();
        if (found.Id == 0)
        {
            return new Seen("record.file-missing", "The file of this line is not in the store.");
        }
        if (found.Noted != found.Length)
        {
            return new Seen("record.file-altered", $"The file has {found.Length} bytes; {found.Noted} were stored.")
            {
                EmptiedBytes = found.Length == 0 ? found.Noted : null,
            };
        }
        using Stream content = StoreDialect.Of(connection).OpenFile(connection, sha256)!;
        string hash = Convert.ToHexStringLower(SHA256.HashData(content));
        return string.Equals(hash, sha256, StringComparison.Ordinal)
            ? new Seen(null, "")
            : new Seen("record.file-altered", $"The file was altered: its SHA-256 is now {hash}.");
    }

    /// <summary>What was seen of a file.</summary>
    private sealed record Seen(string? Code, string What)
    {
        /// <summary>Bytes that it had, where it has none now [bytes].</summary>
        public long? EmptiedBytes { get; init; }
    }
}
