using System.Buffers;
using System.Globalization;
using System.Text.Encodings.Web;
using System.Text.Json;

namespace Graftbench.Store;

/// <summary>A line of evidence that lost words on request.</summary>
/// <param name="Sequence">Its place in the record.</param>
/// <param name="Sha256">Hash of the line as it was left (<see cref="EvidenceChain"/>).</param>
public sealed record RemovedLine(long Sequence, string Sha256);

/// <summary>A file that was emptied on request.</summary>
/// <param name="Sha256">SHA-256 of the bytes that it had.</param>
/// <param name="Bytes">How many they were.</param>
public sealed record RemovedFile(string Sha256, long Bytes);

/// <summary>What a line of the kind <see cref="EvidenceRules.PersonalDataRemoved"/> says: what was taken out, never the words.</summary>
/// <param name="Why">The reason as given.</param>
/// <param name="Lines">Lines that lost words.</param>
/// <param name="Files">Files that were emptied.</param>
/// <param name="Runs">Ids of watched heats whose setup or marks lost words.</param>
public sealed record RemovalNote(
    string Why,
    IReadOnlyList<RemovedLine> Lines,
    IReadOnlyList<RemovedFile> Files,
    IReadOnlyList<string> Runs
)
{
    /// <summary>Reads the payload of such a line; null where it is not one.</summary>
    public static RemovalNote? Read(string payloadJson)
    {
        try
        {
            using JsonDocument json = JsonDocument.Parse(payloadJson);
            JsonElement root = json.RootElement;
            RemovalNote note = new(
                root.GetProperty("why").GetString() ?? "",
                [
                    .. root.GetProperty("lines")
                        .EnumerateArray()
                        .Select(line => new RemovedLine(
                            line.GetProperty("sequence").GetInt64(),
                            line.GetProperty("sha256").GetString() ?? ""
                        )),
                ],
                [
                    .. root.GetProperty("files")
                        .EnumerateArray()
                        .Select(file => new RemovedFile(
                            file.GetProperty("sha256").GetString() ?? "",
                            file.GetProperty("bytes").GetInt64()
                        )),
                ],
                [.. root.GetProperty("runs").EnumerateArray().Select(run => run.GetString() ?? "")]
            );
            bool isSound =
                note.Lines.All(line => line.Sequence > 0 && EvidenceChain.IsHash(line.Sha256))
                && note.Files.All(file => file.Bytes > 0 && EvidenceChain.IsHash(file.Sha256));
            return isSound ? note : null;
        }
        catch (Exception problem) when (EvidenceChain.IsNotSuchPayload(problem))
        {
            return null;
        }
    }

    /// <summary>What was taken out: <c>3 lines and 1 file</c>.</summary>
    public static string Amount(int lines, int files, int runs = 0)
    {
        List<string> parts = [];
        Add(parts, lines, "line");
        Add(parts, files, "file");
        Add(parts, runs, "watched heat");
        return parts.Count == 0 ? "nothing" : string.Join(" and ", parts);
    }

    /// <summary>The line in words.</summary>
    public string Words() =>
        string.Create(
            CultureInfo.InvariantCulture,
            $"taken out of {Amount(Lines.Count, Files.Count, Runs.Count)} on request: {Why}"
        );

    internal string Write()
    {
        ArrayBufferWriter<byte> buffer = new();
        using (
            Utf8JsonWriter json = new(
                buffer,
                new JsonWriterOptions { Encoder = JavaScriptEncoder.UnsafeRelaxedJsonEscaping }
            )
        )
        {
            json.WriteStartObject();
            json.WriteString("why", Why);
            json.WriteStartArray("lines");
            foreach (RemovedLine line in Lines)
            {
                json.WriteStartObject();
                json.WriteNumber("sequence", line.Sequence);
                json.WriteString("sha256", line.Sha256);
                json.WriteEndObject();
            }
            json.WriteEndArray();
            json.WriteStartArray("files");
            foreach (RemovedFile file in Files)
            {
                json.WriteStartObject();
                json.WriteString("sha256", file.Sha256);
                json.WriteNumber("bytes", file.Bytes);
                json.WriteEndObject();
            }
            json.WriteEndArray();
            json.WriteStartArray("runs");
            foreach (string run in Runs)
            {
                json.WriteStringValue(run);
            }
            json.WriteEndArray();
            json.WriteEndObject();
        }
        return EvidenceChain.Utf8.GetString(buffer.WrittenSpan);
    }

    private static void Add(List<string> parts, int number, string what)
    {
        if (number > 0)
        {
            parts.Add(number == 1 ? $"1 {what}" : string.Create(CultureInfo.InvariantCulture, $"{number} {what}s"));
        }
    }
}
