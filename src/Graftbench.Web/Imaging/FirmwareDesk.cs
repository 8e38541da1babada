using System.Globalization;
using Graftbench.Core.Fit;
using Graftbench.Core.Planning;
using Graftbench.Firmware.Answering;
using Graftbench.Firmware.Combining;
using Graftbench.Firmware.Dumps;
using Graftbench.Firmware.Identity;
using Graftbench.Firmware.Tree;
using Graftbench.Firmware.Updates;
using Graftbench.Store;
using Graftbench.Web.Desk;

namespace Graftbench.Web.Imaging;

/// <summary>Answers about a job's images, each computed once for the same bytes and kept in memory up to a limit.</summary>
/// <param name="store">Where the images lie.</param>
/// <param name="cache">Images that were read.</param>
/// <param name="book">Lines of records.</param>
public sealed class FirmwareDesk(BenchStore store, ImageCache cache, RecordBook book) : IDisposable
{
    private readonly AnswerMemo<DumpAnswer> trusts = new(4);
    private readonly AnswerMemo<IdentityAnswer> identities = new(4);
    private readonly AnswerMemo<ReadBackAnswer> readBacks = new(8);
    private readonly AnswerMemo<FirmwareAnswer> answers = new(64);

    // For pages of many jobs, which wait for nothing.
    private readonly PlanDesk<FirmwareAnswer> background = new("answer about the firmware");

    /// <summary>Rises with every answer that was computed in the background.</summary>
    public int Version => background.Version;

    /// <summary>What the record of a job says.</summary>
    public FirmwareRecord Record(string jobId)
    {
        FirmwareRecord record = book.Of(jobId, FirmwareRecord.Of);
        // Who entered the signature with the chip need not enter it again.
        return
            record.Signature is null
            && store.FindJob(jobId)?.Job is { } job
            && FitPlanner.Main(job)?.Needs is { Signature: { } asked } needs
            && ProcessorSignature.TryParse(asked, out ProcessorSignature signature)
            && signature.Value != 0
            ? record with
            {
                Signature = signature,
                Platform = needs.Platform,
            }
            : record;
    }

    /// <summary>An image of a job.</summary>
    public ImageTree Tree(JobImage image)
    {
        ArgumentNullException.ThrowIfNull(image);
        return cache.Tree(image.Sha256);
    }

    /// <summary>Whether the reads of the chip can be trusted; null without a read.</summary>
    public DumpAnswer? Trust(FirmwareRecord record)
    {
        ArgumentNullException.ThrowIfNull(record);
        IReadOnlyList<JobImage> reads = Counted(record);
        if (reads.Count == 0)
        {
            return null;
        }
        string key = $"{Key(reads, names: true)}|{record.CapacityBytes}";
        return trusts.Get(
            key,
            () => DumpTrust.Judge(Dumps(reads), new ChipFacts(record.CapacityBytes), DumpStructure.Of(Tree(reads[0])))
        );
    }

    /// <summary>Whether an image knows the processor that was asked for; null where nobody asked or there is no image.</summary>
    public ChipSupport? Knows(FirmwareRecord record, JobImage? image)
    {
        ArgumentNullException.ThrowIfNull(record);
        return record.Signature is { } signature && image is not null
            ? ChipQuestion.Ask(Tree(image), signature, record.Platform)
            : null;
    }

    /// <summary>What belongs to the machine; null where a read or the newer image is missing.</summary>
    public IdentityAnswer? Identity(FirmwareRecord record, KnownIdentity known, string knownKey)
    {
        ArgumentNullException.ThrowIfNull(record);
        IReadOnlyList<JobImage> reads = Counted(record);
        if (reads.Count == 0 || record.Newer is not { } newer)
        {
            return null;
        }
        JobImage[] others = [.. record.Of(ImageRole.SameModel)];
        return identities.Get(
            $"{Key(reads)}|{newer.Sha256}|{Key(others)}|{knownKey}",
            () =>
                IdentityFinder.Find(
                    new IdentitySearch(
                        Tree(reads[0]),
                        Tree(newer),
                        [.. Dumps(reads).Skip(1).Select(read => read.Bytes)],
                        [.. others.Select(Tree)],
                        known
                    )
                )
        );
    }

