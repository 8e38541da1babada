using System.Globalization;
using Graftbench.Core.Watching;
using Graftbench.Sheets;
using Graftbench.Store;
using Graftbench.Watch;
using Graftbench.Web.Shell;

namespace Graftbench.Web.Watching;

/// <summary>A probe as the screen shows it.</summary>
/// <param name="Channel">Channel.</param>
/// <param name="Where">Where it sits.</param>
/// <param name="Read">Its reading.</param>
/// <param name="State"><c>ok</c>, <c>fault</c>, <c>silent</c> or <c>other</c> for a channel that is recorded only.</param>
/// <param name="Words">What is wrong and what to do.</param>
public sealed record ProbeFace(string Channel, string Where, string Read, string State, string Words);

/// <summary>A limit as the screen shows it.</summary>
/// <param name="Title">What it is about.</param>
/// <param name="Now">Estimate now.</param>
/// <param name="Limit">The limit.</param>
/// <param name="Reached">When it is reached.</param>
/// <param name="State"><c>far</c>, <c>near</c> or <c>reached</c>.</param>
public sealed record LimitFace(string Title, string Now, string Limit, string Reached, string State);

/// <summary>Something that happened, as the screen shows it.</summary>
/// <param name="Clock">When.</param>
/// <param name="Kind">Sort.</param>
/// <param name="Text">What it says.</param>
public sealed record MarkFace(string Clock, string Kind, string Text);

/// <summary>All words and figures of the watch screen at one moment; the page and its live feed show the very same.</summary>
public sealed record WatchFace
{
    private const double NearS = 60;

    /// <summary>Rises with each.</summary>
    public required long Version { get; init; }

    /// <summary><c>running</c>, <c>ended</c> or <c>interrupted</c>.</summary>
    public required string State { get; init; }

    /// <summary>Time of the run on the clock.</summary>
    public required string Clock { get; init; }

    /// <summary>Stable name of the cue.</summary>
    public required string Cue { get; init; }

    /// <summary>The cue in a few words.</summary>
    public required string Headline { get; init; }

    /// <summary>The cue's sentences.</summary>
    public required string Detail { get; init; }

    /// <summary>Seconds left of what the cue counts down; empty where it counts nothing.</summary>
    public required string Left { get; init; }

    /// <summary>Coldest joint, number alone.</summary>
    public required string Coldest { get; init; }

    /// <summary>Its band and place.</summary>
    public required string Band { get; init; }

    /// <summary>What it has to reach.</summary>
    public required string Target { get; init; }

    /// <summary>How far it is from there.</summary>
    public required string ToGo { get; init; }

    /// <summary>Time until every joint is molten.</summary>
    public required string Melt { get; init; }

    /// <summary>The same at the latest.</summary>
    public required string MeltLatest { get; init; }

    /// <summary>Stable name of how far the estimate is to be believed.</summary>
    public required string Trust { get; init; }

    /// <summary>The same in words.</summary>
    public required string TrustWords { get; init; }

    /// <summary>Hottest joint.</summary>
    public required string Hottest { get; init; }

    /// <summary>Chip's top.</summary>
    public required string Body { get; init; }

    /// <summary>What is set on the heaters.</summary>
    public required string Settings { get; init; }

    /// <summary>Stage of the plan, and the next one.</summary>
    public required string Stage { get; init; }

    /// <summary>Source in words.</summary>
    public required string Source { get; init; }

    /// <summary>Whether readings come.</summary>
    public required bool SourceWell { get; init; }

    /// <summary>How much is on disk.</summary>
    public required string Stored { get; init; }

    /// <summary>Why something is not on disk; empty where all is.</summary>
    public required string StoreProblem { get; init; }

    /// <summary>Probes and other channels.</summary>
    public required IReadOnlyList<ProbeFace> Probes { get; init; }

    /// <summary>Limits, soonest first.</summary>
    public required IReadOnlyList<LimitFace> Limits { get; init; }

    /// <summary>What happened lately, the newest first.</summary>
    public required IReadOnlyList<MarkFace> Marks { get; init; }

    /// <summary>Row for the chart, as the history has it [s, °C].</summary>
    public required IReadOnlyList<double?> Row { get; init; }

