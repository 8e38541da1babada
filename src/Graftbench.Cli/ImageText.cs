using Graftbench.Core.Findings;
using Graftbench.Firmware.Scanning;
using Graftbench.Firmware.Tree;
using Graftbench.Firmware.Updates;
using Graftbench.Firmware.Volumes;

namespace Graftbench.Cli;

/// <summary>Flash images in words.</summary>
internal static class ImageText
{
    private const int MostUpdates = 200;

    private const int LongFill = 4096;

    // Columns of a listing: where, how long, then the name by its depth.
    private const int NameColumn = 29;

    /// <summary>The tree of an image and its findings.</summary>
    /// <param name="name">Name of the file.</param>
    /// <param name="image">The image.</param>
    /// <param name="all">Whether every part is listed.</param>
    public static string Of(string name, ImageTree image, bool all)
    {
        Page page = new();
        page.Add(name == "-" ? "standard input" : name);
        page.Add(FormattableString.Invariant($"  {image.File.Bytes.Length} bytes, SHA-256 {image.Sha256()}"));
        page.Add();
        page.Add(" first     last      length  part");
        List(page, image.Root, all);
        foreach (ByteSpace space in image.Spaces.Skip(1))
        {
            page.Add();
            page.Add(FormattableString.Invariant($"{Start(space.Name)}, {space.Bytes.Length} bytes unpacked"), 4);
            List(page, space.Root, all);
        }
        page.Add();
        Updates(page, image.ProcessorUpdates);
        Findings(page, image);
        return page.ToString();
    }

    /// <summary>Places that a search found.</summary>
    public static string Of(IReadOnlyList<SearchHit> hits, int most)
    {
        Page page = new();
        page.Add(
            hits.Count == 0 ? "Not found, neither in the file nor in what could be unpacked."
            : hits.Count == 1 ? "1 place"
            : hits.Count < most ? FormattableString.Invariant($"{hits.Count} places")
            : FormattableString.Invariant($"The first {hits.Count} places")
        );
        foreach (SearchHit hit in hits)
        {
            string path = string.Join(
                " > ",
                hit.Leaf.Path().Where(segment => segment.Kind != SegmentKind.Image).Select(segment => segment.Name)
            );
            page.Add(
                FormattableString.Invariant(
                    $"  0x{hit.Range.Start:X8}  {hit.How, -6}  of {hit.Leaf.Space.Name}: {path}"
                ),
                6
            );
        }
        return page.ToString();
    }

    /// <summary>Whether an image knows a processor.</summary>
    public static string Of(ChipSupport support)
    {
        Page page = new();
        ProcessorSignature signature = support.Signature;
        page.Add(
            FormattableString.Invariant(
                $"{support.Answer.ToString().ToUpperInvariant()}  processor {signature}, family {signature.Family:X}h, model {signature.Model:X}h, stepping {signature.Stepping:X}h"
            )
        );
        page.Add(support.Reason, 0);
        Updates(page, support.Updates);
        if (support.Relatives.Count > 0)
        {
            page.Add("Other steppings of the same model");
            Updates(page, support.Relatives);
        }
        if (support.Doubts.Count > 0)
        {
            page.Add("Could not be read");
            foreach (string doubt in support.Doubts)
            {
                page.Add("  " + doubt, 4);
            }
        }
        if (support.Finding.Todo is { } todo)
        {
            page.Add("→ " + todo, 2);
        }
        return page.ToString();
    }

    private static void List(Page page, Segment root, bool all)
    {
        int shown = root.Path().Count;
        foreach (Segment segment in root.Walk().Where(segment => all || IsListed(segment)))
        {
            int depth = Math.Min(segment.Path().Count(one => all || IsListed(one)) - shown, 12);
            string where = FormattableString.Invariant(
                $" {segment.Range.Start:X8}  {Math.Max(segment.Range.End - 1, segment.Range.Start):X8} {segment.Range.Length, 8:X}"
            );
            page.Add(
                where.PadRight(NameColumn - 1) + " " + new string(' ', 2 * Math.Max(depth, 0)) + Line(segment),
                NameColumn
            );
        }
    }

    private static string Line(Segment segment)
    {
        string facts = segment.Detail switch
        {
            VolumeHeader header => FormattableString.Invariant(
                $"{header.KindText}, checksum {(header.ChecksumOk ? "ok" : "wrong")}"
            ),
            VolumeFile file => file.TypeText
                + (file.HeaderChecksumOk && file.BodyChecksumOk ? "" : ", checksum wrong")
                + (file.State == FileState.Valid ? "" : $", {file.State}"),
            FileSection or null => "",
            { } other => string.Join(", ", other.Facts().Take(4).Select(fact => $"{fact.Name} {fact.Value}")),
        };
        return facts.Length == 0 ? segment.Name : $"{segment.Name} ({facts})";
    }

    // What fills a section or a pad file is of interest only where it is long.
    private static bool IsListed(Segment segment) =>
        !(
            segment.Kind is SegmentKind.Padding or SegmentKind.Opaque
            && segment.Range.Length < LongFill
            && segment.Parent is { Kind: SegmentKind.Section or SegmentKind.PadFile }
        )
        && segment.Kind
            is not SegmentKind.VolumeHeader
                and not SegmentKind.VolumeExtension
                and not SegmentKind.FileHeader
                and not SegmentKind.PadFile
                and not SegmentKind.Section
                and not SegmentKind.SectionHeader
                and not SegmentKind.SectionBody
                and not SegmentKind.AlignmentGap
                and not SegmentKind.VariableStoreHeader
                and not SegmentKind.Variable;

    private static void Updates(Page page, IReadOnlyList<ProcessorUpdate> updates)
    {
        foreach (ProcessorUpdate update in updates.Take(MostUpdates))
        {
            IEnumerable<string> facts = update.Facts().Select(fact => $"{fact.Name} {fact.Value}");
            page.Add(
                FormattableString.Invariant(
                    $"  update at 0x{update.Range.Start:X8} of {update.Space.Name}: {string.Join(", ", facts)}"
                ),
                6
            );
        }
        if (updates.Count > MostUpdates)
        {
            page.Add(FormattableString.Invariant($"  ... and {updates.Count - MostUpdates} more"));
        }
    }

    private static void Findings(Page page, ImageTree image)
    {
        if (image.Findings.Count == 0)
        {
            page.Add("Nothing wrong was found. That says nothing of what has no checksum.");
            return;
        }
        foreach (Finding finding in image.Findings)
        {
            string value = finding.Value is null ? "" : $" Found {finding.Value}.";
            string limit = finding.Limit is null ? "" : $" Right: {finding.Limit}.";
            page.Add(
                $"  {Say.Verdict(finding.Verdict), -9}  {finding.Where}  {finding.What}{value}{limit} [{finding.Source}]",
                13
            );
        }
        foreach (string todo in image.Findings.Select(finding => finding.Todo).OfType<string>().Distinct())
        {
            page.Add("→ " + todo, 2);
        }
        if (image.FindingsNotListed > 0)
        {
            page.Add(
                FormattableString.Invariant($"... and {image.FindingsNotListed} more findings that are not listed.")
            );
        }
    }

    private static string Start(string text) => char.ToUpperInvariant(text[0]) + text[1..];
}
