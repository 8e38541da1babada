using System.Globalization;
using System.Text.RegularExpressions;
using Graftbench.Core.Facts;
using Graftbench.Core.Findings;
using Graftbench.Core.Heating;
using Graftbench.Core.Jobs;
using Graftbench.Core.Physics.Heat;
using Graftbench.Core.Watching;

namespace Graftbench.Core.Reviewing;

/// <summary>From a run, what was said about it and the job to the review: limits, model, estimate.</summary>
public static partial class RunReviewing
{
    /// <summary>Reviews a run of a job.</summary>
    /// <param name="title">Name of the run.</param>
    /// <param name="job">The job; null where there is none.</param>
    /// <param name="log">The run as logged.</param>
    /// <param name="setup">What was said about it.</param>
    /// <param name="estimate">Whether hidden joints are to be estimated: seconds, else figures of the probes only.</param>
    /// <param name="progress">Told how far it is; null for nobody.</param>
    /// <param name="cancel">Stops it.</param>
    public static RunReview Review(
        string title,
        Job? job,
        RunLog log,
        RunSetup setup,
        bool estimate,
        IProgress<PlanProgress>? progress = null,
        CancellationToken cancel = default
    )
    {
        ArgumentNullException.ThrowIfNull(log);
        ArgumentNullException.ThrowIfNull(setup);
        RunLog run = log.StartingAt(setup.StartS) with { Simulated = log.Simulated || setup.Simulated };
        HeatTask task = setup.Task ?? HeatTask.Place;
        Chip? chip = job?.Chips.FirstOrDefault(one => one.Id == setup.ChipId) ?? Only(job, setup);
        if (job is null || chip is null)
        {
            return RunReviewer.Review(
                new ReviewRequest(run)
                {
                    Title = title,
                    Task = setup.Task,
                    ChipId = setup.ChipId,
                    Seats = Seats(setup, null, [], out _),
                    NoEstimate = job is null
                        ? "Joints were not estimated: without a job nothing is known of board, chip and bench."
                        : "Joints were not estimated: the job has no chip of that name.",
                }
            );
        }
        BoardHeatModel model = BoardModelBuilder.Build(job, task, chip.Id, NozzleOf(job, setup), FlowOf(job, setup));
        List<Finding> findings = [];
        IReadOnlyList<ProbeSeat> seats = Seats(setup, model, findings, out List<WatchProbe> probes);
        if (setup.Nozzle is null && job.Bench.Heat.Gas.Nozzles.Count > 0 && task != HeatTask.AttachBalls)
        {
            findings.Add(
                new Finding(
                    Verdict.Unknown,
                    "review.nozzle",
                    "bench",
                    "Which nozzle stood over the chip is not on record; the estimate takes a usual one.",
                    Source: "job-file",
                    Todo: "Compute the heat plan, or write down the nozzle with the run."
                )
            );
        }
        IReadOnlyList<HeatLimit> limits = HeatLimitsOf.Of(job, task, model);
        JointAlloy alloy = JointAlloy.Of(job, task, chip, new ModelNotes());
        SolderProcess built =
            chip.BallAlloy is string name && Alloys.Find(name) is Alloy own ? JointAlloy.ProcessOf(own) : alloy.Process;
        ReviewRequest request = new(run)
        {
            Title = title,
            Task = task,
            ChipId = chip.Id,
            Seats = seats,
            Limits = limits,
            Process = built,
            ClassTemperatureC = ReflowClass
                .Of(built, chip.BodyThicknessMm, chip.BodyLengthMm * chip.BodyWidthMm * chip.BodyThicknessMm)
                .ClassTemperatureC,
            SolidusC = alloy.SolidusC,
            MoltenC = alloy.MoltenC,
            Plan = setup.Plan,
            HeatingS = setup.HeatingS,
            Findings = findings,
        };
        if (Against(model, probes, setup, run, estimate) is { } against)
        {
            return RunReviewer.Review(request with { NoEstimate = against });
        }
        try
        {
            progress?.Report(new PlanProgress("Building the model", 0));
            WatchSetup watched = new(model, probes)
            {
                Plan = setup.Plan,
                AlignmentChecked = setup.AlignmentChecked,
                Limits = limits,
            };
            WatchModel watch = WatchModel.Build(
                watched,
                rough: false,
                progress is null
                    ? null
                    : new SharedProgress(share => progress.Report(new PlanProgress("Building the model", 0.6 * share))),
                cancel
            );
            RunEstimate found = RunEstimator.Of(
                watch,
                run,
                [.. setup.Settings, .. ByHand(run.Marks)],
                progress is null
                    ? null
                    : new SharedProgress(share =>
                        progress.Report(new PlanProgress("Going through the run", 0.6 + 0.4 * share))
                    ),
                cancel
            );
            return RunReviewer.Review(request with { Estimate = found, Planned = Planned(watch, setup) });
        }
        catch (HeatModelException failure)
        {
            return RunReviewer.Review(request with { NoEstimate = $"Joints were not estimated: {failure.Message}" });
        }
    }