    /// <summary>The face of a moment.</summary>
    /// <param name="run">The run.</param>
    /// <param name="now">The moment.</param>
    /// <param name="fahrenheit">Whether temperatures are read in °F.</param>
    public static WatchFace Of(WatchRun run, RunSnapshot now, bool fahrenheit)
    {
        ArgumentNullException.ThrowIfNull(run);
        ArgumentNullException.ThrowIfNull(now);
        LiveEstimate estimate = now.State.Estimate;
        WatchCue cue = now.State.Cue;
        TemperatureBand coldest = estimate.Coldest.Band;
        double moltenC = run.Order.Model.Setup.Model.MoltenC;
        string Text(string text) => fahrenheit ? Temperatures.WithFahrenheit(text) : text;
        string Degrees(double valueC) => Number(valueC, fahrenheit) + Unit(fahrenheit);
        double lowGap = moltenC - coldest.LowC;
        return new WatchFace
        {
            Version = now.Version,
            State = now.Run.State.ToString().ToLowerInvariant(),
            Clock = QuantityText.Clock(now.TimeS),
            Cue = Word(cue.Kind),
            Headline = Text(cue.Headline),
            Detail = Text(cue.Detail),
            Left = cue.LeftS is double left ? Whole(left) : "",
            Coldest = Number(coldest.EstimateC, fahrenheit),
            Band = $"{Number(coldest.LowC, fahrenheit)} to {Degrees(coldest.HighC)}, {estimate.Coldest.Where}",
            Target = $"full melt {Degrees(moltenC)}",
            ToGo =
                IsPast(cue.Kind) ? "on its way down"
                : lowGap > 0 ? $"{Span(lowGap, fahrenheit)} to a sure melt"
                : "surely molten, by the band",
            Melt = MeltWords(cue.Kind, now.State.Ahead),
            MeltLatest = LatestWords(cue.Kind, now.State.Ahead),
            Trust = Word(estimate.Trust),
            TrustWords = Text(WhyTrust(estimate)),
            Hottest = $"{Degrees(estimate.Hottest.Band.EstimateC)}, {estimate.Hottest.Where}",
            Body = estimate.BodyTop is { } top ? $"{Degrees(top.Band.EstimateC)}, up to {Degrees(top.Band.HighC)}" : "",
            Settings = SettingsText(now, fahrenheit),
            Stage = Text(WatchStages.Of(run.Order.Stages, now.TimeS)),
            Source = now.Source.Text,
            SourceWell = now.Source.Well,
            Stored = $"{now.StoredNumber.ToString("N0", CultureInfo.InvariantCulture)} readings on disk",
            StoreProblem = now.StoreProblem ?? "",
            Probes = [.. now.Channels.Select(channel => Probe(channel, now, fahrenheit))],
            Limits = [.. now.State.Ahead.Limits.Select(limit => Limit(limit, estimate, fahrenheit))],
            Marks =
            [
                .. now
                    .Marks.Reverse()
                    .Take(12)
                    .Select(mark => new MarkFace(QuantityText.Clock(mark.TimeS), mark.Kind, Text(mark.Text))),
            ],
            Row = RowOf(now),
        };
    }

    /// <summary>A temperature as a number without its unit.</summary>
    internal static string Number(double valueC, bool fahrenheit) => Whole(fahrenheit ? valueC * 1.8 + 32 : valueC);

    private static string Unit(bool fahrenheit) => fahrenheit ? " °F" : " °C";

    private static string Span(double deltaK, bool fahrenheit) =>
        fahrenheit ? $"{Whole(deltaK * 1.8)} °F" : $"{Whole(deltaK)} K";

    private static string Whole(double value) =>
        Math.Round(value, MidpointRounding.AwayFromZero).ToString("0", CultureInfo.InvariantCulture);

    private static string Word<T>(T value)
        where T : struct, Enum => Forms.FieldWords.NameOf(value);

    // After the melt nobody waits for one any more.
    private static bool IsPast(CueKind cue) => cue is CueKind.Freezing or CueKind.Solid;

    private static string MeltWords(CueKind cue, WatchAhead ahead) =>
        (cue, ahead.LastMeltInS) switch
        {
            (CueKind.Freezing, _) => "over: cooling",
            (CueKind.Solid, _) => "over: solid",
            (_, null) => $"not within {Whole(ahead.ReachS)} s as set",
            (_, 0) => "molten",
            (_, double melt) => $"in about {Whole(melt)} s",
        };

