using System.Text.Json;
using System.Text.Json.Serialization;
using Graftbench.Firmware.Updates;
using Graftbench.Store;

namespace Graftbench.Web.Imaging;

/// <summary>What an image is to a job.</summary>
public enum ImageRole
{
    /// <summary>A read of this board's chip.</summary>
    Read,

    /// <summary>The newer image, as its maker gives it.</summary>
    Newer,

    /// <summary>A dump of another machine of the same model.</summary>
    SameModel,

    /// <summary>Read back from the chip after it was written.</summary>
    ReadBack,

    /// <summary>Made here of the newer image and the board's identity.</summary>
    Combined,

    /// <summary>Set aside: kept, not used.</summary>
    SetAside,
}

/// <summary>What was combined, as its line of evidence says it.</summary>
public sealed record CombinedNote
{
    /// <summary>SHA-256 of the table of origins.</summary>
    public string OriginCsv { get; init; } = "";

    /// <summary>SHA-256 of the origins as JSON.</summary>
    public string OriginJson { get; init; } = "";

    /// <summary>SHA-256 of the whole answer as JSON.</summary>
    public string Report { get; init; } = "";

    /// <summary>Whether a person must look first.</summary>
    public bool NeedsPerson { get; init; }
}

/// <summary>What a line of evidence says about the firmware.</summary>
public sealed record FirmwareNote
{
    /// <summary>Role of the image that the line holds, or of the one that it corrects.</summary>
    public ImageRole? Role { get; init; }

    /// <summary>Line of the image that is corrected.</summary>
    public long? Image { get; init; }

    /// <summary>Whether a person says that it is a read of its own.</summary>
    public bool? OwnRead { get; init; }

    /// <summary>Length of the image [bytes].</summary>
    public long? Bytes { get; init; }

    /// <summary>Signature of the processor that is asked for; empty takes the question back.</summary>
    public string? Signature { get; init; }

    /// <summary>Number of its platform.</summary>
    public int? Platform { get; init; }

    /// <summary>Capacity of the chip by its marking [KiB]; 0 takes it back.</summary>
    public long? CapacityKib { get; init; }

    /// <summary>Who asked for a combination, and by what right.</summary>
    public string? Authority { get; init; }

    /// <summary>What was combined.</summary>
    public CombinedNote? Combined { get; init; }

    internal static JsonSerializerOptions Json { get; } =
        new(JsonSerializerDefaults.Web)
        {
            DefaultIgnoreCondition = JsonIgnoreCondition.WhenWritingNull,
            Converters = { new JsonStringEnumConverter(JsonNamingPolicy.KebabCaseLower, allowIntegerValues: false) },
        };
}

/// <summary>The payload of a line: words for everyone, and the note for this screen.</summary>
/// <param name="Note">The line in words.</param>
/// <param name="File">Name of its file; null without one.</param>
/// <param name="Firmware">What it says about the firmware.</param>
public sealed record FirmwarePayload(string Note, string? File, FirmwareNote Firmware);

/// <summary>An image in the record of a job.</summary>
/// <param name="Line">Its line of evidence, by which it is named.</param>
/// <param name="Name">Name of the file as it was given.</param>
/// <param name="Role">What it is to the job, corrections included.</param>
/// <param name="Bytes">Its length [bytes].</param>
/// <param name="Sha256">Its SHA-256.</param>
/// <param name="At">When it was stored.</param>
/// <param name="Who">Who stored it.</param>
/// <param name="OwnRead">Whether a person says that it is a read of its own.</param>
/// <param name="Combined">What was combined; null for an image from elsewhere.</param>
public sealed record JobImage(
    long Line,
    string Name,
    ImageRole Role,
    long Bytes,
    string Sha256,
    DateTimeOffset At,
    string Who,
    bool OwnRead,
    CombinedNote? Combined
);

