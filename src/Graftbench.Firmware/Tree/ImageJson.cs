using System.Buffers;
using System.Text;
using System.Text.Json;
using Graftbench.Core.Findings;
using Graftbench.Firmware.Updates;

namespace Graftbench.Firmware.Tree;

/// <summary>An image as it was read, as JSON for other programs.</summary>
public static class ImageJson
{
    private static readonly JsonWriterOptions Options = new() { Indented = true, NewLine = "\n" };

    /// <summary>The whole tree with its findings.</summary>
    public static string Write(ImageTree image)
    {
        ArgumentNullException.ThrowIfNull(image);
        return Text(json =>
        {
            json.WriteStartObject();
            json.WriteString("format", "graftbench-image-1");
            json.WriteNumber("bytes", image.File.Bytes.Length);
            json.WriteString("sha256", image.Sha256());
            Findings(json, image);
            json.WriteStartArray("spaces");
            foreach (ByteSpace space in image.Spaces)
            {
                json.WriteStartObject();
                json.WriteNumber("space", space.Number);
                json.WriteString("name", space.Name);
                json.WriteNumber("bytes", space.Bytes.Length);
                json.WritePropertyName("root");
                Segment(json, space.Root);
                json.WriteEndObject();
            }
            json.WriteEndArray();
            Updates(json, "processorUpdates", image.ProcessorUpdates);
            Updates(json, "damagedUpdates", image.DamagedUpdates);
            json.WriteStartArray("updatesOfTheOtherMaker");
            foreach (EquivalentUpdate update in image.EquivalentUpdates)
            {
                json.WriteStartObject();
                json.WriteNumber("space", update.Space.Number);
                json.WriteNumber("start", update.Start);
                json.WriteString("equivalenceId", FormattableString.Invariant($"{update.EquivalenceId:X4}"));
                json.WriteString("patchId", FormattableString.Invariant($"{update.PatchId:X8}"));
                json.WriteString("date", BcdDate.Text(update.DateCode));
                json.WriteEndObject();
            }
            json.WriteEndArray();
            json.WriteNumber("readableRuns", image.Texts.Count);
            json.WriteEndObject();
        });
    }

    /// <summary>The answer to whether an image knows a processor.</summary>
    public static string Write(ChipSupport support)
    {
        ArgumentNullException.ThrowIfNull(support);
        return Text(json =>
        {
            json.WriteStartObject();
            json.WriteString("format", "graftbench-image-knows-1");
            json.WriteString("answer", support.Answer.ToString().ToLowerInvariant());
            json.WriteString("signature", support.Signature.ToString());
            if (support.Platform is int platform)
            {
                json.WriteNumber("platform", platform);
            }
            json.WriteString("reason", support.Reason);
            Updates(json, "updates", support.Updates);
            Updates(json, "otherSteppings", support.Relatives);
            json.WriteStartArray("notRead");
            foreach (string doubt in support.Doubts)
            {
                json.WriteStringValue(doubt);
            }
            json.WriteEndArray();
            json.WriteEndObject();
        });
    }

    private static string Text(Action<Utf8JsonWriter> write)
    {
        ArrayBufferWriter<byte> buffer = new();
        using (Utf8JsonWriter json = new(buffer, Options))
        {
            write(json);
        }
        return Encoding.UTF8.GetString(buffer.WrittenSpan);
    }

    private static void Findings(Utf8JsonWriter json, ImageTree image)
    {
        json.WriteStartArray("findings");
        foreach (Finding finding in image.Findings)
        {
            json.WriteStartObject();
            json.WriteString("verdict", finding.Verdict.ToString());
            json.WriteString("code", finding.Code);
            json.WriteString("where", finding.Where);
            json.WriteString("what", finding.What);
            Optional(json, "value", finding.Value);
            Optional(json, "limit", finding.Limit);
            Optional(json, "source", finding.Source);
            Optional(json, "todo", finding.Todo);
            json.WriteEndObject();
        }
        json.WriteEndArray();
        if (image.FindingsNotListed > 0)
        {
            json.WriteNumber("findingsNotListed", image.FindingsNotListed);
        }
    }

    private static void Optional(Utf8JsonWriter json, string name, string? value)
    {
        if (value is not null)
        {
            json.WriteString(name, value);
        }
    }

    // Parts are nested at most a few dozen deep: the reader's own limit holds here too.
    private static void Segment(Utf8JsonWriter json, Segment segment)
    {
        json.WriteStartObject();
        json.WriteNumber("start", segment.Range.Start);
        json.WriteNumber("length", segment.Range.Length);
        json.WriteString("kind", segment.Kind.ToString());
        json.WriteString("name", segment.Name);
        if (segment.Detail is { } detail)
        {
            json.WriteStartObject("facts");
            foreach (SegmentFact fact in detail.Facts().DistinctBy(fact => fact.Name))
            {
                json.WriteString(fact.Name, fact.Value);
            }
            json.WriteEndObject();
        }
        if (segment.Unpacked is { } inner)
        {
            json.WriteNumber("unpackedSpace", inner.Number);
        }
        if (!segment.IsLeaf)
        {
            json.WriteStartArray("parts");
            foreach (Segment child in segment.Children)
            {
                Segment(json, child);
            }
            json.WriteEndArray();
        }
        json.WriteEndObject();
    }

    private static void Updates(Utf8JsonWriter json, string name, IReadOnlyList<ProcessorUpdate> updates)
    {
        json.WriteStartArray(name);
        foreach (ProcessorUpdate update in updates)
        {
            json.WriteStartObject();
            json.WriteNumber("space", update.Space.Number);
            json.WriteNumber("start", update.Range.Start);
            json.WriteNumber("length", update.Range.Length);
            json.WriteString("revision", FormattableString.Invariant($"{update.Revision:X}"));
            json.WriteString("date", BcdDate.Text(update.DateCode));
            json.WriteStartArray("processors");
            foreach (UpdateTarget target in update.Targets)
            {
                json.WriteStartObject();
                json.WriteString("signature", target.Signature.ToString());
                json.WriteString("platformFlags", FormattableString.Invariant($"{target.PlatformFlags:X}"));
                json.WriteBoolean("checksumOk", target.ChecksumOk);
                json.WriteEndObject();
            }
            json.WriteEndArray();
            json.WriteEndObject();
        }
        json.WriteEndArray();
    }
}
