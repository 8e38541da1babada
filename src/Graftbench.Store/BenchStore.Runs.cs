using System.Buffers.Binary;
using System.Data.Common;
using System.Globalization;
using System.Text;
using System.Text.Json;
using Graftbench.Store.Engines;

namespace Graftbench.Store;

public sealed partial class BenchStore
{
    /// <summary>Kind of the evidence that holds the log of a watched heat.</summary>
    public const string HeatRunKind = "heat-run";

    private const int MostChannels = 64;

    /// <summary>Begins a watched heat; on return it is on disk.</summary>
    /// <param name="draft">What is to be watched.</param>
    /// <exception cref="UnknownRecordException">There is no such job.</exception>
    /// <exception cref="ArgumentException">There is no channel or too many.</exception>
    public HeatRun StartRun(HeatRunDraft draft)
    {
        ArgumentNullException.ThrowIfNull(draft);
        if (draft.Channels.Count is 0 or > MostChannels)
        {
            throw new ArgumentException($"A run has 1 to {MostChannels} channels.", nameof(draft));
        }
        RefuseUnkept(draft.Who, nameof(draft));
        RefuseUnkept(draft.SetupJson, nameof(draft));
        HeatRun run = new(
            Guid.CreateVersion7().ToString("N"),
            draft.RecordId,
            _time.GetUtcNow().ToUniversalTime(),
            draft.Who,
            draft.SetupJson,
            draft.Channels,
            HeatRunState.Running,
            null,
            null
        );
        return _connections.Write(
            draft.RecordId,
            connection =>
            {
                bool shop = string.Equals(draft.RecordId, ShopRecord, StringComparison.Ordinal);
                if (HeadOf(connection, draft.RecordId) is null)
                {
                    if (!shop)
                    {
                        throw new UnknownRecordException(draft.RecordId, FilePath);
                    }
                    connection.Run(
                        "INSERT INTO record (id, lines, head_sha256) VALUES (@id, 0, @start)",
                        ("@id", ShopRecord),
                        ("@start", EvidenceChain.Start)
                    );
                }
                connection.Run(
                    """
                    INSERT INTO heat_run (id, record_id, started_at, who, setup, channels, state)
                    VALUES (@id, @record, @at, @who, @setup, @channels, 'running')
                    """,
                    ("@id", run.Id),
                    ("@record", run.RecordId),
                    ("@at", StoreTime.Write(run.StartedAt)),
                    ("@who", run.Who),
                    ("@setup", run.SetupJson),
                    ("@channels", JsonSerializer.Serialize(run.Channels))
                );
                return run;
            }
        );
    }

    /// <summary>Appends samples to a run; on return all of them are on disk.</summary>
    /// <param name="run">A run that goes on.</param>
    /// <param name="samples">Samples in their order, each with one reading for every channel.</param>
    /// <returns>Number of samples that the run has now.</returns>
    /// <exception cref="ArgumentException">A sample has another number of readings than the run has channels.</exception>
    /// <exception cref="StoreException">The run is over, or the store cannot be written.</exception>
    public long AppendSamples(HeatRun run, IReadOnlyList<HeatSample> samples)
    {
        ArgumentNullException.ThrowIfNull(run);
        ArgumentNullException.ThrowIfNull(samples);
        if (samples.FirstOrDefault(one => one.TemperaturesC.Length != run.Channels.Count) is { TemperaturesC: { } odd })
        {
            throw new ArgumentException(
                $"A sample has {odd.Length} readings, the run {run.Channels.Count} channels.",
                nameof(samples)
            );
        }
        foreach (HeatSample sample in samples)
        {
            RefuseNoTime(sample.TimeS, nameof(samples));
        }
        return _connections.Write(
            run.RecordId,
            connection =>
            {
                long last = LastOf(connection, "heat_sample", run.Id);
                last += StoreDialect
                    .Of(connection)
                    .AddRows(
                        connection,
                        "heat_sample",
                        ["run_id", "sequence", "time_s", "readings"],
                        samples.Select(
                            (sample, i) => (object?[])[run.Id, last + 1 + i, sample.TimeS, Packed(sample.TemperaturesC)]
                        )
                    );
                return last;
            }
        );
    }

    /// <summary>Appends something that happened in a run; on return it is on disk.</summary>
    public void AppendMark(HeatRun run, HeatMark mark)
    {
        ArgumentNullException.ThrowIfNull(run);
        RefuseUnkept(mark.Kind, nameof(mark));
        RefuseUnkept(mark.Text, nameof(mark));
        RefuseNoTime(mark.TimeS, nameof(mark));
        _connections.Write(
            run.RecordId,
            connection =>
                connection.Run(
                    "INSERT INTO heat_mark (run_id, sequence, time_s, kind, text) VALUES (@run, @sequence, @time, @kind, @text)",
                    ("@run", run.Id),
                    ("@sequence", LastOf(connection, "heat_mark", run.Id) + 1),
                    ("@time", mark.TimeS),
                    ("@kind", mark.Kind),
                    ("@text", mark.Text)
                )
        );
    }

