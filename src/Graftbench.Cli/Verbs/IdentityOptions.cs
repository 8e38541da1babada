using System.CommandLine;
using System.Text;
using Graftbench.Firmware.Dumps;
using Graftbench.Firmware.Identity;

namespace Graftbench.Cli.Verbs;

/// <summary>What <c>image identity</c> and <c>image combine</c> share: the images, and what a person knows of the machine.</summary>
internal sealed class IdentityOptions
{
    // Shorter texts stand in any image by chance.
    private const int FewestSerial = 4;
    private const int MostSerial = 64;

    public Option<string[]> Own { get; } =
        new("--own")
        {
            Description = "The board's own dump; once for each read of the chip.",
            HelpName = "FILE",
            Arity = ArgumentArity.OneOrMore,
            Required = true,
        };

    public Option<string> Newer { get; } =
        new("--newer")
        {
            Description = "The newer image, as its maker gives it.",
            HelpName = "FILE",
            Required = true,
        };

    public Option<string[]> Other { get; } =
        new("--other")
        {
            Description = "Dump of another board of the model: what both have is no identity. May be repeated.",
            HelpName = "FILE",
        };

    public Option<string[]> Serial { get; } =
        new("--serial")
        {
            Description = "Serial number or like mark from the label. May be repeated.",
            HelpName = "TEXT",
        };

    public Option<string[]> Uuid { get; } =
        new("--uuid") { Description = "UUID that the running machine shows.", HelpName = "UUID" };

    public Option<string[]> Mac { get; } =
        new("--mac") { Description = "Network address from the label.", HelpName = "ADDRESS" };

    public IEnumerable<Option> All => [Own, Newer, Other, Serial, Uuid, Mac];

    /// <summary>The files, each read whole.</summary>
    /// <exception cref="BadInputException">A file cannot be read, is given twice, or there are too many reads.</exception>
    public (IReadOnlyList<DumpRead> Own, DumpRead Newer, IReadOnlyList<DumpRead> Others) Files(ParseResult parsed)
    {
        string[] own = parsed.GetValue(Own) ?? [];
        string newer = parsed.GetValue(Newer)!;
        string[] others = parsed.GetValue(Other) ?? [];
        if (own.Length > DumpTrust.MaxReads)
        {
            throw new BadInputException(
                $"--own: {own.Length} reads; more than {DumpTrust.MaxReads} are not compared. This is our limit."
            );
        }
        IReadOnlyList<DumpRead> all = ImageFile.Read([.. own, newer, .. others]);
        return ([.. all.Take(own.Length)], all[own.Length], [.. all.Skip(own.Length + 1)]);
    }

    /// <summary>What a person knows.</summary>
    /// <exception cref="BadInputException">A value is none.</exception>
    public KnownIdentity Known(ParseResult parsed)
    {
        List<string> problems = [];
        List<string> serials = [];
        List<Guid> uuids = [];
        List<ReadOnlyMemory<byte>> addresses = [];
        foreach (string text in parsed.GetValue(Serial) ?? [])
        {
            bool plain =
                text.Length is >= FewestSerial and <= MostSerial && Ascii.IsValid(text) && !text.Any(char.IsControl);
            if (plain)
            {
                serials.Add(text);
            }
            else
            {
                problems.Add(
                    $"--serial {text}: write {FewestSerial} to {MostSerial} plain letters, digits and signs. Shorter ones stand in any image by chance; this is our limit."
                );
            }
        }
        foreach (string text in parsed.GetValue(Uuid) ?? [])
        {
            if (Guid.TryParseExact(text, "D", out Guid uuid) && uuid != Guid.Empty && uuid != Guid.AllBitsSet)
            {
                uuids.Add(uuid);
            }
            else
            {
                problems.Add($"--uuid {text}: this is no UUID. Write 8-4-4-4-12 hexadecimal digits, not all 0 or F.");
            }
        }
        foreach (string text in parsed.GetValue(Mac) ?? [])
        {
            if (IdentityShapes.AddressOf(text) is { } address && IdentityShapes.IsAddress(address))
            {
                addresses.Add(address);
            }
            else
            {
                problems.Add(
                    $"--mac {text}: this is no address of a machine. Write six pairs of hexadecimal digits, like 02:00:5E:10:20:30."
                );
            }
        }
        return problems.Count == 0
            ? new KnownIdentity(serials, uuids, addresses)
            : throw new BadInputException(string.Join('\n', problems));
    }
}
