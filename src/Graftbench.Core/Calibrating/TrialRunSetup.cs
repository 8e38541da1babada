using System.Text.Json;
using Graftbench.Core.Heating;
using Graftbench.Core.Physics.Heat;
using Graftbench.Core.Watching;

namespace Graftbench.Core.Calibrating;

/// <summary>What a stored run says of itself.</summary>
/// <param name="Probes">Probes with their places.</param>
/// <param name="Plan">Planned set points; null where there is none.</param>
/// <param name="Simulation">Whether no board was heated.</param>
/// <param name="AlignmentChecked">Whether the nozzle was checked by sight.</param>
public sealed record TrialRunSetup(
    IReadOnlyList<WatchProbe> Probes,
    HeatSchedule? Plan,
    bool Simulation,
    bool AlignmentChecked
)
{
    /// <summary>Reads it; what cannot be read is missing.</summary>
    /// <param name="json">The setup that the run was stored with.</param>
    public static TrialRunSetup Read(string json)
    {
        try
        {
            using JsonDocument document = JsonDocument.Parse(json);
            JsonElement root = document.RootElement;
            bool Flag(string name) =>
                root.TryGetProperty(name, out JsonElement flag) && flag.ValueKind == JsonValueKind.True;
            List<WatchProbe> probes = [];
            if (root.TryGetProperty("probes", out JsonElement all) && all.ValueKind == JsonValueKind.Array)
            {
                foreach (JsonElement one in all.EnumerateArray())
                {
                    string channel = one.GetProperty("channel").GetString() ?? "";
                    probes.Add(
                        new WatchProbe(
                            channel,
                            new HeatPlace(
                                "channel " + channel,
                                HeatPlaceKind.Probe,
                                null,
                                one.GetProperty("xMm").GetDouble(),
                                one.GetProperty("yMm").GetDouble(),
                                one.GetProperty("zMm").GetDouble()
                            )
                        )
                    );
                }
            }
            bool planned = root.TryGetProperty("plan", out JsonElement plan) && plan.ValueKind == JsonValueKind.Object;
            return new TrialRunSetup(
                probes,
                planned
                    ? new HeatSchedule(
                        Points(plan.GetProperty("gas")),
                        Points(plan.GetProperty("preheater")),
                        plan.GetProperty("durationS").GetDouble()
                    )
                    : null,
                Flag("simulation"),
                Flag("alignmentChecked")
            );
        }
        catch (Exception problem)
            when (problem is JsonException or KeyNotFoundException or InvalidOperationException or FormatException)
        {
            return new TrialRunSetup([], null, false, false);
        }
    }

    private static List<SignalPoint> Points(JsonElement points) =>
        [.. points.EnumerateArray().Select(one => new SignalPoint(one[0].GetDouble(), one[1].GetDouble()))];
}
