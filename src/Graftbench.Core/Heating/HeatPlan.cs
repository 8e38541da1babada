using System.Text.Json.Serialization;
using Graftbench.Core.Findings;
using Graftbench.Core.Physics.Heat;

namespace Graftbench.Core.Heating;

/// <summary>Whether there is a plan.</summary>
public enum HeatPlanState
{
    /// <summary>Settings were found that keep every limit.</summary>
    Planned,

    /// <summary>The best settings pass at least one limit; which one and what would help is said.</summary>
    NotPossible,

    /// <summary>The job does not say enough, or the solver failed; there are no settings.</summary>
    NoAnswer,
}

/// <summary>One stage as the bench takes it.</summary>
/// <param name="Number">From 1.</param>
/// <param name="Title">What it is for: <c>Warm the board</c>.</param>
/// <param name="StartS">When it starts [s].</param>
/// <param name="DurationS">How long it lasts [s].</param>
/// <param name="GasC">Set point of the gas at the end of the stage; null where the gas is off [°C].</param>
/// <param name="PreheaterC">Set point of the bottom heater at the end of the stage; null where it is off [°C].</param>
/// <param name="Jump">True where the set points jump at the start of the stage, false where they run straight to its end.</param>
/// <param name="LookFor">What to see, in one sentence with its clock time; null where there is nothing to see.</param>
public sealed record HeatStage(
    int Number,
    string Title,
    double StartS,
    double DurationS,
    double? GasC,
    double? PreheaterC,
    bool Jump,
    string? LookFor
);

/// <summary>Nozzle and airflow that the plan is for.</summary>
/// <param name="Name">Name on the bench's list; null for one that the bench does not have.</param>
/// <param name="LengthMm">Opening in the board's x [mm].</param>
/// <param name="WidthMm">Opening in the board's y [mm].</param>
/// <param name="XMm">Centre over the board [mm].</param>
/// <param name="YMm">Centre over the board [mm].</param>
/// <param name="OverhangMm">How far it reaches beyond the chip on its shortest side [mm].</param>
/// <param name="FlowStep">Airflow step of the tool; null where it has none.</param>
/// <param name="Why">Why this one, one sentence.</param>
public sealed record NozzleChoice(
    string? Name,
    double LengthMm,
    double WidthMm,
    double XMm,
    double YMm,
    double OverhangMm,
    string? FlowStep,
    string Why
);

/// <summary>A curve of the plan.</summary>
/// <param name="Name">Stable name: <c>joint-coldest</c>, <c>joint-hottest</c>, <c>body-top</c>, <c>gas-set</c>, <c>gas</c>, <c>preheater-set</c>, <c>preheater</c>, <c>underside</c>, or a place's name.</param>
/// <param name="Title">What a person reads.</param>
/// <param name="TemperaturesC">One value at each of the curves' times [°C].</param>
public sealed record HeatCurve(string Name, string Title, IReadOnlyList<double> TemperaturesC);

/// <summary>Curves of the planned run.</summary>
/// <param name="TimesS">Times [s].</param>
/// <param name="Curves">Curves, all of that length.</param>
/// <param name="SolidusC">Lower edge of the melting band [°C].</param>
/// <param name="MoltenC">Upper edge: every joint molten [°C].</param>
public sealed record HeatCurves(
    IReadOnlyList<double> TimesS,
    IReadOnlyList<HeatCurve> Curves,
    double SolidusC,
    double MoltenC
);

/// <summary>Stable names of what happens in a run.</summary>
public static class HeatMoments
{
    /// <summary>The first joint is fully molten.</summary>
    public const string FirstMelts = "first-joint-melts";

    /// <summary>The last joint is fully molten.</summary>
    public const string AllMolten = "all-joints-molten";

    /// <summary>Heaters off.</summary>
    public const string SwitchOff = "switch-off";

    /// <summary>The last joint is solid again.</summary>
    public const string LastSolid = "last-joint-solid";

    /// <summary>The chip's top is hottest.</summary>
    public const string BodyPeak = "body-peak";
}

/// <summary>A moment that can be seen or checked.</summary>
/// <param name="TimeS">When, from the start [s].</param>
/// <param name="Name">Stable name, one of <see cref="HeatMoments"/>.</param>
/// <param name="Text">One sentence: <c>first joints melt at the lower left corner</c>.</param>
/// <param name="Place">Place it is about; null for none.</param>
public sealed record HeatMoment(double TimeS, string Name, string Text, string? Place);

