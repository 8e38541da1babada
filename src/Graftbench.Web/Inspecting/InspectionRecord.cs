using System.Text.Json;
using System.Text.Json.Serialization;
using Graftbench.Core.Inspection;
using Graftbench.Store;
using Graftbench.Vision.Answering;

namespace Graftbench.Web.Inspecting;

/// <summary>What a line of evidence says about pictures.</summary>
public sealed record InspectionNote
{
    /// <summary>What the picture of the line shows, or the corrected one.</summary>
    public PictureKind? Kind { get; init; }

    /// <summary>Line of the picture that is corrected.</summary>
    public long? Picture { get; init; }

    /// <summary>The chip; null for the board.</summary>
    public string? Chip { get; init; }

    /// <summary>From where it was taken.</summary>
    public BallView? View { get; init; }

    /// <summary>Where A1 lies in it: <c>upper-left</c>; empty takes it back.</summary>
    public string? A1 { get; init; }

    /// <summary>Limit for voids by its name.</summary>
    public string? VoidLimit { get; init; }

    /// <summary>Name of the side.</summary>
    public string? Side { get; init; }

    /// <summary>Site that a person judges.</summary>
    public string? Site { get; init; }

    /// <summary>What the person says it is; empty takes it back.</summary>
    public string? Says { get; init; }

    /// <summary>Places that a person clicked, by name [px].</summary>
    public IReadOnlyDictionary<string, double[]>? Places { get; init; }

    /// <summary>Lengths that a person gave, by name [mm].</summary>
    public IReadOnlyDictionary<string, double>? LengthsMm { get; init; }

    /// <summary>Whether the picture is set aside: kept, not used.</summary>
    public bool? SetAside { get; init; }

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
/// <param name="Inspection">What it says about pictures.</param>
public sealed record InspectionPayload(string Note, string? File, InspectionNote Inspection);

/// <summary>A picture in the record of a job, with all that was said about it since.</summary>
/// <param name="Line">Its line of evidence, by which it is named.</param>
/// <param name="Name">Name of the file as it was given.</param>
/// <param name="Sha256">Its SHA-256.</param>
/// <param name="At">When it was stored.</param>
/// <param name="Who">Who stored it.</param>
/// <param name="Kind">What it shows.</param>
/// <param name="Chip">The chip; null for the board.</param>
/// <param name="View">From where it was taken.</param>
/// <param name="A1">Where A1 lies in it; null where nobody said.</param>
/// <param name="VoidLimit">Limit for voids; null for the usual one.</param>
/// <param name="Side">Name of the side; null where it is none.</param>
/// <param name="Said">What persons say, by name of the site.</param>
/// <param name="Places">Places that were clicked.</param>
/// <param name="LengthsMm">Lengths that were given.</param>
/// <param name="SetAside">Whether it is set aside.</param>
public sealed record JobPicture(
    long Line,
    string Name,
    string Sha256,
    DateTimeOffset At,
    string Who,
    PictureKind Kind,
    string? Chip,
    BallView View,
    string? A1,
    string? VoidLimit,
    string? Side,
    IReadOnlyDictionary<string, string> Said,
    IReadOnlyDictionary<string, double[]> Places,
    IReadOnlyDictionary<string, double> LengthsMm,
    bool SetAside
)
{
    /// <summary>What it is about, in words.</summary>
    public string About =>
        Kind is PictureKind.Before or PictureKind.After || Chip is null ? "host board" : $"chip {Chip}";

    /// <summary>All pictures that the lines of a record tell of, oldest first.</summary>
    public static IReadOnlyList<JobPicture> Of(IEnumerable<EvidenceLine> lines)
    {
        ArgumentNullException.ThrowIfNull(lines);
        List<JobPicture> pictures = [];
        foreach (EvidenceLine line in lines.Where(line => line.Kind is "picture" or "decision"))
        {
            if (Note(line) is not { } note)
            {
                continue;
            }
            if (line is { Kind: "picture", FileSha256: { } sha, FileName: { } name } && note.Kind is { } kind)
            {
                pictures.Add(
                    new JobPicture(
                        line.Sequence,
                        name,
                        sha,
                        line.At,
                        line.Who,
                        kind,
                        note.Chip,
                        note.View ?? BallView.Bottom,
                        Plain(note.A1),
                        note.VoidLimit,
                        note.Side,
                        new Dictionary<string, string>(StringComparer.Ordinal),
                        note.Places ?? new Dictionary<string, double[]>(StringComparer.Ordinal),
                        note.LengthsMm ?? new Dictionary<string, double>(StringComparer.Ordinal),
                        false
                    )
                );
            }
            else if (
                note.Picture is { } corrected
                && pictures.FindIndex(one => one.Line == corrected) is >= 0 and int at
            )
            {
                pictures[at] = Corrected(pictures[at], note);
            }
        }
        return pictures;
    }

    private static JobPicture Corrected(JobPicture picture, InspectionNote note)
    {
        Dictionary<string, string> said = new(picture.Said, StringComparer.Ordinal);
        if (note.Site is { Length: > 0 } site)
        {
            if (string.IsNullOrEmpty(note.Says))
            {
                said.Remove(site);
            }
            else
            {
                said[site] = note.Says;
            }
        }
        return picture with
        {
            Kind = note.Kind ?? picture.Kind,
            View = note.View ?? picture.View,
            A1 = note.A1 is null ? picture.A1 : Plain(note.A1),
            VoidLimit = note.VoidLimit ?? picture.VoidLimit,
            Said = said,
            Places = note.Places ?? picture.Places,
            LengthsMm = note.LengthsMm ?? picture.LengthsMm,
            SetAside = note.SetAside ?? picture.SetAside,
        };
    }

    private static string? Plain(string? text) => string.IsNullOrWhiteSpace(text) ? null : text;

    private static InspectionNote? Note(EvidenceLine line)
    {
        if (!line.PayloadJson.Contains("\"inspection\"", StringComparison.Ordinal))
        {
            return null;
        }
        try
        {
            return JsonSerializer.Deserialize<InspectionPayload>(line.PayloadJson, InspectionNote.Json)?.Inspection;
        }
        catch (JsonException)
        {
            // A line that came with somebody else's record: it stays, and says nothing to this screen.
            return null;
        }
    }
}
