using System.Text;

namespace Graftbench.Firmware.Identity;

/// <summary>Values of a machine as a person types them.</summary>
public static class KnownIdentityText
{
    /// <summary>Fewest characters of a serial: shorter texts stand in any image by chance.</summary>
    public const int FewestSerial = 4;

    /// <summary>Most characters of a serial.</summary>
    public const int MostSerial = 64;

    /// <summary>Reads typed values; several in one field are parted by commas or line ends.</summary>
    /// <param name="serials">Serial numbers and like marks.</param>
    /// <param name="uuids">UUIDs.</param>
    /// <param name="addresses">Network addresses.</param>
    /// <returns>What could be read, and a sentence for each value that could not.</returns>
    public static (KnownIdentity Known, IReadOnlyList<string> Problems) Read(
        string? serials,
        string? uuids,
        string? addresses
    )
    {
        List<string> problems = [];
        List<string> marks = [];
        List<Guid> ids = [];
        List<ReadOnlyMemory<byte>> nets = [];
        foreach (string text in Pieces(serials))
        {
            if (IsSerial(text))
            {
                marks.Add(text);
            }
            else
            {
                problems.Add(
                    $"Serial {IdentityShapes.Shown(text)}: write {FewestSerial} to {MostSerial} plain letters, digits and signs. Shorter ones stand in any image by chance (our limit)."
                );
            }
        }
        foreach (string text in Pieces(uuids))
        {
            if (Guid.TryParseExact(text, "D", out Guid uuid) && uuid != Guid.Empty && uuid != Guid.AllBitsSet)
            {
                ids.Add(uuid);
            }
            else
            {
                problems.Add(
                    $"UUID {IdentityShapes.Shown(text)}: write 8-4-4-4-12 hexadecimal digits, not all 0 or F."
                );
            }
        }
        foreach (string text in Pieces(addresses))
        {
            if (IdentityShapes.AddressOf(text) is { } address && IdentityShapes.IsAddress(address))
            {
                nets.Add(address);
            }
            else
            {
                problems.Add(
                    $"Network address {IdentityShapes.Shown(text)}: write six pairs of hexadecimal digits, like 02:00:5E:10:20:30."
                );
            }
        }
        return (new KnownIdentity(marks, ids, nets), problems);
    }

    /// <summary>Whether a text can be searched for as a serial.</summary>
    public static bool IsSerial(string text)
    {
        ArgumentNullException.ThrowIfNull(text);
        return text.Length is >= FewestSerial and <= MostSerial && Ascii.IsValid(text) && !text.Any(char.IsControl);
    }

    private static string[] Pieces(string? text) =>
        (text ?? "").Split(
            [',', ';', '\n', '\r'],
            StringSplitOptions.TrimEntries | StringSplitOptions.RemoveEmptyEntries
        );
}
