using System.CommandLine;
using System.Globalization;
using System.Text.Json;
using Graftbench.Core.Jobs;
using Graftbench.Store;
using Microsoft.AspNetCore.StaticFiles;

namespace Graftbench.Cli.Verbs;

internal static partial class RecordVerb
{
    private const int MaxNoteLength = 4000;

    private static Command SaveCommand()
    {
        Argument<string> file = new("FILE") { Description = "The job document; - for standard input." };
        Option<int?> revision = new("--revision")
        {
            Description = "Revision that was edited; without it, whatever is in the store.",
            HelpName = "N",
        };
        Option<string> who = WhoOption();
        Option<string> data = DataFolder.Option();
        Option<bool> json = JsonOption();
        Command command = new("save", "Puts a job document into the store, as a new job or the next revision.")
        {
            file,
            revision,
            who,
            data,
            DataFolder.Store,
            json,
        };
        command.Validators.Add(result =>
        {
            if (result.GetValue(revision) is < 0)
            {
                result.AddError("--revision: revisions count from 1; 0 stands for a new job.");
            }
        });
        command.SetAction(parse =>
            Guarded(
                parse,
                () =>
                {
                    Job job = JobInput.Load(parse.GetRequiredValue(file), TimeProvider.System.GetUtcNow());
                    using BenchStore store = Open(DataFolder.PlaceOf(parse, data), mayCreate: true);
                    int seen = parse.GetValue(revision) ?? store.FindJob(job.Id)?.Revision ?? 0;
                    StoredJob saved = store.SaveJob(job, seen, parse.GetRequiredValue(who));
                    if (parse.GetValue(json))
                    {
                        WriteJson(
                            parse,
                            new
                            {
                                job.Id,
                                saved.Revision,
                                saved.ChangedAt,
                            }
                        );
                    }
                    else
                    {
                        parse.InvocationConfiguration.Output.WriteLine(
                            $"{job.Id} is in the store as revision {saved.Revision}."
                        );
                    }
                    return ExitCode.Ok;
                }
            )
        );
        return command.WithExample(
            "graftbench record save job.json --who Ada",
            "stores the job as its next revision; unchanged, it writes nothing"
        );
    }

    private static Command AddCommand()
    {
        Argument<string> id = IdArgument("Job id, or shop");
        Option<string?> note = new("--note") { Description = "What is to be noted.", HelpName = "TEXT" };
        Option<string?> file = new("--file")
        {
            Description = "File to keep with the line: picture, log, dump.",
            HelpName = "F",
        };
        Option<string?> lines = new("--lines")
        {
            Description = "With -: one note for each line of standard input, each on disk before its ok.",
            HelpName = "-",
        };
        Option<string?> kind = new("--kind")
        {
            Description = "Sort of evidence (else note, picture or file).",
            HelpName = "KIND",
        };
        Option<string> who = WhoOption();
        Option<string> data = DataFolder.Option();
        Option<bool> json = JsonOption();
        Command command = new(
            "add",
            "Appends evidence to a record. What is there stays; a correction is a further line."
        )
        {
            id,
            note,
            file,
            lines,
            kind,
            who,
            data,
            DataFolder.Store,
            json,
        };
        command.Validators.Add(result =>
        {
            bool hasLines = result.GetValue(lines) is not null;
            bool hasOther = result.GetValue(note) is not null || result.GetValue(file) is not null;
            if (hasLines == hasOther)
            {
                result.AddError("Give --note, --file or both, or else --lines -.");
            }
            if (result.GetValue(note) is { } words && string.IsNullOrWhiteSpace(words))
            {
                result.AddError("--note: a note needs words.");
            }
            if (result.GetValue(lines) is { } from and not "-")
            {
                result.AddError($"--lines reads standard input only: --lines -, not {from}.");
            }
        });
        command.SetAction(parse =>
            Guarded(
                parse,
                () =>
                {
                    using BenchStore store = Open(DataFolder.PlaceOf(parse, data), mayCreate: false);
                    string record = parse.GetRequiredValue(id);
                    string by = parse.GetRequiredValue(who);
                    if (parse.GetValue(lines) is not null)
                    {
                        return AddLines(
                            store,
                            record,
                            by,
                            parse.GetValue(kind) ?? "note",
                            parse.InvocationConfiguration
                        );
                    }
                    StoredFile? stored = parse.GetValue(file) is { } path ? ToStore(path) : null;
                    string sort = parse.GetValue(kind) ?? KindOf(stored);
                    EvidenceLine line = store.Append(
                        record,
                        new EvidenceDraft(by, sort, NotePayload(parse.GetValue(note)), stored)
                    );
                    if (parse.GetValue(json))
                    {
                        WriteJson(parse, line);
                    }
                    else
                    {
                        parse.InvocationConfiguration.Output.WriteLine($"ok {line.Sequence} {line.Sha256}");
                    }
                    return ExitCode.Ok;
                }
            )
        );
        return command.WithExample(
            "graftbench record add arcade-7 --file top.jpg --note \"after lifting\"",
            "keeps the picture with a note, and prints the line's number and hash"
        );
    }

