using System.CommandLine;
using Graftbench.Firmware.Reading;
using Graftbench.Firmware.Tree;
using Graftbench.Firmware.Updates;

namespace Graftbench.Cli.Verbs;

/// <summary><c>graftbench image knows</c>: whether an image holds an update for a processor.</summary>
internal static class ImageKnowsVerb
{
    public static Command Create()
    {
        Argument<string> file = ImageVerb.File();
        Option<string?> signature = new("--signature")
        {
            Description = "Signature of the processor, as leaf 1 of its identification gives it.",
            HelpName = "HEX",
            Required = true,
        };
        Option<int?> platform = new("--platform")
        {
            Description = "Number of its platform, 0 to 7; left out when it is not known.",
            HelpName = "NUMBER",
        };
        Option<bool> json = new("--json") { Description = "Prints the answer as JSON." };
        Command verb = new("knows", "Says whether a flash image holds an update for a processor: yes, no or unknown.")
        {
            file,
            signature,
            platform,
            json,
        };
        verb.SetAction(
            (parsed, _) =>
                Verb.RunAsync(() =>
                {
                    string? given = parsed.GetValue(signature);
                    List<string> wrong = [];
                    if (!ProcessorSignature.TryParse(given, out ProcessorSignature wanted) || wanted.Value == 0)
                    {
                        wrong.Add(
                            $"--signature {given}: this is no signature. Write 1 to 8 hexadecimal digits, like 000906EA."
                        );
                    }
                    int? number = parsed.GetValue(platform);
                    if (number is < 0 or > ChipQuestion.MaxPlatform)
                    {
                        wrong.Add($"--platform {number}: platforms have numbers 0 to {ChipQuestion.MaxPlatform}.");
                    }
                    if (wrong.Count > 0)
                    {
                        throw new BadInputException(string.Join('\n', wrong));
                    }
                    ImageTree image = ImageReader.Read(ImageInput.Bytes(parsed.GetValue(file)!));
                    ChipSupport support = ChipQuestion.Ask(image, wanted, number);
                    Console.Out.Write(parsed.GetValue(json) ? ImageJson.Write(support) + "\n" : ImageText.Of(support));
                    return Task.FromResult(support.Answer == Knows.Yes ? ExitCode.Ok : ExitCode.FixFirst);
                })
        );
        return verb.WithExample(
            "graftbench image knows dump.bin --signature 000906EA --platform 1",
            "exit 0: yes, 1: no or unknown, 2: bad input"
        );
    }
}