    /// <summary>Ends a run and makes its log evidence, in one step; on return both are on disk.</summary>
    /// <param name="run">A run that goes on.</param>
    /// <param name="state">How it ended.</param>
    /// <exception cref="StoreException">The run is over already.</exception>
    public HeatRun EndRun(HeatRun run, HeatRunState state)
    {
        ArgumentNullException.ThrowIfNull(run);
        if (state == HeatRunState.Running)
        {
            throw new ArgumentException("A run ends as ended or interrupted.", nameof(state));
        }
        return _connections.Write(
            run.RecordId,
            connection =>
            {
                HeatRun ended = run with { State = state, EndedAt = _time.GetUtcNow().ToUniversalTime() };
                LongFile log = LongFile.Of(
                    $"heat-run-{run.Id[..8]}.csv",
                    "text/csv",
                    to => WriteLog(connection, ended, to)
                );
                EvidenceLine line = AddLine(
                    connection,
                    run.RecordId,
                    new EvidenceDraft(
                        run.Who,
                        HeatRunKind,
                        JsonSerializer.Serialize(
                            new
                            {
                                run = run.Id,
                                startedAt = StoreTime.Write(run.StartedAt),
                                state = Word(state),
                                samples = LastOf(connection, "heat_sample", run.Id),
                                channels = run.Channels,
                                setup = JsonSerializer.Deserialize<JsonElement>(run.SetupJson),
                            }
                        )
                    ),
                    mayBeNew: false,
                    log
                );
                ended = ended with { EvidenceSequence = line.Sequence };
                connection.Run(
                    "UPDATE heat_run SET state = @state, ended_at = @at, evidence = @line WHERE id = @id",
                    ("@state", Word(state)),
                    ("@at", StoreTime.Write(ended.EndedAt!.Value)),
                    ("@line", line.Sequence),
                    ("@id", run.Id)
                );
                return ended;
            }
        );
    }

    /// <summary>Runs that the store holds as going on: after a start of the program, those that were interrupted.</summary>
    public IReadOnlyList<HeatRun> RunsGoingOn() =>
        _connections.Read(connection => RunsOf(connection, "state = 'running'", ""));

    /// <summary>Watched heats of a job, the newest first.</summary>
    /// <param name="recordId">Job id, or <see cref="ShopRecord"/>.</param>
    public IReadOnlyList<HeatRun> Runs(string recordId) =>
        _connections.Read(connection => RunsOf(connection, "record_id = @key", recordId));

    /// <summary>A watched heat; null where there is none of that id.</summary>
    /// <param name="id">Its id.</param>
    public HeatRun? FindRun(string id) =>
        _connections.Read(connection => RunsOf(connection, "id = @key", id).FirstOrDefault());

    /// <summary>Watched heats whose id begins so, the newest first.</summary>
    /// <param name="start">First letters of the id.</param>
    public IReadOnlyList<HeatRun> RunsLike(string start)
    {
        ArgumentException.ThrowIfNullOrEmpty(start);
        return _connections.Read(connection => RunsOf(connection, "substr(id, 1, length(@key)) = @key", start));
    }

    /// <summary>Samples of a run behind one, in order.</summary>
    /// <param name="runId">The run.</param>
    /// <param name="afterSequence">Samples up to this one are left out; 0 gives all.</param>
    /// <param name="most">At most so many.</param>
    public IReadOnlyList<HeatSample> Samples(string runId, long afterSequence = 0, int most = int.MaxValue) =>
        _connections.Read(connection => SamplesOf(connection, runId, afterSequence, most).ToList());

    /// <summary>Number of samples that a run has on disk.</summary>
    /// <param name="runId">The run.</param>
    public long SampleNumber(string runId) => _connections.Read(connection => LastOf(connection, "heat_sample", runId));

    /// <summary>What happened in a run, in order.</summary>
    /// <param name="runId">The run.</param>
    public IReadOnlyList<HeatMark> Marks(string runId) => _connections.Read(connection => MarksOf(connection, runId));

    // What one database keeps and the other does not, neither takes: U+0000, and halves of a pair of characters.
    private static void RefuseUnkept(string text, string name)
    {
        if (!EvidenceRules.IsKept(text))
        {
            throw new ArgumentException("A text holds U+0000 or is no valid Unicode text.", name);
        }
    }

    private static void RefuseNoTime(double timeS, string name)
    {
        if (double.IsNaN(timeS))
        {
            throw new ArgumentException("The time of a sample or mark is not a number.", name);
        }
    }

