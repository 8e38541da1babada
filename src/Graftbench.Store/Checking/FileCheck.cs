using System.Data.Common;
using System.Security.Cryptography;
using Graftbench.Core.Findings;
using Graftbench.Store.Engines;

namespace Graftbench.Store.Checking;

/// <summary>Checks stored files against their hashes, each one once however many lines refer to it.</summary>
internal sealed class FileCheck(DbConnection connection)
{
    private readonly Dictionary<string, (string Code, string What)?> _checked = new(StringComparer.Ordinal);

    /// <summary>What is wrong with a file; null where it is as it came.</summary>
    public Finding? Check(string sha256, string where)
    {
        if (!_checked.TryGetValue(sha256, out (string Code, string What)? problem))
        {
            problem = Look(sha256);
            _checked.Add(sha256, problem);
        }
        return problem is not { } found
            ? null
            : new Finding(
                Verdict.Blocker,
                found.Code,
                where,
                found.What,
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

    private (string Code, string What)? Look(string sha256)
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
            return ("record.file-missing", "The file of this line is not in the store.");
        }
        if (found.Noted != found.Length)
        {
            return ("record.file-altered", $"The file has {found.Length} bytes; {found.Noted} were stored.");
        }
        using Stream content = StoreDialect.Of(connection).OpenFile(connection, sha256)!;
        string hash = Convert.ToHexStringLower(SHA256.HashData(content));
        return string.Equals(hash, sha256, StringComparison.Ordinal)
            ? null
            : ("record.file-altered", $"The file was altered: its SHA-256 is now {hash}.");
    }
}
