using System.Globalization;
using System.Text.Json;
using System.Text.Json.Nodes;
using Graftbench.Core.Jobs;
using Graftbench.Store;
using Graftbench.Web.Forms;

namespace Graftbench.Web.NewJob;

/// <summary>A bench whose heaters were described in an earlier job.</summary>
/// <param name="JobId">The newest job on that bench.</param>
/// <param name="Title">Name and heaters in one line.</param>
/// <param name="Job">That job.</param>
internal sealed record KnownBench(string JobId, string Title, Job Job);

/// <summary>The bench that a new job starts with, so that heaters are typed once.</summary>
/// <param name="Known">Benches with heaters, the one used last first.</param>
/// <param name="Chosen">The one to take; null for a bench that is not described yet.</param>
internal sealed record BenchChoice(IReadOnlyList<KnownBench> Known, KnownBench? Chosen)
{
    /// <summary>Name of the field that carries the choice: the id of a job, or nothing.</summary>
    public const string Field = "x.bench";

    private static readonly string[] Taken = ["name", "preheater", "hotGas", "probeChannels"];

    /// <summary>The bench used last, or the one that a form names.</summary>
    /// <param name="store">The store.</param>
    /// <param name="posted">What the form holds; null where no form was posted.</param>
    public static BenchChoice Of(BenchStore store, string? posted)
    {
        List<KnownBench> known = store
            .Jobs()
            .Where(stored => HeaterPlaces.AreDescribed(stored.Job.Bench.Heat))
            .DistinctBy(stored => stored.Job.Bench.Name?.Trim() ?? "", StringComparer.OrdinalIgnoreCase)
            .Select(stored => new KnownBench(stored.Job.Id, Words(stored.Job.Bench), stored.Job))
            .ToList();
        return new BenchChoice(
            known,
            posted is null ? known.FirstOrDefault() : known.Find(bench => bench.JobId == posted)
        );
    }

    /// <summary>Lays the chosen bench into a job document, under its host board.</summary>
    public void LayInto(JsonObject document)
    {
        if (Chosen is null)
        {
            return;
        }
        JsonObject bench = JobPath.ObjectAt(document, "bench");
        JsonNode earlier = JobDraft.ToDocument(Chosen.Job)["bench"]!;
        foreach (string field in Taken)
        {
            bench.Remove(field);
            if (earlier[field] is { } value)
            {
                bench[field] = value.DeepClone();
            }
        }
        Board last = Chosen.Job.Host;
        HeatTools tools = HeaterPlaces.Under(
            Chosen.Job.Bench.Heat,
            last,
            Number(document, "host.lengthMm") ?? last.LengthMm,
            Number(document, "host.widthMm") ?? last.WidthMm
        );
        bench["heat"] = JsonSerializer.SerializeToNode(tools, JobFormat.Json);
    }

    private static double? Number(JsonObject document, string path) =>
        JobPath.Find(document, path) is JsonValue value && value.TryGetValue(out double number) ? number : null;

    private static string Words(Bench bench)
    {
        HeatTools tools = bench.Heat;
        List<string> words = [FieldWords.NameOf(tools.Control)];
        if (tools.Gas.MaxC is { } gas)
        {
            words.Add(string.Create(CultureInfo.InvariantCulture, $"gas to {gas:0.#} °C"));
        }
        if (tools.Gas.Nozzles.Count is > 0 and var nozzles)
        {
            words.Add(nozzles == 1 ? "1 nozzle" : string.Create(CultureInfo.InvariantCulture, $"{nozzles} nozzles"));
        }
        if (tools.Preheater.Kind != PreheaterKind.Unknown)
        {
            words.Add($"{FieldWords.Of(tools.Preheater.Kind)} from below");
        }
        string name = string.IsNullOrWhiteSpace(bench.Name) ? "Bench without a name" : bench.Name.Trim();
        return $"{name}: {string.Join(", ", words)}";
    }
}
