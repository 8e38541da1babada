using Graftbench.Core.Facts;

namespace Graftbench.Core.Heating;

/// <summary>What a heat is for; each has goals of its own.</summary>
public enum HeatTask
{
    /// <summary>Solder the chip to the host board.</summary>
    Place,

    /// <summary>Melt the joints of a chip to take it off its board.</summary>
    Lift,

    /// <summary>Attach balls to the loose chip.</summary>
    AttachBalls,
}

/// <summary>What a limit holds down or up.</summary>
public enum HeatLimitKind
{
    /// <summary>Peak of the coldest joint, at least.</summary>
    ColdestJointPeak,

    /// <summary>Peak of the hottest joint, at most.</summary>
    HottestJointPeak,

    /// <summary>Time of the coldest joint above full melt, at least.</summary>
    MoltenTimeLeast,

    /// <summary>Time of the body's top above the classification's liquidus, at most.</summary>
    MoltenTimeMost,

    /// <summary>Hottest less coldest joint at the coldest joint's peak, at most.</summary>
    JointSpread,

    /// <summary>Peak of the chip's top, at most.</summary>
    BodyPeak,

    /// <summary>Steepest rise of the chip's top over 10 s, at most.</summary>
    BodyRise,

    /// <summary>Steepest fall of the chip's top over 10 s from peak to liquidus, at most.</summary>
    BodyFall,

    /// <summary>Time from the start to the peak of the chip's top, at most.</summary>
    TimeToPeak,

    /// <summary>Peak of a neighbour's body, at most.</summary>
    NeighbourPeak,

    /// <summary>Time of a neighbour's body within 5 K of its peak limit, at most.</summary>
    NeighbourTime,

    /// <summary>Peak of a neighbour's joints that must stay solid, at most.</summary>
    NeighbourSolid,

    /// <summary>Steepest rise at a part that cracks under thermal shock, at most.</summary>
    NeighbourRise,

    /// <summary>Peak of the board's underside, at most.</summary>
    UndersidePeak,

    /// <summary>Whole heating time up to switching off, at most.</summary>
    HeatingTime,
}

/// <summary>One limit or goal that a plan is held to.</summary>
/// <param name="Kind">What it limits.</param>
/// <param name="Place">Name of the place in the model; null where it is about all joints or the schedule.</param>
/// <param name="Title">What a person reads: <c>U7 body</c>.</param>
/// <param name="Value">The limit, in <paramref name="Unit"/>.</param>
/// <param name="Unit"><c>°C</c>, <c>K</c>, <c>K/s</c> or <c>s</c>.</param>
/// <param name="Scale">Uncertainty of the computed figure, by which margins are compared, in <paramref name="Unit"/>.</param>
/// <param name="Hard">True where passing it blocks the plan; false for a goal that is only wished for.</param>
/// <param name="Confidence">How sure the limit is.</param>
/// <param name="Source">Whose limit: source id.</param>
/// <param name="Why">Where the number comes from, one sentence.</param>
public sealed record HeatLimit(
    HeatLimitKind Kind,
    string? Place,
    string Title,
    double Value,
    string Unit,
    double Scale,
    bool Hard,
    Confidence Confidence,
    string Source,
    string Why
)
{
    /// <summary>Level above which times are counted and down to which falls are, where the limit names one [°C].</summary>
    public double? AboveC { get; init; }

    /// <summary>True where it is about a part beside the chip.</summary>
    public bool OfNeighbour =>
        Kind
            is HeatLimitKind.NeighbourPeak
                or HeatLimitKind.NeighbourTime
                or HeatLimitKind.NeighbourSolid
                or HeatLimitKind.NeighbourRise;

    /// <summary>True where the figure must be at least the limit, false where at most.</summary>
    public bool AtLeast => Kind is HeatLimitKind.ColdestJointPeak or HeatLimitKind.MoltenTimeLeast;
}

/// <summary>A figure of a planned run against its limit.</summary>
/// <param name="Limit">The limit.</param>
/// <param name="Figure">The computed figure, in the limit's unit.</param>
/// <param name="Margin">Room left, in the limit's unit; negative where the limit is passed.</param>
/// <param name="PassedChanceFraction">Chance that the limit is passed, 0 to 1.</param>
/// <param name="PassedChanceErrorFraction">Standard error of that chance.</param>
public sealed record HeatFigure(
    HeatLimit Limit,
    double Figure,
    double Margin,
    double PassedChanceFraction,
    double PassedChanceErrorFraction
);
