using Graftbench.Core.Numerics;

namespace Graftbench.Core.Proof;

/// <summary>How far readings scatter when leads are lifted and put down anew, for one kind, meter and person.</summary>
/// <param name="Kind">Kind of reading.</param>
/// <param name="Meter">Meter; null where nobody said, or for all.</param>
/// <param name="Person">Person; null where nobody said, or for all.</param>
/// <param name="SpreadNumber">One standard deviation: V or A; for a resistance the share of it (0.02 is 2 %).</param>
/// <param name="LeastNumber">Lower end of its 95 % interval; null for an estimate.</param>
/// <param name="MostNumber">Upper end of its 95 % interval; null for an estimate.</param>
/// <param name="FreedomNumber">Degrees of freedom; 0 for an estimate.</param>
/// <param name="Nets">Nets that it rests on.</param>
/// <param name="Source">Source id.</param>
public sealed record Repeatability(
    ReadingKind Kind,
    string? Meter,
    string? Person,
    double SpreadNumber,
    double? LeastNumber,
    double? MostNumber,
    double FreedomNumber,
    int Nets,
    string Source
)
{
    private const double IntervalChance = 0.95;

    /// <summary>Whether it was measured, and not taken from the table.</summary>
    public bool Measured => FreedomNumber > 0;

    /// <summary>
    /// Repeatabilities that a set of readings shows: standard deviation pooled within nets, s² = Σ(nᵢ-1)sᵢ² / Σ(nᵢ-1), with
    /// the interval ν·s²/χ². One for each kind, meter and person; those with no net measured twice are left out.
    /// </summary>
    /// <param name="set">The readings; 10 nets of 5 repeats are a good number.</param>
    public static IReadOnlyList<Repeatability> Of(ReadingSet set)
    {
        ArgumentNullException.ThrowIfNull(set);
        return
        [
            .. set
                .Readings.GroupBy(one => (one.Kind, Meter: Key(one.Meter), Person: Key(one.Person)))
                .Select(group =>
                    Pooled(ReadingSet.Of([.. group]).Groups, group.Key.Kind, group.First().Meter, group.First().Person)
                )
                .OfType<Repeatability>(),
        ];
    }

    /// <summary>The repeatability to use for a kind: what the readings of that meter show where they are enough, else the table's.</summary>
    /// <param name="set">The readings.</param>
    /// <param name="kind">Kind.</param>
    /// <param name="meter">Meter; null for any.</param>
    /// <param name="thresholds">Limits.</param>
    public static Repeatability For(ReadingSet set, ReadingKind kind, string? meter, ProofThresholds thresholds)
    {
        ArgumentNullException.ThrowIfNull(set);
        ArgumentNullException.ThrowIfNull(thresholds);
        Repeatability? own = Pooled(
            Alike(
                [
                    .. set.Groups.Where(group =>
                        group.Kind == kind && (meter is null || NetNames.Same(group.Meter, meter))
                    ),
                ],
                thresholds["contradiction"]
            ),
            kind,
            meter,
            null
        );
        if (own is not null && own.FreedomNumber >= thresholds["own-repeats"] && own.SpreadNumber > 0)
        {
            return own;
        }
        Threshold taken = thresholds.Of(kind == ReadingKind.Resistance ? "resistance-repeat" : "diode-repeat");
        double spread = kind == ReadingKind.Resistance ? taken.Value / 100 : taken.Value;
        return new Repeatability(kind, meter, null, spread, null, null, 0, 0, taken.Source);
    }

    // Repeats that contradict each other say nothing of how far good ones scatter: they stay out by the median of all.
    private static IEnumerable<ReadingGroup> Alike(ReadingGroup[] groups, double beyondNumber)
    {
        double[] spreads = [.. groups.Select(group => group.ScaledSpreadNumber).OfType<double>().Order()];
        double most = spreads.Length == 0 ? 0 : beyondNumber * spreads[spreads.Length / 2];
        return groups.Where(group => most == 0 || !(group.ScaledSpreadNumber > most));
    }

    private static Repeatability? Pooled(
        IEnumerable<ReadingGroup> groups,
        ReadingKind kind,
        string? meter,
        string? person
    )
    {
        double squares = 0;
        double freedom = 0;
        int nets = 0;
        foreach (ReadingGroup group in groups)
        {
            if (!group.Mixed && group.ScaledSpreadNumber is { } spread)
            {
                double own = group.Count - 1;
                squares += own * spread * spread;
                freedom += own;
                nets++;
            }
        }
        if (freedom == 0)
        {
            return null;
        }
        const double Tail = (1 - IntervalChance) / 2;
        return new Repeatability(
            kind,
            meter,
            person,
            Math.Sqrt(squares / freedom),
            Math.Sqrt(squares / ChiSquare.Quantile(1 - Tail, freedom)),
            Math.Sqrt(squares / ChiSquare.Quantile(Tail, freedom)),
            freedom,
            nets,
            "pooled-deviation"
        );
    }

    private static string? Key(string? name) => name is null ? null : NetNames.Key(name);
}

