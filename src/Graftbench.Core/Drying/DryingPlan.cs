using Graftbench.Core.Findings;
using Graftbench.Core.Jobs;

namespace Graftbench.Core.Drying;

/// <summary>The answer to "are the boards and the chip dry?": for each of them what to do and when it is ready.</summary>
/// <param name="ComputedAt">Moment the plan was computed for.</param>
/// <param name="StartAt">Moment the parts go into the dryer.</param>
/// <param name="Climate">Temperature and humidity inside the dryer.</param>
/// <param name="Subjects">Host board, donor board and loose chips, in that order.</param>
/// <param name="ReadyAt">When the last of them is ready; null where one of them has no answer.</param>
/// <param name="Calendar">What to do when, in order.</param>
/// <param name="Findings">All findings of the plan and its subjects, worst first.</param>
/// <param name="Assumptions">Everything that was assumed because the job does not say it.</param>
public sealed record DryingPlan(
    DateTimeOffset ComputedAt,
    DateTimeOffset StartAt,
    DryerClimate Climate,
    IReadOnlyList<SubjectDrying> Subjects,
    DateTimeOffset? ReadyAt,
    IReadOnlyList<CalendarEntry> Calendar,
    IReadOnlyList<Finding> Findings,
    IReadOnlyList<Assumption> Assumptions
);

/// <summary>Something that the job does not say and the answer had to assume.</summary>
/// <param name="Where">What it is about.</param>
/// <param name="What">What was assumed, with its value.</param>
/// <param name="Source">Source id, or <c>common-practice</c>.</param>
public sealed record Assumption(string Where, string What, string Source);

/// <summary>Air inside the dryer.</summary>
/// <param name="SetC">Set temperature [°C]; null where the job does not say it.</param>
/// <param name="HumidityPercent">Relative humidity at that temperature [% RH]; null where it cannot be known.</param>
/// <param name="How">How the humidity was found, one sentence with its numbers.</param>
/// <param name="SpreadDeltaK">How far the parts may be off the set temperature [K].</param>
/// <param name="WarmUpH">Time until the parts have the temperature [h].</param>
public sealed record DryerClimate(
    double? SetC,
    double? HumidityPercent,
    string How,
    double SpreadDeltaK,
    double WarmUpH
);

/// <summary>How a subject's answer stands.</summary>
public enum DryingState
{
    /// <summary>Nothing has to be dried, and it was checked.</summary>
    NoBakeNeeded,

    /// <summary>Has to be dried; not started.</summary>
    ToDry,

    /// <summary>In the dryer now.</summary>
    InDryer,

    /// <summary>Dried as long as advised.</summary>
    Dried,

    /// <summary>This dryer, or this board as it is, does not allow an answer.</summary>
    NoAnswer,

    /// <summary>Has had the last heat of its job and need not be dry any more.</summary>
    NoHeatLeft,
}

/// <summary>Drying of one board or loose chip.</summary>
/// <param name="Id"><c>host</c>, <c>donor</c> or the chip's id.</param>
/// <param name="Title">What a person calls it.</param>
/// <param name="State">How it stands.</param>
/// <param name="UsedC">Temperature that the times hold for [°C]: the set temperature, or the cap below it.</param>
/// <param name="CapC">Hottest that the subject as it is may be dried [°C]; null where nothing caps it.</param>
/// <param name="CapReason">What sets the cap.</param>
/// <param name="RemoveFirst">Parts to take off before drying.</param>
/// <param name="Bodies">Each body that takes up moisture.</param>
/// <param name="Laminate">The bare board; null for a loose chip.</param>
/// <param name="AdviceH">Hours in the dryer once the parts are warm; null without an answer, 0 where no bake is needed.</param>
/// <param name="AdviceWhy">Which body or rule decides, and by which answer.</param>
/// <param name="StartAt">When it goes in; null where nothing is to be dried or no answer exists.</param>
/// <param name="ReadyAt">When it is ready, warm-up and breaks included.</param>
/// <param name="UseBy">Until when it may be heated without drying again.</param>
/// <param name="UseByWhy">What sets that moment.</param>
/// <param name="DoneH">Hours of bake that already count.</param>
/// <param name="Budget">Hours spent and left above 90 °C.</param>
/// <param name="Weighing">End point from weighings; null where there are none.</param>
/// <param name="Findings">Findings about this subject, worst first.</param>
public sealed record SubjectDrying(
    string Id,
    string Title,
    DryingState State,
    double? UsedC,
    double? CapC,
    string? CapReason,
    IReadOnlyList<RemoveFirst> RemoveFirst,
    IReadOnlyList<BodyDrying> Bodies,
    LaminateDrying? Laminate,
    double? AdviceH,
    string AdviceWhy,
    DateTimeOffset? StartAt,
    DateTimeOffset? ReadyAt,
    DateTimeOffset? UseBy,
    string? UseByWhy,
    double DoneH,
    BakeBudget Budget,
    WeighingTrend? Weighing,
    IReadOnlyList<Finding> Findings
);