    private static List<HeatRun> RunsOf(DbConnection connection, string where, string key) =>
        connection.All(
            $"""
            SELECT id, record_id, started_at, who, setup, channels, state, ended_at, evidence
            FROM heat_run WHERE {where} ORDER BY started_at DESC, id DESC
            """,
            row => new HeatRun(
                row.GetString(0),
                row.GetString(1),
                ReadTime(row.GetString(2), row.GetString(1)),
                row.GetString(3),
                row.GetString(4),
                JsonSerializer.Deserialize<List<string>>(row.GetString(5)) ?? [],
                Enum.Parse<HeatRunState>(row.GetString(6), ignoreCase: true),
                row.TextOrNull(7) is { } at ? ReadTime(at, row.GetString(1)) : null,
                row.IsDBNull(8) ? null : row.GetInt64(8)
            ),
            ("@key", key)
        );

    private static IEnumerable<HeatSample> SamplesOf(
        DbConnection connection,
        string runId,
        long afterSequence,
        int most
    )
    {
        using DbCommand command = connection.Command(
            """
            SELECT time_s, readings FROM heat_sample
            WHERE run_id = @run AND sequence > @after ORDER BY sequence LIMIT @most
            """,
            ("@run", runId),
            ("@after", afterSequence),
            ("@most", most)
        );
        using DbDataReader row = command.ExecuteReader();
        while (row.Read())
        {
            yield return new HeatSample(row.GetDouble(0), Unpacked(row.GetFieldValue<byte[]>(1)));
        }
    }

    private static List<HeatMark> MarksOf(DbConnection connection, string runId) =>
        connection.All(
            "SELECT time_s, kind, text FROM heat_mark WHERE run_id = @run ORDER BY sequence",
            row => new HeatMark(row.GetDouble(0), row.GetString(1), row.GetString(2)),
            ("@run", runId)
        );

    // Comma, point and one line a sample; what happened stands on lines of its own, as comments.
    // Read and written row by row: a run of a day is far too long to be held whole.
    private static void WriteLog(DbConnection connection, HeatRun run, Stream to)
    {
        using StreamWriter text = new(to, new UTF8Encoding(false), 65536, leaveOpen: true);
        text.Write(
            string.Create(
                CultureInfo.InvariantCulture,
                $"# heat run {run.Id}, started {StoreTime.Write(run.StartedAt)}, {Word(run.State)}\n"
            )
        );
        text.Write(string.Create(CultureInfo.InvariantCulture, $"# setup {run.SetupJson.ReplaceLineEndings(" ")}\n"));
        foreach (HeatMark mark in MarksOf(connection, run.Id))
        {
            text.Write(
                string.Create(
                    CultureInfo.InvariantCulture,
                    $"# mark {mark.TimeS:0.000},{mark.Kind},{mark.Text.ReplaceLineEndings(" ")}\n"
                )
            );
        }
        text.Write($"timeS,{string.Join(',', run.Channels.Select(Quoted))}\n");
        foreach (HeatSample sample in SamplesOf(connection, run.Id, 0, int.MaxValue))
        {
            text.Write(string.Create(CultureInfo.InvariantCulture, $"{sample.TimeS:0.000}"));
            foreach (double reading in sample.TemperaturesC)
            {
                text.Write(',');
                if (double.IsFinite(reading))
                {
                    text.Write(string.Create(CultureInfo.InvariantCulture, $"{reading:0.00}"));
                }
            }
            text.Write('\n');
        }
    }

    private static string Quoted(string name) =>
        name.AsSpan().ContainsAny(',', '"') ? $"\"{name.Replace("\"", "\"\"", StringComparison.Ordinal)}\"" : name;

    private static string Word(HeatRunState state) => state.ToString().ToLowerInvariant();

    private static long LastOf(DbConnection connection, string table, string runId) =>
        connection.Scalar($"SELECT max(sequence) FROM {table} WHERE run_id = @run", ("@run", runId)) is long last
            ? last
            : 0;

    private static byte[] Packed(double[] readings)
    {
        byte[] bytes = new byte[readings.Length * sizeof(double)];
        for (int i = 0; i < readings.Length; i++)
        {
            BinaryPrimitives.WriteDoubleLittleEndian(bytes.AsSpan(i * sizeof(double)), readings[i]);
        }
        return bytes;
    }

    private static double[] Unpacked(byte[] bytes)
    {
        double[] readings = new double[bytes.Length / sizeof(double)];
        for (int i = 0; i < readings.Length; i++)
        {
            readings[i] = BinaryPrimitives.ReadDoubleLittleEndian(bytes.AsSpan(i * sizeof(double)));
        }
        return readings;
    }
}
