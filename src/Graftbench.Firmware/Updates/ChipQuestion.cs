using Graftbench.Core.Findings;
using Graftbench.Firmware.Descriptor;
using Graftbench.Firmware.Reading;
using Graftbench.Firmware.Scanning;
using Graftbench.Firmware.Tree;

namespace Graftbench.Firmware.Updates;

/// <summary>Answers whether an image knows a processor, from the updates that it holds.</summary>
public static class ChipQuestion
{
    /// <summary>Highest number of a platform.</summary>
    public const int MaxPlatform = 7;

    private const int MostDoubts = 20;
    private const string Hint =
        "An update that is there is a strong hint, no proof: whether the firmware sets up this processor and its memory is not in it.";

    // Findings after which a part of the firmware was not read, so that an update may be in it.
    private static readonly HashSet<string> Gaps = new(StringComparer.Ordinal)
    {
        "image.too-deep",
        "image.too-many-parts",
        "image.too-many-marks",
        "image.too-much-overlap",
        "image.empty",
        "volume.cut",
        "volume.header",
        "file.header",
        "section.size",
        "section.data-offset",
        "section.unpack",
        "section.packed",
        "descriptor.map",
        "descriptor.beyond-image",
        "rom.cut",
    };

    /// <summary>Whether the image holds an update for a processor.</summary>
    /// <param name="image">The image.</param>
    /// <param name="signature">The processor.</param>
    /// <param name="platform">Number of its platform, 0 to 7; null when it is not known.</param>
    /// <exception cref="ArgumentOutOfRangeException">There is no such platform.</exception>
    public static ChipSupport Ask(ImageTree image, ProcessorSignature signature, int? platform = null)
    {
        ArgumentNullException.ThrowIfNull(image);
        if (platform is < 0 or > MaxPlatform)
        {
            throw new ArgumentOutOfRangeException(
                nameof(platform),
                platform,
                $"Platforms have numbers 0 to {MaxPlatform}."
            );
        }
        List<ProcessorUpdate> named =
        [
            .. image
                .ProcessorUpdates.Where(update => TargetOf(update, signature) is not null)
                .OrderByDescending(update => update.Revision),
        ];
        List<ProcessorUpdate> fitting =
        [
            .. named.Where(update => platform is not { } number || HasPlatform(TargetOf(update, signature)!, number)),
        ];
        List<ProcessorUpdate> relatives =
        [
            .. image.ProcessorUpdates.Where(update =>
                !named.Contains(update) && update.Targets.Any(target => target.Signature.SameModelAs(signature))
            ),
        ];
        List<string> doubts = Doubts(image, signature);
        (Knows answer, string reason) = Answer(image, signature, platform, named, fitting, relatives, doubts);
        return new ChipSupport(
            answer,
            signature,
            platform,
            reason,
            fitting.Count > 0 ? fitting : named,
            relatives,
            doubts,
            AsFinding(answer, signature, reason)
        );
    }

    private static (Knows Answer, string Reason) Answer(
        ImageTree image,
        ProcessorSignature signature,
        int? platform,
        List<ProcessorUpdate> named,
        List<ProcessorUpdate> fitting,
        List<ProcessorUpdate> relatives,
        List<string> doubts
    )
    {
        if (fitting.Count > 0)
        {
            ProcessorUpdate best = fitting[0];
            UpdateTarget target = TargetOf(best, signature)!;
            string forPlatforms =
                target.PlatformFlags == 0 ? "no platform named" : $"for platforms {target.PlatformsText}";
            string text = FormattableString.Invariant(
                $"The image holds an update for processor {signature}: revision {best.Revision:X}h, {BcdDate.Text(best.DateCode)}, {forPlatforms}. {Hint}"
            );
            return (Knows.Yes, text);
        }
        if (named.Count > 0)
        {
            string platforms = string.Join(
                ", ",
                named.SelectMany(update => TargetOf(update, signature)!.Platforms).Distinct().Order()
            );
            string text = FormattableString.Invariant(
                $"The image holds updates for processor {signature}, but for platforms {platforms}, not for platform {platform}."
            );
            return doubts.Count == 0 ? (Knows.No, text) : (Knows.Unknown, $"{text} {Unread(doubts)}");
        }
        if (image.ProcessorUpdates.Count == 0)
        {
            return (Knows.Unknown, NoUpdates(image, doubts));
        }
        string others = FormattableString.Invariant(
            $"The image holds {image.ProcessorUpdates.Count} updates, none for processor {signature}."
        );
        string near =
            relatives.Count == 0
                ? ""
                : " Other steppings of the same model are there: "
                    + string.Join(
                        ", ",
                        relatives
                            .SelectMany(update => update.Targets)
                            .Where(target => target.Signature.SameModelAs(signature))
                            .Select(target => target.Signature.ToString())
                            .Distinct(StringComparer.Ordinal)
                    )
                    + ".";
        return doubts.Count == 0 ? (Knows.No, $"{others}{near}") : (Knows.Unknown, $"{others}{near} {Unread(doubts)}");
    }

