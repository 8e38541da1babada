using System.CommandLine;
using System.Text.Json;
using Graftbench.Core.Findings;
using Graftbench.Core.Planning;
using Graftbench.Firmware.Combining;
using Graftbench.Firmware.Dumps;
using Graftbench.Firmware.Identity;
using Graftbench.Firmware.Reading;

namespace Graftbench.Cli.Verbs;

/// <summary><c>graftbench image identity</c>: what in a dump belongs to its machine.</summary>
internal static class ImageIdentityVerb
{
    public static Command Create()
    {
        IdentityOptions options = new();
        Option<bool> json = new("--json") { Description = "Prints the answer as JSON." };
        Command verb = new(
            "identity",
            "Proposes what in a board's dump belongs to that machine, and says what must not move."
        );
        foreach (Option option in options.All)
        {
            verb.Add(option);
        }
        verb.Add(json);
        verb.SetAction(
            (parsed, cancel) =>
                Verb.RunAsync(() =>
                {
                    KnownIdentity known = options.Known(parsed);
                    (IReadOnlyList<DumpRead> own, DumpRead newer, IReadOnlyList<DumpRead> others) = options.Files(
                        parsed
                    );
                    IdentityAnswer answer = IdentityFinder.Find(
                        new IdentitySearch(
                            ImageReader.Read(own[0].Bytes),
                            ImageReader.Read(newer.Bytes),
                            [.. own.Skip(1).Select(read => read.Bytes)],
                            [.. others.Select(read => ImageReader.Read(read.Bytes))],
                            known
                        )
                    );
                    Console.Out.Write(
                        parsed.GetValue(json)
                            ? JsonSerializer.Serialize(IdentityAnswerView.Of(answer), PlanJson.Options) + "\n"
                            : CombineText.Of(answer)
                    );
                    return Task.FromResult(
                        answer.Findings.Any(one => one.Verdict <= Verdict.FixFirst) ? ExitCode.FixFirst : ExitCode.Ok
                    );
                })
        );
        return verb.WithExample(
            "graftbench image identity --own dump.bin --newer maker.bin --serial MB-4711-0815",
            "proposals with reason and confidence, and what stays where it is; exit 1: the images do not belong together"
        );
    }
}
