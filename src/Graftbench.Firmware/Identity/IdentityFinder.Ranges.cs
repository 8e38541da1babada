using System.Text;
using Graftbench.Core.Findings;
using Graftbench.Firmware.Tree;
using Graftbench.Firmware.Variables;

namespace Graftbench.Firmware.Identity;

public static partial class IdentityFinder
{
    // Equal bytes of a value and of what stands in its place do not part it.
    private const int LargestGap = 4;
    private const int LargestText = 128;
    private const int LabelBytes = 16;

    // More differing stretches than that are another version of code or data, not fields.
    private const int MostRuns = 512;
    private const double MostDifferentFraction = 0.25;
    private const int MostListed = 100;

    private static readonly string[] VersionLabels = ["VER", "REV", "BUILD", "BIOS", "DATE", "RELEASE", "COPYRIGHT"];
    private static readonly string[] IdentityLabels = ["SN", "S/N", "SERIAL", "MAC", "UUID", "ASSET", "LICEN"];

    private static void FindRanges(Search found)
    {
        if (found.Layout.Shift is null)
        {
            return;
        }
        IReadOnlyList<(ByteRange Range, string What)> kept = found.Layout.KeptOwn(found.Given.Own);
        foreach ((ByteRange area, AreaKind kind) in found.OwnAreas.All)
        {
            if (kind == AreaKind.Raw && !kept.Any(one => one.Range.Overlaps(area)))
            {
                FindInArea(found, area);
            }
        }
    }

    private static void FindInArea(Search found, ByteRange area)
    {
        if (Clipped(found, area) is not { } common || Runs(found, common) is not { Count: > 0 } runs)
        {
            return;
        }
        long differing = runs.Sum(run => (long)run.Length);
        bool blank = runs.All(run => IsBlank(Theirs(found, run)));
        if (
            !blank
            && (runs.Count > MostRuns || (common.Length > 4096 && differing > MostDifferentFraction * common.Length))
        )
        {
            found.NotProposed.Add(
                new NotProposed(
                    $"{differing} bytes in {runs.Count} stretches",
                    common,
                    "so much differs that it is another version, not fields of a machine; given values are found all the same"
                )
            );
            return;
        }
        foreach (ByteRange run in runs)
        {
            if (!found.IsTaken(run))
            {
                AddRun(found, run);
            }
        }
    }

    private static ByteRange? Clipped(Search found, ByteRange area)
    {
        int shift = found.Layout.Shift!.Value;
        int start = Math.Max(area.Start, shift);
        int end = Math.Min(area.End, found.NewerBytes.Length + shift);
        return start < end ? ByteRange.Between(start, end) : null;
    }

    private static ReadOnlySpan<byte> Theirs(Search found, ByteRange own) =>
        found.NewerBytes.Slice(own.Start - found.Layout.Shift!.Value, own.Length);

    // Stretches that differ, in the own dump; null where there are far too many.
    private static List<ByteRange> Runs(Search found, ByteRange area)
    {
        ReadOnlySpan<byte> mine = found.OwnBytes.Slice(area.Start, area.Length);
        ReadOnlySpan<byte> theirs = Theirs(found, area);
        List<ByteRange> runs = [];
        int at = 0;
        while (at < mine.Length && runs.Count <= 8 * MostRuns)
        {
            at += mine[at..].CommonPrefixLength(theirs[at..]);
            if (at >= mine.Length)
            {
                break;
            }
            int end = at + 1;
            int last = at;
            while (end < mine.Length && end - last <= LargestGap)
            {
                last = mine[end] == theirs[end] ? last : end;
                end++;
            }
            runs.Add(ByteRange.Between(area.Start + at, area.Start + last + 1));
            at = last + 1;
        }
        return runs;
    }

