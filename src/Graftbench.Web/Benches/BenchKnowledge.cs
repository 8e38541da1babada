using System.Text.Json;
using System.Text.Json.Serialization;
using Graftbench.Core.Calibrating;
using Graftbench.Core.Heating;
using Graftbench.Core.Jobs;
using Graftbench.Store;

namespace Graftbench.Web.Benches;

/// <summary>A calibration as the store keeps it.</summary>
/// <param name="Calibration">What the bench keeps.</param>
/// <param name="Result">The whole result, for the page.</param>
/// <param name="Source">What it rests on, in words.</param>
public sealed record CalibrationFact(BenchCalibration Calibration, CalibrationResult Result, string Source)
{
    private static readonly JsonSerializerOptions Json = new(JsonSerializerDefaults.Web)
    {
        NumberHandling = JsonNumberHandling.AllowNamedFloatingPointLiterals,
        Converters = { new JsonStringEnumConverter(JsonNamingPolicy.KebabCaseLower) },
    };

    /// <summary>As the store keeps it.</summary>
    public string Write() => JsonSerializer.Serialize(this, Json);

    /// <summary>Reads a fact; null where it is none that can be used.</summary>
    /// <param name="json">The fact.</param>
    public static CalibrationFact? Read(string json)
    {
        try
        {
            return
                JsonSerializer.Deserialize<CalibrationFact>(json, Json) is { Calibration: { } kept } fact
                && CalibrationUse.IsSound(kept)
                ? fact
                : null;
        }
        catch (Exception problem) when (problem is JsonException or NotSupportedException or ArgumentException)
        {
            return null;
        }
    }
}

/// <summary>A calibration with when and by whom it was kept.</summary>
/// <param name="Kept">The line of the store.</param>
/// <param name="Fact">What it says; null where it cannot be read.</param>
public sealed record KeptCalibration(BenchFact Kept, CalibrationFact? Fact);

/// <summary>What is known of one bench.</summary>
/// <param name="Name">Its name; empty for the one without a name.</param>
/// <param name="Newest">The newest job on it that describes heaters; null where none does.</param>
/// <param name="JobCount">Jobs on it.</param>
/// <param name="Calibrations">Calibrations, the newest first.</param>
/// <param name="Formats">How its probes are read, the newest first.</param>
/// <param name="Current">The calibration that counts; null where there is none.</param>
public sealed record BenchPicture(
    string Name,
    StoredJob? Newest,
    int JobCount,
    IReadOnlyList<KeptCalibration> Calibrations,
    IReadOnlyList<BenchFact> Formats,
    BenchCalibration? Current
)
{
    /// <summary>Its name for a person.</summary>
    public string Title => Name.Length > 0 ? Name : "Bench without a name";

    /// <summary>Whole results of what counts; null where there is none.</summary>
    public CalibrationFact? CurrentFact => Calibrations.Select(one => one.Fact).FirstOrDefault(one => one is not null);
}

/// <summary>What store and jobs say of benches.</summary>
internal static class BenchKnowledge
{
    /// <summary>Every bench of the jobs and of the facts, the one used last first.</summary>
    public static IReadOnlyList<BenchPicture> All(BenchStore store)
    {
        // Benches that nothing was done at lately are known by their facts.
        IReadOnlyList<StoredJob> jobs = store.FindJobs(new JobQuery { Take = JobQuery.MostJobs }).Jobs;
        IReadOnlyList<BenchFact> facts = store.BenchFacts();
        return
        [
            .. jobs.Select(one => one.Job.Bench.Name?.Trim() ?? "")
                .Concat(facts.Select(one => one.Bench))
                .DistinctBy(BenchFactRules.KeyOf)
                .Select(name => Of(name, jobs, facts)),
        ];
    }

    /// <summary>What counts for a job: the newest calibration of its bench, as old as it is now.</summary>
    public static Job With(BenchStore store, Job job, DateTimeOffset now)
    {
        BenchCalibration? kept = store
            .BenchFacts(job.Bench.Name, BenchFactRules.Calibration)
            .Select(one => CalibrationFact.Read(one.Json)?.Calibration)
            .FirstOrDefault(one => one is not null);
        bool newer = kept is not null && (job.Bench.Calibration is not { } own || kept.At >= own.At);
        return CalibrationUse.AsOf(newer ? job with { Bench = job.Bench with { Calibration = kept } } : job, now);
    }

    private static BenchPicture Of(string name, IReadOnlyList<StoredJob> jobs, IReadOnlyList<BenchFact> facts)
    {
        string key = BenchFactRules.KeyOf(name);
        List<StoredJob> here = [.. jobs.Where(one => BenchFactRules.KeyOf(one.Job.Bench.Name) == key)];
        List<BenchFact> own = [.. facts.Where(one => BenchFactRules.KeyOf(one.Bench) == key)];
        List<KeptCalibration> calibrations =
        [
            .. own.Where(one => one.Kind == BenchFactRules.Calibration)
                .Select(one => new KeptCalibration(one, CalibrationFact.Read(one.Json))),
        ];
        return new BenchPicture(
            name,
            here.FirstOrDefault(one => HeaterPlaces.AreDescribed(one.Job.Bench.Heat)) ?? here.FirstOrDefault(),
            here.Count,
            calibrations,
            [.. own.Where(one => one.Kind == BenchFactRules.ProbeFormat)],
            calibrations
                .Select(one => one.Fact?.Calibration)
                .Concat(here.Select(one => one.Job.Bench.Calibration))
                .OfType<BenchCalibration>()
                .MaxBy(one => one.At)
        );
    }
}
