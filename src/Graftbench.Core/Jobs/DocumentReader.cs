using System.Text.Json;

namespace Graftbench.Core.Jobs;

/// <summary>
/// Reads a document of one record type from untrusted text and reports everything that is wrong with it at once. The type's
/// attributes say what single fields may hold; what holds across fields is given as a function.
/// </summary>
/// <typeparam name="T">Record of the document.</typeparam>
internal static class DocumentReader<T>
    where T : class
{
    /// <summary>Reads a document. Never throws on what the text holds, and takes time in proportion to its length.</summary>
    /// <param name="utf8">The document, a byte-order mark allowed.</param>
    /// <param name="across">Checks across fields, run on a document whose fields are each in order.</param>
    /// <returns>The document, or null and what is wrong with it.</returns>
    public static (T? Document, JobReading Problems) Read(
        ReadOnlySpan<byte> utf8,
        Func<T, IEnumerable<JobCheck>> across
    )
    {
        if (utf8.StartsWith((ReadOnlySpan<byte>)[0xEF, 0xBB, 0xBF]))
        {
            utf8 = utf8[3..];
        }
        if (JobReaderBytes.Refuse(utf8) is { } refusal)
        {
            return (null, new JobReading(null, [refusal], 0));
        }
        JobReaderLog log = new();
        byte[] text = JobReaderBytes.BlankBrokenText(utf8, log).ToArray();
        JobReaderWalk walk = new(text, new HashSet<int>(), log);
        try
        {
            walk.Document(JobShape.Of(typeof(T)));
        }
        catch (JsonException error)
        {
            HashSet<int> notNumbers = JobReaderSyntax.BlankNotNumbers(text);
            if (notNumbers.Count == 0)
            {
                JobReaderSyntax.Diagnose(text, walk, error, log);
                return (null, log.ToReading(text));
            }
            log = new JobReaderLog();
            JobReaderBytes.BlankBrokenText(utf8, log);
            walk = new JobReaderWalk(text, notNumbers, log);
            try
            {
                walk.Document(JobShape.Of(typeof(T)));
            }
            catch (JsonException second)
            {
                JobReaderSyntax.Diagnose(text, walk, second, log);
                return (null, log.ToReading(text));
            }
        }
        return log.Count == 0 ? Bind(text, across) : (null, CheckAcross(text, walk, across, log));
    }

    private static (T? Document, JobReading Problems) Bind(byte[] text, Func<T, IEnumerable<JobCheck>> across)
    {
        T document;
        try
        {
            document = JsonSerializer.Deserialize<T>(text, JobFormat.Json)!;
        }
        catch (JsonException error)
        {
            // The walk is stricter than the binder, so this is a gap in the walk; the file is still only a problem.
            JobReaderLog gap = new();
            gap.Add(
                0,
                new JobProblem(
                    error.Path ?? "",
                    0,
                    0,
                    "The document cannot be bound: " + error.Message,
                    null,
                    null,
                    null,
                    null
                )
            );
            return (null, gap.ToReading(text));
        }
        JobReaderLog log = new();
        Report(text, across(document), log);
        return log.Count == 0 ? (document, new JobReading(null, [], 0)) : (null, log.ToReading(text));
    }

    // Fields are wrong: what spans several fields is still checked where none of them is a stand-in.
    private static JobReading CheckAcross(
        byte[] text,
        JobReaderWalk walk,
        Func<T, IEnumerable<JobCheck>> across,
        JobReaderLog log
    )
    {
        if (log.Count <= JobReading.MostProblems && walk.Repair.Apply<T>(text) is { } repaired)
        {
            Report(text, across(repaired).Where(check => !check.Paths.Any(walk.Repair.Touches)), log);
        }
        return log.ToReading(text);
    }

    private static void Report(byte[] text, IEnumerable<JobCheck> checks, JobReaderLog log)
    {
        List<JobCheck> failed = checks.ToList();
        if (failed.Count == 0)
        {
            return;
        }
        Dictionary<string, int> places = JobReaderPlaces.Find(text, failed.Select(check => check.Problem.Path));
        foreach (JobCheck check in failed)
        {
            log.Add(places[check.Problem.Path], check.Problem);
        }
    }
}
