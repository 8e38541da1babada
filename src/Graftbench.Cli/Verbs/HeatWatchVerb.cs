using System.CommandLine;
using Graftbench.Core;
using Graftbench.Core.Heating;
using Graftbench.Core.Jobs;
using Graftbench.Core.Watching;
using Graftbench.Core.Watching.Lines;
using Graftbench.Probes;
using Graftbench.Store;
using Graftbench.Watch;

namespace Graftbench.Cli.Verbs;

/// <summary><c>graftbench heat watch</c>: a live heat in a terminal, by the same host as the bench screens.</summary>
internal static class HeatWatchVerb
{
    private static readonly TimeSpan LongestListen = TimeSpan.FromSeconds(30);

    private sealed record Asked(
        string File,
        string Task,
        string? Chip,
        string Source,
        string[] Probes,
        bool Aligned,
        bool Yes,
        bool Json,
        StorePlace Data
    );

    public static Command Create(IHeatModels models)
    {
        Argument<string?> file = Verb.Job(required: true);
        Option<string> task = new("--task")
        {
            Description = "What the heat is for: place, lift or attach-balls (place if left out).",
            HelpName = "TASK",
            DefaultValueFactory = _ => "place",
        };
        Option<string?> chip = new("--chip")
        {
            Description = "The chip; the first one that goes to the host if left out.",
            HelpName = "ID",
        };
        Option<string> source = new("--source")
        {
            Description =
                "Where readings come from: serial:PORT@BAUD, tcp:HOST:PORT, file:PATH that grows, replay:PATH@SPEED, or simulation@SPEED.",
            HelpName = "SOURCE",
            Required = true,
        };
        Option<string[]> probe = new("--probe")
        {
            Description =
                "Which channel sits where: CHANNEL=PLACE with a place of the heat plan, or CHANNEL=X,Y,Z in mm. May be repeated; the advised places in order if left out.",
            HelpName = "CHANNEL=PLACE",
        };
        Option<bool> aligned = new("--aligned") { Description = "I have looked: the nozzle stands centred." };
        Option<bool> yes = new("--yes") { Description = "Takes the likeliest format of the lines without asking." };
        Option<bool> json = new("--json") { Description = "Prints one JSON object a second, one a line." };
        Option<string> data = DataFolder.Option();
        Command verb = new("watch", "Watches a heat live: is every joint molten now.")
        {
            file,
            task,
            chip,
            source,
            probe,
            aligned,
            yes,
            json,
            data,
            DataFolder.Store,
        };
        verb.SetAction(
            (parsed, cancel) =>
                Verb.RunAsync(() =>
                    Watch(
                        new Asked(
                            parsed.GetValue(file)!,
                            parsed.GetValue(task)!,
                            parsed.GetValue(chip),
                            parsed.GetValue(source)!,
                            parsed.GetValue(probe) ?? [],
                            parsed.GetValue(aligned),
                            parsed.GetValue(yes),
                            parsed.GetValue(json),
                            DataFolder.PlaceOf(parsed, data)
                        ),
                        models,
                        cancel
                    )
                )
        );
        return verb.WithExample(
            "graftbench heat watch job.json --source serial:/dev/ttyUSB0@9600 --aligned",
            "the run is kept in the job's record; keys 1 to 4 mark, 0 says heaters off, q or Ctrl-C ends it"
        );
    }

    private static async Task<int> Watch(Asked asked, IHeatModels models, CancellationToken cancel)
    {
        RunSource source =
            RunSource.Parse(asked.Source, out string? problem) ?? throw new BadInputException($"--source {problem}");
        if (source.Kind == RunSourceKind.Replay && !File.Exists(source.Address))
        {
            throw new BadInputException($"--source {asked.Source}: there is no file {source.Address}.");
        }
        HeatTask task = HeatPlanVerb.TaskOf(asked.Task);
        Job job = JobInput.Load(asked.File, Verb.Moment(null));
        string chipId = HeatPlanVerb.ChipOf(job, task, asked.Chip);
        HeatPlan plan = Planned(job, task, chipId, models, cancel);
        try
        {
            using BenchStore store = BenchStore.Open(asked.Data, TimeProvider.System);
            string who = string.IsNullOrWhiteSpace(job.Shop.Technician) ? "bench" : job.Shop.Technician;
            if (store.FindJob(job.Id) is null)
            {
                store.SaveJob(job, 0, who);
            }
            ProbeFormat? format = await FormatOf(asked, source, job, plan, store, who, cancel);
            IReadOnlyList<WatchProbe> probes = ProbesOf(asked.Probes, plan, format);
            WatchWish wish = new(job.Id, who, plan, probes) { AlignmentChecked = asked.Aligned };
            IReadOnlyList<string> against = wish.Problems();
            if (against.Count > 0)
            {
                throw new BadInputException(string.Join("\n", against));
            }
            Console.Error.WriteLine("Building the model for the watch.");
            RunOrder order = wish.Order(null, cancel);
            IRunFeed feed = format is null
                ? wish.Simulated((ulong)DateTime.UtcNow.Ticks, source.SpeedRatio, TimeProvider.System)
                : source.Feed(format, TimeProvider.System);
            await using RunHost host = new(store);
            return await WatchScreen.Follow(host.Start(order, feed), asked.Json, cancel);
        }
        catch (Exception error) when (error is StoreException or ProbeSourceException or HeatModelException)
        {
            throw new BadInputException(error.Message);
        }
    }

