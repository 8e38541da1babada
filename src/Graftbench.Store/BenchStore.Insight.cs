namespace Graftbench.Store;

public sealed partial class BenchStore
{
    /// <summary>The newest revision of every job, so that what was learned from a job is read again only where it changed.</summary>
    public IReadOnlyDictionary<string, int> Revisions() =>
        _connections.Read(connection =>
            connection
                .All("SELECT id, revision FROM job", row => (Id: row.GetString(0), Revision: row.GetInt32(1)))
                .ToDictionary(row => row.Id, row => row.Revision, StringComparer.Ordinal)
        );
}
