using System.Text;
using Graftbench.Core.Jobs;
using Microsoft.Data.Sqlite;

namespace Graftbench.Store.Tests.Support;

/// <summary>Invented jobs and evidence.</summary>
internal static class Samples
{
    public static Job Job(string id = "arcade-7", string title = "Graphics chip of an arcade board") =>
        new()
        {
            Format = JobFormat.Name,
            Id = id,
            Title = title,
            Host = new Board
            {
                LengthMm = 210,
                WidthMm = 148,
                ThicknessMm = 1.6,
            },
            Chips =
            [
                new Chip
                {
                    Id = "c1",
                    From = ChipPlace.Shelf,
                    To = ChipPlace.Host,
                    BodyLengthMm = 31,
                    BodyWidthMm = 31,
                    BodyThicknessMm = 2.2,
                },
            ],
        };

    public static EvidenceDraft Note(string text, string who = "Ada") =>
        new(who, "note", System.Text.Json.JsonSerializer.Serialize(new { note = text }));

    public static EvidenceDraft Picture(string name, string content, string who = "Ada") =>
        new(who, "picture", "{}", new StoredFile(name, "image/jpeg", Encoding.UTF8.GetBytes(content)));

    /// <summary>A store with two jobs, notes, pictures, and things on the shelf.</summary>
    public static void Fill(BenchStore store)
    {
        store.SaveJob(Job(), 0, "Ada");
        store.Append("arcade-7", Note("bag opened, card 10 % pink"));
        store.Append("arcade-7", Picture("top.jpg", "top side"));
        store.SaveJob(Job(title: "Graphics chip, second try"), 1, "Ben");
        store.Append("arcade-7", Picture("under.jpg", "under side"));
        store.SaveJob(Job("mill-3", "Bridge chip of a mill's controller"), 0, "Ada");
        store.Append("mill-3", Picture("same as top.jpg", "top side"));
        store.SaveShelfItem("b1", "board", "Donor, cracked corner", """{ "name": "donor" }""", 0, "Ada");
        store.SaveShelfItem("b1", "board", "Donor, cracked corner", """{ "name": "donor, dry" }""", 1, "Ada");
        store.Append(BenchStore.ShopRecord, Note("new dryer"));
    }

    public static StoreCheck Check(this BenchStore store, string? id = null, string? head = null) =>
        store.Verify(id, head, TestContext.Current.CancellationToken);

    public static byte[] Zip(this BenchStore store, params string[] ids)
    {
        using MemoryStream zip = new();
        store.Export(ids.Length > 0 ? ids : null, zip, "memory", TestContext.Current.CancellationToken);
        return zip.ToArray();
    }

    public static ImportReport Take(this BenchStore store, byte[] zip, params string[] only) =>
        store.Import(new MemoryStream(zip), only.Length > 0 ? only : null, TestContext.Current.CancellationToken);

    /// <summary>Changes the file beside the program, as somebody with an editor for such files would.</summary>
    public static void Tamper(string storeFile, string sql)
    {
        using SqliteConnection connection = new($"Data Source={storeFile};Pooling=False;Foreign Keys=False");
        connection.Open();
        using SqliteCommand command = connection.CreateCommand();
        command.CommandText =
            """
                PRAGMA foreign_keys = OFF;
                DROP TRIGGER IF EXISTS evidence_is_not_updated; DROP TRIGGER IF EXISTS evidence_is_not_deleted;
                DROP TRIGGER IF EXISTS evidence_follows_its_head; DROP TRIGGER IF EXISTS evidence_moves_its_head;
                DROP TRIGGER IF EXISTS record_only_grows; DROP TRIGGER IF EXISTS record_is_not_deleted;
                DROP TRIGGER IF EXISTS file_is_not_updated; DROP TRIGGER IF EXISTS file_is_not_deleted;
                """ + sql;
        command.ExecuteNonQuery();
    }
}
