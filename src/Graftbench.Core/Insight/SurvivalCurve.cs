namespace Graftbench.Core.Insight;

/// <summary>How long something lasted, or for how long it is known to have lasted.</summary>
/// <param name="AfterDays">Days from the hand-over, 0 or above.</param>
/// <param name="CameBack">True where it came back then; false where it is only known until then.</param>
public readonly record struct KnownSpan(double AfterDays, bool CameBack);

/// <summary>A step of the curve, at a day on which at least one came back.</summary>
/// <param name="AfterDays">Day.</param>
/// <param name="AtRisk">How many were known to work until just before.</param>
/// <param name="CameBack">How many came back on that day.</param>
/// <param name="WorksFraction">Share that works beyond that day.</param>
/// <param name="LowFraction">Lower end of its 95 % interval.</param>
/// <param name="HighFraction">Upper end.</param>
public sealed record SurvivalStep(
    double AfterDays,
    int AtRisk,
    int CameBack,
    double WorksFraction,
    double LowFraction,
    double HighFraction
);

/// <summary>Share of machines that still work, by days since they were handed over.</summary>
/// <param name="Number">Machines that it is made of.</param>
/// <param name="CameBack">How many of them came back.</param>
/// <param name="Steps">Steps down, by day.</param>
/// <param name="ShownUntilDays">Last day with enough machines known to draw the curve; 0 where there never were.</param>
/// <param name="StartLowFraction">Lower end of the interval before the first step.</param>
/// <param name="EndsDays">When each machine came back, or until when it is known, rising.</param>
public sealed record SurvivalCurve(
    int Number,
    int CameBack,
    IReadOnlyList<SurvivalStep> Steps,
    double ShownUntilDays,
    double StartLowFraction,
    IReadOnlyList<double> EndsDays
)
{
    /// <summary>The curve is drawn only as far as so many are known.</summary>
    public const int FewestAtRisk = 5;

    private const double TwoSided95 = 1.959963984540054;

    /// <summary>Steps within the part that is drawn.</summary>
    public IEnumerable<SurvivalStep> Shown => Steps.Where(step => step.AfterDays <= ShownUntilDays);

    /// <summary>The curve of known spans.</summary>
    /// <param name="spans">The spans, in any order.</param>
    /// <remarks>
    /// Product-limit estimate [1]: at each day with a return the share is multiplied by (n - d)/n, with n the machines known
    /// until then and d those that came back; a machine whose span ends without a return on the same day counts as known.
    /// Interval from Greenwood's variance [2], laid on log(-log S), so that it stays between 0 and 1 [3, ch. 4.3]. While
    /// nothing came back that variance is 0 and says nothing: the exact lower end for no return among those still known at the
    /// first return, or where the drawn part ends, stands in.
    /// <para>[1] E. L. Kaplan, P. Meier 1958, Nonparametric estimation from incomplete observations, JASA 53, 457-481.</para>
    /// <para>[2] M. Greenwood 1926, The natural duration of cancer, Reports on Public Health 33.</para>
    /// <para>[3] J. P. Klein, M. L. Moeschberger 2003, Survival analysis, 2nd ed.</para>
    /// </remarks>
    public static SurvivalCurve Of(IEnumerable<KnownSpan> spans)
    {
        ArgumentNullException.ThrowIfNull(spans);
        KnownSpan[] sorted = [.. spans.OrderBy(span => span.AfterDays).ThenByDescending(span => span.CameBack)];
        List<SurvivalStep> steps = [];
        double works = 1;
        double variance = 0;
        for (int i = 0; i < sorted.Length; )
        {
            double day = sorted[i].AfterDays;
            int end = i;
            int back = 0;
            while (end < sorted.Length && sorted[end].AfterDays <= day)
            {
                back += sorted[end].CameBack ? 1 : 0;
                end++;
            }
            if (back > 0)
            {
                int atRisk = sorted.Length - i;
                works *= (double)(atRisk - back) / atRisk;
                variance += atRisk == back ? 0 : (double)back / ((double)atRisk * (atRisk - back));
                (double low, double high) = Interval(works, variance, atRisk);
                steps.Add(new SurvivalStep(day, atRisk, back, works, low, high));
            }
            i = end;
        }
        int enough = sorted.Length - FewestAtRisk;
        return new SurvivalCurve(
            sorted.Length,
            sorted.Count(span => span.CameBack),
            steps,
            enough >= 0 ? sorted[enough].AfterDays : 0,
            LowWithout(
                steps.Count > 0 ? steps[0].AtRisk
                : enough < 0 ? sorted.Length
                : sorted.Count(span => span.AfterDays >= sorted[enough].AfterDays)
            ),
            [.. sorted.Select(span => span.AfterDays)]
        );
    }

    private static double LowWithout(int known) => CountedShare.Of(known, known).LowFraction;

    /// <summary>How many machines are known to have worked until a day.</summary>
    /// <param name="afterDays">The day.</param>
    public int KnownAt(double afterDays) => EndsDays.Count(end => end >= afterDays);

    /// <summary>The step that holds at a day; null before the first one.</summary>
    /// <param name="afterDays">The day.</param>
    public SurvivalStep? At(double afterDays) => Steps.LastOrDefault(step => step.AfterDays <= afterDays);

    // Where all that were left came back on one day, only the exact interval of those few says anything.
    private static (double Low, double High) Interval(double works, double variance, int atRisk)
    {
        if (works <= 0)
        {
            return (0, CountedShare.Of(0, atRisk).HighFraction);
        }
        double log = Math.Log(works);
        double spread = TwoSided95 * Math.Sqrt(variance) / log;
        return (Math.Pow(works, Math.Exp(-spread)), Math.Pow(works, Math.Exp(spread)));
    }
}
