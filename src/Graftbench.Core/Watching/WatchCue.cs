using Graftbench.Core.Heating;

namespace Graftbench.Core.Watching;

/// <summary>What the person is told, one thing at a time.</summary>
public enum CueKind
{
    /// <summary>Nothing to do but go on.</summary>
    Wait,

    /// <summary>The coldest joint has the preheat temperature.</summary>
    PreheatReached,

    /// <summary>It has had it for long enough.</summary>
    SoakEnough,

    /// <summary>The body's top climbs too fast.</summary>
    RampTooFast,

    /// <summary>The first joints melt.</summary>
    FirstJointsMelt,

    /// <summary>Every joint is probably molten, but not surely or not for long enough.</summary>
    Hold,

    /// <summary>Every joint has been molten for the asked time: take the chip off.</summary>
    Lift,

    /// <summary>Every joint has been molten for the asked time: let the chip settle, then cool.</summary>
    LetSettle,

    /// <summary>Cooling after the melt, and not every joint surely solid: nothing may be moved.</summary>
    Freezing,

    /// <summary>Every joint is surely solid again.</summary>
    Solid,

    /// <summary>A part will reach its limit before the joints melt.</summary>
    LimitFirst,

    /// <summary>A limit is reached.</summary>
    StopNow,

    /// <summary>The estimate cannot be believed.</summary>
    CannotTell,
}

/// <summary>A cue with its words.</summary>
/// <param name="Kind">What it is.</param>
/// <param name="Headline">Two to five words, to be read at two metres.</param>
/// <param name="Detail">One or two sentences with figures.</param>
/// <param name="SinceS">Since when it is shown [s].</param>
/// <param name="LeftS">Seconds that are left of what it counts down; null where it counts nothing.</param>
public sealed record WatchCue(CueKind Kind, string Headline, string Detail, double SinceS, double? LeftS);

/// <summary>What a heat is watched for.</summary>
/// <param name="Task">What the heat is for.</param>
/// <param name="MoltenS">How long every joint is to be molten [s].</param>
public sealed record WatchGoals(HeatTask Task, double MoltenS)
{
    /// <summary>Coldest joint at which preheat is reached [°C]; lead-free 150 (J-STD-020 table 5-2, Tsmin).</summary>
    public double PreheatC { get; init; } = 150;

    /// <summary>How long it is kept at least [s]; 60 (J-STD-020 table 5-2).</summary>
    public double SoakS { get; init; } = 60;

    /// <summary>Steepest rise of the body's top over 10 s [K/s]; 3 (J-STD-020 table 5-2).</summary>
    public double RiseMostKPerS { get; init; } = 3;

    /// <summary>How long ahead a limit is told [s]; an estimate of what a person needs to do something about it.</summary>
    public double WarnS { get; init; } = 30;

    /// <summary>Goals as the limits of a plan have them; what they do not say stays as it is.</summary>
    /// <param name="task">What the heat is for.</param>
    /// <param name="limits">Limits of the heat.</param>
    public static WatchGoals Of(HeatTask task, IReadOnlyList<HeatLimit> limits)
    {
        ArgumentNullException.ThrowIfNull(limits);
        double? Value(HeatLimitKind kind) => limits.FirstOrDefault(limit => limit.Kind == kind)?.Value;
        WatchGoals usual = new(task, Value(HeatLimitKind.MoltenTimeLeast) ?? (task == HeatTask.Lift ? 5 : 30));
        return usual with { RiseMostKPerS = Value(HeatLimitKind.BodyRise) ?? usual.RiseMostKPerS };
    }
}
