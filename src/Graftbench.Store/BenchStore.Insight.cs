namespace Graftbench.Store;

public sealed partial class BenchStore
{
    /// <summary>
    /// Lines of the record of every job. Each save and each line of evidence adds one, so that what was learned from a job is
    /// read again only where there is something new.
    /// </summary>
    public IReadOnlyDictionary<string, long> JobLines() =>
        _connections.Read(connection =>
            connection
                .All(
                    "SELECT job.id, record.lines FROM job JOIN record ON record.id = job.id",
                    row => (Id: row.GetString(0), Lines: row.GetInt64(1))
                )
                .ToDictionary(row => row.Id, row => row.Lines, StringComparer.Ordinal)
        );
}
