using Graftbench.Core.Jobs;
using Graftbench.Core.Physics.Heat;

namespace Graftbench.Core.Heating;

/// <summary>What is asked of the heat planner.</summary>
/// <param name="Job">The job.</param>
/// <param name="Task">What the heat is for.</param>
/// <param name="ChipId">The chip.</param>
public sealed record HeatRequest(Job Job, HeatTask Task, string ChipId)
{
    /// <summary>Samples for the chances.</summary>
    public int Samples { get; init; } = 1000;

    /// <summary>Runs at once.</summary>
    public int Workers { get; init; } = 4;

    /// <summary>Runs of the reduced model that the search may spend.</summary>
    public int SearchRuns { get; init; } = 400;

    /// <summary>Remedies that are tried at most, each with a model of its own.</summary>
    public int MostRemedies { get; init; } = 6;

    /// <summary>Places to follow besides the model's own, as <see cref="ProbeChecks"/> lets them pass.</summary>
    public IReadOnlyList<HeatPlace> Probes { get; init; } = [];

    /// <summary>Moments for temperature pictures [s]; the planner's own moments where empty.</summary>
    public IReadOnlyList<double> PictureTimesS { get; init; } = [];
}

/// <summary>One run of the full model.</summary>
/// <param name="Trace">Temperatures of the model's places, in its order.</param>
/// <param name="Trust">How far to trust it.</param>
/// <param name="Planes">Temperature pictures.</param>
public sealed record FullHeatRun(HeatTrace Trace, HeatModelTrust Trust, IReadOnlyList<HeatPlane> Planes);

/// <summary>A model could not be built or solved; the planner answers that there is no answer.</summary>
public sealed class HeatModelException : Exception
{
    /// <summary>Without a reason.</summary>
    public HeatModelException()
        : base("The heat model could not be solved.") { }

    /// <summary>With its reason, for the person.</summary>
    public HeatModelException(string message)
        : base(message) { }

    /// <summary>With its reason and cause.</summary>
    public HeatModelException(string message, Exception innerException)
        : base(message, innerException) { }
}

/// <summary>Models that the planner works with.</summary>
public interface IHeatModels
{
    /// <summary>Board, chip and heaters of a job as boxes and films; without boxes where the job does not say enough.</summary>
    /// <param name="job">The job.</param>
    /// <param name="task">What the heat is for.</param>
    /// <param name="chipId">The chip.</param>
    /// <param name="nozzle">Nozzle; null for a usual one.</param>
    /// <param name="flowPercent">Flow as share of the strongest step; null for the strongest.</param>
    BoardHeatModel Build(Job job, HeatTask task, string chipId, Nozzle? nozzle, double? flowPercent);

    /// <summary>Limits of a heat.</summary>
    IReadOnlyList<HeatLimit> Limits(Job job, HeatTask task, BoardHeatModel model);

    /// <summary>One run without reducing the model first; a coarse one will do.</summary>
    /// <exception cref="HeatModelException">It could not be solved.</exception>
    HeatTrace Quick(BoardHeatModel model, HeatSchedule schedule, CancellationToken cancel);

    /// <summary>The reduced model.</summary>
    /// <param name="model">The model.</param>
    /// <param name="rough">From a wider grid: for comparing remedies.</param>
    /// <param name="doneFraction">Told the share done, from several threads at once; null for nobody.</param>
    /// <param name="cancel">Stops it.</param>
    /// <exception cref="HeatModelException">It could not be built.</exception>
    IHeatRunner Reduced(
        BoardHeatModel model,
        bool rough,
        IProgress<double>? doneFraction = null,
        CancellationToken cancel = default
    );

    /// <summary>The full model on one schedule, with its trust figures and pictures.</summary>
    /// <param name="model">The model.</param>
    /// <param name="schedule">Set points.</param>
    /// <param name="reduced">Reduced model to compare with; null where there is none.</param>
    /// <param name="picturesS">Moments for pictures [s].</param>
    /// <param name="cancel">Stops it.</param>
    /// <exception cref="HeatModelException">It could not be solved.</exception>
    FullHeatRun Full(
        BoardHeatModel model,
        HeatSchedule schedule,
        IHeatRunner? reduced,
        IReadOnlyList<double> picturesS,
        CancellationToken cancel
    );
}
