using Graftbench.Core.Facts;
using Graftbench.Core.Findings;
using Graftbench.Core.Jobs;
using static System.FormattableString;

namespace Graftbench.Core.Fit.Rules;

/// <summary>Heat, whether it settles, and the cooler's seat.</summary>
internal static class CoolingRules
{
    /// <summary>The die at the warmest air against its limit.</summary>
    public static IEnumerable<Finding> Hottest(FitContext context, FitRule rule)
    {
        if (context.Heat is not { } heat)
        {
            yield return rule.Lacks(
                context.Where,
                Missing(context),
                "Measure the old chip on this cooler: die, air, power."
            );
            yield break;
        }
        if (heat.HottestDieC is not { } limitC)
        {
            yield return rule.Lacks(
                context.Where,
                "The hottest that its die may get is not entered.",
                "Enter it from the data sheet."
            );
            yield break;
        }
        if (heat.Balance.SettlesC is not { } settlesC)
        {
            yield return rule.Find(
                Verdict.Blocker,
                context.Where,
                "At the warmest air its die does not settle at any temperature.",
                Invariant($"air {heat.AirC:0.#} °C, {heat.ThetaKPerW:0.###} K/W"),
                Invariant($"settles up to {heat.Balance.MostAmbientC:0.#} °C of air"),
                "Fit a better cooler, or cap the chip's power by firmware."
            );
            yield break;
        }
        double? worstC = heat.Worst.SettlesC;
        Verdict verdict =
            settlesC > limitC ? Verdict.FixFirst
            : worstC is null || worstC > limitC ? Verdict.Warning
            : Verdict.Ok;
        string worst = worstC is { } hot ? Invariant($"{hot:0.#} °C") : "does not settle";
        yield return rule.Find(
            verdict,
            context.Where,
            verdict switch
            {
                Verdict.FixFirst => "On this cooler its die gets hotter than it may.",
                Verdict.Warning => "Its die stays below its limit only if the cooler is as good as it was measured.",
                _ => "On this cooler its die stays below its limit.",
            },
            Invariant(
                $"{settlesC:0.#} °C at {heat.AirC:0.#} °C of air, {heat.Balance.PowerW:0.#} W; {worst} with {heat.ThetaErrorPercent:0} % more than {heat.ThetaKPerW:0.###} K/W"
            ),
            Invariant($"{limitC:0.#} °C"),
            verdict == Verdict.Ok ? null : "Fit a better cooler, or cap the chip's power by firmware."
        );
    }

    /// <summary>Whether the heat comes to rest: loop gain below 1.</summary>
    public static IEnumerable<Finding> Settles(FitContext context, FitRule rule)
    {
        if (context.Heat is not { } heat)
        {
            yield return rule.Lacks(
                context.Where,
                Missing(context),
                "Measure the old chip on this cooler: die, air, power."
            );
            yield break;
        }
        if (context.Needs.LeakageW is null || context.Needs.SwitchingW is null)
        {
            yield return rule.Lacks(
                context.Where,
                "How its power grows with temperature is not entered: whether it settles is not known.",
                "Enter switching power and leakage with the rise that doubles it, from the data sheet or measured at two temperatures."
            );
            yield break;
        }
        string value = heat.Balance is { SettlesC: { } settlesC, LoopGainRatio: { } gain }
            ? Invariant($"settles at {settlesC:0.#} °C, loop gain {gain:0.00}")
            : "no temperature at which it settles";
        double spareDeltaK = heat.Balance.MostAmbientC - heat.AirC;
        double worstSpareDeltaK = heat.Worst.MostAmbientC - heat.AirC;
        double wantedDeltaK = FitFacts.Limit("air-headroom").Value;
        Verdict verdict =
            heat.Balance.SettlesC is null ? Verdict.Blocker
            : heat.Worst.SettlesC is null || worstSpareDeltaK < wantedDeltaK ? Verdict.Warning
            : Verdict.Ok;
        yield return rule.Find(
            verdict,
            context.Where,
            verdict switch
            {
                Verdict.Blocker => "It would run away: more heat is made than taken at every temperature.",
                Verdict.Warning => "It settles, but little warmer air or a little more dust would let it run away.",
                _ => "It settles, and would in warmer air.",
            },
            value,
            double.IsPositiveInfinity(heat.Balance.MostAmbientC)
                ? "loop gain below 1"
                : Invariant(
                    $"loop gain below 1; settles up to {heat.Balance.MostAmbientC:0.#} °C of air, {heat.Worst.MostAmbientC:0.#} °C with a cooler {heat.ThetaErrorPercent:0} % worse"
                ),
            verdict switch
            {
                Verdict.Blocker => "Do not run it on this cooler; fit a better one or cap its power.",
                Verdict.Warning => Invariant(
                    $"Fit a better cooler: {wantedDeltaK:0} K of warmer air are wanted, {Math.Max(0, Math.Min(spareDeltaK, worstSpareDeltaK)):0.#} K are there."
                ),
                _ => null,
            }
        );
    }

