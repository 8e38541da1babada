using System.Globalization;
using System.Text.Encodings.Web;
using System.Text.Json;
using Graftbench.Core.Watching;
using Graftbench.Sheets;
using Graftbench.Store;
using Graftbench.Watch;

namespace Graftbench.Cli;

/// <summary>A live heat in a terminal: a table drawn anew where there is one, a line for each change elsewhere, or JSON lines.</summary>
internal static class WatchScreen
{
    private static readonly JsonSerializerOptions Json = new(JsonSerializerDefaults.Web)
    {
        // For a terminal or a file, never for a page.
        Encoder = JavaScriptEncoder.UnsafeRelaxedJsonEscaping,
        NumberHandling = System.Text.Json.Serialization.JsonNumberHandling.AllowNamedFloatingPointLiterals,
    };

    private static readonly Dictionary<char, string> Keys = new()
    {
        ['1'] = "moved",
        ['2'] = "dropped",
        ['3'] = "smelled",
        ['4'] = "popped",
    };

    /// <summary>Shows a run until it is over or the person ends it.</summary>
    /// <returns>Exit code.</returns>
    public static async Task<int> Follow(WatchRun run, bool json, CancellationToken cancel)
    {
        bool table = !json && !Console.IsOutputRedirected;
        if (!json && run.Feed.Nature != FeedNature.Live)
        {
            Console.Out.WriteLine(
                run.Feed.Nature == FeedNature.Simulation
                    ? "SIMULATION: nothing is heated, no board is there."
                    : "REPLAY of a stored log: no heat goes on."
            );
        }
        long seen = -1;
        double toldS = double.NegativeInfinity;
        string told = "";
        int drawn = 0;
        RunSnapshot now = run.Snapshot;
        try
        {
            while (now.GoesOn)
            {
                now = await run.NewerAsync(seen, cancel);
                seen = now.Version;
                if (await Key(run))
                {
                    break;
                }
                if (json ? now.TimeS >= toldS + 1 : table)
                {
                    toldS = Math.Floor(now.TimeS);
                    drawn = json ? Line(JsonOf(run, now)) : Draw(run, now, drawn);
                }
                else if (!json && Change(now) is { } change && change != told)
                {
                    told = change;
                    Console.Out.WriteLine(OneLine(now));
                }
                await Task.Delay(table ? 200 : 20, cancel);
            }
        }
        catch (OperationCanceledException) { }
        // A run that is over already is not ended twice.
        string? problem = run.Snapshot.GoesOn ? await run.EndAsync(HeatRunState.Ended) : null;
        await run.Over;
        RunSnapshot end = run.Snapshot;
        if (problem is not null)
        {
            throw new BadInputException($"The run could not be ended in the store: {problem}");
        }
        if (json)
        {
            Line(JsonOf(run, end));
        }
        else
        {
            Console.Out.WriteLine(
                FormattableString.Invariant(
                    $"Ended at {QuantityText.Clock(end.TimeS)}; {end.StoredNumber} readings are in the record of {end.Run.RecordId}, run {end.Run.Id}."
                )
            );
        }
        return ExitCode.Ok;
    }

    private static int Line(string text)
    {
        Console.Out.WriteLine(text);
        return 0;
    }

    private static string Change(RunSnapshot now) =>
        string.Join(
            '|',
            now.State.Cue.Kind,
            now.State.Estimate.Trust,
            now.Source.Well,
            now.StoreProblem is null,
            string.Join(',', now.State.Probes.Select(probe => probe.Fault))
        );

    private static string OneLine(RunSnapshot now)
    {
        IEnumerable<string> faults = now
            .State.Probes.Where(probe => probe.Fault != ProbeFault.None)
            .Select(probe => $" {probe.Channel}: {probe.Words}");
        return $"{QuantityText.Clock(now.TimeS)}  {now.State.Cue.Headline}. {now.State.Cue.Detail}{string.Concat(faults)}{(now.Source.Well ? "" : " " + now.Source.Text)}{(now.StoreProblem is { } why ? " " + why : "")}";
    }