/// <summary>How many repeats a shift needs, and how small a shift repeats can show.</summary>
/// <remarks>
/// n = 2·((z_a + z_b)·s/d)² in each of two states, with z_a of the false alarms shared out over all nets and z_b of the power.
/// One-sided: a lost junction raises a reading and a leak lowers it, and which of them is sought is known. Two-sided would take
/// a little more: 16 instead of 15 for s = 5 mV and d = 10 mV over 100 nets.
/// </remarks>
/// <param name="SpreadNumber">Repeatability s, above 0.</param>
/// <param name="Nets">Nets that are compared, 1 or more.</param>
/// <param name="FalseAlarmFraction">Chance of any false alarm over all nets, above 0 and below 1.</param>
/// <param name="PowerFraction">Chance to see a shift that is there, above 0 and below 1.</param>
public sealed record RepeatPlan(
    double SpreadNumber,
    int Nets,
    double FalseAlarmFraction = 0.01,
    double PowerFraction = 0.95
)
{
    private double AlarmNumber => -LatinHypercube.NormalQuantile(FalseAlarmFraction / Math.Max(Nets, 1));

    private double PowerNumber => LatinHypercube.NormalQuantile(PowerFraction);

    /// <summary>Repeats in each state that a shift needs, 1 or more.</summary>
    /// <param name="shiftNumber">The shift, in the unit of the repeatability, above 0.</param>
    public int Needed(double shiftNumber)
    {
        Require.FinitePositive(shiftNumber);
        Require.FinitePositive(SpreadNumber);
        double z = (AlarmNumber + PowerNumber) * SpreadNumber / shiftNumber;
        return (int)Math.Clamp(Math.Ceiling((2 * z * z) - 1e-9), 1, 1_000_000);
    }

    /// <summary>Smallest shift that is seen with the wanted chance, in the unit of the repeatability.</summary>
    /// <param name="before">Repeats in the one state, 1 or more.</param>
    /// <param name="after">Repeats in the other, 1 or more.</param>
    public double SeenShiftNumber(int before, int after) => (AlarmNumber + PowerNumber) * ErrorNumber(before, after);

    /// <summary>Shift beyond which a net counts as changed, in the unit of the repeatability.</summary>
    /// <param name="before">Repeats in the one state, 1 or more.</param>
    /// <param name="after">Repeats in the other, 1 or more.</param>
    public double AlarmShiftNumber(int before, int after) => AlarmNumber * ErrorNumber(before, after);

    private double ErrorNumber(int before, int after)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(before, 1);
        ArgumentOutOfRangeException.ThrowIfLessThan(after, 1);
        return SpreadNumber * Math.Sqrt((1.0 / before) + (1.0 / after));
    }
}
