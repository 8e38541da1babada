using System.Text;

namespace Graftbench.Store;

/// <summary>A removal that stands in a record.</summary>
/// <param name="Sequence">Line that says it.</param>
/// <param name="At">When, as the line has it.</param>
/// <param name="Who">Who did it.</param>
/// <param name="Note">What was taken out.</param>
internal sealed record StandingRemoval(long Sequence, string At, string Who, RemovalNote Note);

/// <summary>What the removals of one record allow: lines and files that are not what was stored, and rightly so.</summary>
/// <remarks>
/// A line whose content does not fit its hash is allowed only where a later line of the kind
/// <see cref="EvidenceRules.PersonalDataRemoved"/> names it with the very hash of what is there now; of several, the last one
/// counts. A removal counts where it is as it was stored, or was itself left so by a later one.
/// </remarks>
internal sealed class RecordRemovals
{
    private readonly Dictionary<long, (string Sha256, StandingRemoval By)> _lines = [];
    private readonly Dictionary<string, (RemovedFile File, StandingRemoval By)> _files = new(StringComparer.Ordinal);

    private RecordRemovals() { }

    /// <summary>The removals, oldest first.</summary>
    public IReadOnlyList<StandingRemoval> All { get; private set; } = [];

    /// <summary>Reads the removals of a record.</summary>
    /// <param name="lines">Its lines of that kind, in any order.</param>
    public static RecordRemovals Of(IEnumerable<RawLine> lines)
    {
        RecordRemovals removals = new();
        List<StandingRemoval> all = [];
        foreach (RawLine line in lines.OrderByDescending(line => line.Sequence))
        {
            if (
                EvidenceChain.TryHash(line) is not { } now
                || !(
                    string.Equals(now, line.Sha256, StringComparison.Ordinal)
                    || removals.Allows(line.Sequence, now) is not null
                )
                || RemovalNote.Read(Encoding.UTF8.GetString(line.Payload)) is not { } note
            )
            {
                continue;
            }
            StandingRemoval removal = new(
                line.Sequence,
                Encoding.UTF8.GetString(line.At),
                Encoding.UTF8.GetString(line.Who),
                note
            );
            all.Add(removal);
            foreach (RemovedLine removed in note.Lines.Where(removed => removed.Sequence < line.Sequence))
            {
                removals._lines.TryAdd(removed.Sequence, (removed.Sha256, removal));
            }
            foreach (RemovedFile file in note.Files)
            {
                removals._files.TryAdd(file.Sha256, (file, removal));
            }
        }
        all.Reverse();
        removals.All = all;
        return removals;
    }

    /// <summary>The removal that left a line as it is now; null where none did.</summary>
    /// <param name="sequence">The line.</param>
    /// <param name="sha256">Hash of what is there now.</param>
    public StandingRemoval? Allows(long sequence, string sha256) =>
        _lines.TryGetValue(sequence, out (string Sha256, StandingRemoval By) named)
        && string.Equals(named.Sha256, sha256, StringComparison.Ordinal)
            ? named.By
            : null;

    /// <summary>The removal that changed a line last; null where none did.</summary>
    public StandingRemoval? Changed(long sequence) => _lines.GetValueOrDefault(sequence).By;

    /// <summary>The removal that emptied the file of a line; null where none did.</summary>
    /// <param name="sha256">The file.</param>
    /// <param name="sequence">The line that refers to it: a removal before it says nothing of it.</param>
    public (RemovedFile File, StandingRemoval By)? Emptied(string sha256, long sequence) =>
        _files.TryGetValue(sha256, out (RemovedFile File, StandingRemoval By) named) && named.By.Sequence > sequence
            ? named
            : null;
}