/// <summary>Where to put a probe and why there.</summary>
/// <param name="Rank">1 is the best.</param>
/// <param name="Place">Name of the place.</param>
/// <param name="Where">In words a technician follows.</param>
/// <param name="XMm">From the left edge [mm].</param>
/// <param name="YMm">From the lower edge [mm].</param>
/// <param name="ReadsAtMoltenC">What it reads when the coldest joint is just molten [°C].</param>
/// <param name="OffsetDeltaK">What it reads above the coldest joint at that moment [K].</param>
/// <param name="UncertaintyDeltaK">Standard deviation of the coldest joint once this probe is read [K].</param>
/// <param name="WithoutDeltaK">The same without any probe [K].</param>
/// <param name="Why">One sentence.</param>
public sealed record ProbeAdvice(
    int Rank,
    string Place,
    string Where,
    double XMm,
    double YMm,
    double ReadsAtMoltenC,
    double OffsetDeltaK,
    double UncertaintyDeltaK,
    double WithoutDeltaK,
    string Why
);

/// <summary>How a doubtful number moves the answer.</summary>
/// <param name="Code">Code of the assumption.</param>
/// <param name="What">What was varied and by how much.</param>
/// <param name="ColdestJointDeltaK">Change of the coldest joint's peak [K].</param>
/// <param name="HottestJointDeltaK">Change of the hottest joint's peak [K].</param>
/// <param name="BodyTopDeltaK">Change of the body top's peak [K].</param>
/// <param name="MoltenTimeDeltaS">Change of the coldest joint's molten time [s].</param>
public sealed record HeatSensitivity(
    string Code,
    string What,
    double ColdestJointDeltaK,
    double HottestJointDeltaK,
    double BodyTopDeltaK,
    double MoltenTimeDeltaS
);

/// <summary>A change that would make the plan possible or better.</summary>
/// <param name="Rank">1 is the cheapest that is enough; those that are not enough come last.</param>
/// <param name="Code">Stable name: <c>shield</c>, <c>preheat-stronger</c>, <c>nozzle-larger</c>, <c>low-melt-alloy</c>, <c>other-alloy</c>, <c>flow-higher</c>, <c>part-off</c>, <c>shield-nozzle</c>, <c>part-off-nozzle</c>, <c>limit-confirmed</c>.</param>
/// <param name="What">What to change, one sentence.</param>
/// <param name="Effect">What the model says it does, with its figures.</param>
/// <param name="Enough">Whether it frees an impossible plan, or brings a possible one to the chance that was asked for.</param>
/// <param name="CostMin">Time it costs at the bench, estimated [min].</param>
public sealed record HeatRemedy(int Rank, string Code, string What, string Effect, bool Enough, double CostMin);

/// <summary>Chance of success from samples of everything that is not known.</summary>
/// <param name="Samples">Number of samples.</param>
/// <param name="AllMoltenFraction">Chance that every joint melts fully, 0 to 1.</param>
/// <param name="AllMoltenErrorFraction">Standard error of that.</param>
/// <param name="AllKeptFraction">Chance that every joint melts and no hard limit is passed.</param>
/// <param name="AllKeptErrorFraction">Standard error of that.</param>
/// <param name="WantedFraction">Chance that was asked for.</param>
/// <param name="Varied">What was varied, one line each with its spread.</param>
public sealed record HeatChance(
    int Samples,
    double AllMoltenFraction,
    double AllMoltenErrorFraction,
    double AllKeptFraction,
    double AllKeptErrorFraction,
    double WantedFraction,
    IReadOnlyList<string> Varied
);

/// <summary>How far the model is to be trusted on this run.</summary>
/// <param name="Model">Which model the plan rests on: <c>reduced</c> or <c>full</c>.</param>
/// <param name="Nodes">Nodes of the full model.</param>
/// <param name="StepS">Its time step [s].</param>
/// <param name="MeshErrorDeltaK">Estimated error from the mesh at joints and body [K].</param>
/// <param name="StepErrorDeltaK">Estimated error from the time step [K].</param>
/// <param name="EnergyImbalanceFraction">Energy not accounted for, as share of the heat taken up.</param>
/// <param name="ReducedErrorDeltaK">Largest difference of peak temperatures, reduced against full model, at joints and body on this schedule [K]; null where only the full one ran.</param>
/// <param name="ReducedErrorElsewhereDeltaK">The same at all other places [K].</param>
/// <param name="Converged">Whether every solve converged.</param>
public sealed record HeatModelTrust(
    string Model,
    int Nodes,
    double StepS,
    double MeshErrorDeltaK,
    double StepErrorDeltaK,
    double EnergyImbalanceFraction,
    double? ReducedErrorDeltaK,
    double? ReducedErrorElsewhereDeltaK,
    bool Converged
)
{
    /// <summary>
    /// Where the reduced model was too far off the full one and the search was repeated with that difference taken into
    /// account: what is left of it at the peaks that have a limit [K]; null where once was enough.
    /// </summary>
    public double? CorrectedErrorDeltaK { get; init; }

    /// <summary>What it was at first, before the search was repeated [K]; null where once was enough.</summary>
    public double? FirstErrorDeltaK { get; init; }
}

