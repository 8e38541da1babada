using System.CommandLine;
using Graftbench.Core.Findings;
using Graftbench.Firmware.Reading;
using Graftbench.Firmware.Scanning;
using Graftbench.Firmware.Tree;

namespace Graftbench.Cli.Verbs;

/// <summary><c>graftbench image show</c>: the tree of an image, or where something stands in it.</summary>
internal static class ImageShowVerb
{
    private const int MostHits = 1000;

    public static Command Create()
    {
        Argument<string> file = ImageVerb.File();
        Option<bool> all = new("--all") { Description = "Lists every part, headers, sections and variables too." };
        Option<string?> text = new("--text")
        {
            Description = "Lists where a text stands, as ASCII and UTF-16, also in unpacked contents.",
            HelpName = "TEXT",
        };
        Option<string?> find = new("--find")
        {
            Description = "Lists where bytes stand, given in hexadecimal.",
            HelpName = "HEX",
        };
        Option<bool> json = new("--json") { Description = "Prints the tree as JSON." };
        Command verb = new("show", "Lists every part of a flash image and everything that is wrong with it.")
        {
            file,
            all,
            text,
            find,
            json,
        };
        verb.SetAction(
            (parsed, _) =>
                Verb.RunAsync(() =>
                {
                    string path = parsed.GetValue(file)!;
                    string? wantedText = parsed.GetValue(text);
                    byte[]? wantedBytes = parsed.GetValue(find) is { } hex ? FromHex(hex) : null;
                    if (wantedText is "")
                    {
                        throw new BadInputException("--text: the text to look for is empty.");
                    }
                    if (wantedText is not null && wantedBytes is not null)
                    {
                        throw new BadInputException("Give either --text or --find.");
                    }
                    if (parsed.GetValue(json) && (wantedText is not null || wantedBytes is not null))
                    {
                        throw new BadInputException("--json prints the whole tree: leave out --text and --find.");
                    }
                    ImageTree image = ImageReader.Read(ImageInput.Bytes(path));
                    if (wantedText is null && wantedBytes is null)
                    {
                        Console.Out.Write(
                            parsed.GetValue(json)
                                ? ImageJson.Write(image) + "\n"
                                : ImageText.Of(path, image, parsed.GetValue(all))
                        );
                        bool toFix = image.FindingsNotListed > 0 || Finding.Worst(image.Findings) <= Verdict.FixFirst;
                        return Task.FromResult(image.Findings.Count > 0 && toFix ? ExitCode.FixFirst : ExitCode.Ok);
                    }
                    IReadOnlyList<SearchHit> hits = wantedText is not null
                        ? ImageSearch.Text(image, wantedText, MostHits)
                        : ImageSearch.Bytes(image, wantedBytes, MostHits);
                    Console.Out.Write(ImageText.Of(hits, MostHits));
                    return Task.FromResult(hits.Count > 0 ? ExitCode.Ok : ExitCode.FixFirst);
                })
        );
        return verb.WithExample(
            "graftbench image show dump.bin --text MB-4711-0815",
            "every place of a serial number; exit 1: something to fix was found, or nothing for --text and --find, 2: bad input"
        );
    }

    private static byte[] FromHex(string hex)
    {
        string digits = new([.. hex.Where(one => one is not ' ' and not ':' and not '-')]);
        if (digits.StartsWith("0x", StringComparison.OrdinalIgnoreCase))
        {
            digits = digits[2..];
        }
        return digits.Length > 0 && digits.Length % 2 == 0 && digits.All(char.IsAsciiHexDigit)
            ? Convert.FromHexString(digits)
            : throw new BadInputException(
                $"--find {hex}: these are no bytes. Write two hexadecimal digits for each, like 55AA or 02:00:5E."
            );
    }
}
