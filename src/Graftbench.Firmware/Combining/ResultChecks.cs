using System.Security.Cryptography;
using Graftbench.Core.Findings;
using Graftbench.Firmware.Identity;
using Graftbench.Firmware.Network;
using Graftbench.Firmware.Reading;
using Graftbench.Firmware.Tree;
using Graftbench.Firmware.Variables;
using Graftbench.Firmware.Volumes;

namespace Graftbench.Firmware.Combining;

/// <summary>Checks a combined image against what it was made from. A board that starts proves none of this.</summary>
public static class ResultChecks
{
    /// <summary>The result is as long as the newer image.</summary>
    public const string Length = "length";

    /// <summary>Every byte has one origin.</summary>
    public const string OriginTiles = "origin of every byte";

    /// <summary>The result built again from its sources has the same SHA-256.</summary>
    public const string OriginRebuilds = "built again from its sources";

    /// <summary>Bytes come from their own place, but for records and what was chosen.</summary>
    public const string OriginPlaces = "places of the origin";

    /// <summary>Volumes of code are those of the newer image.</summary>
    public const string Code = "volumes of code";

    /// <summary>Sums of volume headers and of file headers hold, as many as in the newer image.</summary>
    public const string Sums = "sums of volumes and files";

    /// <summary>Regions of the machine are its own.</summary>
    public const string Regions = "regions of the board";

    /// <summary>Sums of network settings hold, or are those of the board's own dump.</summary>
    public const string Networks = "sums of network settings";

    /// <summary>The variable store has the newer image's header and working block.</summary>
    public const string StoreFrame = "frame of the variable store";

    /// <summary>Carried variables are there, each live exactly once.</summary>
    public const string Carried = "carried variables";

    /// <summary>Live variables of the newer image are there, each once, and nothing else.</summary>
    public const string Others = "other variables";

    /// <summary>Chosen bytes are the board's own.</summary>
    public const string Ranges = "chosen bytes";

    /// <summary>Reading the result finds no damage that neither source has.</summary>
    public const string Reading = "reading the result";

    /// <summary>Runs every check.</summary>
    /// <param name="image">The result.</param>
    /// <param name="origin">Where its bytes come from.</param>
    /// <param name="own">The board's own dump.</param>
    /// <param name="newer">The newer image.</param>
    /// <param name="layout">How they lie over each other.</param>
    /// <param name="taken">Proposals that were carried.</param>
    public static IReadOnlyList<ResultCheck> Run(
        ReadOnlyMemory<byte> image,
        OriginMap origin,
        ImageTree own,
        ImageTree newer,
        ImageLayout layout,
        IReadOnlyList<IdentityProposal> taken
    )
    {
        ArgumentNullException.ThrowIfNull(origin);
        ArgumentNullException.ThrowIfNull(own);
        ArgumentNullException.ThrowIfNull(newer);
        ArgumentNullException.ThrowIfNull(layout);
        ArgumentNullException.ThrowIfNull(taken);
        if (image.Length != newer.File.Bytes.Length)
        {
            return [new ResultCheck(Length, false, $"{image.Length} bytes instead of {newer.File.Bytes.Length}")];
        }
        ImageTree result = ImageReader.Read(image);
        IReadOnlyList<(ByteRange Range, string What)> kept = layout.KeptOwn(own);
        return
        [
            new ResultCheck(Length, true, $"{image.Length} bytes"),
            CheckTiles(origin, image.Length),
            CheckRebuild(origin, image.Span, own, newer),
            CheckPlaces(origin, newer, kept, taken),
            CheckCode(result, newer, kept),
            CheckSums(result, newer, own, kept),
            CheckRegions(result, own, kept),
            CheckNetworks(result, own),
            CheckFrame(result, newer),
            CheckCarried(result, own, taken),
            CheckOthers(result, newer, taken),
            CheckRanges(result, own, taken),
            CheckReading(result, own, newer),
        ];
    }

    private static ResultCheck CheckTiles(OriginMap origin, int length) =>
        new(
            OriginTiles,
            origin.Length == length && origin.Tiles(),
            $"{origin.Runs.Count} runs over {origin.Length} bytes"
        );

