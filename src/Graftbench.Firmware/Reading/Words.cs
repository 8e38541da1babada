using Graftbench.Firmware.Tree;

namespace Graftbench.Firmware.Reading;

/// <summary>What a segment is called when the image gives it no name.</summary>
internal static class Words
{
    public static string Of(SegmentKind kind) =>
        kind switch
        {
            SegmentKind.Opaque => "unknown bytes",
            SegmentKind.Padding => "padding",
            SegmentKind.PaddingData => "data in padding",
            SegmentKind.FreeSpace => "free space",
            SegmentKind.AlignmentGap => "gap",
            SegmentKind.Unassigned => "in no region",
            SegmentKind.VolumeHeader => "volume header",
            SegmentKind.VolumeExtension => "extended volume header",
            SegmentKind.FileHeader => "file header",
            SegmentKind.SectionHeader => "section header",
            SegmentKind.SectionBody => "section body",
            SegmentKind.Packed => "packed bytes",
            SegmentKind.VariableStoreHeader => "store header",
            SegmentKind.EventLog => "event log",
            SegmentKind.WorkingBlock => "working block",
            SegmentKind.Spare => "spare area",
            SegmentKind.ResetVector => "reset vector",
            _ => kind.ToString(),
        };
}
