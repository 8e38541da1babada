namespace Graftbench.Core.Proof;

/// <summary>What was measured. It fixes the unit: ohm, volt or ampere.</summary>
public enum ReadingKind
{
    /// <summary>Resistance, to ground unless another end is named [Ω].</summary>
    Resistance,

    /// <summary>Diode-mode: the voltage that the meter's own test current leaves [V].</summary>
    Diode,

    /// <summary>Voltage, under power [V].</summary>
    Voltage,

    /// <summary>Current [A].</summary>
    Current,
}

/// <summary>Which lead was on ground.</summary>
public enum ProbePolarity
{
    /// <summary>Red on ground, black on the net: looks into the protection diodes.</summary>
    RedOnGround,

    /// <summary>Black on ground, red on the net.</summary>
    BlackOnGround,
}

/// <summary>When in the job a reading was taken, or on which board.</summary>
public enum ReadingState
{
    /// <summary>The host before any work.</summary>
    Baseline,

    /// <summary>The donor board before the chip was lifted from it.</summary>
    DonorBaseline,

    /// <summary>The host with the old chip lifted.</summary>
    AfterLift,

    /// <summary>The host with the chip placed and soldered, before power.</summary>
    AfterPlacing,

    /// <summary>Another board of the same sort that works.</summary>
    Healthy,

    /// <summary>At hand-over, the board works.</summary>
    Handover,

    /// <summary>When the board came back.</summary>
    Return,
}

/// <summary>What is known of the resistance of the leads in a reading of few ohms.</summary>
public enum LeadState
{
    /// <summary>Nobody said.</summary>
    NotSaid,

    /// <summary>The leads were touched together first and their resistance subtracted.</summary>
    Subtracted,

    /// <summary>Measured with four wires, or with injected current and the voltage across the part.</summary>
    FourWire,

    /// <summary>The resistance of the leads is still in it.</summary>
    Included,
}

/// <summary>What a meter showed: a number, or overload. Overload is never a number.</summary>
public sealed record MeterValue
{
    private MeterValue(double? number) => Number = number;

    /// <summary>The meter showed OL: more than its range, or open.</summary>
    public static MeterValue Overload { get; } = new((double?)null);

    /// <summary>The number in the unit of its kind (Ω, V or A); null for overload.</summary>
    public double? Number { get; }

    /// <summary>Whether the meter showed OL.</summary>
    public bool IsOverload => Number is null;

    /// <summary>A number.</summary>
    /// <param name="number">In the unit of its kind (Ω, V or A), finite.</param>
    /// <exception cref="ArgumentOutOfRangeException">It is not finite.</exception>
    public static MeterValue Of(double number) =>
        double.IsFinite(number)
            ? new MeterValue(number)
            : throw new ArgumentOutOfRangeException(nameof(number), number, "Must be finite; overload is no number.");
}

/// <summary>One reading of a meter.</summary>
public sealed record Reading
{
    /// <summary>Longest name, note and the like [characters].</summary>
    public const int LongestText = 200;

    /// <summary>Net or rail; case does not count.</summary>
    public required string Net { get; init; }

    /// <summary>What was measured.</summary>
    public required ReadingKind Kind { get; init; }

    /// <summary>What the meter showed.</summary>
    public required MeterValue Value { get; init; }

    /// <summary>When in the job, or on which board.</summary>
    public required ReadingState State { get; init; }

    /// <summary>Net at the other end of a resistance; null for ground.</summary>
    public string? To { get; init; }

    /// <summary>Which lead was on ground; null where nobody said.</summary>
    public ProbePolarity? Polarity { get; init; }

    /// <summary>Which meter; null where nobody said.</summary>
    public string? Meter { get; init; }

    /// <summary>Who measured; null where nobody said.</summary>
    public string? Person { get; init; }

    /// <summary>Number of the repeat, from 1: leads lifted and put down anew; null where nobody counted.</summary>
    public int? Repeat { get; init; }

    /// <summary>Temperature of the board [°C]; null where nobody measured it.</summary>
    public double? BoardC { get; init; }

    /// <summary>When; null where nobody noted it.</summary>
    public DateTimeOffset? At { get; init; }

    /// <summary>Place on the board along its length [mm]; null where not told.</summary>
    public double? XMm { get; init; }

    /// <summary>Place on the board along its width [mm]; null where not told.</summary>
    public double? YMm { get; init; }

    /// <summary>Ball that the net leads to; null where not told.</summary>
    public string? Ball { get; init; }

    /// <summary>How many like junctions hang on the net, this chip's included; 1 for this chip alone; null where unknown.</summary>
    public int? Junctions { get; init; }

    /// <summary>What is known of the leads.</summary>
    public LeadState Leads { get; init; }

    /// <summary>Revision of the board it was taken on, for a healthy board; null where not told.</summary>
    public string? Revision { get; init; }

    /// <summary>In words; null for nothing.</summary>
    public string? Note { get; init; }
}
