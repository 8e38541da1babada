using Graftbench.Core.Findings;
using Graftbench.Firmware.Network;
using Graftbench.Firmware.OptionRoms;
using Graftbench.Firmware.Scanning;
using Graftbench.Firmware.Tables;
using Graftbench.Firmware.Tree;
using Graftbench.Firmware.Updates;
using Graftbench.Firmware.Variables;

namespace Graftbench.Firmware.Reading;

/// <summary>What one reading of an image carries along: limits, what was found, and how much work is left.</summary>
internal sealed class ReadContext
{
    // Checks of overlapping candidates may go over the same bytes again; this many times the image is far beyond any real one.
    private const int WorkPerByte = 24;
    private const long LeastWork = 64L * 1024 * 1024;

    private readonly List<SpaceScan> scans = [];
    private long work;
    private bool saidSegments;
    private bool saidWork;

    public ReadContext(ImageLimits limits, int imageBytes)
    {
        Limits = limits;
        work = Math.Max(LeastWork, (long)imageBytes * WorkPerByte);
    }

    public ImageLimits Limits { get; }

    public List<ByteSpace> Spaces { get; } = [];

    public List<Finding> Findings { get; } = [];

    public int NotListed { get; private set; }

    public List<VariableStore> Stores { get; } = [];

    public List<WorkingBlock> WorkingBlocks { get; } = [];

    public List<NetworkBlock> NetworkBlocks { get; } = [];

    public List<FirmwareTable> Tables { get; } = [];

    public List<OptionRom> Roms { get; } = [];

    public List<ProcessorUpdate> Updates { get; } = [];

    public List<ProcessorUpdate> DamagedUpdates { get; } = [];

    public List<EquivalentUpdate> Equivalents { get; } = [];

    public long UnpackedBytes { get; set; }

    public int Segments { get; private set; }

    /// <summary>Whether no further parts are made: what is still to come stays opaque.</summary>
    public bool IsFull => Segments >= Limits.MaxSegments;

    /// <summary>Opens a space and looks it through once for everything that marks a structure.</summary>
    public ByteSpace Open(string name, ReadOnlyMemory<byte> memory, Segment? origin)
    {
        ByteSpace space = new(Spaces.Count, name, memory, origin);
        Spaces.Add(space);
        scans.Add(SpaceScan.Of(this, space));
        return space;
    }

    public SpaceScan ScanOf(ByteSpace space) => scans[space.Number];

    public Segment Segment(
        ByteSpace space,
        ByteRange range,
        SegmentKind kind,
        string name,
        IReadOnlyList<Segment>? children = null,
        SegmentDetail? detail = null,
        Notes? notes = null
    )
    {
        Segments++;
        if (IsFull && !saidSegments)
        {
            saidSegments = true;
            Report(
                new Finding(
                    Verdict.Unknown,
                    "image.too-many-parts",
                    Where(space, range.Start),
                    "The image has more parts than are read; what follows is kept as bytes of unknown meaning.",
                    Limit: FormattableString.Invariant($"{Limits.MaxSegments} parts"),
                    Source: Sources.Ours
                )
            );
        }
        return new Segment(space, range, kind, name, children, detail, notes?.List);
    }

    /// <summary>Takes work for a check that goes over bytes; false when so much was done that something is wrong.</summary>
    public bool Spend(long bytes, ByteSpace space, int offset)
    {
        work -= bytes;
        if (work >= 0)
        {
            return true;
        }
        if (!saidWork)
        {
            saidWork = true;
            Report(
                new Finding(
                    Verdict.Unknown,
                    "image.too-much-overlap",
                    Where(space, offset),
                    "So many structures claim the same bytes that checking all of them was given up.",
                    Limit: FormattableString.Invariant($"{WorkPerByte} times the image"),
                    Source: Sources.Ours
                )
            );
        }
        return false;
    }

    public void Report(Finding finding)
    {
        if (Findings.Count < Limits.MaxFindings)
        {
            Findings.Add(finding);
        }
        else
        {
            NotListed++;
        }
    }

    public static string Where(ByteSpace space, int offset) =>
        space.IsFile
            ? FormattableString.Invariant($"0x{offset:X8}")
            : FormattableString.Invariant($"0x{offset:X8} in {space.Name}");
}
