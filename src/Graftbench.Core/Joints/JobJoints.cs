using Graftbench.Core.Findings;
using Graftbench.Core.Jobs;
using Graftbench.Core.Mixing;

namespace Graftbench.Core.Joints;

/// <summary>Answers question 5 for a chip of a job.</summary>
public static class JobJoints
{
    /// <summary>Packages drawn for the whole answer.</summary>
    public const int WholeTrials = 10_000;

    /// <summary>Packages drawn while somebody moves a slider.</summary>
    public const int GlanceTrials = 200;

    /// <summary>The chip that question 5 asks about: the first that goes to the host; null for a job without.</summary>
    /// <param name="job">The job.</param>
    public static Chip? Main(Job job)
    {
        ArgumentNullException.ThrowIfNull(job);
        return job.Chips.FirstOrDefault(chip => chip.To == ChipPlace.Host);
    }

    /// <summary>The whole answer.</summary>
    /// <param name="job">The job.</param>
    /// <param name="chipId">The chip.</param>
    /// <param name="progress">Told how far it is.</param>
    /// <param name="cancel">Stops it.</param>
    /// <returns>The answer; without figures and with what is missing where the job does not say enough.</returns>
    public static JointPlan Plan(
        Job job,
        string chipId,
        IProgress<PlanProgress>? progress = null,
        CancellationToken cancel = default
    ) =>
        JointMixes.With(
            Plan(job, chipId, WholeTrials, whole: true, progress, cancel),
            SeatMix.Of(job, Find(job, chipId)),
            cancel
        );

    /// <summary>How it stands, and a rough chance: without levers and without the search for the solder it needs.</summary>
    /// <param name="job">The job.</param>
    /// <param name="chipId">The chip.</param>
    /// <param name="cancel">Stops it.</param>
    public static JointPlan Glance(Job job, string chipId, CancellationToken cancel = default) =>
        JointMixes.Glance(
            Plan(job, chipId, GlanceTrials, whole: false, null, cancel),
            SeatMix.Of(job, Find(job, chipId))
        );

    private static JointPlan Plan(
        Job job,
        string chipId,
        int trials,
        bool whole,
        IProgress<PlanProgress>? progress,
        CancellationToken cancel
    )
    {
        ArgumentNullException.ThrowIfNull(job);
        Chip chip = Find(job, chipId);
        JointRequestMade made = JointRequests.Of(job, chip, trials);
        return made.Request is { } request
            ? JointPlanner.Plan(
                request with
                {
                    Goal = request.Goal with { WithLevers = whole },
                },
                assumptions: made.Assumptions,
                progress: progress,
                cancel: cancel
            )
            : NotEnough(chip, made);
    }

    private static Chip Find(Job job, string chipId) =>
        job.Chips.FirstOrDefault(one => one.Id == chipId)
        ?? throw new ArgumentException($"The job has no chip {chipId}.", nameof(chipId));

    private static JointPlan NotEnough(Chip chip, JointRequestMade made)
    {
        string subject = $"chip {chip.Id}";
        string missing = string.Join(", ", made.Missing.Select(Words));
        Finding finding = new(
            Verdict.Unknown,
            "joints.not-enough",
            subject,
            $"Not said, and nothing that could be assumed: {missing}.",
            Source: "job-file",
            Todo: "Measure it and enter it: a pad's wetted diameter under the microscope, pitch and rows from the ball map."
        );
        JointRequest none = new(
            subject,
            new JointSolder(0, 0, 0, 1, 0, "job-file"),
            [],
            [],
            PartsKnown: false,
            new JointLoad(0, 0, 0, 0, 0, WeightKnown: false),
            0,
            0,
            WarpageKnown: false,
            new JointSpread(0, 0, 0, 0),
            0,
            null,
            new JointGoal(0, 0)
        );
        return new JointPlan(
            subject,
            JointPlanState.NoAnswer,
            $"No answer yet: {missing} not entered.",
            null,
            null,
            [],
            [],
            null,
            null,
            null,
            [],
            [],
            new BallCount(0, 0, 0),
            null,
            [finding],
            made.Assumptions,
            none
        );
    }

    private static string Words(string field) =>
        field switch
        {
            "ballDiameterMm" => "the balls' diameter",
            "seat.packagePadMm" => "the pad's diameter on the chip",
            "seat.boardPadMm" => "the land's diameter on the board",
            "pitchMm" => "the pitch",
            "rows" => "the number of rows",
            "columns" => "the number of columns",
            _ => field,
        };
}