/// <summary>A part to take off before drying.</summary>
/// <param name="Ref">Reference on the board.</param>
/// <param name="Kind">What it is.</param>
/// <param name="LimitC">Hottest it may be dried [°C]; null where no limit is known.</param>
/// <param name="Why">Why it must come off.</param>
/// <param name="Source">Source id.</param>
public sealed record RemoveFirst(string Ref, PartKind Kind, double? LimitC, string Why, string Source);

/// <summary>Drying of one moisture-sensitive body.</summary>
/// <param name="Ref">Reference on the board, or the chip's id.</param>
/// <param name="Level">Moisture level used.</param>
/// <param name="LevelKnown">False where the level was assumed.</param>
/// <param name="ThicknessMm">Body thickness used [mm].</param>
/// <param name="ThicknessKnown">False where the thickness was assumed.</param>
/// <param name="OverLargeWithPlanes">True where the row for large ball-grid bodies or stacked dies applies.</param>
/// <param name="FloorLife">The floor-life clock.</param>
/// <param name="Table">Answer of the standard's bake table.</param>
/// <param name="Diffusion">Answer by diffusion; null where it cannot be given.</param>
/// <param name="AdviceH">The more cautious of the two [h]; null where neither exists; 0 where still within floor life.</param>
/// <param name="AdviceWhy">Which answer decides, in words.</param>
/// <param name="IfHeatedNow">What heating now would mean.</param>
/// <param name="Profile">Moisture through the body over the drying time; null without an answer.</param>
/// <param name="Findings">Findings about this body.</param>
public sealed record BodyDrying(
    string Ref,
    MoistureLevel Level,
    bool LevelKnown,
    double ThicknessMm,
    bool ThicknessKnown,
    bool OverLargeWithPlanes,
    FloorLifeClock FloorLife,
    TableAnswer Table,
    DiffusionAnswer? Diffusion,
    double? AdviceH,
    string AdviceWhy,
    MoistureLeft IfHeatedNow,
    MoistureProfile? Profile,
    IReadOnlyList<Finding> Findings
);

/// <summary>What the standard's bake table says.</summary>
/// <param name="Applies">True where the table has a cell for this body, temperature and air.</param>
/// <param name="Hours">Tabulated hours [h]; null where it does not apply.</param>
/// <param name="Says">The row, column and revision, or why the table does not apply.</param>
/// <param name="Confidence">Confidence mark of the cell.</param>
/// <param name="Source">Source id.</param>
public sealed record TableAnswer(bool Applies, double? Hours, string Says, string? Confidence, string Source);

