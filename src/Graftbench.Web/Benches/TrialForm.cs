using System.Globalization;
using Graftbench.Core.Calibrating;
using Graftbench.Core.Heating;
using Graftbench.Core.Jobs;
using Graftbench.Core.Watching;
using Graftbench.Store;
using Graftbench.Web.Shell;
using Microsoft.AspNetCore.Http;

namespace Graftbench.Web.Benches;

/// <summary>Reads the form of a trial; all problems at once.</summary>
internal static class TrialForm
{
    /// <summary>Probes that the form has room for.</summary>
    public const int Probes = 4;

    private const double UsualRoomC = 22;
    private const double FewestSamples = 100;

    /// <summary>Stored runs of a bench.</summary>
    public static IReadOnlyList<TrialRun> Runs(BenchStore store, string bench, BenchClock clock)
    {
        string key = BenchFactRules.KeyOf(bench);
        return
        [
            .. store
                .Jobs()
                .Where(one => BenchFactRules.KeyOf(one.Job.Bench.Name) == key)
                .SelectMany(one =>
                    store
                        .Runs(one.Job.Id)
                        .Where(run => run.State != HeatRunState.Running)
                        .Select(run => new TrialRun(run, $"{clock.Text(run.StartedAt)}, {one.Job.Title}"))
                )
                .OrderByDescending(one => one.Run.StartedAt)
                .Take(50),
        ];
    }

    /// <summary>The chip that stands under the nozzle.</summary>
    public static Chip? ChipOf(Job job) => job.Chips.FirstOrDefault(one => one.To == ChipPlace.Host);

    /// <summary>What the empty form starts with.</summary>
    public static Dictionary<string, string> Start(Job job, BenchClock clock)
    {
        Chip? chip = ChipOf(job);
        HeatTools tools = job.Bench.Heat;
        (double? x, double? y) = chip is null ? (null, null) : Site(job, chip);
        return new Dictionary<string, string>(StringComparer.Ordinal)
        {
            ["boardLengthMm"] = Text(job.Host.LengthMm),
            ["boardWidthMm"] = Text(job.Host.WidthMm),
            ["boardThicknessMm"] = Text(job.Host.ThicknessMm),
            ["copperThicknessMm"] = Text(job.Host.CopperThicknessMm),
            ["chipLengthMm"] = Text(chip?.BodyLengthMm),
            ["chipWidthMm"] = Text(chip?.BodyWidthMm),
            ["chipThicknessMm"] = Text(chip?.BodyThicknessMm),
            ["chipXMm"] = Text(x),
            ["chipYMm"] = Text(y),
            ["roomC"] = Text(job.Bench.RoomC),
            ["flowPercent"] = Text(MiddleFlow(tools)),
            ["nozzle"] = tools.Gas.Nozzles.Count > 0 ? tools.Gas.Nozzles[0].Name : "",
            ["at"] = clock.Now.ToString("yyyy-MM-dd'T'HH:mm", CultureInfo.InvariantCulture),
            ["startS"] = "0",
            ["set"] = TrialSetPoints.Write(
                TrialPlan.Proposed(job.Bench.RoomC ?? UsualRoomC, tools.Gas.MaxC, tools.Preheater.MaxC)
            ),
        };
    }

