using System.Globalization;
using Graftbench.Core.Facts;
using Graftbench.Core.Physics.Capillary;
using static System.FormattableString;

namespace Graftbench.Core.Joints;

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

    private const double ToldMargin = 1.08;
    private const double ToldStepMm = 0.005;
    private const double ResolutionMm = 0.005;
    private const double Sigmas = 4;

    /// <summary>What common words mean.</summary>
    public static IReadOnlyList<SolderWord> Words { get; } =
    [.. JointFacts.Amounts.Select(row => new SolderWord(row.Word, row.FromMm, row.ToMm, row.Source))];

    /// <summary>Computes the need.</summary>
    /// <param name="request">The request.</param>
    /// <param name="tables">Its tables, which cover every dome up to half a sphere.</param>
    /// <param name="nominal">The seat at nominal sizes.</param>
    /// <param name="trials">Packages for each try.</param>
    /// <param name="cancel">Stops it.</param>
    public static SolderNeed Find(
        JointRequest request,
        JointTables tables,
        NominalSeat nominal,
        int trials,
        CancellationToken cancel
    )
    {
        double rule = Rule(request, nominal);
        double[] spreads = [.. Hands.Append(request.Spread.DomeVolumeSdPercent).Distinct().Order()];
        List<SolderLevel> levels = [];
        double from = 0;
        foreach (double spread in spreads)
        {
            SolderLevel level = Level(request, tables, spread, from, trials, cancel);
            levels.Add(level);
            // Less even solder never needs less of it.
            from = level.LeastMeanDomeMm ?? from;
        }
        return new SolderNeed(rule, levels, Sentence(request, rule, levels), Words);
    }

    /// <summary>Lowest dome that the molten plane asks of any land, four standard deviations of reach added [mm].</summary>
    public static double Rule(JointRequest request, NominalSeat nominal) => SafeDomesMm(request, nominal).Max();

    /// <summary>Dome from which each land is safe by itself, with the package as it stands molten [mm]; 0 where none is needed.</summary>
    public static double[] SafeDomesMm(JointRequest request, NominalSeat nominal)
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

    // What is told is on the safe side of what was found: the search's own counts scatter, and rounding down would fail.
    private static double Told(double foundMm) => Math.Ceiling(foundMm * ToldMargin / ToldStepMm - 1e-9) * ToldStepMm;

    private static string Sentence(JointRequest request, double rule, List<SolderLevel> levels)
    {
        double given = request.Spread.DomeVolumeSdPercent;
        SolderLevel own = levels.First(level => level.DomeSpreadPercent == given);
        SolderLevel even = levels[0];
        if (own.LeastMeanDomeMm is 0)
        {
            return "No solder is needed on the lands: wick them flat and leave them barely tinned.";
        }
        if (own.LeastMeanDomeMm is { } mean)
        {
            double most = request.Sites.Min(site => site.BoardRadiusMm);
            string alone =
                rule <= most
                    ? Invariant(
                        $"a land that stands {Math.Ceiling(100 * rule) / 100:0.00} mm or more is safe by itself: re-tin the lower ones where the map shows opens."
                    )
                    : "no single land can be made safe by itself: more than a half sphere would have to stand on it.";
            return Invariant(
                $"Leave {Told(mean):0.00#} mm of solder on the lands on average ({Word(Told(mean))}), no more uneven than {given:0} %; {alone}"
            );
        }
        return even.LeastMeanDomeMm is { } careful
            ? Invariant(
                $"As uneven as it is ({given:0} %) no amount is enough; made even to {even.DomeSpreadPercent:0} %, {Told(careful):0.00#} mm on average is ({Word(Told(careful))})."
            )
            : Invariant(
                $"No amount of solder up to a half sphere is enough; the best found is a chance of {even.AllJoinedFraction:0.00} at {even.BestDomeMm:0.00} mm."
            );
    }
}
