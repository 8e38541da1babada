using System.Text;
using Graftbench.Core.Findings;
using Graftbench.Firmware.Reading;
using Graftbench.Firmware.Scanning;
using Graftbench.Firmware.Tree;

namespace Graftbench.Firmware.Tables;

/// <summary>Reads tables that an anchor text or a signature marks.</summary>
/// <remarks>
/// System management BIOS: DSP0134, 5.2. ACPI: ACPI Specification, 5.2. <c>$PnP</c>: Plug and Play BIOS Specification 1.0A;
/// <c>_32_</c>, <c>$PIR</c>, <c>_MP_</c> alike. A wrong sum of an entry point in a file is a remark and no damage: firmware may
/// complete it at start-up.
/// </remarks>
internal static class TableReader
{
    private const int AcpiHeader = 36;
    private const int LongestAcpi = 1024 * 1024;

    public static Segment? TryRead(ReadContext context, ByteSpace space, Mark mark, int limit)
    {
        ReadOnlySpan<byte> bytes = space.Bytes[mark.Start..limit];
        return mark.Kind switch
        {
            MarkKind.Smbios2 => Smbios2(context, space, mark.Start, bytes),
            MarkKind.Smbios3 => Smbios3(context, space, mark.Start, bytes),
            MarkKind.AcpiRoot => AcpiRoot(context, space, mark.Start, bytes),
            MarkKind.AcpiTable => AcpiTable(context, space, mark.Start, bytes),
            MarkKind.PlugAndPlay => Anchor(context, space, mark.Start, bytes, "$PnP", Byte(bytes, 5), 0x21, 8),
            MarkKind.Services32 => Anchor(context, space, mark.Start, bytes, "_32_", 16 * Byte(bytes, 9), 16, 0x0A),
            MarkKind.MultiProcessor => Anchor(context, space, mark.Start, bytes, "_MP_", 16 * Byte(bytes, 8), 16, 0x0A),
            MarkKind.InterruptRouting => Anchor(
                context,
                space,
                mark.Start,
                bytes,
                "$PIR",
                bytes.Length < 8 ? 0 : bytes.U16(6),
                32,
                31
            ),
            _ => null,
        };
    }

    private static int Byte(ReadOnlySpan<byte> bytes, int at) => at < bytes.Length ? bytes[at] : 0;

    private static Segment? Smbios2(ReadContext context, ByteSpace space, int start, ReadOnlySpan<byte> bytes)
    {
        int length = Byte(bytes, 5);
        // 1Eh was printed in an early version of the standard and is in use.
        if (length is not 0x1E and not 0x1F || bytes.Length < 0x1F || !bytes.Slice(0x10, 5).SequenceEqual("_DMI_"u8))
        {
            return null;
        }
        bool ok = Sums.Bytes(bytes[..length]) == 0 && Sums.Bytes(bytes.Slice(0x10, 0x0F)) == 0;
        return Table(
            context,
            space,
            new ByteRange(start, 0x1F),
            "_SM_",
            TableFamily.Smbios,
            ok,
            Sources.Smbios,
            more:
            [
                new("version", FormattableString.Invariant($"{bytes[6]}.{bytes[7]}")),
                new("table", FormattableString.Invariant($"{bytes.U16(0x16)} bytes at {bytes.U32(0x18):X8}h")),
            ]
        );
    }

    private static Segment? Smbios3(ReadContext context, ByteSpace space, int start, ReadOnlySpan<byte> bytes)
    {
        int length = Byte(bytes, 6);
        if (length != 0x18 || bytes.Length < length)
        {
            return null;
        }
        return Table(
            context,
            space,
            new ByteRange(start, length),
            "_SM3_",
            TableFamily.Smbios,
            Sums.Bytes(bytes[..length]) == 0,
            Sources.Smbios,
            more:
            [
                new("version", FormattableString.Invariant($"{bytes[7]}.{bytes[8]}.{bytes[9]}")),
                new("table", FormattableString.Invariant($"at most {bytes.U32(0x0C)} bytes at {bytes.U64(0x10):X}h")),
            ]
        );
    }

    private static Segment? AcpiRoot(ReadContext context, ByteSpace space, int start, ReadOnlySpan<byte> bytes)
    {
        if (bytes.Length < 20)
        {
            return null;
        }
        int length = bytes[15] >= 2 && bytes.Length >= 36 ? 36 : 20;
        bool ok = Sums.Bytes(bytes[..20]) == 0 && (length == 20 || Sums.Bytes(bytes[..36]) == 0);
        return Table(context, space, new ByteRange(start, length), "RSD PTR", TableFamily.Acpi, ok, Sources.Acpi);
    }

    private static Segment? AcpiTable(ReadContext context, ByteSpace space, int start, ReadOnlySpan<byte> bytes)
    {
        if (bytes.Length < AcpiHeader)
        {
            return null;
        }
        uint length = bytes.U32(4);
        // The maker's id is text; four letters alone occur all over code.
        bool named = bytes[8] is > 0 and < 16 && !bytes.Slice(10, 6).ContainsAnyExceptInRange((byte)0x20, (byte)0x7E);
        if (
            length < AcpiHeader
            || length > LongestAcpi
            || length > (uint)bytes.Length
            || !context.Spend(length, space, start)
        )
        {
            return null;
        }
        bool ok = Sums.Bytes(bytes[..(int)length]) == 0;
        if (!ok && !named)
        {
            return null;
        }
        string signature = Encoding.ASCII.GetString(bytes[..4]);
        return Table(
            context,
            space,
            new ByteRange(start, (int)length),
            signature,
            TableFamily.Acpi,
            ok,
            Sources.Acpi,
            identity: signature is "MSDM" or "SLIC",
            more: named ? [new("maker's id", Encoding.ASCII.GetString(bytes.Slice(10, 6)).Trim())] : []
        );
    }

    private static Segment? Anchor(
        ReadContext context,
        ByteSpace space,
        int start,
        ReadOnlySpan<byte> bytes,
        string signature,
        int length,
        int least,
        int checksumAt
    )
    {
        if (length < least || length > bytes.Length || checksumAt >= length)
        {
            return null;
        }
        bool ok = Sums.Bytes(bytes[..length]) == 0;
        return Table(
            context,
            space,
            new ByteRange(start, length),
            signature,
            TableFamily.Legacy,
            ok,
            Sources.LegacyAnchors
        );
    }

    private static Segment Table(
        ReadContext context,
        ByteSpace space,
        ByteRange range,
        string signature,
        TableFamily family,
        bool sumOk,
        string source,
        bool identity = false,
        IReadOnlyList<SegmentFact>? more = null
    )
    {
        Notes notes = new(context, space);
        if (!sumOk)
        {
            notes.Add(
                Verdict.Warning,
                "table.checksum",
                range.Start,
                $"The table {signature} does not sum to 0. Firmware may complete it at start-up, so this need not be damage.",
                source: source
            );
        }
        FirmwareTable table = new(range, signature, family, sumOk, identity) { More = more ?? [] };
        Segment segment = context.Segment(
            space,
            range,
            SegmentKind.Table,
            $"table {signature}",
            detail: table,
            notes: notes
        );
        table.Segment = segment;
        context.Tables.Add(table);
        return segment;
    }
}
