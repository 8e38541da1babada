using System.CommandLine;
using System.Text.Json;
using Graftbench.Core.Fit;
using Graftbench.Core.Jobs;
using Graftbench.Core.Planning;

namespace Graftbench.Cli.Verbs;

/// <summary><c>graftbench fit</c>: whether the chip of a job works on its host board.</summary>
internal static class FitVerb
{
    public static Command Create()
    {
        Argument<string?> file = Verb.Job(required: true);
        Option<string?> chip = new("--chip")
        {
            Description = "The chip; the one that goes to the host if left out.",
            HelpName = "ID",
        };
        Option<string?> image = new("--image")
        {
            Description = "Image of the board's flash chip, asked for the chip's signature.",
            HelpName = "FILE",
        };
        Option<bool> json = new("--json") { Description = "Prints the sheet as JSON." };
        Command verb = new(
            "fit",
            "Holds the chip against the host board: ball lists, rails, codes, current, heat, clocks, links, firmware, memory."
        )
        {
            file,
            chip,
            image,
            json,
        };
        verb.SetAction(
            (parsed, _) =>
                Verb.RunAsync(() =>
                {
                    string path = parsed.GetValue(file)!;
                    Job job = JobInput.Load(path, DateTimeOffset.Now);
                    FitSheet sheet = FitPlanner.Sheet(
                        FitInput.Read(path, job, ChipOf(path, job, parsed.GetValue(chip)), parsed.GetValue(image))
                    );
                    Console.Out.Write(
                        parsed.GetValue(json)
                            ? JsonSerializer.Serialize(sheet, PlanJson.Options) + "\n"
                            : FitText.Of(sheet)
                    );
                    return Task.FromResult(PlanVerb.CodeOf(sheet.Findings));
                })
        );
        return verb.WithExample(
            "graftbench fit demo/machine-tool-bridge-chip.json",
            "exit 0: nothing stops it (read what is unknown), 1: a blocker or something to fix first, 2: bad input"
        );
    }

    private static Chip ChipOf(string path, Job job, string? name)
    {
        if (name is null)
        {
            return FitPlanner.Main(job)
                ?? throw new BadInputException($"{path}: no chip of the job goes to the host from elsewhere.");
        }
        return job.Chips.FirstOrDefault(chip => chip.Id == name && chip.To == ChipPlace.Host)
            ?? throw new BadInputException(
                $"{path}: no chip {name} goes to the host; these do: {string.Join(", ", job.Chips.Where(chip => chip.To == ChipPlace.Host).Select(chip => chip.Id))}."
            );
    }
}
