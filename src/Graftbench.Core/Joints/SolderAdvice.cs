using System.Globalization;
using static System.FormattableString;

namespace Graftbench.Core.Joints;

/// <summary>How much solder to leave on the lands, in a sentence to act on.</summary>
/// <param name="DomeMm">Amount, on the safe side of what was found [mm]; null where none is enough.</param>
/// <param name="SpreadPercent">How even it must be for that [%]; null where none is enough.</param>
/// <param name="Sentence">What to do.</param>
internal sealed record SolderAdvice(double? DomeMm, double? SpreadPercent, string Sentence)
{
    private const double ToldMargin = 1.08;
    private const double ToldStepMm = 0.005;

    // Even work is worth its time where it takes this much less solder.
    private const double WorthEvenShare = 0.65;

    /// <summary>The advice.</summary>
    /// <param name="request">The request.</param>
    /// <param name="ruleMm">Dome from which every land is safe by itself [mm].</param>
    /// <param name="levels">Least solder by evenness, the most even first.</param>
    /// <param name="slideDomeMm">Dome from which a ball put down off centre slides [mm]; null where it does not.</param>
    public static SolderAdvice Of(
        JointRequest request,
        double ruleMm,
        IReadOnlyList<SolderLevel> levels,
        double? slideDomeMm
    )
    {
        double most = request.Sites.Min(site => site.BoardRadiusMm);
        double given = request.Spread.DomeVolumeSdPercent;
        SolderLevel own = levels.First(level => level.DomeSpreadPercent == given);
        if (own.LeastMeanDomeMm is 0)
        {
            return new(0, given, "No solder is needed on the lands: wick them flat and leave them barely tinned.");
        }
        if (Chosen(levels, own, most, slideDomeMm) is not { } level)
        {
            SolderLevel best = levels.MaxBy(each => each.AllJoinedFraction)!;
            return new(
                null,
                null,
                Invariant(
                    $"No amount of solder up to a half sphere is surely enough; the best found is a chance of {100 * best.AllJoinedFraction:0} % at {best.BestDomeMm:0.00} mm, even to {best.DomeSpreadPercent:0} %."
                )
            );
        }
        double told = ToldMm(level.LeastMeanDomeMm!.Value);
        string alone =
            ruleMm <= most
                ? Invariant(
                    $"a land that stands {Math.Ceiling(100 * ruleMm) / 100:0.00} mm or more is safe by itself: re-tin lower ones up to that where the map shows opens."
                )
                : "no single land can be made safe by itself: more than a half sphere would have to stand on it.";
        if (level == own)
        {
            return new(
                told,
                given,
                Invariant(
                    $"Leave {told:0.00#} mm of solder on the lands on average ({SolderNeeds.Word(told)}), no more uneven than {given:0} %; {alone}"
                )
            );
        }
        string asItIs =
            own.LeastMeanDomeMm is not { } mean || ToldMm(mean) > most
                ? Invariant($"As uneven as it is ({given:0} %) no amount is enough")
            : slideDomeMm < ToldMm(mean)
                ? Invariant(
                    $"As uneven as it is ({given:0} %) it would take {ToldMm(mean):0.00#} mm, and balls slide off more than {slideDomeMm:0.00} mm"
                )
            : Invariant($"As uneven as it is ({given:0} %) it would take {ToldMm(mean):0.00#} mm");
        return new(
            told,
            level.DomeSpreadPercent,
            Invariant(
                $"Leave {told:0.00#} mm of solder on the lands on average ({SolderNeeds.Word(told)}), made even to {level.DomeSpreadPercent:0} %. {asItIs}; {alone}"
            )
        );
    }

    /// <summary>What is told for a least amount: on the safe side, since the search's own counts scatter and rounding down would fail [mm].</summary>
    /// <param name="foundMm">Least mean dome found [mm].</param>
    public static double ToldMm(double foundMm) => Math.Ceiling(foundMm * ToldMargin / ToldStepMm - 1e-9) * ToldStepMm;

    // As uneven as it is, unless that asks for heaps, or for much more than a careful hand needs.
    private static SolderLevel? Chosen(
        IReadOnlyList<SolderLevel> levels,
        SolderLevel own,
        double mostMm,
        double? slideDomeMm
    )
    {
        SolderLevel[] within = [.. levels.Where(level => level.LeastMeanDomeMm is { } mean && ToldMm(mean) <= mostMm)];
        if (within.Length == 0)
        {
            return null;
        }
        SolderLevel even = within[0];
        if (!within.Contains(own))
        {
            return even;
        }
        double asIs = own.LeastMeanDomeMm!.Value;
        bool slides = slideDomeMm < ToldMm(asIs) && ToldMm(even.LeastMeanDomeMm!.Value) < ToldMm(asIs);
        return slides || even.LeastMeanDomeMm < WorthEvenShare * asIs ? even : own;
    }
}