    /// <summary>Whether joints of a run can be estimated: null where they can, else why not.</summary>
    /// <param name="job">The job.</param>
    /// <param name="setup">What was said about the run.</param>
    public static string? WhyNot(Job job, RunSetup setup)
    {
        ArgumentNullException.ThrowIfNull(job);
        ArgumentNullException.ThrowIfNull(setup);
        if (Only(job, setup) is not { } chip)
        {
            return "The job has no chip of that name.";
        }
        BoardHeatModel model = BoardModelBuilder.Build(
            job,
            setup.Task ?? HeatTask.Place,
            chip.Id,
            NozzleOf(job, setup),
            FlowOf(job, setup)
        );
        Seats(setup, model, [], out List<WatchProbe> probes);
        return Against(model, probes, setup, new RunLog([], []), estimate: true);
    }

    // What the person set while it was watched stands in its marks.
    private static IEnumerable<RunSetting> ByHand(IReadOnlyList<RunMark> marks)
    {
        foreach (RunMark mark in marks.Where(mark => mark.Kind == "set" && mark.TimeS >= 0))
        {
            double? gasC = Heater(GasSet().Match(mark.Text));
            double? preheaterC = Heater(PreheaterSet().Match(mark.Text));
            if (gasC is not null || preheaterC is not null)
            {
                yield return new RunSetting(mark.TimeS, gasC, preheaterC);
            }
        }
    }

    private static double? Heater(Match match) =>
        match.Success
        && double.TryParse(
            match.Groups["c"].ValueSpan,
            NumberStyles.Float,
            CultureInfo.InvariantCulture,
            out double setC
        )
        && setC is >= -60 and <= 700
            ? setC
            : null;

    [GeneratedRegex(@"(?<!\w)gas (?<c>-?[0-9]{1,4}(?:\.[0-9]{1,3})?) °C", RegexOptions.ExplicitCapture, 1000)]
    private static partial Regex GasSet();

    [GeneratedRegex(@"bottom heater (?<c>-?[0-9]{1,4}(?:\.[0-9]{1,3})?) °C", RegexOptions.ExplicitCapture, 1000)]
    private static partial Regex PreheaterSet();

    private static Chip? Only(Job? job, RunSetup setup) =>
        setup.ChipId is { } id
            ? job?.Chips.FirstOrDefault(one => one.Id == id)
            : job?.Chips.OrderBy(one => one.To == ChipPlace.Host ? 0 : 1).FirstOrDefault();

    // As a plan takes it, which is what was watched.
    private static double? FlowOf(Job job, RunSetup setup) =>
        setup.FlowPercent ?? HeatPlanner.MiddleFlow(job.Bench.Heat)?.FlowPercent;

    private static Nozzle? NozzleOf(Job job, RunSetup setup) =>
        setup.Nozzle is { } name ? job.Bench.Heat.Gas.Nozzles.FirstOrDefault(nozzle => nozzle.Name == name) : null;

    private static string? Against(
        BoardHeatModel model,
        List<WatchProbe> probes,
        RunSetup setup,
        RunLog run,
        bool estimate
    )
    {
        if (!model.Usable)
        {
            return $"Joints were not estimated: {model.Lacks?.What ?? "the job does not say enough of board and chip."}";
        }
        if (setup.Plan is null)
        {
            return "Joints were not estimated: the set points of the heaters are not known.";
        }
        if (probes.Count == 0)
        {
            return "Joints were not estimated: nobody has said where a probe sat.";
        }
        IReadOnlyList<string> problems = WatchModel.Problems(new WatchSetup(model, probes));
        if (problems.Count > 0)
        {
            return "Joints were not estimated: " + string.Join(" ", problems);
        }
        if (run.EndS > RunEstimator.LongestS)
        {
            return $"Joints were not estimated: the log is longer than {RunEstimator.LongestS / 3600:0} h. Cut it to the heat.";
        }
        return estimate ? null : "Joints are not estimated yet.";
    }

    private static List<ProbeSeat> Seats(
        RunSetup setup,
        BoardHeatModel? model,
        List<Finding> findings,
        out List<WatchProbe> probes
    )
    {
        List<ProbeSeat> seats = [];
        probes = [];
        foreach (RunProbe probe in setup.Probes)
        {
            ProbeSeat? seat = ProbeSeats.Of(probe, model, out string? problem);
            if (problem is not null)
            {
                findings.Add(
                    new Finding(Verdict.Unknown, "review.seat", $"probe {probe.Channel}", problem, Source: "job-file")
                );
            }
            if (seat is null)
            {
                continue;
            }
            seats.Add(seat);
            if (seat.At is { } place)
            {
                probes.Add(new WatchProbe(probe.Channel, place));
            }
        }
        return seats;
    }

    private static HeatTrace? Planned(WatchModel watch, RunSetup setup)
    {
        BoardHeatModel model = watch.Setup.Model;
        double[][] values = watch.Reduced.Run(
            HeatModels.Signals(model, setup.Plan!),
            setup.Plan!.DurationS,
            HeatFactors.Nominal
        );
        return values.Length >= model.Places.Count
            ? new HeatTrace(watch.Reduced.StepS, values[..model.Places.Count])
            : null;
    }
}