    private static HeatPlan Planned(Job job, HeatTask task, string chipId, IHeatModels models, CancellationToken cancel)
    {
        HeatPlan plan;
        try
        {
            plan = HeatPlanner.Plan(
                new HeatRequest(job, task, chipId) { MostRemedies = 0, Workers = Environment.ProcessorCount },
                models,
                ProgressLine.Create(),
                cancel
            );
        }
        finally
        {
            ProgressLine.Clear();
        }
        return plan.Model is { Usable: true }
            ? plan
            : throw new BadInputException(
                $"There is no heat plan to watch by: {plan.Answer} See graftbench heat plan for what is missing."
            );
    }

    // Null for a simulation, which needs none.
    private static async Task<ProbeFormat?> FormatOf(
        Asked asked,
        RunSource source,
        Job job,
        HeatPlan plan,
        BenchStore store,
        string who,
        CancellationToken cancel
    )
    {
        if (source.Listening(TimeProvider.System) is not { } bytes)
        {
            return null;
        }
        await using SourceListener listener = new(bytes, TimeProvider.System);
        DateTime until = DateTime.UtcNow + LongestListen;
        while (true)
        {
            cancel.ThrowIfCancellationRequested();
            if (KeptFormats.For(store, job.Bench.Name, source, listener.Newest) is { } kept)
            {
                Console.Error.WriteLine("The lines are read as kept with this bench.");
                return kept;
            }
            if (listener.Formats(plan.Model!.RoomC) is [var likeliest, ..])
            {
                Confirm(asked, likeliest, listener.Newest);
                KeptFormats.Keep(store, job.Bench.Name, source, likeliest.Format, who);
                return likeliest.Format;
            }
            if (DateTime.UtcNow > until)
            {
                throw new BadInputException(
                    $"--source {asked.Source}: {listener.Said} {listener.HeardNumber} lines came in {LongestListen.TotalSeconds:0} s, and no format fits them; {FormatLearner.FewestLines} with readings are needed."
                );
            }
            await Task.Delay(200, cancel);
        }
    }

    private static void Confirm(Asked asked, LearnedFormat learned, IReadOnlyList<string> lines)
    {
        Page page = new();
        page.Add("The newest lines:");
        foreach (string line in lines.TakeLast(3))
        {
            page.Add("  " + line, 4);
        }
        page.Add("are read as:");
        for (int i = 0; i < learned.Example.Count; i++)
        {
            ChannelReading reading = learned.Example[i];
            string value =
                reading.State == ChannelState.Measured
                    ? FormattableString.Invariant($"{reading.TemperatureC:0.0} °C")
                    : "no probe";
            page.Add($"  {learned.Format.Channels[i]}: {value}", 4);
        }
        foreach (string note in learned.Notes)
        {
            page.Add(note);
        }
        Console.Error.Write(page);
        if (asked.Yes)
        {
            return;
        }
        if (Console.IsInputRedirected)
        {
            throw new BadInputException(
                "Nobody is there to confirm how the lines are read: give --yes where it is right."
            );
        }
        Console.Error.Write("Is that right? [y/N] ");
        if (Console.ReadLine()?.Trim().ToUpperInvariant() is not ("Y" or "YES"))
        {
            throw new BadInputException(
                "Not confirmed; nothing was watched. The watch screen lets you choose another format."
            );
        }
    }

    private static List<WatchProbe> ProbesOf(string[] given, HeatPlan plan, ProbeFormat? format)
    {
        IReadOnlyList<string> channels = format?.Channels ?? ["probe 1", "probe 2", "probe 3", "probe 4"];
        IReadOnlyList<HeatPlace> places = plan.Model!.Places;
        if (given.Length == 0)
        {
            return
            [
                .. plan
                    .Probes.OrderBy(advice => advice.Rank)
                    .Select(advice => places.FirstOrDefault(place => place.Name == advice.Place))
                    .OfType<HeatPlace>()
                    .Take(2)
                    .Zip(channels, (place, channel) => new WatchProbe(channel, place)),
            ];
        }
        List<WatchProbe> probes = [];
        List<string> problems = [];
        foreach (string one in given)
        {
            int equals = one.IndexOf('=', StringComparison.Ordinal);
            string channel = equals < 0 ? "" : one[..equals].Trim();
            string where = equals < 0 ? "" : one[(equals + 1)..].Trim();
            if (!channels.Contains(channel))
            {
                problems.Add($"--probe {one}: write CHANNEL=PLACE; the channels are {string.Join(", ", channels)}.");
                continue;
            }
            double[] numbers = [.. where.Split(',').Select(Number)];
            HeatPlace? place =
                numbers is [_, _, _] && numbers.All(double.IsFinite)
                    ? new HeatPlace(
                        $"{channel}, own place",
                        HeatPlaceKind.Probe,
                        null,
                        numbers[0],
                        numbers[1],
                        numbers[2]
                    )
                    : places.FirstOrDefault(each => each.Name == where && each.Kind != HeatPlaceKind.Joint);
            if (place is null)
            {
                IEnumerable<string> known = places
                    .Where(each => each.Kind != HeatPlaceKind.Joint)
                    .Select(each => each.Name);
                problems.Add($"--probe {one}: no such place. There are {string.Join("; ", known)}; or X,Y,Z in mm.");
                continue;
            }
            probes.Add(new WatchProbe(channel, place));
        }
        return problems.Count == 0 ? probes : throw new BadInputException(string.Join("\n", problems));
    }

    private static double Number(string text) =>
        double.TryParse(
            text.Trim(),
            System.Globalization.NumberStyles.Float,
            System.Globalization.CultureInfo.InvariantCulture,
            out double read
        )
            ? read
            : double.NaN;
}