    private static ResultCheck CheckRebuild(OriginMap origin, ReadOnlySpan<byte> image, ImageTree own, ImageTree newer)
    {
        string hash = Convert.ToHexStringLower(SHA256.HashData(image));
        byte[]? built = origin.Rebuild(own.File.Bytes, newer.File.Bytes);
        string again = built is null ? "none" : Convert.ToHexStringLower(SHA256.HashData(built));
        return new ResultCheck(
            OriginRebuilds,
            again == hash && origin.ResultSha256 == hash,
            again == hash ? $"SHA-256 {hash}" : $"SHA-256 {again} instead of {hash}"
        );
    }

    // Own bytes only in kept regions, chosen ranges and the store; newer ones on their own place, but for its records.
    private static ResultCheck CheckPlaces(
        OriginMap origin,
        ImageTree newer,
        IReadOnlyList<(ByteRange Range, string What)> kept,
        IReadOnlyList<IdentityProposal> taken
    )
    {
        ByteRange store = IdentityFinder.StoreOf(newer) is { } one
            ? ByteRange.Between(one.Range.Start + VariableStore.HeaderBytes, one.Range.End)
            : default;
        List<string> wrong = [];
        foreach (OriginRun run in origin.Runs)
        {
            ByteRange range = new(run.Start, run.Length);
            bool inStore = store.Contains(range);
            bool allowed = run.Source switch
            {
                OriginSource.Newer => run.SourceStart == run.Start || inStore,
                OriginSource.Own => inStore
                    || kept.Any(part => part.Range.Contains(range) && run.SourceStart == run.Start)
                    || taken.Any(proposal =>
                        proposal.Kind == ProposalKind.Range && proposal.Target is { } target && target.Contains(range)
                    ),
                _ => inStore,
            };
            if (!allowed)
            {
                wrong.Add($"{range} from {run.Source} at {run.SourceStart:X}h");
            }
        }
        return new ResultCheck(OriginPlaces, wrong.Count == 0, Words(wrong, "own bytes only where they were chosen"));
    }

    private static ResultCheck CheckCode(
        ImageTree result,
        ImageTree newer,
        IReadOnlyList<(ByteRange Range, string What)> kept
    )
    {
        List<string> wrong = [];
        int count = 0;
        foreach (Segment volume in Volumes(newer).Where(one => !IsVariables(one) && !Inside(one.Range, kept)))
        {
            count++;
            if (!result.File.Bytes.Slice(volume.Range.Start, volume.Range.Length).SequenceEqual(volume.Bytes))
            {
                wrong.Add($"{volume.Range} differs");
            }
        }
        return new ResultCheck(Code, wrong.Count == 0, Words(wrong, $"{count} as in the newer image"));
    }

    private static ResultCheck CheckSums(
        ImageTree result,
        ImageTree newer,
        ImageTree own,
        IReadOnlyList<(ByteRange Range, string What)> kept
    )
    {
        List<string> wrong = [];
        Dictionary<ByteRange, Segment> there = Volumes(result)
            .DistinctBy(one => one.Range)
            .ToDictionary(one => one.Range);
        IEnumerable<Segment> wanted = Volumes(newer)
            .Where(one => !Inside(one.Range, kept))
            .Concat(Volumes(own).Where(one => Inside(one.Range, kept)));
        int count = 0;
        foreach (Segment volume in wanted)
        {
            count++;
            if (!there.TryGetValue(volume.Range, out Segment? same))
            {
                wrong.Add($"the volume at {volume.Range} is not there");
            }
            else if (
                same.Detail is VolumeHeader { ChecksumOk: false }
                && volume.Detail is VolumeHeader { ChecksumOk: true }
            )
            {
                wrong.Add($"the header of the volume at {volume.Range} does not sum to 0");
            }
        }
        int files = 0;
        foreach (Segment file in result.Root.Walk().Where(one => one.Detail is VolumeFile))
        {
            VolumeFile detail = (VolumeFile)file.Detail!;
            files++;
            if (
                (!detail.HeaderChecksumOk || detail.BodyChecksumOk == false)
                && !SameDamage(file, newer)
                && !SameDamage(file, own)
            )
            {
                wrong.Add($"the file at {file.Range} does not sum up");
            }
        }
        return new ResultCheck(Sums, wrong.Count == 0, Words(wrong, $"{count} volumes, {files} files"));
    }

