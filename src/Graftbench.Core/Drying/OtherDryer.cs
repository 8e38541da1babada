using Graftbench.Core.Facts;
using Graftbench.Core.Findings;
using Graftbench.Core.Jobs;
using static System.FormattableString;

namespace Graftbench.Core.Drying;

/// <summary>What a subject would take in another dryer: hotter, or with drier air.</summary>
internal sealed class OtherDryer
{
    private readonly Subject _subject;
    private readonly DryingContext _context;
    private readonly IReadOnlyList<BodyDrying> _bodies;

    /// <summary>Sets the subject and what is known of its bodies, in the subject's order.</summary>
    public OtherDryer(Subject subject, DryingContext context, IReadOnlyList<BodyDrying> bodies) =>
        (_subject, _context, _bodies) = (subject, context, bodies);

    /// <summary>What a hotter bake would take, where dryer and subject allow one.</summary>
    /// <param name="usedC">Temperature of the parts now [°C].</param>
    /// <param name="plannedH">Time at that temperature [h].</param>
    public IEnumerable<Finding> Hotter(double usedC, double plannedH)
    {
        double nowC = usedC + SpreadDeltaK;
        double mostC = _context.Job.Dryer.MaxC ?? BakeModel.HottestC;
        if (Hottest(nowC, CapC(usedC), mostC) is not { } betterC || Hours(betterC) is not { } hours)
        {
            yield break;
        }
        yield return new Finding(
            Verdict.Warning,
            "drying.hotter-is-shorter",
            _subject.Title,
            Invariant(
                $"This bake is long because the dryer is cool: {Units.WholeHoursUpH(plannedH):0} h at {nowC:0.#} °C, {Units.WholeHoursUpH(hours):0} h at {betterC:0.#} °C{AfterTakingOff(betterC)}."
            ),
            Invariant($"{Units.WholeHoursUpH(plannedH):0} h"),
            null,
            BakeModel.SourceId,
            betterC + SpreadDeltaK > Constants.Value("budget.above")
                ? "Use a hotter dryer if there is one; hours above 90 °C count against the 96 h budget."
                : "Use a hotter dryer if there is one; at 90 °C or below hours are not limited."
        );
    }

    /// <summary>
    /// What to do where the dryer as it is never ends: the same air hotter, hotter still with parts
    /// off, or drier air at the same temperature, each with its hours.
    /// </summary>
    /// <param name="usedC">Temperature of the parts now [°C].</param>
    /// <returns>One sentence.</returns>
    public string Instead(double usedC)
    {
        double nowC = usedC + SpreadDeltaK;
        double? asItIsC = Hottest(nowC, CapC(usedC));
        double freedC = CapC(BakeModel.HottestC);
        double aboveC = asItIsC ?? nowC;
        // The temperature that the dryer is set to goes before a hotter one that it may not reach.
        double setC = _context.Job.Dryer.SetC ?? nowC;
        double? strippedC =
            setC > aboveC && setC + SpreadDeltaK <= freedC && Hours(setC) is not null ? setC : Hottest(aboveC, freedC);
        double dryAirPercent = Constants.Value("table.dry-air");
        string? drier = HoursAt(usedC, Math.Min(dryAirPercent, _context.HumidityPercent(usedC))) is { } dryH
            ? Way(
                Invariant($"at {nowC:0.#} °C with desiccant that keeps the air at {dryAirPercent:0} % RH or less"),
                dryH
            )
            : null;
        string?[] ways = [Way(asItIsC), Way(strippedC), drier];
        string said = string.Join("; or ", ways.OfType<string>());
        return said.Length > 0
            ? $"Dry {Spoken(_subject.Title)} {said}."
            : "No other temperature ends either: take off what caps it, or go by weighing.";
    }

    /// <summary>A subject's title within a sentence: "the host board", "chip U1".</summary>
    internal static string Spoken(string title) =>
        title.EndsWith(" board", StringComparison.Ordinal) ? $"the {title}" : title;

    // Set temperatures of a dryer. The hottest part may be hotter by the spread and must not pass what a user's site may bake at.
    private double[] Choices =>
        [BakeModel.HottestC - SpreadDeltaK, 105, Constants.Value("budget.above") - SpreadDeltaK, 80];

    private double SpreadDeltaK => _context.Job.Dryer.SpreadDeltaK ?? 0;

    private double? Hottest(double aboveC, double capC, double mostC = double.PositiveInfinity) =>
        Choices
            .Where(choice =>
                choice <= mostC && choice + SpreadDeltaK <= capC && choice > aboveC + 4 && Hours(choice) is not null
            )
            .Select(choice => (double?)choice)
            .FirstOrDefault();

    // Of a set temperature: the coldest parts decide.
    private double? Hours(double setC) => HoursAt(setC - SpreadDeltaK, _context.HumidityPercent(setC - SpreadDeltaK));

    private string? Way(double? choice) =>
        choice is { } temperatureC && Hours(temperatureC) is { } hours
            ? Way(Invariant($"at {temperatureC:0.#} °C{AfterTakingOff(temperatureC)}"), hours)
            : null;

    private static string Way(string where, double hours) => Invariant($"{where}: {Units.WholeHoursUpH(hours):0} h");

    // The longest of bodies and laminate; null where one of them has no end.
    private double? HoursAt(double temperatureC, double humidityPercent)
    {
        double hours = 0;
        for (int i = 0; i < _bodies.Count; i++)
        {
            if (_bodies[i].AdviceH == 0)
            {
                continue;
            }
            BakeAdvice advice = BakeAdvice.For(
                _subject.Bodies[i].Body,
                BodyPlanner.Over(_bodies[i].FloorLife),
                temperatureC,
                humidityPercent,
                _context.Job.Dryer.SpreadDeltaK
            );
            if (advice.AdviceH is not { } adviceH)
            {
                return null;
            }
            hours = Math.Max(hours, adviceH);
        }
        double targetPercent = _context.Job.Wishes.LaminateMoisturePercent ?? Constants.Value("laminate.target");
        double? laminateH = _subject.LaminateCounts
            ? SubjectPlanner
                .Laminate(_subject, _context, temperatureC, humidityPercent, targetPercent, weighedDry: false)
                ?.HighH
            : null;
        // As in the plan itself, a laminate without an end is named apart: weighing decides about it.
        hours = Math.Max(hours, laminateH ?? 0);
        return hours > 0 ? hours : null;
    }

    // The highest temperature that the subject stands once the parts that cap it just above a temperature are off.
    private double CapC(double freeToC) =>
        (
            _subject.Board is { } board
                ? DryingLimits.Of(
                    board with
                    {
                        Parts = [.. board.Parts.Where(part => !Caps(part, freeToC + 5))],
                    },
                    _subject.Title,
                    freeToC
                )
                : DryingLimits.OfChip
        ).CapC
        ?? BakeModel.HottestC;

    private string AfterTakingOff(double temperatureC)
    {
        string off = string.Join(
            ", ",
            _subject.Board?.Parts.Where(part => Caps(part, temperatureC)).Select(part => part.Ref).Take(8) ?? []
        );
        return off.Length > 0 ? $" after taking off {off}" : "";
    }

    private static bool Caps(Part part, double temperatureC) =>
        !part.TakenOff
        && (part.BakeLimitC ?? PartKinds.Of(part.Kind).BakeLimitC) is { } limitC
        && limitC < temperatureC;
}
