using Graftbench.Firmware.Tables;
using Graftbench.Firmware.Tree;

namespace Graftbench.Firmware.Identity;

public static partial class IdentityFinder
{
    // Tables that are tied to a machine, and the structures of the system management BIOS, outside of code.
    private static void FindTables(Search found)
    {
        foreach (FirmwareTable table in found.Given.Own.Tables)
        {
            if (!table.HoldsIdentity || !table.Segment.Space.IsFile)
            {
                continue;
            }
            if (ImageAreas.Forbids(found.OwnAreas.At(table.Range.Start)) is { } why)
            {
                found.NotProposed.Add(new NotProposed($"table {table.Signature}", table.Range, why));
                continue;
            }
            bool fits =
                found.Target(table.Range) is { } there
                && (
                    IsBlank(found.NewerBytes.Slice(there.Start, there.Length))
                    || found.Given.Newer.Tables.Any(one =>
                        one.Segment.Space.IsFile && one.Range == there && one.Signature == table.Signature
                    )
                );
            if (fits)
            {
                AddRange(
                    found,
                    table.Range,
                    IdentityShape.None,
                    $"table {table.Signature}, {table.Range.Length} bytes",
                    "a licence table, tied to this machine",
                    table.ChecksumOk == true ? 0.9 : 0.6,
                    $"table {table.Signature}"
                );
            }
            else
            {
                found.NotProposed.Add(
                    new NotProposed(
                        $"table {table.Signature}",
                        table.Range,
                        "the newer image has other content in its place"
                    )
                );
            }
        }
        IReadOnlyList<SmbiosField> theirs = SmbiosFields.Find(
            found.NewerBytes,
            at => found.NewerAreas.At(at) == AreaKind.Raw
        );
        foreach (SmbiosField field in SmbiosFields.Find(found.OwnBytes, at => found.OwnAreas.At(at) == AreaKind.Raw))
        {
            AddField(found, field, theirs);
        }
    }

    private static void AddField(Search found, SmbiosField field, IReadOnlyList<SmbiosField> theirs)
    {
        string title = $"system table, {field.Name}";
        if (field.IsBlank)
        {
            return;
        }
        if (found.SharedByOthers(field.Range))
        {
            found.NotProposed.Add(
                new NotProposed(title, field.Range, "the same in another board of the model: no identity")
            );
            return;
        }
        ByteRange? there = found.Target(field.Range);
        SmbiosField? same = theirs.FirstOrDefault(one => one.Name == field.Name && one.Range.Start == there?.Start);
        bool inPlace = same is not null && same.Range == there;
        bool overBlank =
            there is { } place && IsBlank(found.NewerBytes.Slice(place.Start, place.Length)) && same is null;
        if (inPlace)
        {
            AddRange(
                found,
                field.Range,
                field.Shape,
                field.Text,
                $"{field.Name} of the table that the running system shows",
                field.Shape == IdentityShape.Text ? 0.8 : 0.9,
                title
            );
        }
        else if (!overBlank && !found.IsTaken(field.Range))
        {
            found.Proposals.Add(
                new IdentityProposal(
                    found.Id($"range-{field.Range.Start:X}"),
                    ProposalKind.Range,
                    title,
                    field.Range,
                    null,
                    field.Shape,
                    field.Text,
                    $"{field.Name} of the table that the running system shows",
                    0.85
                )
                {
                    Instead = same?.Text,
                    Obstacle =
                        there is null ? "no place in the newer image corresponds to it"
                        : same is null ? "the newer image has no such field in that place"
                        : $"it has {field.Range.Length} bytes, the field of the newer image {same.Range.Length}: a table is not shifted",
                }
            );
        }
    }
}

/// <summary>A field of the system management BIOS that tells one machine from another.</summary>
/// <param name="Name">What it is: <c>system serial number</c>.</param>
/// <param name="Range">Its bytes, without the end mark of a text.</param>
/// <param name="Shape">What it looks like.</param>
/// <param name="Text">The value, fit to be shown.</param>
/// <param name="IsBlank">Whether it is unset or a placeholder.</param>
internal sealed record SmbiosField(string Name, ByteRange Range, IdentityShape Shape, string Text, bool IsBlank);

/// <summary>Structures of the system management BIOS that lie finished in an image (DSP0134, 6.1 and 7.2 to 7.4).</summary>
internal static class SmbiosFields
{
    private const byte SystemType = 1;
    private const byte EndType = 127;
    private const int MostStructures = 256;