/// <summary>What diffusion says for this body in this dryer.</summary>
/// <param name="Hours">Best estimate [h]: the longer of the two ways below.</param>
/// <param name="LowH">Lower end of the 95 % band [h].</param>
/// <param name="HighH">Upper end of the 95 % band [h].</param>
/// <param name="SlabH">Time for the slab of this thickness to reach the target [h].</param>
/// <param name="CarriedRowH">The table's row carried to this temperature by the fitted activation energy [h]; null without a row.</param>
/// <param name="TargetFraction">Moisture fraction that may be left, of the saturated body.</param>
/// <param name="FloorFraction">Fraction that the dryer's own air keeps in the body for ever.</param>
/// <param name="PathMm">Length of the slab with two open faces that stands for the body [mm].</param>
/// <param name="DiffusivityM2PerS">Diffusivity at the used temperature [m²/s].</param>
/// <param name="Says">Model, constants and range in one or two sentences.</param>
/// <param name="Source">Source id.</param>
public sealed record DiffusionAnswer(
    double Hours,
    double LowH,
    double HighH,
    double SlabH,
    double? CarriedRowH,
    double TargetFraction,
    double FloorFraction,
    double PathMm,
    double DiffusivityM2PerS,
    string Says,
    string Source
);

/// <summary>How a floor-life clock stands.</summary>
public enum FloorLifeState
{
    /// <summary>Level 1: no limit.</summary>
    Unlimited,

    /// <summary>Known history, within floor life.</summary>
    Within,

    /// <summary>Known history, floor life exceeded by at most 72 h.</summary>
    Over,

    /// <summary>Known history, floor life exceeded by more than 72 h.</summary>
    LongOver,

    /// <summary>History unknown or not countable: counts as saturated.</summary>
    Unknown,
}

/// <summary>The floor-life clock of one body.</summary>
/// <param name="State">How it stands.</param>
/// <param name="RatedH">Rated floor life at 30 °C / 60 % RH [h]; null where unlimited or unknown.</param>
/// <param name="UsedFraction">Share of the floor life that is used; null where not countable.</param>
/// <param name="LeftH">Hours left in the last place's climate [h]; null where not countable or unlimited.</param>
/// <param name="OverByH">Hours over at the last place's rate [h]; null where within or not countable.</param>
/// <param name="RunsOutAt">When it runs out if the subject stays where it is; null where that does not apply.</param>
/// <param name="DryFrom">The moment from which the body was last known dry; null where never.</param>
/// <param name="Steps">One line for each stretch of the log: what it counted and why.</param>
/// <param name="Says">The answer in one sentence.</param>
/// <param name="Source">Source id.</param>
public sealed record FloorLifeClock(
    FloorLifeState State,
    double? RatedH,
    double? UsedFraction,
    double? LeftH,
    double? OverByH,
    DateTimeOffset? RunsOutAt,
    DateTimeOffset? DryFrom,
    IReadOnlyList<string> Steps,
    string Says,
    string Source
)
{
    /// <summary>Since when nothing is logged of a body that was known dry until then; null where that is not what is missing.</summary>
    public DateTimeOffset? LostAt { get; init; }
}

/// <summary>Moisture in a body at one moment.</summary>
/// <param name="MeanFraction">Mean over the body, of the saturated body.</param>
/// <param name="WorstFraction">At its wettest place.</param>
/// <param name="TargetFraction">What may be left.</param>
/// <param name="SteamAt217MPa">Pressure of saturated steam at the lead-free melt [MPa]: what pushes from inside.</param>
/// <param name="Says">The risk in one sentence.</param>
public sealed record MoistureLeft(
    double MeanFraction,
    double WorstFraction,
    double TargetFraction,
    double SteamAt217MPa,
    string Says
);

/// <summary>Moisture through a body over time.</summary>
/// <param name="DepthMm">Depth from the top face [mm], length nz, rising.</param>
/// <param name="TimeH">Time in the dryer [h], length nt, rising from 0.</param>
/// <param name="Fraction">Moisture of the saturated body, length nt·nz, depth fastest.</param>
/// <param name="MeanFraction">Mean at each time, length nt.</param>
/// <param name="OneFaceOpen">True where only the top face lets moisture out.</param>
public sealed record MoistureProfile(
    IReadOnlyList<double> DepthMm,
    IReadOnlyList<double> TimeH,
    IReadOnlyList<double> Fraction,
    IReadOnlyList<double> MeanFraction,
    bool OneFaceOpen
);

