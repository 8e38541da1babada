using System.Globalization;
using System.Text;
using System.Text.Json;
using Graftbench.Core.Findings;
using Graftbench.Core.Fit.Maps;
using Graftbench.Core.Jobs;
using Graftbench.Core.Proof;
using Graftbench.Store;
using Graftbench.Web.Forms;
using Graftbench.Web.Hosting;
using Graftbench.Web.Proving;

namespace Graftbench.Web.Import;

/// <summary>A job document with the files that it names: checked together, then kept together.</summary>
internal sealed class JobWithFiles
{
    private const int MostListed = 20;

    private readonly Job job;
    private readonly Dictionary<string, StoredFile> files = new(StringComparer.OrdinalIgnoreCase);
    private readonly List<string> problems = [];

    /// <summary>Brings them together; what is wrong stands in <see cref="Problems"/>.</summary>
    /// <param name="job">The job.</param>
    /// <param name="given">Files given with it, by name.</param>
    public JobWithFiles(Job job, IEnumerable<(string Name, byte[] Bytes)> given)
    {
        this.job = job;
        foreach ((string name, byte[] bytes) in given)
        {
            string plain = FileNames.Plain(name, "file");
            if (!files.TryAdd(plain, new StoredFile(plain, TypeOf(plain, bytes), bytes)))
            {
                problems.Add($"{plain}: given twice. Give it once.");
            }
        }
        HashSet<string> named = new(
            Named(job).Select(Path.GetFileName).OfType<string>(),
            StringComparer.OrdinalIgnoreCase
        );
        problems.AddRange(
            files
                .Keys.Where(name => !named.Contains(name))
                .Select(name => $"{name}: the job does not name this file. Leave it out, or name it in the document.")
        );
        foreach ((BallListFile list, string where) in Lists(job))
        {
            CheckList(list, where);
        }
        foreach (EvidenceEntry entry in job.Evidence.Where(entry => entry.File is not null))
        {
            CheckEvidence(entry);
        }
    }

    /// <summary>What is wrong; nothing is kept then.</summary>
    public IReadOnlyList<string> Problems =>
        problems.Count <= MostListed
            ? problems
            :
            [
                .. problems.Take(MostListed),
                string.Create(CultureInfo.InvariantCulture, $"{problems.Count - MostListed} more are not listed."),
            ];

    /// <summary>Stores job and files.</summary>
    /// <returns>Null where they are in the store, else why not.</returns>
    public SaveFailure? Keep(BenchStore store)
    {
        Job told = job with
        {
            Host = job.Host.Gives is { } gives
                ? job.Host with
                {
                    Gives = gives with { BallList = Hashed(gives.BallList) },
                }
                : job.Host,
            Chips = [.. job.Chips.Select(chip => chip with { BallList = Hashed(chip.BallList) })],
            Evidence =
            [
                .. job.Evidence.Select(entry =>
                    Find(entry.File) is { } file ? entry with { Sha256 = EvidenceChain.FileHash(file.Bytes) } : entry
                ),
            ],
        };
        if (Saving.TrySave(store, told, 0) is { } failure)
        {
            return failure;
        }
        HashSet<string> kept = new(StringComparer.OrdinalIgnoreCase);
        foreach (EvidenceEntry entry in told.Evidence)
        {
            if (Find(entry.File) is { } file && kept.Add(file.Name))
            {
                KeepEvidence(store, told, entry, file);
            }
        }
        foreach ((BallListFile list, string where) in Lists(told))
        {
            if (Find(list.File) is { } file && kept.Add(file.Name))
            {
                Append(store, told, "note", $"Ball list, {where}: {file.Name}.", file);
            }
        }
        return null;
    }

    private static void KeepEvidence(BenchStore store, Job job, EvidenceEntry entry, StoredFile file)
    {
        if (!ReadingList.IsNamedBy(entry))
        {
            Append(store, job, FieldWords.NameOf(entry.Kind), entry.Note ?? file.Name, file);
            return;
        }
        ReadingListResult read = ReadingList.Read(Encoding.UTF8.GetString(file.Bytes));
        ReadingDesk.AppendTo(
            store,
            job,
            "reading",
            string.Create(CultureInfo.InvariantCulture, $"{read.Readings.Count} readings from {file.Name}."),
            new ReadingNote { Csv = ReadingList.Write(read.Readings) },
            file
        );
    }

    private static void Append(BenchStore store, Job job, string kind, string note, StoredFile file) =>
        store.Append(
            job.Id,
            new EvidenceDraft(Saving.Who(job), kind, JsonSerializer.Serialize(new { note, file = file.Name }), file)
        );

    private void CheckList(BallListFile list, string where)
    {
        if (!Fits(list.File, list.Sha256, out StoredFile? file))
        {
            return;
        }
        BallListRead read = BallListFiles.Read(file.Bytes, list, where);
        if (read.Map is null)
        {
            problems.AddRange(read.Findings.Select(finding => $"{finding.Value}: {finding.What} {finding.Todo}"));
        }
    }

    private void CheckEvidence(EvidenceEntry entry)
    {
        if (!Fits(entry.File!, entry.Sha256, out StoredFile? file) || !ReadingList.IsNamedBy(entry))
        {
            return;
        }
        ReadingListResult read = ReadingList.Read(Encoding.UTF8.GetString(file.Bytes));
        problems.AddRange(
            read.Problems.Where(problem => problem.Stops)
                .Select(problem =>
                    string.Create(
                        CultureInfo.InvariantCulture,
                        $"{file.Name}, line {problem.Line}: {problem.What} {problem.Todo}"
                    )
                )
        );
    }

    // Whether the file was given and is the one that the document means.
    private bool Fits(
        string name,
        string? sha256,
        [System.Diagnostics.CodeAnalysis.NotNullWhen(true)] out StoredFile? file
    )
    {
        file = Find(name);
        if (
            file is not null
            && sha256 is not null
            && !string.Equals(sha256, EvidenceChain.FileHash(file.Bytes), StringComparison.OrdinalIgnoreCase)
        )
        {
            problems.Add(
                $"{file.Name}: not the file that the job names: its SHA-256 is {EvidenceChain.FileHash(file.Bytes)}, the document has {sha256}."
            );
            file = null;
        }
        return file is not null;
    }

    private StoredFile? Find(string? name) => name is null ? null : files.GetValueOrDefault(Path.GetFileName(name));

    private BallListFile? Hashed(BallListFile? list) =>
        Find(list?.File) is { } file ? list! with { Sha256 = EvidenceChain.FileHash(file.Bytes) } : list;

    private static IEnumerable<string> Named(Job job) =>
        Lists(job).Select(one => one.List.File).Concat(job.Evidence.Select(entry => entry.File).OfType<string>());

    private static IEnumerable<(BallListFile List, string Where)> Lists(Job job)
    {
        if (job.Host.Gives?.BallList is { } host)
        {
            yield return (host, "host");
        }
        foreach (Chip chip in job.Chips)
        {
            if (chip.BallList is { } list)
            {
                yield return (list, $"chip {chip.Id}");
            }
        }
    }

    private static string TypeOf(string name, byte[] bytes) =>
        MediaTypes.Of(bytes) is var seen && seen != "application/octet-stream" ? seen
        : Path.GetExtension(name).ToLowerInvariant() is ".csv" or ".txt" or ".bsd" or ".bsdl" or ".ibs" ? "text/plain"
        : seen;
}