    private static string Missing(FitContext context)
    {
        BoardCooling? cooling = context.Gives.Cooling;
        List<string> missing = [];
        if (cooling is null || FitHeats.ThetaKPerW(cooling) is null)
        {
            missing.Add("the thermal resistance of the cooler");
        }
        if (cooling?.WarmestAirC is null)
        {
            missing.Add("the warmest air");
        }
        if (context.Needs is { MostW: null } and not { SwitchingW: not null, LeakageW: not null })
        {
            missing.Add("the chip's power");
        }
        return $"Not entered: {string.Join(", ", missing)}.";
    }

    /// <summary>Height against the cooler, and how hard it presses.</summary>
    public static IEnumerable<Finding> Seat(FitContext context, FitRule rule)
    {
        Chip chip = context.Chip;
        if (context.Replaced is { } old && Height(chip) is { } mine && Height(old) is { } theirs)
        {
            double changeMm = mine - theirs;
            double? travel = context.Gives.Cooling?.TravelMm;
            double travelMm = travel ?? FitFacts.Limit("cooler-travel").Value;
            bool fits = Math.Abs(changeMm) <= travelMm;
            yield return rule.Find(
                fits ? Verdict.Ok : Verdict.FixFirst,
                context.Where,
                fits ? "Its top comes to where the cooler reaches."
                    : changeMm < 0 ? "Its top lies too low for the cooler."
                    : "Its top stands too high for the cooler.",
                Invariant($"{changeMm:+0.00;-0.00;0.00} mm against chip {old.Id}"),
                Invariant($"{travelMm:0.##} mm"),
                fits ? null
                    : changeMm < 0 ? "Fit a thicker pad or a shim; never leave a gap."
                    : "Fit a thinner pad, or let the screws out as the cooler's maker allows.",
                source: travel is null ? FitFacts.Limit("cooler-travel").Source : rule.Source
            );
        }
        else
        {
            yield return rule.Lacks(
                context.Where,
                "The height of its top against the chip that it replaces is not known.",
                "Enter body thickness and height of the joints for both chips."
            );
        }
        if (
            context.Gives.Cooling is { ClampN: { } force } cooling
            && chip is { DieLengthMm: { } length, DieWidthMm: { } width, Top: BodyTop.BareDie }
        )
        {
            FitLimit usual = FitFacts.Limit("die-pressure");
            double kPa = 1000 * force / (length * width);
            double limitKPa = cooling.MostPressureKPa ?? usual.Value;
            bool fits = kPa <= limitKPa;
            yield return rule.Find(
                fits ? Verdict.Ok : Verdict.FixFirst,
                context.Where,
                fits
                    ? "The cooler presses no harder than the die may stand."
                    : "The cooler presses harder than the die may stand.",
                Invariant($"{kPa:0} kPa ({force:0.#} N on {length:0.#} by {width:0.#} mm)"),
                Invariant($"{limitKPa:0.#} kPa{(cooling.MostPressureKPa is null ? ", one maker of modules" : "")}"),
                fits ? null : "Lower the force of the springs; tighten the screws crosswise, in small turns.",
                "fit.die-pressure",
                cooling.MostPressureKPa is null ? usual.Source : rule.Source
            );
        }
        else if (chip.Top is BodyTop.BareDie or BodyTop.Unknown)
        {
            yield return rule.Find(
                Verdict.Unknown,
                context.Where,
                "How hard the cooler presses on the die is not known.",
                todo: "Enter its force and the size of the die where the die is bare; say what the top of the body is where it is not.",
                code: "fit.die-pressure"
            );
        }
    }

    private static double? Height(Chip chip) => chip.BodyThicknessMm + chip.StandoffMm;
}
