using Graftbench.Core.Findings;
using Graftbench.Firmware.OptionRoms;
using Graftbench.Firmware.Reading;
using Graftbench.Firmware.Tree;
using Graftbench.Firmware.Updates;

namespace Graftbench.Firmware.Scanning;

/// <summary>Where a space shows the head of something, found before the space is walked.</summary>
internal sealed class SpaceScan
{
    // One place in 256 bytes is a thousand times what an image has.
    private const int BytesPerMark = 256;
    private const int LeastMarks = 4096;

    private readonly List<Mark> marks;
    private readonly Dictionary<int, ProcessorUpdate> updates;

    private SpaceScan(List<Mark> sorted, Dictionary<int, ProcessorUpdate> byStart)
    {
        marks = sorted;
        updates = byStart;
    }

    public static SpaceScan Of(ReadContext context, ByteSpace space)
    {
        int most = LeastMarks + space.Bytes.Length / BytesPerMark;
        List<Mark> seen = [];
        bool all = SignatureScan.Find(space.Bytes, seen, most);
        all &= OptionRomReader.FindMarks(space.Bytes, seen, most);
        List<ProcessorUpdate> found = UpdateScan.Find(context, space);
        seen.AddRange(found.Select(update => new Mark(update.Range.Start, MarkKind.Update)));
        context.Updates.AddRange(found);
        context.Equivalents.AddRange(EquivalentScan.Find(space, context.Limits.MaxFindings));
        if (!all)
        {
            context.Report(
                new Finding(
                    Verdict.Unknown,
                    "image.too-many-marks",
                    ReadContext.Where(space, 0),
                    "There are more signatures of structures than any real image has; those beyond the limit were not followed.",
                    Limit: FormattableString.Invariant($"{most} signatures"),
                    Source: Sources.Ours
                )
            );
        }
        seen.Sort((a, b) => a.Start != b.Start ? a.Start.CompareTo(b.Start) : a.Kind.CompareTo(b.Kind));
        return new SpaceScan(seen, found.ToDictionary(update => update.Range.Start));
    }

    /// <summary>Marks of structures that start in a range, in rising order.</summary>
    public IEnumerable<Mark> In(ByteRange range)
    {
        int low = 0;
        int high = marks.Count;
        while (low < high)
        {
            int middle = (low + high) / 2;
            if (marks[middle].Start < range.Start)
            {
                low = middle + 1;
            }
            else
            {
                high = middle;
            }
        }
        for (int i = low; i < marks.Count && marks[i].Start < range.End; i++)
        {
            yield return marks[i];
        }
    }

    /// <summary>The update that starts at a place.</summary>
    public ProcessorUpdate? UpdateAt(int start) => updates.GetValueOrDefault(start);
}
