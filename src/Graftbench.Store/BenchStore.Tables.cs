using System.Data.Common;
using System.IO.Compression;
using System.Text;
using System.Text.Json;
using Graftbench.Core.Facts;
using Graftbench.Core.Jobs;
using Graftbench.Core.Proof;

namespace Graftbench.Store;

/// <summary>What was written as tables.</summary>
/// <param name="Tables">Names of the tables with their lines, heads not counted.</param>
public sealed record TablesReport(IReadOnlyList<(string Name, long Lines)> Tables);

public sealed partial class BenchStore
{
    private static readonly string[] JobColumns =
    [
        "job",
        "revision",
        "changedAt",
        "title",
        "stage",
        "openedAt",
        "machine",
        "serial",
        "owner",
        "technician",
        "handedOverAt",
        "warrantyDays",
    ];

    private static readonly string[] ShelfColumns = ["id", "kind", "title", "revision", "changedAt"];

    private static readonly string[] EvidenceColumns =
    [
        "record",
        "line",
        "at",
        "who",
        "kind",
        "words",
        "file",
        "fileSha256",
        "previousSha256",
        "sha256",
    ];

    /// <inheritdoc cref="WriteTables(Stream, CancellationToken)"/>
    /// <param name="targetPath">The zip to write; whole or not at all.</param>
    /// <param name="overwrite">Whether a file of that name may be replaced.</param>
    /// <param name="stop">Stops it; nothing is left behind.</param>
    /// <exception cref="StoreException">The file exists or cannot be written.</exception>
    public TablesReport WriteTables(string targetPath, bool overwrite = false, CancellationToken stop = default) =>
        WriteWhole(targetPath, overwrite, (zip, _) => WriteTables(zip, stop));

    /// <summary>Writes what the store holds as lists in columns into one zip, for spreadsheets and programs of others.</summary>
    /// <remarks>
    /// One picture of the store. The lists leave out what has no columns: drawings of boards, answers, the bytes of files. All
    /// of that is in an export. Words that a spreadsheet would take for a formula are defused.
    /// </remarks>
    /// <param name="zip">Where the zip is written.</param>
    /// <param name="stop">Stops it.</param>
    public TablesReport WriteTables(Stream zip, CancellationToken stop = default)
    {
        ArgumentNullException.ThrowIfNull(zip);
        string folder = Directory.CreateTempSubdirectory("graftbench-tables-").FullName;
        try
        {
            using TableSet tables = new(folder);
            _connections.Read(connection =>
            {
                foreach (string id in connection.All("SELECT id FROM record ORDER BY id", row => row.GetString(0)))
                {
                    stop.ThrowIfCancellationRequested();
                    WriteRecordTables(connection, id, tables);
                }
                foreach (
                    object?[] item in connection.All(
                        "SELECT id, kind, title, revision, changed_at FROM shelf ORDER BY kind, id",
                        row =>
                            (object?[])
                                [
                                    row.GetString(0),
                                    row.GetString(1),
                                    row.GetString(2),
                                    row.GetInt64(3),
                                    row.GetString(4),
                                ]
                    )
                )
                {
                    tables.Add("shelf", ShelfColumns, item);
                }
                return true;
            });
            return tables.Pack(zip, stop);
        }
        finally
        {
            Directory.Delete(folder, recursive: true);
        }
    }

    private static void WriteRecordTables(DbConnection connection, string id, TableSet tables)
    {
        if (FindJob(connection, id) is { } stored)
        {
            Job job = stored.Job;
            tables.Add(
                "jobs",
                JobColumns,
                [
                    id,
                    stored.Revision,
                    stored.ChangedAt,
                    job.Title,
                    job.Stage,
                    job.OpenedAt,
                    job.Machine.What,
                    job.Machine.Serial,
                    job.Machine.Owner,
                    job.Shop.Technician,
                    job.Handover?.HandedOverAt,
                    job.Handover?.WarrantyDays,
                ]
            );
            tables.AddAll("chips", id, job.Chips);
            tables.AddAll("parts-host", id, job.Host.Parts);
            tables.AddAll("parts-donor", id, job.Donor?.Parts ?? []);
            tables.AddAll("exposures", id, job.History.Exposures);
            tables.AddAll("heats", id, job.History.Heats);
            tables.AddAll("weighings", id, job.History.Weighings);
            tables.AddAll("work", id, job.Work);
        }
        foreach (EvidenceLine line in LinesOf(connection, id, 0))
        {
            (string words, string? csv) = Said(line);
            tables.Add(
                "evidence",
                EvidenceColumns,
                [
                    line.RecordId,
                    line.Sequence,
                    line.At,
                    line.Who,
                    line.Kind,
                    words,
                    line.FileName,
                    line.FileSha256,
                    line.PreviousSha256,
                    line.Sha256,
                ]
            );
            if (csv is not null)
            {
                string[] rows = ReadingList
                    .Write(ReadingList.Read(csv).Readings)
                    .Split('\n', StringSplitOptions.RemoveEmptyEntries);
                tables.AddRows(
                    "readings",
                    "job,line," + rows[0],
                    rows.Skip(1).Select(row => $"{id},{line.Sequence},{row}")
                );
            }
        }
    }

