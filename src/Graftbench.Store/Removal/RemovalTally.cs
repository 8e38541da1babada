using System.Globalization;
using Graftbench.Core.Findings;

namespace Graftbench.Store;

/// <summary>Counts what of a record is gone on request, so that no check passes over it in silence.</summary>
internal sealed class RemovalTally
{
    /// <summary>Code of the findings that say what is gone.</summary>
    public const string Code = "record.emptied-on-request";

    private readonly Dictionary<long, int> _lines = [];
    private readonly Dictionary<long, HashSet<string>> _files = [];

    /// <summary>Whether nothing is gone.</summary>
    public bool IsEmpty => _lines.Count == 0 && _files.Count == 0;

    /// <summary>All that is gone, in words.</summary>
    public string All =>
        $"{RemovalNote.Amount(_lines.Values.Sum(), _files.Values.Sum(files => files.Count))} emptied on request";

    /// <summary>Counts a line that a removal left as it is.</summary>
    public void Line(StandingRemoval by) => _lines[by.Sequence] = _lines.GetValueOrDefault(by.Sequence) + 1;

    /// <summary>Counts a file that a removal emptied.</summary>
    public void File(StandingRemoval by, string sha256)
    {
        if (!_files.TryGetValue(by.Sequence, out HashSet<string>? files))
        {
            _files.Add(by.Sequence, files = new HashSet<string>(StringComparer.Ordinal));
        }
        files.Add(sha256);
    }

    /// <summary>A finding for each removal: what of it is gone.</summary>
    public IEnumerable<Finding> Findings(RecordRemovals removals, string id)
    {
        foreach (StandingRemoval removal in removals.All)
        {
            int lines = _lines.GetValueOrDefault(removal.Sequence);
            int files = _files.GetValueOrDefault(removal.Sequence)?.Count ?? 0;
            string amount = RemovalNote.Amount(lines, files);
            yield return new Finding(
                Verdict.Ok,
                Code,
                string.Create(CultureInfo.InvariantCulture, $"record {id}, line {removal.Sequence}"),
                $"Personal data: {amount} emptied on request on {removal.At[..Math.Min(10, removal.At.Length)]} by {removal.Who}: {removal.Note.Why.TrimEnd('.')}. What is left of them is as it was left then."
            );
        }
    }

    /// <summary>A line that was emptied on request holds its data again.</summary>
    public static Finding Undone(StandingRemoval removal, string where) =>
        new(
            Verdict.Warning,
            "record.removal-undone",
            where,
            string.Create(
                CultureInfo.InvariantCulture,
                $"Line {removal.Sequence} says that personal data was taken out of this line, but it is as it was stored at first."
            ),
            Todo: "Somebody put it back beside the program: take it out again."
        );
}
