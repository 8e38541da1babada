using System.Globalization;
using System.Text.Json;
using System.Text.Json.Nodes;
using Graftbench.Core.Heating;
using Graftbench.Core.Physics.Heat;

namespace Graftbench.Core.Reviewing;

/// <summary>A probe of a run, as a person said where it sat.</summary>
/// <param name="Channel">Channel.</param>
/// <param name="At"><c>body</c>, <c>underside</c>, a part's reference, or x,y[,z] in mm; empty where nobody said.</param>
public sealed record RunProbe(string Channel, string At);

/// <summary>What a stored run was: what was heated, how it was set, where the beads sat. Travels with the run as JSON.</summary>
public sealed record RunSetup
{
    /// <summary>Name of the document's format.</summary>
    public const string Format = "graftbench-run-1";

    private const int MostPoints = 2000;

    /// <summary>What the heat was for; null where nobody says.</summary>
    public HeatTask? Task { get; init; }

    /// <summary>The chip; null where nobody says.</summary>
    public string? ChipId { get; init; }

    /// <summary>Where the beads sat.</summary>
    public IReadOnlyList<RunProbe> Probes { get; init; } = [];

    /// <summary>Set points; null where they are not known.</summary>
    public HeatSchedule? Plan { get; init; }

    /// <summary>Time up to switching off; null where it is not known [s].</summary>
    public double? HeatingS { get; init; }

    /// <summary>What the person set besides.</summary>
    public IReadOnlyList<RunSetting> Settings { get; init; } = [];

    /// <summary>Name of the nozzle on the bench's list; null for a usual one.</summary>
    public string? Nozzle { get; init; }

    /// <summary>Flow as share of the strongest step; null for the middle step, with which plans are made [%].</summary>
    public double? FlowPercent { get; init; }

    /// <summary>Whether somebody checked by sight that the nozzle stood centred.</summary>
    public bool AlignmentChecked { get; init; }

    /// <summary>Time in the log at which the heat started [s].</summary>
    public double StartS { get; init; }

    /// <summary>When the heat began, where that is not when the run was stored; null where nobody says.</summary>
    public DateTimeOffset? HeatedAt { get; init; }

    /// <summary>Whether the readings come from a simulated bench.</summary>
    public bool Simulated { get; init; }

    /// <summary>Whether a stored log was played again: no board was heated.</summary>
    public bool Replay { get; init; }

    /// <summary>Where the readings come from: name of a file; null for a watched heat.</summary>
    public string? Source { get; init; }

    /// <summary>Writes it as JSON.</summary>
    public string ToJson()
    {
        static JsonArray Points(IReadOnlyList<SignalPoint> points) =>
            [.. points.Select(point => (JsonNode)new JsonArray(point.TimeS, point.TemperatureC))];
        JsonObject document = new()
        {
            ["format"] = Format,
            ["task"] = Task?.ToString(),
            ["chip"] = ChipId,
            ["nozzle"] = Nozzle,
            ["flowPercent"] = FlowPercent,
            ["alignmentChecked"] = AlignmentChecked,
            ["startS"] = StartS,
            ["heatingS"] = HeatingS,
            ["heatedAt"] = HeatedAt?.ToString("O", CultureInfo.InvariantCulture),
            ["simulated"] = Simulated,
            ["source"] = Source,
            ["probes"] = new JsonArray([
                .. Probes.Select(probe => (JsonNode)new JsonObject { ["channel"] = probe.Channel, ["at"] = probe.At }),
            ]),
            ["plan"] = Plan is null
                ? null
                : new JsonObject
                {
                    ["gas"] = Points(Plan.Gas),
                    ["preheater"] = Points(Plan.Preheater),
                    ["durationS"] = Plan.DurationS,
                },
            ["settings"] = new JsonArray([
                .. Settings.Select(one =>
                    (JsonNode)
                        new JsonObject
                        {
                            ["timeS"] = one.TimeS,
                            ["gasC"] = one.GasC,
                            ["preheaterC"] = one.PreheaterC,
                        }
                ),
            ]),
        };
        return document.ToJsonString();
    }

    /// <summary>Reads a setup; what it does not understand stays unknown, so that a run can always be looked at.</summary>
    public static RunSetup Read(string? json)
    {
        if (string.IsNullOrWhiteSpace(json))
        {
            return new RunSetup();
        }
        try
        {
            using JsonDocument document = JsonDocument.Parse(
                json,
                new JsonDocumentOptions { MaxDepth = 32, CommentHandling = JsonCommentHandling.Skip }
            );
            return document.RootElement.ValueKind == JsonValueKind.Object ? Of(document.RootElement) : new RunSetup();
        }
        catch (JsonException)
        {
            return new RunSetup();
        }
    }

    /// <summary>Set points out of a heat plan's JSON; null where it has none.</summary>
    /// <param name="json">A plan as the heat planner writes it.</param>
    public static RunSetup? OfPlan(string json)
    {
        try
        {
            using JsonDocument document = JsonDocument.Parse(json, new JsonDocumentOptions { MaxDepth = 64 });
            JsonElement root = document.RootElement;
            return
                root.ValueKind == JsonValueKind.Object
                && Object(root, "schedule") is { } schedule
                && Schedule(schedule) is { } plan
                ? new RunSetup
                {
                    Plan = plan,
                    Task = TaskOf(Text(root, "task")),
                    ChipId = Text(root, "chipId"),
                    HeatingS = Items(root, "moments")
                        .Where(one => Text(one, "name") == HeatMoments.SwitchOff)
                        .Select(one => Number(one, "timeS"))
                        .FirstOrDefault(),
                    Nozzle = Object(root, "nozzle") is { } nozzle ? Text(nozzle, "name") : null,
                }
                : null;
        }
        catch (JsonException)
        {
            return null;
        }
    }

