using System.CommandLine;
using System.Globalization;
using Graftbench.Store;

namespace Graftbench.Cli.Verbs;

internal static partial class RecordVerb
{
    private static Command RemovePersonalCommand()
    {
        Argument<string> id = IdArgument("Job id");
        Option<string[]> words = new("--word")
        {
            Description = "Word to take out: name, address, number; may be repeated.",
            HelpName = "TEXT",
        };
        Option<string[]> files = new("--file")
        {
            Description = "SHA-256 of a file to empty, or its first 8 digits or more; may be repeated.",
            HelpName = "HASH",
        };
        Option<bool> really = new("--really") { Description = "Do it; without it, only what would be done is shown." };
        Option<string?> why = new("--why")
        {
            Description = "Whose request, of which day; goes into the evidence, so without the words.",
            HelpName = "TEXT",
        };
        Option<string> who = WhoOption();
        Option<string> data = DataFolder.Option();
        Option<bool> json = JsonOption();
        Command command = new(
            "remove-personal",
            """
            Takes personal data out of the record of one job on request; the technical evidence stays and
            the chain still verifies. Words are found in every line, whatever their capitals and marks.
            Exports, backups and other copies made before still hold the data. Local rules decide what
            must be kept (invoices, for example) and what must be removed; this is not legal advice.
            """
        )
        {
            id,
            words,
            files,
            really,
            why,
            who,
            data,
            DataFolder.Store,
            json,
        };
        command.Validators.Add(result =>
        {
            if (result.GetValue(really) && string.IsNullOrWhiteSpace(result.GetValue(why)))
            {
                result.AddError("--really needs --why: whose request, of which day.");
            }
        });
        command.SetAction(parse =>
            Guarded(
                parse,
                () =>
                {
                    using BenchStore store = Open(DataFolder.PlaceOf(parse, data), mayCreate: false);
                    RemovalRequest request = new(
                        parse.GetRequiredValue(id),
                        parse.GetValue(words) ?? [],
                        parse.GetValue(files) ?? []
                    );
                    PersonalDataLook look = store.LookForPersonalData(request);
                    if (!parse.GetValue(really) || look.Problems.Count > 0)
                    {
                        return WriteLook(parse, look, parse.GetValue(json));
                    }
                    if (look.IsEmpty)
                    {
                        string? remains = store.OverwriteRemoved();
                        parse.InvocationConfiguration.Output.Write(
                            new Page()
                                .Add("Nothing in the record holds one of the words, and no file would be emptied.")
                                .Add(remains ?? "What was removed earlier is overwritten in the store's file.")
                        );
                        return ExitCode.Ok;
                    }
                    RemovalReport report = store.RemovePersonalData(
                        request,
                        look.HeadSha256,
                        parse.GetRequiredValue(who),
                        parse.GetValue(why)!
                    );
                    WriteRemoval(parse, report, parse.GetValue(json));
                    return ExitCode.Ok;
                }
            )
        );
        return command.WithExample(
            "graftbench record remove-personal arcade-7 --word \"Anna Novak\"",
            "shows every place and file that would change; with --really --why \"her letter of 3 May\" it is done"
        );
    }

    private static int WriteLook(ParseResult parse, PersonalDataLook look, bool json)
    {
        int code = look.Problems.Count > 0 ? ExitCode.BadInput : ExitCode.Ok;
        if (json)
        {
            WriteJson(parse, look);
            return code;
        }
        Page page = new();
        page.Add($"{look.JobId}  {look.Title}", 4);
        foreach (RemovalPlace place in look.Places)
        {
            string line = place.Sequence is { } sequence ? $"line {sequence}" : "beside the lines";
            page.Add(
                string.Create(
                    CultureInfo.InvariantCulture,
                    $"    {line}, {place.Kind}, {place.Path}{(place.Places > 1 ? $", {place.Places} places" : "")}{(place.IsPart ? ", PART OF A LONGER WORD?" : "")}"
                ),
                8
            );
            page.Add($"        {place.Before}", 8);
            page.Add($"        → {place.After}", 10);
        }
        if (look.Files.Count > 0)
        {
            page.Add("Files");
        }
        foreach (RemovalFile file in look.Files)
        {
            page.Add($"    {(file.IsToGo ? "empty " : "keep  ")} {file.Name}: {Holding(file)}", 11);
            page.Add($"           SHA-256 {file.Sha256}");
        }
        AddLookRest(page, look);
        if (code == ExitCode.Ok)
        {
            page.Add(
                look.IsEmpty
                    ? "Nothing in the record holds one of the words, and no file would be emptied."
                    : $"Would change {RemovalNote.Amount(look.LinesNumber, look.FilesNumber)}. Nothing was changed; --really --why TEXT does it."
            );
            parse.InvocationConfiguration.Output.Write(page);
            return code;
        }
        foreach (string problem in look.Problems)
        {
            page.Add(problem, 4);
        }
        page.Add("Nothing was changed.");
        parse.InvocationConfiguration.Error.Write(page);
        return code;
    }

    private static void AddLookRest(Page page, PersonalDataLook look)
    {
        foreach (string stays in look.Stays)
        {
            page.Add($"Stays: {stays}", 4);
        }
        foreach (string owner in look.OtherOwners)
        {
            page.Add($"The owner's field also said \"{owner}\", which no word takes out.", 4);
        }
        foreach (OtherJob job in look.OtherJobs)
        {
            page.Add($"Not changed: job {job.Id} holds a word too ({job.Title}).", 4);
        }
        if (look.ShopLines.Count > 0)
        {
            page.Add($"Not changed: {Count(look.ShopLines.Count, "line")} of the shop's own record.", 4);
        }
    }

    private static string Holding(RemovalFile file) =>
        file.AlsoIn.Count > 0
            ? $"stays, also belongs to {string.Join(", ", file.AlsoIn)}"
            : file.Holding switch
            {
                FileHolding.Holds => "holds a word",
                FileHolding.HoldsNone => "text without the words",
                FileHolding.Emptied => "emptied already",
                _ => "not searched (picture, PDF, archive): look at it and choose",
            };

    private static void WriteRemoval(ParseResult parse, RemovalReport report, bool json)
    {
        if (json)
        {
            WriteJson(parse, report);
            return;
        }
        Page page = new();
        page.Add(
            $"Taken out of {RemovalNote.Amount(report.Note.Lines.Count, report.Note.Files.Count, report.Note.Runs.Count)}; line {report.Line.Sequence} says so, never the words."
        );
        page.Add($"head {report.Line.Sha256}");
        page.Add(report.Remains ?? "The old bytes are overwritten in the store's file.");
        page.Add("Exports, backups and papers of before still hold the data: deal with each of them.");
        parse.InvocationConfiguration.Output.Write(page);
    }
}