    /// <summary>Reads what was posted.</summary>
    /// <returns>The trial, or null and what stands against it.</returns>
    public static async Task<(Trial? Trial, IReadOnlyList<string> Problems)> Read(
        IFormCollection form,
        Job basis,
        BenchStore store,
        BenchClock clock,
        CancellationToken stop
    )
    {
        List<string> bad = [];
        double? Number(string name, string title, double least, double most, bool needed)
        {
            string text = form[name].ToString().Trim();
            if (text.Length == 0 && !needed)
            {
                return null;
            }
            bool sound =
                double.TryParse(
                    text.Replace(',', '.'),
                    NumberStyles.Float,
                    CultureInfo.InvariantCulture,
                    out double value
                )
                && value >= least
                && value <= most;
            if (!sound)
            {
                bad.Add(
                    string.Create(
                        CultureInfo.InvariantCulture,
                        $"{title}: {(text.Length == 0 ? "is missing" : $"\"{Short(text)}\" cannot be")}; a number from {least:0.###} to {most:0.###} is needed."
                    )
                );
            }
            return sound ? value : null;
        }
        Job job = Board(basis, Number, bad);
        DateTimeOffset at = Moment(form["at"].ToString(), clock, bad);
        double? flow = Number("flowPercent", "Airflow", 1, 100, needed: false);
        double? startS = Number("startS", "Start in the log", -3600, 36000, needed: false);
        double? everyS = Number("everyS", "Seconds between lines", 0.01, 60, needed: false);
        Nozzle? nozzle = job.Bench.Heat.Gas.Nozzles.FirstOrDefault(one => one.Name == form["nozzle"].ToString());
        double roomC = job.Bench.RoomC ?? UsualRoomC;
        CalibrationRequest request = new(job, HeatTask.Place, ChipOf(job)?.Id ?? "", [], [], null, at)
        {
            Nozzle = nozzle,
            FlowPercent = flow,
            AlignmentChecked = form["aligned"].ToString() == "yes",
        };
        string runId = form["run"].ToString();
        IFormFile? file = form.Files.GetFile("log");
        if (runId.Length > 0 && file is { Length: > 0 })
        {
            bad.Add("A stored run and a log file were given: choose one of them.");
        }
        if (runId.Length > 0)
        {
            return OfRun(runId, form, request, store, clock, bad);
        }
        if (file is not { Length: > 0 })
        {
            bad.Add("No log: choose a stored run or the log file of the trial.");
            return (null, bad);
        }
        await using Stream stream = file.OpenReadStream();
        byte[] bytes = new byte[file.Length];
        await stream.ReadExactlyAsync(bytes, stop);
        TrialLog log = TrialLog.Read(bytes, roomC, startS ?? 0, everyS);
        bad.AddRange(log.Problems);
        TrialSetPoints set = TrialSetPoints.Read(form["set"].ToString(), job.Bench.Heat.Control, roomC);
        bad.AddRange(set.Problems);
        request = request with
        {
            Readings = log.Readings,
            SetPoints = set.Schedule,
            Probes = ProbesOf(form, request, log.Channels, bad),
        };
        return bad.Count > 0
            ? (null, bad)
            : (
                new Trial(
                    request,
                    $"log file {Short(Path.GetFileName(file.FileName))}",
                    new StoredFile(Name(file.FileName), "text/csv", bytes),
                    true,
                    log.Notes
                ),
                []
            );
    }

    private static (Trial? Trial, IReadOnlyList<string> Problems) OfRun(
        string runId,
        IFormCollection form,
        CalibrationRequest request,
        BenchStore store,
        BenchClock clock,
        List<string> bad
    )
    {
        HeatRun? run = runId.Length <= 64 ? store.FindRun(runId) : null;
        if (run is null)
        {
            bad.Add("The chosen run is not in the store.");
            return (null, bad);
        }
        IReadOnlyList<HeatSample> samples = store.Samples(run.Id);
        if (samples.Count < FewestSamples)
        {
            bad.Add($"The chosen run has {samples.Count} samples, too few to learn from.");
        }
        TrialRunSetup setup = TrialRunSetup.Read(run.SetupJson);
        List<WatchProbe> probes = ProbesOf(form, request, run.Channels, []);
        bool typed = form["set"].ToString().Trim().Length > 0 && form["runSet"].ToString() == "typed";
        TrialSetPoints? set = typed
            ? TrialSetPoints.Read(
                form["set"].ToString(),
                request.Job.Bench.Heat.Control,
                request.Job.Bench.RoomC ?? UsualRoomC
            )
            : null;
        bad.AddRange(set?.Problems ?? []);
        if (!typed && store.Marks(run.Id).Any(mark => mark.Kind == "set"))
        {
            bad.Add(
                "Heaters were set by hand in this run: write what was set into the set points and choose \"as written here\"."
            );
        }
        request = request with
        {
            At = run.StartedAt,
            Probes = probes.Count > 0 ? probes : setup.Probes,
            SetPoints = set?.Schedule ?? setup.Plan,
            AlignmentChecked = request.AlignmentChecked || setup.AlignmentChecked,
            Readings =
            [
                .. samples.SelectMany(sample =>
                    run.Channels.Select(
                        (channel, c) =>
                            new ProbeReading(
                                sample.TimeS,
                                channel,
                                double.IsFinite(sample.TemperaturesC[c]) ? sample.TemperaturesC[c] : null
                            )
                    )
                ),
            ],
        };
        return bad.Count > 0
            ? (null, bad)
            : (
                new Trial(
                    request,
                    $"{(setup.Simulation ? "simulated run" : "run")} of {clock.Text(run.StartedAt)}",
                    null,
                    !setup.Simulation,
                    setup.Simulation
                        ? ["This run is a simulation: it says nothing of a real bench and is not kept."]
                        : []
                ),
                []
            );
    }

    // The job's own board where its sizes are left as they are; else a bare scrap board of those sizes.
    private static Job Board(Job basis, Func<string, string, double, double, bool, double?> number, List<string> bad)
    {
        double? lengthMm = number("boardLengthMm", "Board length", 20, 1000, true);
        double? widthMm = number("boardWidthMm", "Board width", 20, 1000, true);
        double? thicknessMm = number("boardThicknessMm", "Board thickness", 0.3, 6, true);
        double? copperMm = number("copperThicknessMm", "Copper", 0, 2, false);
        double? chipLengthMm = number("chipLengthMm", "Chip length", 2, 100, true);
        double? chipWidthMm = number("chipWidthMm", "Chip width", 2, 100, true);
        double? chipThicknessMm = number("chipThicknessMm", "Chip thickness", 0.3, 10, true);
        double? xMm = number("chipXMm", "Chip from the left", 0, 1000, true);
        double? yMm = number("chipYMm", "Chip from below", 0, 1000, true);
        double? roomC = number("roomC", "Room", 1, 50, false);
        if (ChipOf(basis) is not { } chip)
        {
            bad.Add("The job has no chip that goes to its board, so there is nothing under the nozzle.");
            return basis;
        }
        if (bad.Count > 0)
        {
            return basis;
        }
        Board host = basis.Host;
        (double? siteX, double? siteY) = Site(basis, chip);
        // What the form shows is rounded to a thousandth.
        bool Same(double? a, double? b) => a is null ? b is null : b is { } there && Math.Abs(a.Value - there) < 1e-3;
        bool sameBoard =
            Same(lengthMm, host.LengthMm)
            && Same(widthMm, host.WidthMm)
            && Same(thicknessMm, host.ThicknessMm)
            && Same(copperMm, host.CopperThicknessMm)
            && Same(xMm, siteX)
            && Same(yMm, siteY);
        return basis with
        {
            Host = sameBoard
                ? host
                : new Board
                {
                    Name = "scrap board",
                    LengthMm = lengthMm!.Value,
                    WidthMm = widthMm!.Value,
                    ThicknessMm = thicknessMm!.Value,
                    CopperThicknessMm = copperMm,
                    Support = host.Support,
                },
            Bench = basis.Bench with
            {
                RoomC = roomC,
                Heat = sameBoard
                    ? basis.Bench.Heat
                    : HeaterPlaces.Under(basis.Bench.Heat, host, lengthMm!.Value, widthMm!.Value),
            },
            Chips =
            [
                chip with
                {
                    BodyLengthMm = chipLengthMm!.Value,
                    BodyWidthMm = chipWidthMm!.Value,
                    BodyThicknessMm = chipThicknessMm!.Value,
                    From = ChipPlace.Shelf,
                    XMm = xMm,
                    YMm = yMm,
                    HostXMm = xMm,
                    HostYMm = yMm,
                },
            ],
        };
    }

    private static double? MiddleFlow(HeatTools tools)
    {
        List<FlowStep> steps = [.. tools.Gas.FlowSteps.OrderBy(step => step.FlowPercent)];
        return steps.Count == 0 ? 100 : steps[steps.Count / 2].FlowPercent;
    }

    private static (double? XMm, double? YMm) Site(Job job, Chip chip)
    {
        ChipSite? site = ChipSites.At(job, chip, ChipPlace.Host);
        return (site?.XMm, site?.YMm);
    }

    private static List<WatchProbe> ProbesOf(
        IFormCollection form,
        CalibrationRequest request,
        IReadOnlyList<string> channels,
        List<string> bad
    )
    {
        List<WatchProbe> probes = [];
        BoardHeatModel model = BoardModelBuilder.Build(
            request.Job,
            request.Task,
            request.ChipId,
            request.Nozzle,
            request.FlowPercent
        );
        for (int i = 0; i < Probes; i++)
        {
            string channel = form[$"channel{i}"].ToString().Trim();
            string place = form[$"place{i}"].ToString().Trim();
            if (channel.Length + place.Length == 0)
            {
                continue;
            }
            if (channel.Length == 0 || place.Length == 0)
            {
                bad.Add($"Probe {i + 1}: both its channel and its place are needed.");
                continue;
            }
            if (channels.Count > 0 && !channels.Contains(channel, StringComparer.Ordinal))
            {
                bad.Add($"Probe {i + 1}: the log's channels are {string.Join(", ", channels)}.");
                continue;
            }
            if (TrialProbes.Of(model, channel, place, out string? problem) is { } probe)
            {
                probes.Add(probe);
            }
            else
            {
                bad.Add(problem!);
            }
        }
        if (probes.Count == 0 && bad.Count == 0)
        {
            bad.Add(
                channels.Count > 0
                    ? $"Say where each probe sat. The log's channels are {string.Join(", ", channels)}."
                    : "Say where each probe sat."
            );
        }
        return probes;
    }

    private static DateTimeOffset Moment(string text, BenchClock clock, List<string> bad)
    {
        if (
            DateTime.TryParseExact(
                text,
                ["yyyy-MM-dd'T'HH:mm", "yyyy-MM-dd'T'HH:mm:ss"],
                CultureInfo.InvariantCulture,
                DateTimeStyles.None,
                out DateTime local
            )
        )
        {
            DateTimeOffset at = new(local, clock.Now.Offset);
            if (at <= clock.Now.AddMinutes(2) && at.Year >= 2000)
            {
                return at <= clock.Now ? at : clock.Now;
            }
        }
        bad.Add("Day of the trial: a day and time in the past are needed.");
        return clock.Now;
    }

    private static string Name(string given)
    {
        string name = new([.. Path.GetFileName(given).Where(c => !char.IsControl(c) && c is not ('/' or '\\'))]);
        return name.Length is 0 or > 200 || name is "." or ".." ? "trial.csv" : name;
    }

    private static string Short(string text) => text.Length > 60 ? text[..60] + "..." : text;

    private static string Text(double? value) => value?.ToString("0.###", CultureInfo.InvariantCulture) ?? "";
}
