using System.Buffers;
using System.Data.Common;
using System.Text.Encodings.Web;
using System.Text.Json;

namespace Graftbench.Store;

public sealed partial class BenchStore
{
    /// <summary>Things on the shelf of one kind, by title.</summary>
    public IReadOnlyList<ShelfItem> Shelf(string kind) =>
        _connections.Read(connection =>
            connection.All(
                "SELECT id, kind, title, item, revision, changed_at FROM shelf WHERE kind = @kind ORDER BY title, id",
                ReadShelfItem,
                ("@kind", kind)
            )
        );

    /// <summary>Saves a thing on the shelf; evidence goes to <see cref="ShopRecord"/>.</summary>
    /// <remarks>A thing that is in the store unchanged is given back as it is there; nothing is written.</remarks>
    /// <exception cref="StaleRevisionException">A newer revision is in the store.</exception>
    public ShelfItem SaveShelfItem(string id, string kind, string title, string json, int expectedRevision, string who)
    {
        ArgumentNullException.ThrowIfNull(json);
        RefuseShelfProblems(id, kind, title);
        string item = json.Trim();
        return _connections.Write(
            ShopRecord,
            connection =>
            {
                ShelfItem? found = connection
                    .All(
                        "SELECT id, kind, title, item, revision, changed_at FROM shelf WHERE id = @id",
                        ReadShelfItem,
                        ("@id", id)
                    )
                    .FirstOrDefault();
                if (found is not null && (found.Kind, found.Title, found.Json) == (kind, title, item))
                {
                    return found;
                }
                if ((found?.Revision ?? 0) != expectedRevision)
                {
                    throw new StaleRevisionException($"Shelf item {id}", expectedRevision, found?.Revision ?? 0);
                }
                ShelfItem next = new(id, kind, title, item, expectedRevision + 1, default);
                EvidenceDraft draft = new(who, EvidenceRules.ShelfSaved, ShelfPayload(next));
                EvidenceLine line = AddLine(connection, ShopRecord, draft, mayBeNew: true);
                next = next with { ChangedAt = line.At };
                WriteShelfItem(connection, next);
                return next;
            }
        );
    }

    private static void RefuseShelfProblems(string id, string kind, string title)
    {
        foreach ((string field, string words) in ShelfRules.NameProblems(id, kind, title))
        {
            throw new ArgumentException($"The {field} {words}.", field);
        }
    }

    /// <summary>Writes the payload of a <c>shelf-saved</c> line; the item keeps its very text.</summary>
    private static string ShelfPayload(ShelfItem item)
    {
        ArrayBufferWriter<byte> buffer = new();
        using (
            Utf8JsonWriter writer = new(
                buffer,
                new JsonWriterOptions { Encoder = JavaScriptEncoder.UnsafeRelaxedJsonEscaping }
            )
        )
        {
            writer.WriteStartObject();
            writer.WriteString("id", item.Id);
            writer.WriteString("kind", item.Kind);
            writer.WriteString("title", item.Title);
            writer.WriteNumber("revision", item.Revision);
            writer.WritePropertyName("item");
            try
            {
                writer.WriteRawValue(item.Json);
            }
            catch (JsonException problem)
            {
                throw new ArgumentException("is no valid JSON: " + problem.Message, nameof(item), problem);
            }
            writer.WriteEndObject();
        }
        return EvidenceChain.Utf8.GetString(buffer.WrittenSpan);
    }

    /// <summary>Reads the payload of a <c>shelf-saved</c> line back; null where it is not one.</summary>
    internal static ShelfItem? ReadShelfPayload(string payload, DateTimeOffset at)
    {
        try
        {
            using JsonDocument json = JsonDocument.Parse(payload);
            JsonElement root = json.RootElement;
            return new ShelfItem(
                root.GetProperty("id").GetString()!,
                root.GetProperty("kind").GetString()!,
                root.GetProperty("title").GetString()!,
                root.GetProperty("item").GetRawText(),
                root.GetProperty("revision").GetInt32(),
                at
            );
        }
        catch (Exception problem) when (EvidenceChain.IsNotSuchPayload(problem))
        {
            return null;
        }
    }

    private static void WriteShelfItem(DbConnection connection, ShelfItem item) =>
        connection.Run(
            """
            INSERT INTO shelf (id, kind, title, revision, changed_at, item)
            VALUES (@id, @kind, @title, @revision, @at, @item)
            ON CONFLICT (id) DO UPDATE
            SET kind = excluded.kind, title = excluded.title, revision = excluded.revision,
                changed_at = excluded.changed_at, item = excluded.item
            """,
            ("@id", item.Id),
            ("@kind", item.Kind),
            ("@title", item.Title),
            ("@revision", item.Revision),
            ("@at", StoreTime.Write(item.ChangedAt)),
            ("@item", item.Json)
        );

    internal static ShelfItem ReadShelfItem(DbDataReader row) =>
        new(
            row.GetString(0),
            row.GetString(1),
            row.GetString(2),
            row.GetString(3),
            row.GetInt32(4),
            ReadTime(row.GetString(5), ShopRecord)
        );
}