    private static int Draw(WatchRun run, RunSnapshot now, int drawn)
    {
        LiveEstimate estimate = now.State.Estimate;
        Page page = new();
        page.Add($"{QuantityText.Clock(now.TimeS)}  {now.State.Cue.Headline.ToUpperInvariant()}");
        page.Add(now.State.Cue.Detail);
        page.Add();
        page.Add("Coldest joint", Text(estimate.Coldest), 20);
        page.Add("Hottest joint", Text(estimate.Hottest), 20);
        if (estimate.BodyTop is { } top)
        {
            page.Add("Chip's top", Text(top), 20);
        }
        page.Add("Trusted", estimate.Trust == WatchTrust.Trusted ? "yes" : string.Join(" ", estimate.Reasons), 20);
        foreach (ChannelNow channel in now.Channels)
        {
            ProbeHealth? health = now.State.Probes.FirstOrDefault(probe => probe.Channel == channel.Name);
            string read = channel.TemperatureC is double c ? FormattableString.Invariant($"{c:0.0} °C") : "none";
            string words = channel.Watched ? $"{channel.Where}. {health?.Words}" : "recorded, not used";
            page.Add(channel.Name, $"{read}  {words}", 20);
        }
        foreach (LimitAhead limit in now.State.Ahead.Limits.Where(limit => limit.EarliestInS is not null).Take(3))
        {
            page.Add(
                limit.Title,
                FormattableString.Invariant(
                    $"limit {limit.LimitC:0} °C, {(limit.InS is double s ? $"in {s:0} s" : "perhaps")}"
                ),
                20
            );
        }
        page.Add(
            "Source",
            FormattableString.Invariant($"{now.Source.Text} {now.StoredNumber} readings on disk. {now.StoreProblem}"),
            20
        );
        page.Add("1 moved  2 dropped  3 smelled  4 popped  q end the run");
        string text = page.ToString();
        // Back to where the last table began, and wipe what it left.
        Console.Out.Write(
            (drawn > 0 ? $"\u001b[{drawn.ToString(CultureInfo.InvariantCulture)}A" : "") + "\u001b[J" + text
        );
        return text.Count(sign => sign == '\n');
    }

    private static string Text(PlaceEstimate place) =>
        FormattableString.Invariant(
            $"{place.Band.EstimateC:0} °C ({place.Band.LowC:0} to {place.Band.HighC:0}), {place.Where}"
        );

    private static string JsonOf(WatchRun run, RunSnapshot now) =>
        JsonSerializer.Serialize(
            new
            {
                run = now.Run.Id,
                state = now.Run.State.ToString().ToLowerInvariant(),
                nature = run.Feed.Nature.ToString().ToLowerInvariant(),
                timeS = Math.Round(now.TimeS, 3),
                cue = JsonNamingPolicy.KebabCaseLower.ConvertName(now.State.Cue.Kind.ToString()),
                headline = now.State.Cue.Headline,
                detail = now.State.Cue.Detail,
                trust = JsonNamingPolicy.KebabCaseLower.ConvertName(now.State.Estimate.Trust.ToString()),
                reasons = now.State.Estimate.Reasons,
                coldest = now.State.Estimate.Coldest,
                hottest = now.State.Estimate.Hottest,
                ahead = now.State.Ahead,
                probes = now.State.Probes.Select(probe => new
                {
                    channel = probe.Channel,
                    fault = JsonNamingPolicy.KebabCaseLower.ConvertName(probe.Fault.ToString()),
                    words = probe.Words,
                }),
                readings = now.Channels.Select(channel => new
                {
                    channel = channel.Name,
                    temperatureC = channel.TemperatureC,
                }),
                source = now.Source,
                stored = now.StoredNumber,
                storeProblem = now.StoreProblem,
            },
            Json
        );

    // True where the person ends the run.
    private static async Task<bool> Key(WatchRun run)
    {
        if (Console.IsInputRedirected)
        {
            return false;
        }
        while (Console.KeyAvailable)
        {
            char key = char.ToLowerInvariant(Console.ReadKey(intercept: true).KeyChar);
            if (key == 'q')
            {
                return true;
            }
            if (key == '0')
            {
                await run.SetAsync(gasC: 0, preheaterC: 0);
            }
            if (Keys.TryGetValue(key, out string? sort))
            {
                await run.MarkAsync(sort, "Marked by the person.");
            }
        }
        return false;
    }
}