    // Type, offset of the string number or of the UUID, name. DSP0134 7.2, 7.3, 7.4.
    private static readonly (byte Type, int At, string Name)[] Strings =
    [
        (1, 0x07, "system serial number"),
        (1, 0x19, "system SKU"),
        (2, 0x07, "board serial number"),
        (2, 0x08, "board asset tag"),
        (3, 0x07, "chassis serial number"),
        (3, 0x08, "chassis asset tag"),
    ];

    private static readonly string[] Placeholders =
    [
        "To be filled by O.E.M.",
        "To Be Filled By O.E.M.",
        "Default string",
        "Not Specified",
        "System Serial Number",
        "Base Board Serial Number",
        "Chassis Serial Number",
        "None",
        "N/A",
        "INVALID",
        "0123456789",
        "123456789",
    ];

    /// <summary>All fields of tables whose system structure starts at a wanted place.</summary>
    public static IReadOnlyList<SmbiosField> Find(ReadOnlySpan<byte> bytes, Func<int, bool> wanted)
    {
        List<SmbiosField> fields = [];
        HashSet<int> seen = [];
        // The system structure has 1Bh bytes since version 2.4.
        ReadOnlySpan<byte> head = [SystemType, 0x1B];
        int from = 0;
        while (from < bytes.Length)
        {
            int found = bytes[from..].IndexOf(head);
            if (found < 0)
            {
                break;
            }
            int at = from + found;
            from = at + 1;
            if (wanted(at) && !seen.Contains(at) && Texts(bytes, at) is { Count: >= 2 })
            {
                Walk(bytes, at, fields, seen);
            }
        }
        return fields;
    }

    private static void Walk(ReadOnlySpan<byte> bytes, int at, List<SmbiosField> fields, HashSet<int> seen)
    {
        for (int count = 0; count < MostStructures && at + 4 <= bytes.Length; count++)
        {
            byte type = bytes[at];
            int length = bytes[at + 1];
            if (length < 4 || type == EndType || !seen.Add(at) || Texts(bytes, at) is not { } strings)
            {
                return;
            }
            foreach ((byte kind, int place, string name) in Strings)
            {
                if (
                    kind == type
                    && place < length
                    && bytes[at + place] is > 0 and var number
                    && number <= strings.Count
                )
                {
                    fields.Add(Text(bytes, strings[number - 1], name));
                }
            }
            if (type == SystemType && length >= 0x18)
            {
                fields.Add(Uuid(bytes.Slice(at + 8, 16), at + 8));
            }
            int end = strings.Count == 0 ? at + length : strings[^1].End + 1;
            at = strings.Count == 0 ? end + 2 : end + 1;
        }
    }

    private static SmbiosField Text(ReadOnlySpan<byte> bytes, ByteRange range, string name)
    {
        string text = System.Text.Encoding.Latin1.GetString(bytes.Slice(range.Start, range.Length));
        string bare = text.Trim();
        bool blank =
            bare.Length == 0
            || Placeholders.Contains(bare, StringComparer.OrdinalIgnoreCase)
            || bare.Distinct().Count() == 1;
        return new SmbiosField(name, range, IdentityShapes.OfText(text), IdentityShapes.Shown(text), blank);
    }

    // All 00 is absent, all FF not set yet.
    private static SmbiosField Uuid(ReadOnlySpan<byte> bytes, int at) =>
        new(
            "system UUID",
            new ByteRange(at, bytes.Length),
            IdentityShape.Uuid,
            new Guid(bytes).ToString(),
            !bytes.ContainsAnyExcept(bytes[0])
        );

    /// <summary>Where the texts of a structure stand; null where it is no structure.</summary>
    private static List<ByteRange>? Texts(ReadOnlySpan<byte> bytes, int at)
    {
        const int LongestText = 255;
        const int MostTexts = 64;
        int length = bytes[at + 1];
        int next = at + length;
        List<ByteRange> texts = [];
        if (next + 2 > bytes.Length)
        {
            return null;
        }
        if (bytes[next] == 0)
        {
            return bytes[next + 1] == 0 ? texts : null;
        }
        while (texts.Count < MostTexts && next < bytes.Length && bytes[next] != 0)
        {
            int end = bytes[next..].IndexOf((byte)0);
            if (end is < 1 or > LongestText || bytes.Slice(next, end).ContainsAnyExceptInRange((byte)0x20, (byte)0x7E))
            {
                return null;
            }
            texts.Add(new ByteRange(next, end));
            next += end + 1;
        }
        return next < bytes.Length && bytes[next] == 0 ? texts : null;
    }
}
