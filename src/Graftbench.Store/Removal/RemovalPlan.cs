using System.Data.Common;
using System.Globalization;
using System.Text;
using System.Text.Json;
using Graftbench.Core.Jobs;
using Graftbench.Core.Search;
using Graftbench.Store.Engines;

namespace Graftbench.Store.Removal;

/// <summary>A line of evidence as it is left.</summary>
/// <param name="Line">The line with its payload and the name of its file without the words; its hash is that of old.</param>
internal sealed record LeftLine(EvidenceLine Line);

/// <summary>A watched heat as it is left.</summary>
/// <param name="Id">The run.</param>
/// <param name="Setup">Its setup; null where that stays.</param>
/// <param name="Marks">Marks that change, by their number.</param>
internal sealed record LeftRun(string Id, string? Setup, IReadOnlyList<(long Sequence, string Text)> Marks);

/// <summary>Works out what a removal changes in the record of one job. Changes nothing itself.</summary>
internal sealed class RemovalPlan(DbConnection connection, RemovalRequest request, DateTimeOffset now)
{
    private const int ExcerptLength = 60;
    private const int MostNamed = 8;

    // A longer file is a log or a dump: a person decides, and nobody waits for the memory.
    private const long MostSearchedBytes = 32 * 1024 * 1024;

    private readonly UnwantedWords _words = new(request.Words);
    private readonly List<string> _problems = [.. UnwantedWords.Problems(request.Words)];
    private readonly List<RemovalPlace> _places = [];
    private readonly SortedSet<string> _stays = new(StringComparer.Ordinal);
    private readonly Dictionary<string, List<long>> _whoLines = new(StringComparer.Ordinal);
    private readonly SortedSet<string> _otherOwners = new(StringComparer.Ordinal);
    private readonly Dictionary<string, (string Name, string Type, List<long> Lines)> _files = new(
        StringComparer.Ordinal
    );

    /// <summary>Lines as they are left.</summary>
    public List<LeftLine> Lines { get; } = [];

    /// <summary>Watched heats as they are left.</summary>
    public List<LeftRun> Runs { get; } = [];

    /// <summary>The job as it is saved anew before anything is taken out; null where it holds none of the words.</summary>
    public Job? Document { get; private set; }

    /// <summary>Goes through all of the record.</summary>
    /// <param name="lines">Its lines, oldest first; read to the end before anything else is asked.</param>
    /// <param name="head">Its head.</param>
    /// <param name="document">The job document.</param>
    /// <param name="shop">Lines of the shop's own record.</param>
    /// <param name="otherJobs">Other jobs that search finds.</param>
    public PersonalDataLook Work(
        IEnumerable<EvidenceLine> lines,
        string head,
        string document,
        IEnumerable<EvidenceLine> shop,
        Func<IReadOnlyList<OtherJob>> otherJobs
    )
    {
        if (request.Words.Count == 0 && request.Files.Count == 0)
        {
            _problems.Add("Give at least one word, such as the owner's name, or choose a file.");
        }
        foreach (EvidenceLine line in lines)
        {
            LookAt(line);
        }
        AddDocument(document);
        AddRuns();
        IReadOnlyList<RemovalFile> files = FilesOf();
        if (_words.AreIn(request.JobId))
        {
            _stays.Add("The id of the job holds a word; it names the record and cannot be changed.");
        }
        foreach ((string who, List<long> whose) in _whoLines)
        {
            _stays.Add($"Who stored {Numbers(whose)} (\"{who}\") stays: it says who answers for the line.");
        }
        return new PersonalDataLook
        {
            JobId = request.JobId,
            Title = TitleOf(document),
            HeadSha256 = head,
            Problems = _problems,
            Places = _places,
            Files = files,
            Stays = [.. _stays],
            OtherOwners = [.. _otherOwners],
            OtherJobs = otherJobs(),
            ShopLines = [.. shop.Where(line => _words.AreIn(line.PayloadJson)).Select(line => line.Sequence)],
        };
    }

    /// <summary>Adds what stands against the removal from outside.</summary>
    public void Refuse(string problem) => _problems.Add(problem);

    /// <summary>Whether a text holds one of the words.</summary>
    public bool Holds(string text) => _words.AreIn(text);

