using Graftbench.Core.Heating;

namespace Graftbench.Core.Watching;

/// <summary>What cues are measured by.</summary>
/// <param name="Goals">Goals.</param>
/// <param name="MoltenC">Full melt of the joints [°C].</param>
/// <param name="SolidC">Below this every joint is surely solid again [°C].</param>
internal sealed record CueLimits(WatchGoals Goals, double MoltenC, double SolidC);

/// <summary>Words of cues, for a technician with both hands full.</summary>
internal static class CueWords
{
    public static WatchCue Of(
        CueKind kind,
        double sinceS,
        LiveEstimate now,
        WatchAhead ahead,
        CueLimits limits,
        double moltenForS
    )
    {
        (WatchGoals goals, double moltenC, double solidC) = limits;
        bool balls = goals.Task == HeatTask.AttachBalls;
        string joints = balls ? "ball" : "joint";
        TemperatureBand coldest = now.Coldest.Band;
        string band = Text(
            $"Coldest {joints} {coldest.EstimateC:0} °C ({coldest.LowC:0} to {coldest.HighC:0}), {now.Coldest.Where}"
        );
        LimitAhead? reached = ahead.Limits.FirstOrDefault(limit => limit is { Hard: true, InS: 0 });
        LimitAhead? first = CueBook.First(ahead);
        (string headline, string detail, double? leftS) = kind switch
        {
            CueKind.PreheatReached => (
                "Preheat reached",
                Text($"{band}. Keep it for {goals.SoakS:0} s."),
                (double?)null
            ),
            CueKind.SoakEnough => ("Soak is enough", Text($"{band}. Go on to melting."), ahead.LastMeltInS),
            CueKind.RampTooFast => (
                "Too fast",
                Text(
                    $"The chip's top climbs faster than {goals.RiseMostKPerS:0.#} K/s (J-STD-020): less gas, or the nozzle a little higher."
                ),
                null
            ),
            CueKind.FirstJointsMelt => (
                $"First {joints}s melt",
                Text($"Do not touch. {band}; full melt is {moltenC:0} °C.{Melt(ahead)}"),
                ahead.LastMeltInS
            ),
            CueKind.Hold => (
                "Hold",
                coldest.LowC >= moltenC && now.Trust == WatchTrust.Trusted
                    ? Text($"Every {joints} is molten; keep it so. {band}.")
                    : Text(
                        $"Every {joints} is probably molten, not surely. {band}; its lower end has to pass {moltenC:0} °C."
                    ),
                coldest.LowC >= moltenC ? Math.Max(0, goals.MoltenS - moltenForS) : null
            ),
            CueKind.Lift => (
                "Lift now",
                Text($"Every {joints} has been molten for {moltenForS:0} s. Straight up, without force. {band}."),
                null
            ),
            CueKind.LetSettle => (
                balls ? "All balls molten" : "Let it settle",
                Text(
                    $"Every {joints} has been molten for {moltenForS:0} s. Heaters off; move nothing until it is solid. {band}."
                ),
                null
            ),
            CueKind.Freezing => (
                "Do not move it",
                Text(
                    $"It cools, and not every {joints} is solid yet. Hottest {now.Hottest.Band.EstimateC:0} °C, at most {now.Hottest.Band.HighC:0} °C; surely solid below {solidC:0} °C, undercooling included."
                ),
                null
            ),
            CueKind.Solid => (
                "Solid",
                Text(
                    $"Every {joints} is solid. Hottest {now.Hottest.Band.EstimateC:0} °C: hot enough to burn; no forced air, let it cool on the bench."
                ),
                null
            ),
            CueKind.LimitFirst when first is not null => (
                Text($"{first.Title}: {first.InS:0} s left"),
                Text(
                    $"It will reach its limit of {first.LimitC:0} °C in {first.InS:0} s, {Before(ahead, joints)}. {(first.OfChip ? "Less gas and more heat from below." : "Shield it now, or less heat.")}"
                ),
                first.InS
            ),
            CueKind.LimitFirst => ("Limit ahead", "A part comes close to its limit.", null),
            CueKind.StopNow => (
                "Stop now",
                reached is null
                    ? "A limit was reached: heaters off."
                    : Text(
                        $"{reached.Title} is at its limit of {reached.LimitC:0} °C: heaters off, leave the chip where it is."
                    ),
                null
            ),
            CueKind.CannotTell => (
                "Cannot tell",
                now.Reasons.Count > 0 ? string.Join(" ", now.Reasons) : "The estimate is just coming back.",
                null
            ),
            _ => (
                "Go on",
                now.Trust == WatchTrust.Settling
                    ? Text($"{band}. {string.Join(" ", now.Reasons)}")
                    : Text($"{band}.{Melt(ahead)}"),
                ahead.LastMeltInS
            ),
        };
        return new WatchCue(kind, headline, detail, sinceS, leftS);
    }

    private static string Melt(WatchAhead ahead) =>
        ahead.LastMeltInS is double melt
            ? Text(
                $" All molten in about {melt:0} s{(ahead.LastMeltLatestInS is double latest ? Text($", {latest:0} s at the latest") : "")}."
            )
            : Text($" As set now not all of them melt within {ahead.ReachS:0} s.");

    private static string Before(WatchAhead ahead, string joints) =>
        ahead.LastMeltInS is double melt
            ? Text($"before every {joints} melts ({melt:0} s)")
            : Text($"and the {joints}s do not melt as set now");

    private static string Text(FormattableString text) => FormattableString.Invariant(text);
}
