using System.Buffers;
using System.Text.Encodings.Web;
using System.Text.Json;

namespace Graftbench.Store.Transfer;

/// <summary>One record as the manifest of an export names it.</summary>
internal sealed record ManifestRecord(string Id, long Lines, string HeadSha256, int Revision, int Files);

/// <summary>How an export is laid out: names, the manifest, and a line of evidence as text.</summary>
internal static class ExportFormat
{
    /// <summary>Name and version of the layout.</summary>
    public const string Name = "graftbench-record-1";

    /// <summary>The same where a record in it has lost personal data on request: programs of old do not know what that is.</summary>
    public const string NameWithRemovals = "graftbench-record-2";

    public const string Manifest = "manifest.json";
    public const int MaxManifestBytes = 8 * 1024 * 1024;

    /// <summary>Longest line of evidence as text: every byte of a payload may need six.</summary>
    public const int MaxLineBytes = (6 * EvidenceRules.MaxPayloadBytes) + 16_384;

    private const string FileFolder = "files/";

    private static readonly JsonWriterOptions LineOptions = new()
    {
        Encoder = JavaScriptEncoder.UnsafeRelaxedJsonEscaping,
    };
    private static readonly JsonWriterOptions ManifestOptions = new() { Indented = true, NewLine = "\n" };

    /// <summary>Folder of a record in the zip: a single record lies at the top.</summary>
    public static string FolderOf(string recordId, int records) => records == 1 ? "" : $"records/{recordId}/";

    public static string JobOf(string folder) => folder + "job.json";

    public static string EvidenceOf(string folder) => folder + "evidence.jsonl";

    public static string FileOf(string sha256) => FileFolder + sha256;

    /// <summary>SHA-256 that a name of the form <c>files/SHA256</c> stands for; null for any other name.</summary>
    public static string? HashOf(string name) =>
        name.StartsWith(FileFolder, StringComparison.Ordinal) && EvidenceChain.IsHash(name[FileFolder.Length..])
            ? name[FileFolder.Length..]
            : null;

    /// <summary>Names in a zip in the order in which they lie there.</summary>
    public static IEnumerable<string> Names(IReadOnlyList<ManifestRecord> records, IEnumerable<string> files)
    {
        yield return Manifest;
        foreach (ManifestRecord record in records)
        {
            string folder = FolderOf(record.Id, records.Count);
            if (record.Revision > 0)
            {
                yield return JobOf(folder);
            }
            yield return EvidenceOf(folder);
        }
        foreach (string file in files.Order(StringComparer.Ordinal))
        {
            yield return FileOf(file);
        }
    }

    public static byte[] WriteManifest(IReadOnlyList<ManifestRecord> records, int files, bool hasRemovals)
    {
        ArrayBufferWriter<byte> buffer = new();
        using (Utf8JsonWriter json = new(buffer, ManifestOptions))
        {
            json.WriteStartObject();
            json.WriteString("format", hasRemovals ? NameWithRemovals : Name);
            json.WriteStartArray("records");
            foreach (ManifestRecord record in records)
            {
                json.WriteStartObject();
                json.WriteString("id", record.Id);
                json.WriteNumber("lines", record.Lines);
                json.WriteString("headSha256", record.HeadSha256);
                json.WriteNumber("jobRevision", record.Revision);
                json.WriteNumber("files", record.Files);
                json.WriteEndObject();
            }
            json.WriteEndArray();
            json.WriteNumber("files", files);
            json.WriteEndObject();
        }
        buffer.Write("\n"u8);
        return buffer.WrittenSpan.ToArray();
    }

    /// <summary>Writes a line of evidence, with its line end. The payload is a text in it, so that it keeps its very bytes.</summary>
    public static ReadOnlyMemory<byte> WriteLine(EvidenceLine line)
    {
        ArrayBufferWriter<byte> buffer = new();
        using (Utf8JsonWriter json = new(buffer, LineOptions))
        {
            json.WriteStartObject();
            json.WriteString("record", line.RecordId);
            json.WriteNumber("sequence", line.Sequence);
            json.WriteString("at", StoreTime.Write(line.At));
            json.WriteString("who", line.Who);
            json.WriteString("kind", line.Kind);
            json.WriteString("payload", line.PayloadJson);
            if (line.FileSha256 is not null)
            {
                json.WriteString("fileSha256", line.FileSha256);
                json.WriteString("fileName", line.FileName);
                json.WriteString("fileMediaType", line.FileMediaType);
            }
            json.WriteString("previousSha256", line.PreviousSha256);
            json.WriteString("sha256", line.Sha256);
            json.WriteEndObject();
        }
        buffer.Write("\n"u8);
        return buffer.WrittenMemory;
    }

    /// <summary>Reads a line of evidence; null where it is not exactly what <see cref="WriteLine"/> writes.</summary>
    public static EvidenceLine? ReadLine(ReadOnlyMemory<byte> utf8)
    {
        try
        {
            using JsonDocument json = JsonDocument.Parse(utf8);
            JsonElement root = json.RootElement;
            string? Text(string name) => root.TryGetProperty(name, out JsonElement value) ? value.GetString() : null;
            if (
                root.ValueKind != JsonValueKind.Object
                || !StoreTime.TryRead(Text("at") ?? "", out DateTimeOffset at)
                || !root.GetProperty("sequence").TryGetInt64(out long sequence)
            )
            {
                return null;
            }
            EvidenceLine line = new(
                Text("record") ?? "",
                sequence,
                at,
                Text("who") ?? "",
                Text("kind") ?? "",
                Text("payload") ?? "",
                Text("fileSha256"),
                Text("previousSha256") ?? "",
                Text("sha256") ?? "",
                Text("fileName"),
                Text("fileMediaType")
            );
            return WriteLine(line).Span.SequenceEqual(utf8.Span) ? line : null;
        }
        catch (Exception problem) when (EvidenceChain.IsNotSuchPayload(problem))
        {
            return null;
        }
    }

    /// <summary>Reads a manifest; null where it is not exactly what <see cref="WriteManifest"/> writes.</summary>
    /// <param name="utf8">The text.</param>
    /// <param name="format">The layout that it names; null where it names none.</param>
    /// <param name="files">Number of files that it states.</param>
    public static IReadOnlyList<ManifestRecord>? ReadManifest(
        ReadOnlyMemory<byte> utf8,
        out string? format,
        out int files
    )
    {
        format = null;
        files = 0;
        try
        {
            using JsonDocument json = JsonDocument.Parse(utf8);
            format = json.RootElement.GetProperty("format").GetString();
            List<ManifestRecord> records = json
                .RootElement.GetProperty("records")
                .EnumerateArray()
                .Select(record => new ManifestRecord(
                    record.GetProperty("id").GetString() ?? "",
                    record.GetProperty("lines").GetInt64(),
                    record.GetProperty("headSha256").GetString() ?? "",
                    record.GetProperty("jobRevision").GetInt32(),
                    record.GetProperty("files").GetInt32()
                ))
                .ToList();
            files = json.RootElement.GetProperty("files").GetInt32();
            bool hasRemovals = string.Equals(format, NameWithRemovals, StringComparison.Ordinal);
            return WriteManifest(records, files, hasRemovals).AsSpan().SequenceEqual(utf8.Span) ? records : null;
        }
        catch (Exception problem) when (EvidenceChain.IsNotSuchPayload(problem))
        {
            return null;
        }
    }
}