    private void LookAt(EvidenceLine line)
    {
        bool isJob = line.Kind == EvidenceRules.JobSaved;
        if (line.FileSha256 is { } sha)
        {
            if (!_files.TryGetValue(sha, out (string Name, string Type, List<long> Lines) known))
            {
                known = (line.FileName ?? sha, line.FileMediaType ?? "", []);
                _files.Add(sha, known);
            }
            known.Lines.Add(line.Sequence);
        }
        if (isJob)
        {
            NoteOwner(line.PayloadJson);
        }
        if (_words.AreIn(line.Who))
        {
            if (!_whoLines.TryGetValue(line.Who, out List<long>? whose))
            {
                _whoLines.Add(line.Who, whose = []);
            }
            whose.Add(line.Sequence);
        }
        Func<string, bool> isFixed = isJob ? PayloadWords.IsFixedInJob : PayloadWords.None;
        foreach (string staying in PayloadWords.Staying(line.PayloadJson, _words, isFixed))
        {
            _stays.Add($"In lines of the kind {line.Kind}, {staying} stays: the program reads the line by it.");
        }
        (IReadOnlyList<PayloadText> texts, string payload, string mark) = isJob
            ? TakeOutOfJob(line.PayloadJson, $"line {line.Sequence}")
            : TakeOut(line.PayloadJson);
        foreach (PayloadText text in texts)
        {
            bool isWhole = isJob && PayloadWords.IsWholeInJob(text.Path);
            Add(line.Sequence, line.Kind, line.At, text.Path, text.Text, text.Places, mark, isWhole);
        }
        string? name = line.FileName;
        if (name is not null && _words.In(name) is { Count: > 0 } inName)
        {
            Add(line.Sequence, line.Kind, line.At, "name of the file", name, inName, UnwantedWords.Mark, false);
            name = _words.TakenOut(name);
            name =
                name.Length > EvidenceRules.MaxFileNameLength
                    ? _words.TakenOut(line.FileName!, UnwantedWords.ShortMark)
                    : name;
        }
        if (texts.Count > 0 || name != line.FileName)
        {
            Lines.Add(new LeftLine(line with { PayloadJson = payload, FileName = name }));
        }
    }

    private (IReadOnlyList<PayloadText> Texts, string Payload, string Mark) TakeOut(string payload)
    {
        (IReadOnlyList<PayloadText> texts, string left) = PayloadWords.TakeOut(
            payload,
            _words,
            UnwantedWords.Mark,
            PayloadWords.None,
            PayloadWords.None
        );
        return (texts, left, UnwantedWords.Mark);
    }

    // A document that no longer reads would be worth nothing: another mark, or a refusal that names the place.
    private (IReadOnlyList<PayloadText> Texts, string Payload, string Mark) TakeOutOfJob(string payload, string where)
    {
        JobReading? refused = null;
        IReadOnlyList<PayloadText> texts = [];
        string left = payload;
        foreach (string mark in new[] { UnwantedWords.Mark, UnwantedWords.ShortMark })
        {
            (texts, left) = PayloadWords.TakeOut(
                payload,
                _words,
                mark,
                PayloadWords.IsFixedInJob,
                PayloadWords.IsWholeInJob
            );
            if (texts.Count == 0)
            {
                return (texts, left, mark);
            }
            JobReading reading = JobReader.Read(EvidenceChain.Utf8.GetBytes(left), now);
            if (reading.Job is not null)
            {
                return (texts, left, mark);
            }
            refused ??= reading;
        }
        foreach (JobProblem problem in refused!.Problems.Take(MostNamed))
        {
            _problems.Add(
                $"Without the words, the job document of {where} could not be read: {problem.Path}: {problem.What} Take a longer word."
            );
        }
        return (texts, payload, UnwantedWords.Mark);
    }

    private void AddDocument(string document)
    {
        int before = _problems.Count;
        (IReadOnlyList<PayloadText> texts, string left, _) = TakeOutOfJob(document, "now");
        if (texts.Count > 0 && _problems.Count == before)
        {
            Document = JobReader.Read(EvidenceChain.Utf8.GetBytes(left), now).Job;
        }
    }

