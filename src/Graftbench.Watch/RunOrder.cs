using System.Text.Json;
using Graftbench.Core.Heating;
using Graftbench.Core.Watching;

namespace Graftbench.Watch;

/// <summary>A heat that is to be watched.</summary>
/// <param name="RecordId">Job that it belongs to.</param>
/// <param name="Who">Who watches.</param>
/// <param name="ChipId">The chip.</param>
/// <param name="Subject">What is heated: <c>host board</c>.</param>
/// <param name="Model">Model and probes; a probe's channel is one of the feed's.</param>
/// <param name="Goals">What it is watched for.</param>
public sealed record RunOrder(
    string RecordId,
    string Who,
    string ChipId,
    string Subject,
    WatchModel Model,
    WatchGoals Goals
)
{
    /// <summary>Stages of the plan, for the person; empty without a plan.</summary>
    public IReadOnlyList<HeatStage> Stages { get; init; } = [];

    /// <summary>The plan's curves, for the chart; null without a plan.</summary>
    public HeatCurves? Curves { get; init; }

    /// <summary>Name of the nozzle on the bench's list; null where the plan names none.</summary>
    public string? Nozzle { get; init; }

    /// <summary>Where a place of the model lies, in words; the place's name where it has none.</summary>
    public IReadOnlyDictionary<string, string> Where { get; init; } =
        new Dictionary<string, string>(StringComparer.Ordinal);

    /// <summary>What the record says of the run: source, plan, probes, limits.</summary>
    /// <param name="feed">Where its readings come from.</param>
    public string SetupJson(IRunFeed feed)
    {
        ArgumentNullException.ThrowIfNull(feed);
        WatchSetup setup = Model.Setup;
        return JsonSerializer.Serialize(
            new
            {
                source = new
                {
                    name = feed.Name,
                    nature = Word(feed.Nature),
                    speed = feed is PacedFeed paced ? paced.SpeedRatio : 1,
                },
                simulation = feed.Nature == FeedNature.Simulation,
                task = Word(Goals.Task),
                chip = ChipId,
                subject = Subject,
                nozzle = Nozzle,
                alignmentChecked = setup.AlignmentChecked,
                moltenS = Goals.MoltenS,
                solidusC = setup.Model.SolidusC,
                moltenC = setup.Model.MoltenC,
                roomC = setup.Model.RoomC,
                plan = setup.Plan is { } plan
                    ? new
                    {
                        gas = plan.Gas.Select(point => new[] { point.TimeS, point.TemperatureC }),
                        preheater = plan.Preheater.Select(point => new[] { point.TimeS, point.TemperatureC }),
                        durationS = plan.DurationS,
                    }
                    : null,
                probes = setup.Probes.Select(probe => new
                {
                    channel = probe.Channel,
                    place = probe.Place.Name,
                    kind = Word(probe.Place.Kind),
                    part = probe.Place.Part,
                    xMm = probe.Place.XMm,
                    yMm = probe.Place.YMm,
                    zMm = probe.Place.ZMm,
                    placedWithinMm = probe.PlacedWithinMm,
                    biasDeltaK = probe.BiasDeltaK,
                }),
                limits = setup.Limits.Select(limit => new
                {
                    kind = Word(limit.Kind),
                    place = limit.Place,
                    title = limit.Title,
                    value = limit.Value,
                    unit = limit.Unit,
                    hard = limit.Hard,
                    source = limit.Source,
                }),
            }
        );
    }

    /// <summary>A word of a list as JSON has it: <c>attachBalls</c>.</summary>
    internal static string Word<T>(T value)
        where T : struct, Enum => JsonNamingPolicy.CamelCase.ConvertName(value.ToString());
}