    // A line in words, and the list of readings that it holds.
    private static (string Words, string? Csv) Said(EvidenceLine line)
    {
        if (line.Kind is EvidenceRules.JobSaved or EvidenceRules.ShelfSaved or EvidenceRules.BenchFactAdded)
        {
            return ("", null);
        }
        try
        {
            using JsonDocument json = JsonDocument.Parse(line.PayloadJson);
            JsonElement root = json.RootElement;
            string? csv =
                root.ValueKind == JsonValueKind.Object
                && root.TryGetProperty("readings", out JsonElement readings)
                && readings.ValueKind == JsonValueKind.Object
                    ? Text(readings, "csv")
                    : null;
            string? removal =
                line.Kind == EvidenceRules.PersonalDataRemoved ? RemovalNote.Read(line.PayloadJson)?.Words() : null;
            return (removal ?? Text(root, "note") ?? "", csv);
        }
        catch (Exception problem) when (EvidenceChain.IsNotSuchPayload(problem))
        {
            return ("", null);
        }
    }

    private static string? Text(JsonElement holder, string name) =>
        holder.ValueKind == JsonValueKind.Object
        && holder.TryGetProperty(name, out JsonElement value)
        && value.ValueKind == JsonValueKind.String
            ? value.GetString()
            : null;

    /// <summary>Lists that grow in files of their own until they are packed: none of them is held whole.</summary>
    private sealed class TableSet(string folder) : IDisposable
    {
        private readonly Dictionary<string, (StreamWriter Text, long Lines)> _open = new(StringComparer.Ordinal);

        public void Add(string name, IReadOnlyList<string> columns, IReadOnlyList<object?> values) =>
            AddRows(name, string.Join(',', columns), [CsvCells.Line(values.Select(CsvCells.Of)).TrimEnd('\n')]);

        public void AddAll<TRecord>(string name, string jobId, IReadOnlyList<TRecord> records)
            where TRecord : notnull
        {
            string head = "job," + string.Join(',', CsvColumns.Names<TRecord>());
            AddRows(
                name,
                head,
                records.Select(record => CsvCells.Line(CsvColumns.Cells(record).Prepend(jobId)).TrimEnd('\n'))
            );
        }

        public void AddRows(string name, string head, IEnumerable<string> rows)
        {
            if (!_open.TryGetValue(name, out (StreamWriter Text, long Lines) table))
            {
                table = (new StreamWriter(Path.Combine(folder, name), append: false, new UTF8Encoding(false)), 0);
                table.Text.Write(head + "\n");
            }
            foreach (string row in rows)
            {
                table.Text.Write(row);
                table.Text.Write('\n');
                table.Lines++;
            }
            _open[name] = table;
        }

        public TablesReport Pack(Stream zip, CancellationToken stop)
        {
            using ZipArchive archive = new(zip, ZipArchiveMode.Create, leaveOpen: true);
            foreach (
                (string name, (StreamWriter text, long _)) in _open.OrderBy(one => one.Key, StringComparer.Ordinal)
            )
            {
                stop.ThrowIfCancellationRequested();
                text.Dispose();
                ZipArchiveEntry entry = archive.CreateEntry(name + ".csv", CompressionLevel.Fastest);
                using Stream to = entry.Open();
                using FileStream from = File.OpenRead(Path.Combine(folder, name));
                from.CopyTo(to);
            }
            return new TablesReport([
                .. _open.OrderBy(one => one.Key, StringComparer.Ordinal).Select(one => (one.Key, one.Value.Lines)),
            ]);
        }

        public void Dispose()
        {
            foreach ((StreamWriter text, long _) in _open.Values)
            {
                text.Dispose();
            }
        }
    }
}