    private void AddRuns()
    {
        List<(string Id, string At, string Setup, string Channels, string Who, string State)> runs = connection.All(
            "SELECT id, started_at, setup, channels, who, state FROM heat_run WHERE record_id = @id ORDER BY started_at",
            row =>
                (
                    row.GetString(0),
                    row.GetString(1),
                    row.GetString(2),
                    row.GetString(3),
                    row.GetString(4),
                    row.GetString(5)
                ),
            ("@id", request.JobId)
        );
        foreach ((string id, string at, string setup, string channels, string who, string state) in runs)
        {
            if (state == "running")
            {
                _problems.Add(
                    "A heat of this job is being watched now: end it first, so that its log is in the record."
                );
            }
            if (_words.AreIn(channels) || _words.AreIn(who))
            {
                _stays.Add(
                    $"The watched heat of {at} holds a word in the names of its channels or of who watched; they stay."
                );
            }
            StoreTime.TryRead(at, out DateTimeOffset started);
            (IReadOnlyList<PayloadText> texts, string left, string mark) = TakeOut(setup);
            foreach (PayloadText text in texts)
            {
                Add(null, "heat setup", started, text.Path, text.Text, text.Places, mark, false);
            }
            List<(long, string)> marks = [];
            foreach (
                (long sequence, string text) in connection.All(
                    "SELECT sequence, text FROM heat_mark WHERE run_id = @run ORDER BY sequence",
                    row => (row.GetInt64(0), row.GetString(1)),
                    ("@run", id)
                )
            )
            {
                if (_words.In(text) is { Count: > 0 } places)
                {
                    Add(null, "heat mark", started, $"mark {sequence}", text, places, UnwantedWords.Mark, false);
                    marks.Add((sequence, _words.TakenOut(text)));
                }
            }
            if (texts.Count > 0 || marks.Count > 0)
            {
                Runs.Add(new LeftRun(id, texts.Count > 0 ? left : null, marks));
            }
        }
    }

    private List<RemovalFile> FilesOf()
    {
        HashSet<string> chosen = new(StringComparer.Ordinal);
        foreach (string wanted in request.Files)
        {
            string digits = wanted.Trim().ToLowerInvariant();
            List<string> meant =
            [
                .. _files.Keys.Where(sha => digits.Length >= 8 && sha.StartsWith(digits, StringComparison.Ordinal)),
            ];
            if (meant.Count == 1)
            {
                chosen.Add(meant[0]);
                continue;
            }
            string shown = digits.Length > 64 ? digits[..64] + "..." : digits;
            _problems.Add(
                meant.Count == 0
                    ? $"No file of this job has the SHA-256 \"{shown}\"; at least its first 8 digits are needed."
                    : $"{meant.Count} files of this job have a SHA-256 that begins with \"{shown}\": give more of it."
            );
        }
        List<RemovalFile> files = [];
        foreach ((string sha, (string name, string type, List<long> lines)) in _files)
        {
            (long bytes, long there) = connection
                .All(
                    "SELECT length, length(content) FROM file WHERE sha256 = @sha",
                    row => (row.GetInt64(0), row.GetInt64(1)),
                    ("@sha", sha)
                )
                .FirstOrDefault();
            List<string> alsoIn = connection.All(
                "SELECT DISTINCT record_id FROM evidence WHERE file_sha256 = @sha AND record_id <> @id ORDER BY 1",
                row => row.GetString(0),
                ("@sha", sha),
                ("@id", request.JobId)
            );
            FileHolding holding = there == 0 && bytes > 0 ? FileHolding.Emptied : Holding(sha);
            RemovalFile file = new(sha, name, type, bytes, lines, holding, alsoIn, chosen.Contains(sha));
            files.Add(file);
            if (file.IsChosen && !file.CanGo)
            {
                _stays.Add(
                    alsoIn.Count > 0
                        ? $"The file {name} stays: {string.Join(", ", alsoIn)} refer(s) to the same content."
                    : bytes == 0 ? $"The file {name} has no content."
                    : $"The file {name} is emptied already."
                );
            }
        }
        return files;
    }

