using System.CommandLine;
using System.Text;
using System.Text.Json;
using Graftbench.Core.Planning;
using Graftbench.Firmware.Combining;
using Graftbench.Firmware.Dumps;
using Graftbench.Firmware.Identity;

namespace Graftbench.Cli.Verbs;

/// <summary><c>graftbench image combine</c>: a newer image with a machine's own identity.</summary>
internal static class ImageCombineVerb
{
    public static Command Create()
    {
        IdentityOptions options = new();
        Option<string> output = new("--out")
        {
            Description = "The new image. Must not exist: nothing is written over.",
            HelpName = "FILE",
            Required = true,
        };
        Option<string> authority = new("--authority")
        {
            Description = "Who asked for it and by what right; kept in the answer and the origin.",
            HelpName = "TEXT",
            Required = true,
        };
        Option<bool> accept = new("--accept-proposals")
        {
            Description = $"Takes every proposal of confidence {IdentityAnswer.AcceptFraction:0.00} or more.",
        };
        Option<string[]> take = new("--take") { Description = "Takes a proposal. May be repeated.", HelpName = "ID" };
        Option<string[]> leave = new("--leave")
        {
            Description = "Leaves a proposal. May be repeated.",
            HelpName = "ID",
        };
        Option<double?> chip = Verb.Number(
            "--chip-mib",
            "Capacity of the chip that it will be written to, where that is not the board's old one."
        );
        Option<string?> origin = new("--origin")
        {
            Description = "Writes where every byte comes from: JSON, or CSV where the name ends so. Must not exist.",
            HelpName = "FILE",
        };
        Option<bool> json = new("--json") { Description = "Prints the answer as JSON." };
        Command verb = new(
            "combine",
            "Makes a new image of a newer one and a board's own identity, with the origin of every byte."
        );
        foreach (Option option in options.All)
        {
            verb.Add(option);
        }
        foreach (Option option in (Option[])[output, authority, accept, take, leave, chip, origin, json])
        {
            verb.Add(option);
        }
        verb.SetAction(
            (parsed, cancel) =>
                Verb.RunAsync(async () =>
                {
                    string target = parsed.GetValue(output)!;
                    string? map = parsed.GetValue(origin);
                    string word = parsed.GetValue(authority)!;
                    if (string.IsNullOrWhiteSpace(word) || word.Length > Combiner.MaxAuthority)
                    {
                        throw new BadInputException(
                            $"--authority: write who asked for it and by what right, in 1 to {Combiner.MaxAuthority} characters."
                        );
                    }
                    KnownIdentity known = options.Known(parsed);
                    long? capacity = ImageFile.Capacity(parsed.GetValue(chip), "--chip-mib");
                    ImageFile.RefuseExisting([target, .. map is null ? Array.Empty<string>() : [map]]);
                    (IReadOnlyList<DumpRead> own, DumpRead newer, IReadOnlyList<DumpRead> others) = options.Files(
                        parsed
                    );
                    CombineAnswer answer = Combined(
                        new CombineRequest(
                            own,
                            newer,
                            others,
                            known,
                            word.Trim(),
                            parsed.GetValue(accept),
                            parsed.GetValue(take) ?? [],
                            parsed.GetValue(leave) ?? [],
                            capacity
                        )
                    );
                    cancel.ThrowIfCancellationRequested();
                    if (answer.Image is { } image)
                    {
                        await ImageFile.WriteNewAsync(target, image, cancel);
                        if (map is not null)
                        {
                            bool csv = map.EndsWith(".csv", StringComparison.OrdinalIgnoreCase);
                            string text = csv ? answer.Origin!.ToCsv() : answer.Origin!.ToJson(answer.Authority);
                            await ImageFile.WriteNewAsync(map, Encoding.UTF8.GetBytes(text), cancel);
                        }
                    }
                    Console.Out.Write(
                        parsed.GetValue(json)
                            ? JsonSerializer.Serialize(CombineAnswerView.Of(answer), PlanJson.Options) + "\n"
                            : CombineText.Of(answer, answer.Image is null ? null : target)
                    );
                    return answer.State == CombineState.Made ? ExitCode.Ok : ExitCode.FixFirst;
                })
        );
        return verb.WithExample(
            "graftbench image combine --own read1.bin --own read2.bin --newer maker.bin --out new.bin --accept-proposals --authority \"owner's order of 3 March\"",
            "exit 0: made, 1: refused, or made and a person must look first, 2: bad input, nothing was written"
        );
    }

    private static CombineAnswer Combined(CombineRequest request)
    {
        try
        {
            return Combiner.Combine(request);
        }
        catch (ArgumentException error)
        {
            // Only ids that no proposal has are left to be wrong here.
            throw new BadInputException(error.Message.Split(" (Parameter", 2)[0]);
        }
    }
}