    private static void AddRun(Search found, ByteRange run)
    {
        ByteRange field = Field(found, run);
        if (IsBlank(found.OwnBytes.Slice(field.Start, field.Length)))
        {
            List(found, new NotProposed("blank in the own dump", run, "nothing of this machine stands there"));
            return;
        }
        if (Uuid(found, run) is { } uuid)
        {
            Propose(found, uuid, IdentityShapes.Of(found.OwnBytes.Slice(uuid.Start, uuid.Length)));
            return;
        }
        ShapedValue whole = IdentityShapes.Of(found.OwnBytes.Slice(field.Start, field.Length));
        if (IsMark(whole.Shape))
        {
            Propose(found, new ByteRange(field.Start + whole.Start, whole.Length), whole);
            return;
        }
        List<(ByteRange Range, ShapedValue Value)> marks = Pieces(found, field);
        if (marks.Count == 0)
        {
            Propose(found, field, whole);
            return;
        }
        foreach ((ByteRange range, ShapedValue value) in marks)
        {
            Propose(found, range, value);
        }
    }

    // Values of a known shape between blank bytes.
    private static List<(ByteRange Range, ShapedValue Value)> Pieces(Search found, ByteRange field)
    {
        List<(ByteRange, ShapedValue)> marks = [];
        ReadOnlySpan<byte> bytes = found.OwnBytes.Slice(field.Start, field.Length);
        int at = 0;
        while (at < bytes.Length)
        {
            int length = bytes[at..].IndexOfAny((byte)0, (byte)0xFF);
            length = length < 0 ? bytes.Length - at : length;
            if (length > 0)
            {
                ShapedValue value = IdentityShapes.Of(bytes.Slice(at, length));
                if (IsMark(value.Shape))
                {
                    marks.Add((new ByteRange(field.Start + at + value.Start, value.Length), value));
                }
            }
            at += length + 1;
        }
        return marks;
    }

    private static void Propose(Search found, ByteRange range, ShapedValue value)
    {
        (double confidence, string reason) = Weigh(found, range, value);
        if (confidence < IdentityAnswer.ProposeFraction)
        {
            List(found, new NotProposed(value.Text, range, reason));
            return;
        }
        AddRange(found, range, value.Shape, value.Text, reason, confidence);
    }

    private static (double ConfidenceFraction, string Reason) Weigh(Search found, ByteRange range, ShapedValue value)
    {
        ReadOnlySpan<byte> theirs = Theirs(found, range);
        bool blank = IsBlank(theirs);
        string label = Label(found, range);
        if (found.SharedByOthers(range))
        {
            return (0.2, "the same in another board of the model: no identity");
        }
        if (VersionLabels.Any(word => label.Contains(word, StringComparison.Ordinal)))
        {
            return (0.2, "the text in front of it speaks of a version");
        }
        string where = blank
            ? "outside of code, and blank in the newer image"
            : "outside of code, and different in the newer image";
        double bonus = IdentityLabels.Any(word => label.Contains(word, StringComparison.Ordinal)) ? 0.08 : 0;
        bonus += found.Given.Others.Count > 0 ? 0.04 : 0;
        return value.Shape switch
        {
            IdentityShape.Serial => ((blank ? 0.85 : 0.6) + bonus, $"looks like a serial number, {where}"),
            IdentityShape.Uuid => ((blank ? 0.88 : 0.7) + bonus, $"looks like a UUID, {where}"),
            IdentityShape.NetworkAddress when IsSure(found, found.OwnBytes.Slice(range.Start, range.Length)) => (
                0.9,
                $"the board's network address again, {where}"
            ),
            IdentityShape.NetworkAddress when value.Length > 6 => (
                (blank ? 0.85 : 0.6) + bonus,
                $"looks like a network address as text, {where}"
            ),
            // Six bytes alone are a weak shape.
            IdentityShape.NetworkAddress => ((blank ? 0.72 : 0.4) + bonus, $"looks like a network address, {where}"),
            IdentityShape.Dense => (blank ? 0.6 : 0.3, $"dense data as calibration is, {where}"),
            IdentityShape.Text => (0.3 + (bonus * 2), $"text of no known shape, {where}"),
            _ => (0.2, $"of no known shape, {where}"),
        };
    }

    // The text in front, in capitals, as far as only one or two blank bytes part it.
    private static string Label(Search found, ByteRange range)
    {
        int start = Math.Max(0, range.Start - LabelBytes);
        string before = Encoding.Latin1.GetString(found.OwnBytes[start..range.Start]).ToUpperInvariant();
        int cut = before.LastIndexOfAny(['\xFF', '\n', '\r']);
        before = before[(cut + 1)..];
        int gap = before.LastIndexOf("\0\0\0", StringComparison.Ordinal);
        return gap < 0 ? before : before[(gap + 3)..];
    }