    // A sum that was wrong in the source is the source's business.
    private static bool SameDamage(Segment file, ImageTree source) =>
        file.Range.End <= source.File.Bytes.Length
        && source.File.Bytes.Slice(file.Range.Start, file.Range.Length).SequenceEqual(file.Bytes);

    private static ResultCheck CheckRegions(
        ImageTree result,
        ImageTree own,
        IReadOnlyList<(ByteRange Range, string What)> kept
    )
    {
        List<string> wrong =
        [
            .. kept.Where(part =>
                    !result
                        .File.Bytes.Slice(part.Range.Start, part.Range.Length)
                        .SequenceEqual(own.File.Bytes.Slice(part.Range.Start, part.Range.Length))
                )
                .Select(part => $"{part.What} at {part.Range} is not the board's own"),
        ];
        return new ResultCheck(Regions, wrong.Count == 0, Words(wrong, $"{kept.Count} as in the board's own dump"));
    }

    private static ResultCheck CheckNetworks(ImageTree result, ImageTree own)
    {
        List<string> wrong = [];
        int count = 0;
        foreach (NetworkBlock block in result.NetworkBlocks.Where(one => one.Segment.Space.IsFile && !one.IsErased))
        {
            count++;
            bool same = own.NetworkBlocks.Any(one =>
                one.Range == block.Range && one.Checksum == block.Checksum && one.Address == block.Address
            );
            if (!same && !block.ChecksumOk)
            {
                wrong.Add($"the copy at {block.Range} sums to {block.Checksum:X4}h");
            }
        }
        return new ResultCheck(Networks, wrong.Count == 0, Words(wrong, $"{count} copies"));
    }

    private static ResultCheck CheckFrame(ImageTree result, ImageTree newer)
    {
        if (IdentityFinder.StoreOf(newer) is not { } wanted)
        {
            return new ResultCheck(StoreFrame, true, "no store");
        }
        List<string> wrong = [];
        if (IdentityFinder.StoreOf(result) is not { } there || there.Range != wanted.Range)
        {
            wrong.Add("the store is not where it was");
        }
        Segment volume = wanted.Segment.Path().Last(one => one.Kind == SegmentKind.Volume);
        foreach (
            ByteRange part in new[]
            {
                ByteRange.Between(volume.Range.Start, wanted.Range.Start + VariableStore.HeaderBytes),
                ByteRange.Between(wanted.Range.End, volume.Range.End),
            }
        )
        {
            if (
                !result
                    .File.Bytes.Slice(part.Start, part.Length)
                    .SequenceEqual(newer.File.Bytes.Slice(part.Start, part.Length))
            )
            {
                wrong.Add($"{part} differs");
            }
        }
        if (result.WorkingBlocks.Any(block => !block.ChecksumOk) && newer.WorkingBlocks.All(block => block.ChecksumOk))
        {
            wrong.Add("the working block does not sum up");
        }
        return new ResultCheck(
            StoreFrame,
            wrong.Count == 0,
            Words(wrong, "headers and working block as in the newer image")
        );
    }

    private static ResultCheck CheckCarried(ImageTree result, ImageTree own, IReadOnlyList<IdentityProposal> taken)
    {
        List<string> wrong = [];
        VariableRecord[] wanted = [.. taken.Select(one => one.Variable).OfType<VariableRecord>()];
        VariableStore? mine = IdentityFinder.StoreOf(own);
        VariableStore? there = IdentityFinder.StoreOf(result);
        foreach (VariableRecord record in wanted)
        {
            string name = IdentityShapes.Shown(record.Name);
            VariableRecord[] found =
            [
                .. (there?.Records ?? []).Where(one => (one.Vendor, one.Name) == (record.Vendor, record.Name)),
            ];
            if (found.Length != 1 || !found[0].IsLive || found[0].State != VariableState.Added)
            {
                wrong.Add($"{name} has {found.Length} records, {found.Count(one => one.IsLive)} live");
            }
            else if (
                found[0].Attributes != record.Attributes
                || !IdentityFinder.Data(there!, found[0]).SequenceEqual(IdentityFinder.Data(mine!, record))
            )
            {
                wrong.Add($"{name} does not hold the board's value");
            }
        }
        return new ResultCheck(Carried, wrong.Count == 0, Words(wrong, $"{wanted.Length}, each live exactly once"));
    }

