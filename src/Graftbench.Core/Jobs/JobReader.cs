using System.Text.Json;

namespace Graftbench.Core.Jobs;

/// <summary>Reads job documents and reports everything that is wrong with one at once.</summary>
public static class JobReader
{
    /// <summary>
    /// Reads a job document from UTF-8 text. Never throws on what the text holds, and takes time in proportion to its
    /// length. There is a job only where there is no problem at all.
    /// </summary>
    /// <param name="utf8">The document, a byte-order mark allowed.</param>
    /// <param name="now">The present moment: what has happened cannot lie after it.</param>
    /// <returns>The job, or its problems in document order.</returns>
    public static JobReading Read(ReadOnlySpan<byte> utf8, DateTimeOffset now)
    {
        if (utf8.StartsWith((ReadOnlySpan<byte>)[0xEF, 0xBB, 0xBF]))
        {
            utf8 = utf8[3..];
        }
        if (JobReaderBytes.Refuse(utf8) is { } refusal)
        {
            return new JobReading(null, [refusal], 0);
        }
        JobReaderLog log = new();
        byte[] text = JobReaderBytes.BlankBrokenText(utf8, log).ToArray();
        JobReaderWalk walk = new(text, new HashSet<int>(), log);
        try
        {
            walk.Document();
        }
        catch (JsonException error)
        {
            HashSet<int> notNumbers = JobReaderSyntax.BlankNotNumbers(text);
            if (notNumbers.Count == 0)
            {
                JobReaderSyntax.Diagnose(text, walk, error, log);
                return log.ToReading(text);
            }
            log = new JobReaderLog();
            JobReaderBytes.BlankBrokenText(utf8, log);
            walk = new JobReaderWalk(text, notNumbers, log);
            try
            {
                walk.Document();
            }
            catch (JsonException second)
            {
                JobReaderSyntax.Diagnose(text, walk, second, log);
                return log.ToReading(text);
            }
        }
        return log.Count == 0 ? Bind(text, now) : CheckAcross(text, walk, now, log);
    }

    /// <summary>The problem of a file that is larger than a job document may be, for callers that know its size before reading it.</summary>
    /// <param name="bytes">Size of the file [bytes].</param>
    public static JobReading TooLarge(long bytes) => new(null, [JobReaderBytes.TooLarge(bytes)], 0);

    private static JobReading Bind(byte[] text, DateTimeOffset now)
    {
        Job job;
        try
        {
            job = JsonSerializer.Deserialize<Job>(text, JobFormat.Json)!;
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
            return gap.ToReading(text);
        }
        JobReaderLog log = new();
        Report(text, JobChecks.Run(job, now), log);
        return log.Count == 0 ? new JobReading(job, [], 0) : log.ToReading(text);
    }

    // Fields are wrong: what spans several fields is still checked where none of them is a stand-in.
    private static JobReading CheckAcross(byte[] text, JobReaderWalk walk, DateTimeOffset now, JobReaderLog log)
    {
        if (log.Count <= JobReading.MostProblems && walk.Repair.Apply(text) is { } job)
        {
            Report(text, JobChecks.Run(job, now).Where(check => !check.Paths.Any(walk.Repair.Touches)), log);
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