    /// <summary>The request that combines a job's images.</summary>
    public CombineRequest Combining(
        FirmwareRecord record,
        KnownIdentity known,
        string authority,
        IReadOnlyList<string> take,
        IReadOnlyList<string> leave
    )
    {
        ArgumentNullException.ThrowIfNull(record);
        return new CombineRequest(
            Dumps(Counted(record)),
            Dump(record.Newer!),
            [.. record.Of(ImageRole.SameModel).Select(Dump)],
            known,
            authority,
            false,
            take,
            leave
        );
    }

    /// <summary>A read-back against an image that was to be written.</summary>
    public ReadBackAnswer ReadBackOf(FirmwareRecord record, JobImage intended, JobImage readBack)
    {
        ArgumentNullException.ThrowIfNull(record);
        ArgumentNullException.ThrowIfNull(intended);
        ArgumentNullException.ThrowIfNull(readBack);
        JobImage? before = record.Reads.Count > 0 ? record.Reads[0] : null;
        return readBacks.Get(
            $"{intended.Sha256}|{readBack.Sha256}|{readBack.Name}|{before?.Sha256}",
            () => ReadBack.Check(Dump(intended), Dump(readBack), before is null ? null : Dump(before))
        );
    }

    /// <summary>The answer to question 8, computed here and now where it is not there.</summary>
    public FirmwareAnswer Answer(FirmwareRecord record)
    {
        ArgumentNullException.ThrowIfNull(record);
        return answers.Get(
            Key(record),
            () =>
                FirmwareQuestion.Answer(
                    new FirmwareFacts(
                        Trust(record),
                        Knows(record, record.Reads.Count > 0 ? record.Reads[0] : null),
                        Knows(record, record.Newer),
                        record.Newer is not null,
                        record.Combined is { } combined
                            ? combined.Combined is { NeedsPerson: false }
                                ? CombineState.Made
                                : CombineState.NeedsPerson
                            : null,
                        record is { Combined: { } intended, ReadBack: { } back }
                            ? ReadBackOf(record, intended, back)
                            : null
                    )
                )
        );
    }

    /// <summary>The answer for a page that waits for nothing; null without images, or while it is computed in the background.</summary>
    /// <param name="jobId">The job.</param>
    public QuestionSummary? Summary(string jobId) => Glance(jobId)?.Summary;

    /// <summary>The whole answer for a page that waits for nothing.</summary>
    /// <param name="jobId">The job.</param>
    public FirmwareAnswer? Glance(string jobId)
    {
        FirmwareRecord record = Record(jobId);
        if (record.Images.Count == 0)
        {
            return null;
        }
        string key = Key(record);
        if (answers.Find(key) is { } known)
        {
            return known;
        }
        return background.Request(key, (_, _) => Answer(record)).Plan;
    }

    /// <summary>Stops what runs in the background.</summary>
    public void Dispose() => background.Dispose();

    private static IReadOnlyList<JobImage> Counted(FirmwareRecord record) => [.. record.Reads.Take(DumpTrust.MaxReads)];

    private DumpRead Dump(JobImage image) => new(image.Name, cache.Bytes(image.Sha256));

    // Equal reads share their bytes.
    private List<DumpRead> Dumps(IReadOnlyList<JobImage> images)
    {
        Dictionary<string, ReadOnlyMemory<byte>> bytes = new(StringComparer.Ordinal);
        List<DumpRead> reads = [];
        foreach (JobImage image in images)
        {
            if (!bytes.TryGetValue(image.Sha256, out ReadOnlyMemory<byte> content))
            {
                content = cache.Bytes(image.Sha256);
                bytes[image.Sha256] = content;
            }
            reads.Add(new DumpRead(image.Name, content));
        }
        return reads;
    }

    private static string Key(IReadOnlyList<JobImage> images, bool names = false) =>
        string.Join(',', images.Select(image => names ? $"{image.Sha256} {image.Name}" : image.Sha256));

    private static string Key(FirmwareRecord record) =>
        string.Create(
            CultureInfo.InvariantCulture,
            $"{Key(record.Reads, names: true)}|{record.Newer?.Sha256}|{record.Combined?.Line} {record.Combined?.Sha256}|{record.ReadBack?.Sha256}|{record.Signature}|{record.Platform}|{record.CapacityBytes}"
        );
}