    // A run inside a text is widened to the whole text.
    private static ByteRange Field(Search found, ByteRange run)
    {
        ReadOnlySpan<byte> mine = found.OwnBytes;
        int start = run.Start;
        int end = run.End;
        while (start > 0 && run.Start - start < LargestText && IsPrint(mine[start - 1]) && IsPrint(mine[start]))
        {
            start--;
        }
        while (end < mine.Length && end - run.End < LargestText && IsPrint(mine[end]) && IsPrint(mine[end - 1]))
        {
            end++;
        }
        // UTF-16: letters with 00 between.
        while (
            start > 1
            && run.Start - start < LargestText
            && mine[start - 1] == 0
            && IsPrint(mine[start - 2])
            && IsPrint(mine[start])
        )
        {
            start -= 2;
        }
        while (
            end + 1 < mine.Length
            && end - run.End < LargestText
            && mine[end] == 0
            && IsPrint(mine[end + 1])
            && end >= 2
            && mine[end - 2] == 0
        )
        {
            end += 2;
        }
        return ByteRange.Between(start, end);

        static bool IsPrint(byte one) => one is > 0x20 and < 0x7F;
    }

    // A UUID whose ends equal what stands in its place: sixteen bytes around the run, blank in the newer image.
    private static ByteRange? Uuid(Search found, ByteRange run)
    {
        if (run.Length is < 11 or > 16)
        {
            return null;
        }
        for (int start = run.Start; start >= Math.Max(0, run.End - 16); start--)
        {
            ByteRange window = new(start, 16);
            if (
                window.End <= found.OwnBytes.Length
                && found.Target(window) is not null
                && IdentityShapes.IsUuid(found.OwnBytes.Slice(start, 16))
                && (window == run || IsBlank(Theirs(found, window)))
                && found.OwnBytes.Slice(start, 16).ContainsAnyExceptInRange((byte)0x20, (byte)0x7E)
            )
            {
                return window;
            }
        }
        return null;
    }

    private static void List(Search found, NotProposed one)
    {
        if (found.NotProposed.Count < MostListed)
        {
            found.NotProposed.Add(one);
        }
    }

    // What the newer image brings of another machine.
    private static void FindForeign(Search found)
    {
        foreach ((string what, string own, string newer) in found.Foreign)
        {
            found.Findings.Add(
                new Finding(
                    Verdict.FixFirst,
                    "identity.two-machines",
                    what,
                    "The newer image carries another machine's value in this place.",
                    $"own {own}, newer {newer}",
                    Source: Practice,
                    Todo: "Take the maker's image, not a dump of another board; else make sure that nothing of that machine is left."
                )
            );
        }
        if (StoreOf(found.Given.Newer) is not { } theirs)
        {
            return;
        }
        foreach (VariableRecord record in theirs.Live)
        {
            bool replaced = found.Proposals.Exists(one =>
                one.Variable is { } mine && (mine.Vendor, mine.Name) == (record.Vendor, record.Name)
            );
            bool same =
                StoreOf(found.Given.Own) is { } own
                && own.Live.FirstOrDefault(one => (one.Vendor, one.Name) == (record.Vendor, record.Name)) is { } twin
                && Data(own, twin).SequenceEqual(Data(theirs, record));
            IdentityShape shape = IdentityShapes.Of(Data(theirs, record)).Shape;
            if (
                !replaced
                && !same
                && !record.IsAuthenticated
                && IsMark(shape)
                && VariableNames.NeverMoves(record.Name, record.Vendor) is null
                && VariableNames.IdentityWord(record.Name) is not null
            )
            {
                found.Findings.Add(
                    new Finding(
                        Verdict.FixFirst,
                        "identity.foreign-variable",
                        Named(record),
                        "The newer image holds a value of another machine, and the board's dump has none to put in its place.",
                        IdentityShapes.Of(Data(theirs, record)).Text,
                        Source: Practice,
                        Todo: "Take the maker's image, whose variable store holds no machine's values."
                    )
                );
            }
        }
    }
}