    private static RunSetup Of(JsonElement root) =>
        new()
        {
            Task = TaskOf(Text(root, "task")),
            ChipId = Text(root, "chip") ?? Text(root, "chipId"),
            Nozzle = Text(root, "nozzle"),
            FlowPercent = Number(root, "flowPercent"),
            AlignmentChecked = Flag(root, "alignmentChecked"),
            StartS = Number(root, "startS") ?? 0,
            HeatingS = Number(root, "heatingS"),
            HeatedAt = DateTimeOffset.TryParse(
                Text(root, "heatedAt"),
                CultureInfo.InvariantCulture,
                DateTimeStyles.RoundtripKind,
                out DateTimeOffset at
            )
                ? at
                : null,
            Simulated = Flag(root, "simulated") || Flag(root, "simulation"),
            Replay = Object(root, "source") is { } from && Text(from, "nature") == "replay",
            // The name of a watched heat's logger is no file's.
            Source = Text(root, "source"),
            Probes = [.. Items(root, "probes").Select(Probe).OfType<RunProbe>()],
            Plan = Object(root, "plan") is { } plan ? Schedule(plan) : null,
            Settings =
            [
                .. Items(root, "settings")
                    .Where(one => Number(one, "timeS") is not null)
                    .Select(one => new RunSetting(
                        Number(one, "timeS")!.Value,
                        Heater(Number(one, "gasC")),
                        Heater(Number(one, "preheaterC"))
                    ))
                    .OrderBy(one => one.TimeS),
            ],
        };

    private static double? Heater(double? setC) => setC is >= -60 and <= 700 ? setC : null;

    private static RunProbe? Probe(JsonElement one) =>
        Text(one, "channel") is { } channel ? new RunProbe(channel, Text(one, "at") ?? Seat(one)) : null;

    // A watched heat says what a probe sat on and where.
    private static string Seat(JsonElement one)
    {
        HeatPlaceKind? kind = Enum.TryParse(Text(one, "kind"), ignoreCase: true, out HeatPlaceKind found)
            ? found
            : null;
        return kind switch
        {
            HeatPlaceKind.BodyTop => ProbeSeats.Body,
            HeatPlaceKind.Underside => ProbeSeats.Underside,
            HeatPlaceKind.NeighbourBody when Text(one, "part") is { } part => part,
            _ when Number(one, "xMm") is double xMm && Number(one, "yMm") is double yMm => FormattableString.Invariant(
                $"{xMm:0.###},{yMm:0.###},{Number(one, "zMm") ?? 0:0.###}"
            ),
            _ => "",
        };
    }

    private static HeatSchedule? Schedule(JsonElement plan)
    {
        List<SignalPoint> gas = Points(plan, "gas");
        List<SignalPoint> preheater = Points(plan, "preheater");
        double endS = gas.Concat(preheater).Select(point => point.TimeS).DefaultIfEmpty(0).Max();
        return gas.Count > 0 && preheater.Count > 0
            ? new HeatSchedule(gas, preheater, Math.Clamp(Number(plan, "durationS") ?? endS, 1, 7200))
            : null;
    }

    // Times that fall or temperatures no heater has make the list worthless, not the run.
    private static List<SignalPoint> Points(JsonElement plan, string name)
    {
        List<SignalPoint> points = [];
        foreach (JsonElement one in Items(plan, name))
        {
            (double? timeS, double? setC) =
                one.ValueKind == JsonValueKind.Array && one.GetArrayLength() == 2
                    ? (Number(one[0]), Number(one[1]))
                    : (Number(one, "timeS"), Number(one, "temperatureC"));
            bool sane =
                timeS is >= 0 and <= 7200
                && Heater(setC) is not null
                && (points.Count == 0 || timeS >= points[^1].TimeS)
                && points.Count < MostPoints;
            if (!sane)
            {
                return [];
            }
            points.Add(new SignalPoint(timeS!.Value, setC!.Value));
        }
        return points;
    }

    private static HeatTask? TaskOf(string? text) =>
        Enum.TryParse(text?.Replace("-", "", StringComparison.Ordinal), ignoreCase: true, out HeatTask task)
        && Enum.IsDefined(task)
            ? task
            : null;

    private static JsonElement? Object(JsonElement root, string name) =>
        root.ValueKind == JsonValueKind.Object
        && root.TryGetProperty(name, out JsonElement found)
        && found.ValueKind == JsonValueKind.Object
            ? found
            : null;

    private static JsonElement.ArrayEnumerator Items(JsonElement root, string name) =>
        root.ValueKind == JsonValueKind.Object
        && root.TryGetProperty(name, out JsonElement found)
        && found.ValueKind == JsonValueKind.Array
            ? found.EnumerateArray()
            : default;

    private static string? Text(JsonElement root, string name) =>
        root.ValueKind == JsonValueKind.Object
        && root.TryGetProperty(name, out JsonElement found)
        && found.ValueKind == JsonValueKind.String
        && found.GetString() is { Length: > 0 and <= 200 } text
            ? text
            : null;

    private static bool Flag(JsonElement root, string name) =>
        root.ValueKind == JsonValueKind.Object
        && root.TryGetProperty(name, out JsonElement found)
        && found.ValueKind == JsonValueKind.True;

    private static double? Number(JsonElement root, string name) =>
        root.ValueKind == JsonValueKind.Object && root.TryGetProperty(name, out JsonElement found)
            ? Number(found)
            : null;

    private static double? Number(JsonElement value) =>
        value.ValueKind == JsonValueKind.Number && value.TryGetDouble(out double number) && double.IsFinite(number)
            ? number
            : null;
}