    private FileHolding Holding(string sha256)
    {
        if (request.Words.Count == 0)
        {
            return FileHolding.NotSearched;
        }
        using Stream? content = StoreDialect.Of(connection).OpenFile(connection, sha256);
        if (content is null || content.Length > MostSearchedBytes)
        {
            return FileHolding.NotSearched;
        }
        byte[] bytes = new byte[content.Length];
        content.ReadExactly(bytes);
        return FileWords.Look(bytes, _words, request.Words);
    }

    private void NoteOwner(string payload)
    {
        try
        {
            using JsonDocument json = JsonDocument.Parse(
                payload,
                new JsonDocumentOptions { MaxDepth = JobFormat.MaxDepth }
            );
            string? owner = json.RootElement.GetProperty("machine").GetProperty("owner").GetString();
            if (
                !string.IsNullOrWhiteSpace(owner)
                && owner is not (UnwantedWords.Mark or UnwantedWords.ShortMark)
                && !_words.AreIn(owner)
            )
            {
                _otherOwners.Add(owner);
            }
        }
        catch (Exception problem) when (EvidenceChain.IsNotSuchPayload(problem))
        {
            // This save names no owner.
        }
    }

    private void Add(
        long? sequence,
        string kind,
        DateTimeOffset at,
        string path,
        string text,
        IReadOnlyList<UnwantedPlace> places,
        string mark,
        bool isWhole
    )
    {
        int start = Math.Max(0, places[0].Start - ExcerptLength);
        int end = Math.Min(text.Length, places[0].Start + places[0].Length + ExcerptLength);
        // Never half of a pair of characters.
        start += start > 0 && char.IsLowSurrogate(text[start]) ? 1 : 0;
        end -= end < text.Length && char.IsLowSurrogate(text[end]) ? 1 : 0;
        string before = text[start..end];
        string after = isWhole
            ? mark
            : (start > 0 ? "..." : "") + _words.TakenOut(before, mark) + (end < text.Length ? "..." : "");
        before = (start > 0 ? "..." : "") + before + (end < text.Length ? "..." : "");
        _places.Add(
            new RemovalPlace(
                sequence,
                kind,
                at,
                path,
                Plain(before),
                Plain(after),
                places.Count,
                places.Any(place => place.IsPart)
            )
        );
    }

    private static string Plain(string text) =>
        string.Concat(text.Select(letter => char.IsControl(letter) ? ' ' : letter));

    private static string Numbers(List<long> lines)
    {
        string named = string.Join(
            ", ",
            lines.Take(MostNamed).Select(line => line.ToString(CultureInfo.InvariantCulture))
        );
        return lines.Count == 1 ? $"line {named}"
            : lines.Count > MostNamed ? $"lines {named} and {lines.Count - MostNamed} more"
            : $"lines {named}";
    }

    private static string TitleOf(string document)
    {
        using JsonDocument json = JsonDocument.Parse(document);
        return json.RootElement.TryGetProperty("title", out JsonElement title) ? title.ToString() : "";
    }
}

/// <summary>Looks for words in the bytes of a file.</summary>
internal static class FileWords
{
    private static readonly UTF8Encoding Strict = new(false, throwOnInvalidBytes: true);

    public static FileHolding Look(byte[] bytes, UnwantedWords words, IReadOnlyList<string> asked)
    {
        if (Text(bytes) is { } text)
        {
            return words.AreIn(text) ? FileHolding.Holds : FileHolding.HoldsNone;
        }
        bool isSeen = asked
            .Select(word => word.Trim())
            .Where(word => word.Length >= UnwantedWords.MinLength)
            .Any(word =>
                bytes.AsSpan().IndexOf(Encoding.UTF8.GetBytes(word)) >= 0
                || bytes.AsSpan().IndexOf(Encoding.Unicode.GetBytes(word)) >= 0
            );
        return isSeen ? FileHolding.Holds : FileHolding.NotSearched;
    }

    private static string? Text(byte[] bytes)
    {
        if (bytes is [0xff, 0xfe, ..])
        {
            return Encoding.Unicode.GetString(bytes.AsSpan(2));
        }
        // A PDF may begin like text and still hold its words packed.
        if (bytes.AsSpan().Contains((byte)0) || bytes.AsSpan().StartsWith("%PDF"u8))
        {
            return null;
        }
        try
        {
            return Strict.GetString(bytes);
        }
        catch (DecoderFallbackException)
        {
            return null;
        }
    }
}