/// <summary>Everything that a job's evidence says about its firmware.</summary>
/// <param name="Images">Images, oldest first.</param>
/// <param name="Signature">Processor that is asked for; null where nobody asked.</param>
/// <param name="Platform">Its platform; null where it is not known.</param>
/// <param name="CapacityBytes">Capacity of the chip by its marking; null where nobody looked [bytes].</param>
public sealed record FirmwareRecord(
    IReadOnlyList<JobImage> Images,
    ProcessorSignature? Signature,
    int? Platform,
    long? CapacityBytes
)
{
    /// <summary>Reads of the chip that count: a second one with the very same bytes only where a person says that it was read anew.</summary>
    public IReadOnlyList<JobImage> Reads => [.. Of(ImageRole.Read).Where(image => !IsDoubtful(image))];

    /// <summary>The newer image; the last one where there are several.</summary>
    public JobImage? Newer => Of(ImageRole.Newer).LastOrDefault();

    /// <summary>The last combined image.</summary>
    public JobImage? Combined => Of(ImageRole.Combined).LastOrDefault();

    /// <summary>The last read-back that was made after the combined image.</summary>
    public JobImage? ReadBack =>
        Combined is { } combined ? Of(ImageRole.ReadBack).LastOrDefault(image => image.Line > combined.Line) : null;

    /// <summary>Images of a role, oldest first.</summary>
    public IEnumerable<JobImage> Of(ImageRole role) => Images.Where(image => image.Role == role);

    /// <summary>The image of a line; null where there is none.</summary>
    public JobImage? Find(long? line) => Images.FirstOrDefault(image => image.Line == line);

    /// <summary>Whether a read has the bytes of an earlier one and nobody says that it was read anew.</summary>
    public bool IsDoubtful(JobImage image)
    {
        ArgumentNullException.ThrowIfNull(image);
        return image is { Role: ImageRole.Read, OwnRead: false }
            && Of(ImageRole.Read).Any(other => other.Line < image.Line && other.Sha256 == image.Sha256);
    }

    /// <summary>What the lines of a record say.</summary>
    public static FirmwareRecord Of(IEnumerable<EvidenceLine> lines)
    {
        ArgumentNullException.ThrowIfNull(lines);
        List<JobImage> images = [];
        ProcessorSignature? signature = null;
        int? platform = null;
        long? capacity = null;
        foreach (EvidenceLine line in lines.Where(line => line.Kind is "dump" or "decision"))
        {
            if (Note(line) is not { } note)
            {
                continue;
            }
            if (line is { Kind: "dump", FileSha256: { } sha, FileName: { } name } && note.Role is { } role)
            {
                images.Add(
                    new JobImage(
                        line.Sequence,
                        name,
                        role,
                        note.Bytes ?? 0,
                        sha,
                        line.At,
                        line.Who,
                        note.OwnRead ?? false,
                        note.Combined
                    )
                );
            }
            else if (note.Image is { } corrected)
            {
                int at = images.FindIndex(image => image.Line == corrected);
                if (at >= 0)
                {
                    images[at] = images[at] with
                    {
                        Role = note.Role ?? images[at].Role,
                        OwnRead = note.OwnRead ?? images[at].OwnRead,
                    };
                }
            }
            else if (note.Signature is { } asked)
            {
                signature =
                    ProcessorSignature.TryParse(asked, out ProcessorSignature read) && read.Value != 0 ? read : null;
                platform = note.Platform is >= 0 and <= ChipQuestion.MaxPlatform ? note.Platform : null;
            }
            else if (note.CapacityKib is { } kib)
            {
                capacity = kib is > 0 and <= 1024 * 1024 ? kib * 1024 : null;
            }
        }
        return new FirmwareRecord(images, signature, platform, capacity);
    }

    private static FirmwareNote? Note(EvidenceLine line)
    {
        if (!line.PayloadJson.Contains("\"firmware\"", StringComparison.Ordinal))
        {
            return null;
        }
        try
        {
            return JsonSerializer.Deserialize<FirmwarePayload>(line.PayloadJson, FirmwareNote.Json)?.Firmware;
        }
        catch (JsonException)
        {
            // A line that came with somebody else's record: it stays, and says nothing to this screen.
            return null;
        }
    }
}
