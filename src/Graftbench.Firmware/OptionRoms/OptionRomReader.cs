using Graftbench.Core.Findings;
using Graftbench.Firmware.Reading;
using Graftbench.Firmware.Scanning;
using Graftbench.Firmware.Tree;

namespace Graftbench.Firmware.OptionRoms;

/// <summary>Reads option ROM images (PCI Firmware Specification; UEFI for EFI images).</summary>
internal static class OptionRomReader
{
    private const int Unit = 512;
    private const int LeastHeader = 0x1C;
    private const int LeastData = 0x18;

    /// <summary>Adds a mark where 55h AAh stands on a boundary of 512 bytes.</summary>
    public static bool FindMarks(ReadOnlySpan<byte> bytes, List<Mark> marks, int most)
    {
        for (int at = 0; at <= bytes.Length - LeastHeader; at += Unit)
        {
            if (bytes[at] == 0x55 && bytes[at + 1] == 0xAA)
            {
                if (marks.Count >= most)
                {
                    return false;
                }
                marks.Add(new Mark(at, MarkKind.OptionRom));
            }
        }
        return true;
    }

    /// <summary>The image at a place; null when there is none that holds together.</summary>
    public static Segment? TryRead(ReadContext context, ByteSpace space, int start, int limit)
    {
        ReadOnlySpan<byte> bytes = space.Bytes[start..limit];
        if (bytes.Length < LeastHeader || bytes[0] != 0x55 || bytes[1] != 0xAA)
        {
            return null;
        }
        int data = bytes.U16(0x18);
        if (data < LeastHeader || data > bytes.Length - LeastData || bytes.U32(data) != 0x52494350)
        {
            return WithoutDevice(context, space, start, bytes);
        }
        long length = (long)bytes.U16(data + 0x10) * Unit;
        byte codeType = bytes[data + 0x14];
        if (length == 0 || data + LeastData > length)
        {
            return null;
        }
        Notes notes = new(context, space);
        if (length > bytes.Length)
        {
            notes.Damage(
                "rom.cut",
                start,
                "An option ROM image goes beyond what holds it.",
                FormattableString.Invariant($"{length} bytes"),
                FormattableString.Invariant($"{bytes.Length} bytes left"),
                Sources.OptionRoms
            );
            length = bytes.Length;
        }
        ReadOnlySpan<byte> image = bytes[..(int)length];
        bool? sumOk = null;
        ushort? machine = null;
        if (codeType == 0)
        {
            long summed = (long)image[2] * Unit;
            sumOk =
                summed > 0
                && summed <= image.Length
                && context.Spend(summed, space, start)
                && Sums.Bytes(image[..(int)summed]) == 0;
            if (sumOk == false)
            {
                notes.Add(
                    Verdict.Warning,
                    "rom.checksum",
                    start,
                    "The bytes of an option ROM image do not sum to 0. Images that are completed at start-up look so too.",
                    source: Sources.OptionRoms
                );
            }
        }
        else if (codeType == 3 && image.U32(4) == 0x0EF1)
        {
            machine = image.U16(0x0A);
        }
        OptionRom rom = new(
            new ByteRange(start, (int)length),
            image.U16(data + 4),
            image.U16(data + 6),
            image.U24(data + 0x0D),
            codeType,
            (image[data + 0x15] & 0x80) != 0,
            sumOk
        )
        {
            EfiMachine = machine,
        };
        Segment segment = context.Segment(
            space,
            rom.Range,
            SegmentKind.OptionRom,
            FormattableString.Invariant($"option ROM {rom.Vendor:X4}:{rom.Device:X4}"),
            detail: rom,
            notes: notes
        );
        rom.Segment = segment;
        context.Roms.Add(rom);
        return segment;
    }

    // The form of before PCI: a length, a jump and a sum, and no word on the device.
    private static Segment? WithoutDevice(ReadContext context, ByteSpace space, int start, ReadOnlySpan<byte> bytes)
    {
        int length = bytes[2] * Unit;
        if (
            length == 0
            || length > bytes.Length
            || bytes[3] is not 0xE9 and not 0xEB
            || !context.Spend(length, space, start)
            || Sums.Bytes(bytes[..length]) != 0
        )
        {
            return null;
        }
        OptionRom rom = new(new ByteRange(start, length), 0, 0, 0, 0, IsLast: true, ChecksumOk: true);
        rom.Segment = context.Segment(
            space,
            rom.Range,
            SegmentKind.OptionRom,
            "option ROM, no device named",
            detail: rom
        );
        context.Roms.Add(rom);
        return rom.Segment;
    }
}