    /// <summary>Stores notes from standard input; each is on disk before its <c>ok SEQUENCE SHA256</c> is written.</summary>
    private static int AddLines(BenchStore store, string record, string who, string kind, InvocationConfiguration shell)
    {
        int refused = 0;
        int number = 0;
        while (Console.In.ReadLine() is { } text)
        {
            number++;
            if (string.IsNullOrWhiteSpace(text))
            {
                continue;
            }
            if (text.Length > MaxNoteLength)
            {
                refused++;
                shell.Error.WriteLine(
                    $"input line {number} was not stored: it has {text.Length} characters, more than {MaxNoteLength}."
                );
                continue;
            }
            EvidenceLine line = store.Append(record, new EvidenceDraft(who, kind, NotePayload(text)));
            shell.Output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"ok {line.Sequence} {line.Sha256}"));
            shell.Output.Flush();
        }
        return refused == 0 ? ExitCode.Ok : ExitCode.BadInput;
    }

    private static string NotePayload(string? note)
    {
        if (note is { Length: > MaxNoteLength })
        {
            throw new StoreException(
                $"The note has {note.Length} characters, more than {MaxNoteLength}",
                "--note",
                "Put longer text into a file and add it with --file."
            );
        }
        return note is null ? "{}" : JsonSerializer.Serialize(new { note }, NoteJson);
    }

    private static StoredFile ToStore(string path)
    {
        byte[] bytes = ReadFile(path, EvidenceRules.MaxFileBytes);
        string name = string.Concat(
            Path.GetFileName(path).Select(letter => char.IsControl(letter) || letter is '\\' ? '_' : letter)
        );
        bool isKnown = new FileExtensionContentTypeProvider().TryGetContentType(name, out string? type);
        return new StoredFile(name, isKnown ? type! : "application/octet-stream", bytes);
    }

    private static string KindOf(StoredFile? file) =>
        file is null ? "note"
        : file.MediaType.StartsWith("image/", StringComparison.Ordinal) ? "picture"
        : "file";

    private static byte[] ReadFile(string path, int maxBytes)
    {
        try
        {
            if (string.IsNullOrWhiteSpace(path))
            {
                throw new BadInputException("--file: the name of the file is empty.");
            }
            if (Directory.Exists(path))
            {
                throw new BadInputException($"{path}: this is a folder; name a file, or pack the folder into one.");
            }
            FileInfo file = new(path);
            if (file.Exists && file.Length > maxBytes)
            {
                throw new BadInputException(
                    $"{path}: the file has {file.Length} bytes, more than {maxBytes}. Nothing was saved."
                );
            }
            return File.ReadAllBytes(path);
        }
        catch (Exception problem) when (problem is IOException or UnauthorizedAccessException)
        {
            throw new BadInputException(JobInput.Unreachable(path, problem));
        }
    }
}
