using System.Globalization;
using Graftbench.Store;
using Graftbench.Web.Imaging;

namespace Graftbench.Web.Desk;

/// <summary>Lines of records, and what follows from them, each read once until the record has grown.</summary>
/// <param name="store">Where they lie.</param>
public sealed class RecordBook(BenchStore store)
{
    private const int MostAnswers = 256;
    private readonly AnswerMemo<object> kept = new(MostAnswers);

    /// <summary>How many lines the record of a job has; rises with everything that is added to it.</summary>
    public long Count(string jobId) => store.Lines(jobId);

    /// <summary>What follows from the lines of a record.</summary>
    /// <param name="jobId">The job.</param>
    /// <param name="read">Reads the lines, without the documents of saves; called again only when there are more.</param>
    public TAnswer Of<TAnswer>(string jobId, Func<IReadOnlyList<EvidenceLine>, TAnswer> read)
        where TAnswer : class
    {
        string key = string.Create(
            CultureInfo.InvariantCulture,
            $"{typeof(TAnswer).FullName} {jobId} {store.Lines(jobId)}"
        );
        return (TAnswer)kept.Get(key, () => read(Lines(jobId)));
    }

    // A file whose content was removed on request can be neither shown nor measured: for the screens the line has none.
    private List<EvidenceLine> Lines(string jobId)
    {
        IReadOnlySet<string> emptied = store.EmptiedFiles(jobId);
        return
        [
            .. store
                .EvidenceBrief(jobId, savesKept: 0)
                .Select(line =>
                    line.FileSha256 is { } sha && emptied.Contains(sha)
                        ? line with
                        {
                            FileSha256 = null,
                            FileName = null,
                            FileMediaType = null,
                        }
                        : line
                ),
        ];
    }
}
