using System.CommandLine;
using System.Text.Json;
using Graftbench.Core.Planning;
using Graftbench.Firmware.Dumps;
using Graftbench.Firmware.Reading;

namespace Graftbench.Cli.Verbs;

/// <summary><c>graftbench image trust</c>: whether reads of one chip may be worked with.</summary>
internal static class ImageTrustVerb
{
    public static Command Create()
    {
        Argument<string[]> files = new("FILE")
        {
            Description = "Reads of one chip, whole, one after the other.",
            Arity = ArgumentArity.OneOrMore,
        };
        Option<double?> capacity = Verb.Number("--capacity-mib", "Capacity of the chip by its marking, in MiB.");
        Option<string?> sfdp = new("--sfdp")
        {
            Description = "The chip's own parameter table (SFDP) as it was read.",
            HelpName = "FILE",
        };
        Option<bool> json = new("--json") { Description = "Prints the answer as JSON." };
        Command verb = new("trust", "Says whether reads of one chip can be trusted, and what is wrong where not.")
        {
            files,
            capacity,
            sfdp,
            json,
        };
        verb.SetAction(
            (parsed, cancel) =>
                Verb.RunAsync(() =>
                {
                    string[] paths = parsed.GetValue(files)!;
                    if (paths.Length > DumpTrust.MaxReads)
                    {
                        throw new BadInputException(
                            $"{paths.Length} reads; more than {DumpTrust.MaxReads} are not compared. This is our limit."
                        );
                    }
                    long? bytes = ImageFile.Capacity(parsed.GetValue(capacity));
                    IReadOnlyList<DumpRead> reads = ImageFile.Read(paths);
                    ReadOnlyMemory<byte>? table = null;
                    if (parsed.GetValue(sfdp) is { } path)
                    {
                        table = ImageFile.Read([path])[0].Bytes;
                    }
                    DumpAnswer answer = DumpTrust.Judge(
                        reads,
                        new ChipFacts(bytes, table),
                        DumpStructure.Of(ImageReader.Read(reads[0].Bytes))
                    );
                    Console.Out.Write(
                        parsed.GetValue(json)
                            ? JsonSerializer.Serialize(DumpAnswerView.Of(answer), PlanJson.Options) + "\n"
                            : TrustText.Of(answer)
                    );
                    return Task.FromResult(answer.State == DumpState.Trusted ? ExitCode.Ok : ExitCode.FixFirst);
                })
        );
        return verb.WithExample(
            "graftbench image trust first.bin second.bin --capacity-mib 16",
            "two reads with the clip seated again in between; exit 0: trusted, 1: not, or not known, 2: bad input"
        );
    }
}
