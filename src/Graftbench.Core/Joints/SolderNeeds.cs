using System.Globalization;
using Graftbench.Core.Facts;
using Graftbench.Core.Physics.Capillary;
using static System.FormattableString;

namespace Graftbench.Core.Joints;

/// <summary>What the search for the least solder starts from.</summary>
/// <param name="Request">The request.</param>
/// <param name="Tables">Its tables, which cover every dome up to half a sphere.</param>
/// <param name="Seats">The seat at nominal sizes, first with the mean warpage.</param>
/// <param name="SlideDomeMm">Dome from which a ball put down off centre slides [mm]; null where it does not.</param>
/// <param name="Trials">Packages for each try.</param>
internal sealed record SolderAsk(
    JointRequest Request,
    JointTables Tables,
    IReadOnlyList<NominalSeat> Seats,
    double? SlideDomeMm,
    int Trials
);

/// <summary>The least solder on the lands, for several evennesses.</summary>
internal static class SolderNeeds
{
    /// <summary>Spread in which a careful, a usual and a hasty hand leave solder.</summary>
    private static readonly double[] Hands =
    [
        JointFacts.Figure("dome-spread-careful").Value,
        JointFacts.Figure("dome-spread").Value,
        JointFacts.Figure("dome-spread-hasty").Value,
    ];

    private const double ResolutionMm = 0.005;
    private const double Sigmas = 4;

    /// <summary>What common words mean.</summary>
    public static IReadOnlyList<SolderWord> Words { get; } =
    [.. JointFacts.Amounts.Select(row => new SolderWord(row.Word, row.FromMm, row.ToMm, row.Source))];

    /// <summary>Computes the need.</summary>
    /// <param name="ask">What is asked.</param>
    /// <param name="progress">Told how far it is.</param>
    /// <param name="cancel">Stops it.</param>
    public static SolderNeed Find(SolderAsk ask, IProgress<PlanProgress>? progress, CancellationToken cancel)
    {
        JointRequest request = ask.Request;
        double rule = Rule(request, ask.Seats);
        double[] spreads = [.. Hands.Append(request.Spread.DomeVolumeSdPercent).Distinct().Order()];
        List<SolderLevel> levels = [];
        double from = 0;
        foreach (double spread in spreads)
        {
            SolderLevel level = Level(request, ask.Tables, spread, from, ask.Trials, cancel);
            levels.Add(level);
            progress?.Report(
                new PlanProgress(Invariant($"uneven by {spread:0} %"), levels.Count / (double)spreads.Length)
            );
            // Less even solder never needs less of it.
            from = level.LeastMeanDomeMm ?? from;
        }
        SolderAdvice advice = SolderAdvice.Of(request, rule, levels, ask.SlideDomeMm);
        return new SolderNeed(rule, levels, advice.Sentence, Words, advice.DomeMm, advice.SpreadPercent);
    }

    /// <summary>Lowest dome that the molten plane asks of any land, four standard deviations of reach added [mm].</summary>
    public static double Rule(JointRequest request, IReadOnlyList<NominalSeat> seats) =>
        SafeDomesMm(request, seats).Max();

    /// <summary>Dome from which each land is safe by itself in every one of the seats [mm]; 0 where none is needed.</summary>
    /// <param name="request">The request.</param>
    /// <param name="seats">The package as it stands molten: with the mean warpage, and with that of both ends.</param>
    public static double[] SafeDomesMm(JointRequest request, IReadOnlyList<NominalSeat> seats)
    {
        double[][] each =
        [
            .. seats.Where(seat => seat.Molten is { Converged: true }).Select(seat => SafeDomesMm(request, seat)),
        ];
        return [.. Enumerable.Range(0, request.Sites.Count).Select(i => each.Max(domes => domes[i]))];
    }

    private static double[] SafeDomesMm(JointRequest request, NominalSeat nominal)
    {
        double margin = Sigmas * JointChanges.ReachSdMm(request);
        double swelling = request.Solder.SwellingFactor;
        return
        [
            .. nominal.Joints.Select(
                (joint, i) =>
                {
                    JointSite site = request.Sites[i];
                    double ball = SolderCap.HeightMm(site.BallVolumeMm3 * swelling, site.PackageRadiusMm);
                    return site.BallVolumeMm3 <= 0 ? 0 : Math.Max(0, joint.GapMm - ball + margin);
                }
            ),
        ];
    }

    /// <summary>The word for a height.</summary>
    public static string Word(double domeMm) =>
        domeMm <= 0 ? "bare" : Words.FirstOrDefault(word => domeMm <= word.ToMm)?.Word ?? "more than half a ball";

    private static SolderLevel Level(
        JointRequest request,
        JointTables tables,
        double spreadPercent,
        double fromMm,
        int trials,
        CancellationToken cancel
    )
    {
        double most = request.Sites.Min(site => site.BoardRadiusMm);
        double wanted = request.Goal.WantedFraction;
        JointChance best = Chance(fromMm);
        double bestDome = fromMm;
        if (best.AllJoinedFraction >= wanted)
        {
            return fromMm <= 0 ? Result(0, best, 0) : Result(fromMm, best, fromMm);
        }
        double low = fromMm;
        double? high = null;
        for (double dome = Math.Max(0.02, fromMm * 1.3); ; dome = Math.Min(most, dome * 1.45))
        {
            JointChance chance = Chance(dome);
            if (chance.AllJoinedFraction > best.AllJoinedFraction)
            {
                (best, bestDome) = (chance, dome);
            }
            if (chance.AllJoinedFraction >= wanted)
            {
                high = dome;
                break;
            }
            low = dome;
            if (dome >= most)
            {
                break;
            }
        }
        if (high is not { } reached)
        {
            return new SolderLevel(spreadPercent, null, best.AllJoinedFraction, best.AllJoinedErrorFraction, bestDome);
        }
        while (reached - low > ResolutionMm)
        {
            double middle = (low + reached) / 2;
            JointChance chance = Chance(middle);
            if (chance.AllJoinedFraction >= wanted)
            {
                (reached, best) = (middle, chance);
            }
            else
            {
                low = middle;
            }
        }
        return Result(reached, best, reached);

        JointChance Chance(double domeMm) =>
            JointChances.Draw(JointChanges.WithDome(request, domeMm, spreadPercent), tables, trials, cancel: cancel);

        SolderLevel Result(double least, JointChance chance, double at) =>
            new(spreadPercent, least, chance.AllJoinedFraction, chance.AllJoinedErrorFraction, at);
    }
}
