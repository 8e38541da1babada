using System.CommandLine;
using System.Text.Json;
using Graftbench.Core.Planning;
using Graftbench.Firmware.Combining;
using Graftbench.Firmware.Dumps;

namespace Graftbench.Cli.Verbs;

/// <summary><c>graftbench image check</c>: whether the chip holds what was meant.</summary>
internal static class ImageCheckVerb
{
    public static Command Create()
    {
        Option<string> intended = new("--intended")
        {
            Description = "The image that was written.",
            HelpName = "FILE",
            Required = true,
        };
        Option<string> readback = new("--readback")
        {
            Description = "What was read back from the chip.",
            HelpName = "FILE",
            Required = true,
        };
        Option<string?> before = new("--before")
        {
            Description = "The chip's content before writing, to tell blocks that were not written.",
            HelpName = "FILE",
        };
        Option<bool> json = new("--json") { Description = "Prints the answer as JSON." };
        Command verb = new("check", "Compares what was read back from a chip with the image that was written.")
        {
            intended,
            readback,
            before,
            json,
        };
        verb.SetAction(
            (parsed, cancel) =>
                Verb.RunAsync(() =>
                {
                    string[] paths =
                    [
                        parsed.GetValue(intended)!,
                        parsed.GetValue(readback)!,
                        .. parsed.GetValue(before) is { } old ? new[] { old } : [],
                    ];
                    IReadOnlyList<DumpRead> files = ImageFile.Read(paths);
                    ReadBackAnswer answer = ReadBack.Check(files[0], files[1], files.Count > 2 ? files[2] : null);
                    Console.Out.Write(
                        parsed.GetValue(json)
                            ? JsonSerializer.Serialize(answer, PlanJson.Options) + "\n"
                            : CombineText.Of(answer)
                    );
                    return Task.FromResult(answer.Exact ? ExitCode.Ok : ExitCode.FixFirst);
                })
        );
        return verb.WithExample(
            "graftbench image check --intended new.bin --readback chip.bin --before dump.bin",
            "before the board gets power: exit 0: exact, 1: not, with the blocks and what it looks like"
        );
    }
}
