using System.Text.Json;
using System.Text.Json.Serialization;
using Graftbench.Core.Fit.Maps;
using Graftbench.Core.Proof;
using Graftbench.Store;

namespace Graftbench.Web.Proving;

/// <summary>Whose current over time a trace shows.</summary>
public enum TraceRole
{
    /// <summary>This board's first power after the work.</summary>
    FirstPower,

    /// <summary>This board while it was healthy.</summary>
    OwnHealthy,

    /// <summary>Another board of the same sort that works.</summary>
    ShopHealthy,
}

/// <summary>What a line of evidence says about readings, proof and first power.</summary>
public sealed record ReadingNote
{
    /// <summary>Readings in the format of docs/readings.md.</summary>
    public string? Csv { get; init; }

    /// <summary>Line whose readings are taken back.</summary>
    public long? TakesBack { get; init; }

    /// <summary>A limit that was changed, by its name.</summary>
    public string? Limit { get; init; }

    /// <summary>Its value in the unit of the table; null puts the program's own back.</summary>
    public double? Value { get; init; }

    /// <summary>A rail that a person described.</summary>
    public RailNote? Rail { get; init; }

    /// <summary>Expected figures of the first power.</summary>
    public PowerNote? Power { get; init; }

    /// <summary>Role of the trace in the line's file.</summary>
    public TraceRole? Trace { get; init; }

    internal static JsonSerializerOptions Json { get; } =
        new(JsonSerializerDefaults.Web)
        {
            DefaultIgnoreCondition = JsonIgnoreCondition.WhenWritingNull,
            Converters = { new JsonStringEnumConverter(JsonNamingPolicy.KebabCaseLower, allowIntegerValues: false) },
        };
}

/// <summary>A rail as a person describes it.</summary>
/// <param name="Name">Its name.</param>
/// <param name="Class">What it feeds.</param>
/// <param name="Baseline">The state that it is held against.</param>
/// <param name="NominalV">Its voltage; null where not told [V].</param>
public sealed record RailNote(string Name, RailClass Class, ReadingState Baseline, double? NominalV);

/// <summary>Expected figures of the first power.</summary>
/// <param name="SupplyV">Voltage of the supply [V].</param>
/// <param name="StandbyCurrentA">Current at standby [A].</param>
/// <param name="RunCurrentA">Current while it runs [A].</param>
/// <param name="CoolerOn">Whether a cooler or dummy load is on the die.</param>
/// <param name="From">Where the figures come from.</param>
/// <param name="Revision">Revision of the host board.</param>
public sealed record PowerNote(
    double? SupplyV,
    double? StandbyCurrentA,
    double? RunCurrentA,
    bool? CoolerOn,
    string? From,
    string? Revision
);

/// <summary>The payload of a line: words for everyone, and the note for these screens.</summary>
/// <param name="Note">The line in words.</param>
/// <param name="File">Name of its file; null without one.</param>
/// <param name="Readings">What it says.</param>
public sealed record ReadingPayload(string Note, string? File, ReadingNote Readings);

/// <summary>A reading in the record of a job.</summary>
/// <param name="Line">Line of evidence that it came with.</param>
/// <param name="Alone">Whether the line holds no other.</param>
/// <param name="Reading">The reading.</param>
public sealed record JobReading(long Line, bool Alone, Reading Reading);

/// <summary>A trace in the record of a job.</summary>
/// <param name="Line">Its line of evidence.</param>
/// <param name="Name">Name of its file.</param>
/// <param name="Sha256">Its SHA-256.</param>
/// <param name="At">When it was stored.</param>
/// <param name="Role">Whose it is.</param>
public sealed record JobTrace(long Line, string Name, string Sha256, DateTimeOffset At, TraceRole Role);

/// <summary>Everything that a job's evidence says about its readings.</summary>
/// <param name="Readings">Readings that were not taken back, oldest first.</param>
/// <param name="Limits">Limits, a person's in the place of the program's.</param>
/// <param name="Changed">Names of limits that a person changed.</param>
/// <param name="Rails">Rails that a person described.</param>
/// <param name="Power">Expected figures of the first power.</param>
/// <param name="Traces">Traces, oldest first.</param>
public sealed record JobReadings(
    IReadOnlyList<JobReading> Readings,
    ProofThresholds Limits,
    IReadOnlySet<string> Changed,
    IReadOnlyList<ProofRail> Rails,
    PowerNote Power,
    IReadOnlyList<JobTrace> Traces
)
{
    /// <summary>The readings alone.</summary>
    public IReadOnlyList<Reading> All => [.. Readings.Select(one => one.Reading)];

    /// <summary>What the lines of a record say.</summary>
    public static JobReadings Of(IEnumerable<EvidenceLine> lines)
    {
        ArgumentNullException.ThrowIfNull(lines);
        List<JobReading> readings = [];
        Dictionary<string, double> limits = new(StringComparer.Ordinal);
        Dictionary<string, ProofRail> rails = new(StringComparer.OrdinalIgnoreCase);
        PowerNote power = new(null, null, null, null, null, null);
        List<JobTrace> traces = [];
        foreach (EvidenceLine line in lines)
        {
            if (Note(line) is not { } note)
            {
                continue;
            }
            if (note.Csv is { } csv)
            {
                IReadOnlyList<Reading> read = ReadingList.Read(csv).Readings;
                readings.AddRange(read.Select(one => new JobReading(line.Sequence, read.Count == 1, one)));
            }
            if (note.TakesBack is { } back)
            {
                readings.RemoveAll(one => one.Line == back);
                traces.RemoveAll(one => one.Line == back);
            }
            if (note.Limit is { } limit)
            {
                if (note.Value is { } value)
                {
                    limits[limit] = value;
                }
                else
                {
                    limits.Remove(limit);
                }
            }
            if (note.Rail is { } rail)
            {
                rails[rail.Name] = new ProofRail(rail.Name, rail.Class, ClassBasis.Told, rail.Baseline, rail.NominalV);
            }
            power = note.Power ?? power;
            if (note.Trace is { } role && line is { FileSha256: { } sha, FileName: { } name })
            {
                traces.Add(new JobTrace(line.Sequence, name, sha, line.At, role));
            }
        }
        return new JobReadings(
            readings,
            Replaced(limits),
            limits.Keys.ToHashSet(StringComparer.Ordinal),
            [.. rails.Values],
            power,
            traces
        );
    }

    // A limit of somebody else's record that this program does not know says nothing here.
    private static ProofThresholds Replaced(Dictionary<string, double> limits)
    {
        ProofThresholds all = ProofThresholds.Standard;
        foreach ((string id, double value) in limits)
        {
            try
            {
                all = all.With(id, value);
            }
            catch (ArgumentException)
            {
                continue;
            }
        }
        return all;
    }

    private static ReadingNote? Note(EvidenceLine line)
    {
        if (!line.PayloadJson.Contains("\"readings\"", StringComparison.Ordinal))
        {
            return null;
        }
        try
        {
            return JsonSerializer.Deserialize<ReadingPayload>(line.PayloadJson, ReadingNote.Json)?.Readings;
        }
        catch (JsonException)
        {
            // A line that came with somebody else's record: it stays, and says nothing to these screens.
            return null;
        }
    }
}