    private static string LatestWords(CueKind cue, WatchAhead ahead) =>
        (cue, ahead.LastMeltLatestInS) switch
        {
            (CueKind.Freezing, _) => "not surely solid yet",
            (CueKind.Solid, _) => "surely solid",
            (_, null) => $"not surely within {Whole(ahead.ReachS)} s",
            (_, 0) => "surely",
            (_, double latest) => $"{Whole(latest)} s at the latest",
        };

    private static string WhyTrust(LiveEstimate estimate) =>
        estimate.Trust switch
        {
            WatchTrust.Trusted => "Readings and model agree.",
            _ when estimate.Reasons.Count > 0 => string.Join(" ", estimate.Reasons),
            WatchTrust.Settling => "Too early to tell whether the model fits.",
            _ => "The estimate cannot be believed.",
        };

    private static string SettingsText(RunSnapshot now, bool fahrenheit)
    {
        string Told(double setC) => setC > now.RoomC ? Number(setC, fahrenheit) + Unit(fahrenheit) : "off";
        string gas = now.GasSetC is double g ? $"gas {Told(g)}" : "";
        string heater = now.PreheaterSetC is double p ? $"bottom heater {Told(p)}" : "";
        return $"{gas}, {heater}, {(now.ByHand ? "as you have set" : "as planned")}";
    }

    private static ProbeFace Probe(ChannelNow channel, RunSnapshot now, bool fahrenheit)
    {
        ProbeHealth? health = now.State.Probes.FirstOrDefault(one => one.Channel == channel.Name);
        bool fault = channel.Watched && health is { Fault: not ProbeFault.None };
        string state =
            fault ? "fault"
            : channel.TemperatureC is null ? "silent"
            : channel.Watched ? "ok"
            : "other";
        string words =
            fault ? health!.Words
            : channel.TemperatureC is null ? (now.Source.Well ? "Open: no reading from this channel." : "No reading.")
            : channel.Watched ? "sound"
            : "recorded, not used";
        string read = channel.TemperatureC is double c
            ? (fahrenheit ? c * 1.8 + 32 : c).ToString("0.0", CultureInfo.InvariantCulture) + Unit(fahrenheit)
            : "none";
        return new ProbeFace(
            channel.Name,
            channel.Where,
            read,
            state,
            fahrenheit ? Temperatures.WithFahrenheit(words) : words
        );
    }

    private static LimitFace Limit(LimitAhead limit, LiveEstimate estimate, bool fahrenheit)
    {
        PlaceEstimate? place =
            estimate.BodyTop is { } top && top.Place == limit.Place
                ? top
                : estimate.Neighbours.FirstOrDefault(one => one.Place == limit.Place);
        double? nowC = place?.Band.EstimateC ?? (limit.OfChip ? estimate.Hottest.Band.EstimateC : null);
        string reached = limit switch
        {
            { InS: 0 } => "reached",
            { InS: double inS } => $"in {Whole(inS)} s",
            { EarliestInS: 0 } => "perhaps reached",
            { EarliestInS: double earliest } => $"in {Whole(earliest)} s at the earliest",
            _ => "not in sight",
        };
        string state =
            limit.InS == 0 ? "reached"
            : limit.InS <= NearS || limit.EarliestInS <= NearS ? "near"
            : "far";
        return new LimitFace(
            limit.Title,
            nowC is double c ? Number(c, fahrenheit) + Unit(fahrenheit) : "",
            Number(limit.LimitC, fahrenheit) + Unit(fahrenheit),
            reached,
            state
        );
    }

    private static IReadOnlyList<double?> RowOf(RunSnapshot now)
    {
        LiveEstimate estimate = now.State.Estimate;
        double?[] row =
        [
            now.TimeS,
            estimate.Coldest.Band.EstimateC,
            estimate.Coldest.Band.LowC,
            estimate.Coldest.Band.HighC,
            estimate.Hottest.Band.EstimateC,
            estimate.BodyTop?.Band.EstimateC,
            estimate.GasC,
            estimate.PreheaterC,
            .. now.Channels.Select(channel => channel.TemperatureC),
        ];
        return [.. row.Select(one => one is double value ? Math.Round(value, 2) : (double?)null)];
    }
}