/// <summary>Temperatures of one plane on a raster at one moment; NaN never occurs: cells off the board repeat no value and are masked.</summary>
/// <param name="TimeS">Moment [s].</param>
/// <param name="TemperaturesC">Row by row from the lower edge, x fastest [°C].</param>
public sealed record HeatFrame(double TimeS, float[] TemperaturesC);

/// <summary>Temperature pictures of one plane over the run.</summary>
/// <param name="Name"><c>top</c>, <c>joints</c> or <c>bottom</c>.</param>
/// <param name="Area">What the raster covers.</param>
/// <param name="Columns">Cells in x.</param>
/// <param name="Rows">Cells in y.</param>
/// <param name="Covered">Whether a cell lies on the board or a part, x fastest.</param>
/// <param name="Frames">Moments, rising.</param>
public sealed record HeatPlane(
    string Name,
    RectMm Area,
    int Columns,
    int Rows,
    IReadOnlyList<bool> Covered,
    IReadOnlyList<HeatFrame> Frames
);

/// <summary>Settings for one heat on one board: what to set, what will happen, how sure it is.</summary>
/// <param name="Task">What the heat is for.</param>
/// <param name="Subject">What is heated: <c>host board</c>, <c>donor board</c>, <c>chip GFX</c>.</param>
/// <param name="ChipId">The chip.</param>
/// <param name="State">Whether there is a plan.</param>
/// <param name="Answer">The answer in one large line.</param>
/// <param name="Stages">Stages as the bench takes them; empty without a plan.</param>
/// <param name="Nozzle">Nozzle; null without a plan.</param>
/// <param name="Schedule">Set points over time; null without a plan.</param>
/// <param name="Figures">Every limit with its figure, tightest first.</param>
/// <param name="Curves">Curves of the run; null without one.</param>
/// <param name="Moments">What happens when, in order.</param>
/// <param name="Probes">Where to put probes, best first.</param>
/// <param name="Chance">Chance of success; null where it was not computed.</param>
/// <param name="Sensitivities">What moves the answer, strongest first.</param>
/// <param name="Remedies">What would help: the cheapest change that is enough first.</param>
/// <param name="Model">The model of board and bench.</param>
/// <param name="Trust">How far to trust the model; null where none ran.</param>
/// <param name="Planes">Temperature pictures of top, joint plane and bottom; empty without a run.</param>
/// <param name="Findings">Findings, worst first.</param>
public sealed record HeatPlan(
    HeatTask Task,
    string Subject,
    string ChipId,
    HeatPlanState State,
    string Answer,
    IReadOnlyList<HeatStage> Stages,
    NozzleChoice? Nozzle,
    HeatSchedule? Schedule,
    IReadOnlyList<HeatFigure> Figures,
    HeatCurves? Curves,
    IReadOnlyList<HeatMoment> Moments,
    IReadOnlyList<ProbeAdvice> Probes,
    HeatChance? Chance,
    IReadOnlyList<HeatSensitivity> Sensitivities,
    IReadOnlyList<HeatRemedy> Remedies,
    BoardHeatModel? Model,
    HeatModelTrust? Trust,
    IReadOnlyList<HeatPlane> Planes,
    IReadOnlyList<Finding> Findings
)
{
    /// <summary>The figure that decides: the hard limit that is passed worst, else the one with the least room; null without figures.</summary>
    [JsonIgnore]
    public HeatFigure? Deciding =>
        Figures.FirstOrDefault(figure => figure is { Margin: < 0, Limit.Hard: true })
        ?? (Figures is [{ } first, ..] ? first : null);

    /// <summary>Name of the plane that a probe is seen on: <c>top</c>, or <c>bottom</c> where it sits on the underside.</summary>
    /// <param name="probe">One of its probe places.</param>
    public string PlaneOf(ProbeAdvice probe)
    {
        ArgumentNullException.ThrowIfNull(probe);
        return Model?.Places.FirstOrDefault(place => place.Name == probe.Place) is { ZMm: < 0 } ? "bottom" : "top";
    }

    /// <summary>How far a remedy helps this plan; freeing it of its limits says nothing of the chance that was asked for.</summary>
    /// <param name="remedy">One of its remedies.</param>
    public string Worth(HeatRemedy remedy)
    {
        ArgumentNullException.ThrowIfNull(remedy);
        return !remedy.Enough ? "not enough by itself"
            : State == HeatPlanState.NotPossible ? "enough to keep every limit"
            : "enough";
    }
}