/// <summary>Drying of the bare laminate.</summary>
/// <param name="LowH">Shorter end: no copper, high activation energy side that is faster here [h]; null where the air is too wet to get there.</param>
/// <param name="HighH">Longer end [h]; null where the air is too wet to get there.</param>
/// <param name="TargetPercent">Moisture that may be left [% by weight].</param>
/// <param name="StartPercent">Moisture assumed at the start [% by weight].</param>
/// <param name="FloorPercent">Moisture that the dryer's air keeps in it [% by weight]; null where unknown.</param>
/// <param name="PlanesBarIt">True where solid planes may bar the way, so that the hours are not a proof.</param>
/// <param name="PlaneDays">Days for 20 mm between openings at this temperature, 90 % [d]; null where no planes are said or the temperature is unknown.</param>
/// <param name="Says">The answer with its remark about copper.</param>
/// <param name="Source">Source id.</param>
public sealed record LaminateDrying(
    double? LowH,
    double? HighH,
    double TargetPercent,
    double StartPercent,
    double? FloorPercent,
    bool PlanesBarIt,
    double? PlaneDays,
    string Says,
    string Source
);

/// <summary>Hours spent above 90 °C against the limit of the standard.</summary>
/// <param name="SpentH">Hours at more than 90 up to 125 °C so far [h].</param>
/// <param name="LimitH">Limit [h].</param>
/// <param name="PlannedH">Hours that this plan adds above 90 °C [h].</param>
/// <param name="OverheatedH">Hours logged above 125 °C, which no user may bake at [h].</param>
public sealed record BakeBudget(double SpentH, double LimitH, double PlannedH, double OverheatedH)
{
    /// <summary>Hours left before this plan [h]; never below 0.</summary>
    public double LeftH => Math.Max(0, LimitH - SpentH);
}

/// <summary>End point of drying from successive weighings.</summary>
/// <param name="Points">Weighings: hours since the first one and grams, in order.</param>
/// <param name="Converged">True where an exponential could be fitted.</param>
/// <param name="EndWeightG">Fitted weight when dry [g].</param>
/// <param name="EndWeightErrorG">Its standard error [g].</param>
/// <param name="TimeConstantH">Fitted time constant [h].</param>
/// <param name="TimeConstantErrorH">Its standard error [h].</param>
/// <param name="LeftG">Weight still to lose after the last weighing [g].</param>
/// <param name="LeftErrorG">Its standard error [g].</param>
/// <param name="EndsInH">Hours after the last weighing until no balance of this sort would see a change [h]; null where not known.</param>
/// <param name="Flat">True where the loss still to come, with its error, is below what the balance can see.</param>
/// <param name="Says">The answer in one or two sentences.</param>
public sealed record WeighingTrend(
    IReadOnlyList<WeighingPoint> Points,
    bool Converged,
    double? EndWeightG,
    double? EndWeightErrorG,
    double? TimeConstantH,
    double? TimeConstantErrorH,
    double? LeftG,
    double? LeftErrorG,
    double? EndsInH,
    bool Flat,
    string Says
);

/// <summary>One weighing on the time axis of the fit.</summary>
/// <param name="TimeH">Hours since the first weighing [h].</param>
/// <param name="WeightG">Weight [g].</param>
public sealed record WeighingPoint(double TimeH, double WeightG);

/// <summary>Sorts of calendar entries.</summary>
public enum CalendarKind
{
    /// <summary>Hands-on work at the bench.</summary>
    Work,

    /// <summary>A wait that runs by itself.</summary>
    Wait,

    /// <summary>A moment to keep: ready, or use by.</summary>
    Mark,
}

/// <summary>One entry of the drying calendar.</summary>
/// <param name="From">Begin.</param>
/// <param name="To">End; the same as the begin for a mark.</param>
/// <param name="Kind">Sort of entry.</param>
/// <param name="SubjectId"><c>host</c>, <c>donor</c>, a chip's id, or empty for the whole job.</param>
/// <param name="What">What happens, in a few words.</param>
public sealed record CalendarEntry(
    DateTimeOffset From,
    DateTimeOffset To,
    CalendarKind Kind,
    string SubjectId,
    string What
);