    private static ResultCheck CheckOthers(ImageTree result, ImageTree newer, IReadOnlyList<IdentityProposal> taken)
    {
        VariableStore? theirs = IdentityFinder.StoreOf(newer);
        VariableStore? there = IdentityFinder.StoreOf(result);
        if (theirs is null || there is null)
        {
            bool both = theirs is null && there is null;
            return new ResultCheck(Others, both, both ? "no store" : "the store is missing");
        }
        List<string> wrong = [];
        VariableRecord[] carried = [.. taken.Select(one => one.Variable).OfType<VariableRecord>()];
        VariableRecord[] kept = [.. StoreWriter.Kept(theirs, carried)];
        foreach (VariableRecord record in kept)
        {
            VariableRecord[] found =
            [
                .. there.Live.Where(one => (one.Vendor, one.Name) == (record.Vendor, record.Name)),
            ];
            if (
                found.Length != 1
                || found[0].Attributes != record.Attributes
                || !IdentityFinder.Data(there, found[0]).SequenceEqual(IdentityFinder.Data(theirs, record))
            )
            {
                wrong.Add($"{IdentityShapes.Shown(record.Name)} of the newer image is not there once");
            }
        }
        // Without a carried variable the store is not touched, and its deleted records stay.
        int expected = carried.Length == 0 ? theirs.Records.Count : kept.Length + carried.Length;
        if (there.Records.Count != expected)
        {
            wrong.Add($"{there.Records.Count} records instead of {expected}");
        }
        if (!there.FreeIsErased && theirs.FreeIsErased)
        {
            wrong.Add("the free space is not erased");
        }
        return new ResultCheck(
            Others,
            wrong.Count == 0,
            Words(wrong, $"{kept.Length} live ones of the newer image, {there.Records.Count} records in all")
        );
    }

    private static ResultCheck CheckRanges(ImageTree result, ImageTree own, IReadOnlyList<IdentityProposal> taken)
    {
        IdentityProposal[] ranges = [.. taken.Where(one => one.Kind == ProposalKind.Range)];
        List<string> wrong =
        [
            .. ranges
                .Where(one =>
                    one.Target is not { } target
                    || !result
                        .File.Bytes.Slice(target.Start, target.Length)
                        .SequenceEqual(own.File.Bytes.Slice(one.OwnRange.Start, one.OwnRange.Length))
                )
                .Select(one => $"{one.Title} is not the board's own"),
        ];
        return new ResultCheck(Ranges, wrong.Count == 0, Words(wrong, $"{ranges.Length} as in the board's own dump"));
    }

    private static ResultCheck CheckReading(ImageTree result, ImageTree own, ImageTree newer)
    {
        HashSet<(string, string)> known = [.. own.Findings.Concat(newer.Findings).Select(one => (one.Code, one.Where))];
        List<string> wrong =
        [
            .. result
                .Findings.Where(one =>
                    one.Verdict is Verdict.Blocker or Verdict.FixFirst && !known.Contains((one.Code, one.Where))
                )
                .Select(one => $"{one.Where}: {one.What}"),
        ];
        return new ResultCheck(Reading, wrong.Count == 0, Words(wrong, "no damage that the sources do not have"));
    }

    private static IEnumerable<Segment> Volumes(ImageTree tree) =>
        tree.Root.Walk().Where(one => one.Kind == SegmentKind.Volume);

    private static bool IsVariables(Segment volume) =>
        volume.Detail is VolumeHeader header && header.FileSystem == VolumeHeader.VariableData;

    private static bool Inside(ByteRange range, IReadOnlyList<(ByteRange Range, string What)> kept) =>
        kept.Any(part => part.Range.Overlaps(range));

    private static string Words(List<string> wrong, string good)
    {
        const int Shown = 4;
        return wrong.Count == 0 ? good
            : wrong.Count > Shown ? $"{string.Join("; ", wrong.Take(Shown))}; and {wrong.Count - Shown} more"
            : string.Join("; ", wrong);
    }
}