    private static string NoUpdates(ImageTree image, List<string> doubts)
    {
        if (image.EmbeddedFirmwareAnchors.Count > 0 || image.EquivalentUpdates.Count > 0)
        {
            string ids = string.Join(
                ", ",
                image
                    .EquivalentUpdates.Select(update => FormattableString.Invariant($"{update.EquivalenceId:X4}h"))
                    .Distinct(StringComparer.Ordinal)
                    .Take(MostDoubts)
            );
            return "The image is laid out for the other x86 maker's processors. Which processor an update there is for stands in a table that is not in flash"
                + (ids.Length > 0 ? $"; equivalence ids seen: {ids}." : ".");
        }
        if (!image.ResetVector.Starts)
        {
            return "There are no updates in the image, and it does not start a PC processor at its top: a data part, a wrong half, or firmware of another kind.";
        }
        return doubts.Count > 0
            ? $"There are no updates in what was read. {Unread(doubts)}"
            : "There are no updates of this kind in the image: firmware for another maker's processor, or one that brings them another way.";
    }

    private static string Unread(List<string> doubts) =>
        doubts.Count == 1
            ? $"One part could not be read and may hold one: {doubts[0]}."
            : FormattableString.Invariant(
                $"{doubts.Count} parts could not be read and may hold one, the first: {doubts[0]}."
            );

    private static UpdateTarget? TargetOf(ProcessorUpdate update, ProcessorSignature signature)
    {
        for (int i = 0; i < update.Targets.Count; i++)
        {
            UpdateTarget target = update.Targets[i];
            // Entries of a table that does not sum up are not believed.
            if (target.Signature == signature && (i == 0 || (target.ChecksumOk && update.TableChecksumOk == true)))
            {
                return target;
            }
        }
        return null;
    }

    private static bool HasPlatform(UpdateTarget target, int platform) =>
        target.PlatformFlags == 0 || (target.PlatformFlags >> platform & 1) != 0;

    private static List<string> Doubts(ImageTree image, ProcessorSignature signature)
    {
        List<string> doubts = [];
        foreach (ProcessorUpdate update in image.DamagedUpdates.Where(one => one.Targets[0].Signature == signature))
        {
            doubts.Add($"a damaged update for this processor at {Place(update.Space, update.Range.Start)}");
        }
        foreach (Finding finding in image.Findings.Where(finding => Gaps.Contains(finding.Code)))
        {
            doubts.Add($"at {finding.Where}, {Start(finding.What)}");
        }
        if (image.FindingsNotListed > 0)
        {
            doubts.Add("more was found wrong with the image than is listed");
        }
        foreach (Segment area in Areas(image))
        {
            foreach (Segment leaf in area.WalkUnpacked().Where(segment => segment.IsLeaf))
            {
                if (leaf.Kind is SegmentKind.Opaque or SegmentKind.PaddingData && Entropy.LooksPacked(leaf.Bytes))
                {
                    doubts.Add(
                        FormattableString.Invariant(
                            $"{leaf.Range.Length} bytes at {Place(leaf.Space, leaf.Range.Start)} that look packed or encrypted"
                        )
                    );
                }
            }
        }
        return doubts.Count <= MostDoubts ? doubts : [.. doubts.Take(MostDoubts), "and more of the kind"];
    }

    // Where firmware keeps updates. The management engine and its like hold none for the main processor.
    private static IEnumerable<Segment> Areas(ImageTree image) =>
        image.Descriptor is null
            ? [image.Root]
            : image.Root.Children.Where(child =>
                child.Detail is not RegionDetail detail
                    ? child.Kind == SegmentKind.Unassigned
                    : detail.Kind
                        is RegionKind.Firmware
                            or RegionKind.SecondFirmware
                            or RegionKind.ProcessorUpdates
                            or RegionKind.DeviceExpansion
                            or RegionKind.DeviceExpansionTwo
                            or RegionKind.Other
            );

    private static string Place(ByteSpace space, int offset) => ReadContext.Where(space, offset);

    private static string Start(string sentence)
    {
        string first = sentence.Split(['.', ':', ';'], 2)[0];
        return char.ToLowerInvariant(first[0]) + first[1..];
    }

    private static Finding AsFinding(Knows answer, ProcessorSignature signature, string reason) =>
        answer switch
        {
            Knows.Yes => new Finding(
                Verdict.Ok,
                "firmware.knows-processor",
                "firmware",
                reason,
                signature.ToString(),
                Source: Sources.Updates
            ),
            Knows.No => new Finding(
                Verdict.FixFirst,
                "firmware.lacks-processor",
                "firmware",
                reason,
                signature.ToString(),
                Source: Sources.Updates,
                Todo: "Find firmware for this board that lists the processor before any heat, or ask the board's maker."
            ),
            _ => new Finding(
                Verdict.Unknown,
                "firmware.processor-unknown",
                "firmware",
                reason,
                signature.ToString(),
                Source: Sources.Updates,
                Todo: "Ask the board's maker which firmware supports the processor."
            ),
        };
}
