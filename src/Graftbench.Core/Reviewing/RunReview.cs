using Graftbench.Core.Facts;
using Graftbench.Core.Findings;
using Graftbench.Core.Heating;

namespace Graftbench.Core.Reviewing;

/// <summary>Where a channel's bead sat.</summary>
/// <param name="Channel">Channel.</param>
/// <param name="Kind">What it sat on; <see cref="HeatPlaceKind.Probe"/> for a place by its measures.</param>
/// <param name="Part">Reference of the part; null where it belongs to none.</param>
/// <param name="At">Place by its measures; null where the model is to say, or nothing is known.</param>
public sealed record ProbeSeat(string Channel, HeatPlaceKind Kind, string? Part, HeatPlace? At)
{
    /// <summary>What a probe may be off by, two standard deviations [K]; class 2 type K: ±2.5 K at most (IEC 60584).</summary>
    public double OffDeltaK { get; init; } = 2.5;

    /// <summary>What the gas may add to a bead in its stream [K]; 2 to 10 % of what gas is hotter (common practice, no source).</summary>
    public double GasDeltaK { get; init; }
}

/// <summary>What a run is held against.</summary>
/// <param name="Log">The run.</param>
public sealed record ReviewRequest(RunLog Log)
{
    /// <summary>Name of the run, for a person.</summary>
    public string Title { get; init; } = "heat run";

    /// <summary>What the heat was for; null where nobody says.</summary>
    public HeatTask? Task { get; init; }

    /// <summary>The chip's id; null where nobody says.</summary>
    public string? ChipId { get; init; }

    /// <summary>Where beads sat; channels that are not listed sat somewhere.</summary>
    public IReadOnlyList<ProbeSeat> Seats { get; init; } = [];

    /// <summary>Limits of the heat; empty without a job.</summary>
    public IReadOnlyList<HeatLimit> Limits { get; init; } = [];

    /// <summary>Solder that the body was built for; null where that is not known.</summary>
    public SolderProcess? Process { get; init; }

    /// <summary>Classification temperature of the body; null where its size is not known [°C].</summary>
    public double? ClassTemperatureC { get; init; }

    /// <summary>First melt of the joints; null where the alloy is not known [°C].</summary>
    public double? SolidusC { get; init; }

    /// <summary>Full melt of the joints; null where the alloy is not known [°C].</summary>
    public double? MoltenC { get; init; }

    /// <summary>What could not be seen; null without a model.</summary>
    public RunEstimate? Estimate { get; init; }

    /// <summary>Why there is no estimate, one sentence; null where there is one.</summary>
    public string? NoEstimate { get; init; }

    /// <summary>The plan on the same model, places in the estimate's order; null without a plan.</summary>
    public HeatTrace? Planned { get; init; }

    /// <summary>Planned set points; null without a plan.</summary>
    public HeatSchedule? Plan { get; init; }

    /// <summary>Time up to switching off; null where nobody says [s].</summary>
    public double? HeatingS { get; init; }

    /// <summary>Findings to be shown with the run's own: what was assumed to read it.</summary>
    public IReadOnlyList<Finding> Findings { get; init; } = [];
}

/// <summary>A curve of a reviewed run, for pictures.</summary>
/// <param name="Name">Stable name: <c>probe T1</c>, <c>joint-coldest</c>, <c>joint-hottest</c>, <c>body-top</c>, <c>planned-coldest</c>.</param>
/// <param name="Title">What a person reads.</param>
/// <param name="TimesS">Times [s].</param>
/// <param name="TemperaturesC">One a time; NaN where nothing is known, so that a gap stays a gap [°C].</param>
/// <param name="LowC">Lower end of its band; null without one [°C].</param>
/// <param name="HighC">Upper end of its band; null without one [°C].</param>
public sealed record ReviewCurve(
    string Name,
    string Title,
    IReadOnlyList<double> TimesS,
    IReadOnlyList<double> TemperaturesC,
    IReadOnlyList<double>? LowC,
    IReadOnlyList<double>? HighC
);

/// <summary>What a heat was: figures against plan and limits, what was not seen, what can be believed.</summary>
/// <param name="Title">Name of the run.</param>
/// <param name="Task">What the heat was for; null where nobody says.</param>
/// <param name="ChipId">The chip; null where nobody says.</param>
/// <param name="Simulated">Whether the readings come from a simulated bench.</param>
/// <param name="Interrupted">Whether the run was cut off.</param>
/// <param name="Answer">The answer in one large line.</param>
/// <param name="Verdict">The worst of the findings.</param>
/// <param name="DurationS">Length of the log [s].</param>
/// <param name="Checks">Figures with a limit, worst first.</param>
/// <param name="Figures">Every figure, those without a limit too.</param>
/// <param name="Curves">Curves for pictures.</param>
/// <param name="Limits">Levels for pictures: title, temperature, whether at least.</param>
/// <param name="Gaps">Stretches in which no channel was read.</param>
/// <param name="LeftOut">Stretches in which probes were left out as faulty.</param>
/// <param name="Marks">What happened.</param>
/// <param name="SolidusC">First melt of the joints; null where not known [°C].</param>
/// <param name="MoltenC">Full melt of the joints; null where not known [°C].</param>
/// <param name="Estimated">Whether hidden joints were estimated and the estimate is believed.</param>
/// <param name="EstimateWords">How they were estimated, or why not, one sentence.</param>
/// <param name="Findings">Findings, worst first.</param>
public sealed record RunReview(
    string Title,
    HeatTask? Task,
    string? ChipId,
    bool Simulated,
    bool Interrupted,
    string Answer,
    Verdict Verdict,
    double DurationS,
    IReadOnlyList<ReviewCheck> Checks,
    IReadOnlyList<ReviewFigure> Figures,
    IReadOnlyList<ReviewCurve> Curves,
    IReadOnlyList<ReviewLevel> Limits,
    IReadOnlyList<RunSpan> Gaps,
    IReadOnlyList<LeftOutSpan> LeftOut,
    IReadOnlyList<RunMark> Marks,
    double? SolidusC,
    double? MoltenC,
    bool Estimated,
    string EstimateWords,
    IReadOnlyList<Finding> Findings
);

/// <summary>A temperature that a picture shows as a line.</summary>
/// <param name="Title">What it limits.</param>
/// <param name="LevelC">Temperature [°C].</param>
/// <param name="AtLeast">Whether it is to be reached, else not to be passed.</param>
public sealed record ReviewLevel(string Title, double LevelC, bool AtLeast);
