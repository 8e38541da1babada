using Graftbench.Core.Findings;
using static System.FormattableString;

namespace Graftbench.Core.Proof;

/// <summary>Makes the plan of the first power: limit, order, windows, stop rules.</summary>
public static class FirstPowerPlanner
{
    private const string Practice = "first-power-order";
    private const double MostSupplyV = 60;
    private const double MostCurrentA = 100;

    private static readonly (PowerOrder Order, string Title, string What)[] Stages =
    [
        (
            PowerOrder.AlwaysOn,
            "Always-on rails",
            "Switch the supply on, press nothing. Input and standby rails come up, the current settles at standby."
        ),
        (PowerOrder.Main, "Main 5 and 3.3 V", "Press the button. The main rails come first."),
        (PowerOrder.Memory, "Memory", "The memory rails follow."),
        (PowerOrder.Chipset, "Chipset and input-output", "Then chipset and input-output."),
        (PowerOrder.Core, "Core", "The core comes last."),
    ];

    /// <summary>The plan. While the proof has a stop, nothing is allowed; the plan says why.</summary>
    /// <exception cref="ArgumentException">A current or voltage is not finite, not above 0, or beyond 60 V and 100 A.</exception>
    public static FirstPowerPlan Plan(FirstPowerRequest request)
    {
        ArgumentNullException.ThrowIfNull(request);
        Check(request.SupplyV, MostSupplyV, nameof(request.SupplyV));
        Check(request.StandbyCurrentA, MostCurrentA, nameof(request.StandbyCurrentA));
        Check(request.RunCurrentA, MostCurrentA, nameof(request.RunCurrentA));
        ProofThresholds limits = request.Proof.Request.Thresholds;
        IReadOnlyList<PowerRail> rails =
            request.Rails.Count > 0
                ? request.Rails
                : [.. request.Proof.Nets.Select(net => net.Rail).OfType<ProofRail>().Select(PowerRail.Of)];
        double? limitA = request.StandbyCurrentA * limits["limit-over-standby"];
        List<PowerWindow> windows = [.. rails.Select(rail => Window(rail, request.Measured, limits))];
        List<Finding> findings = [.. Findings(request, windows, limitA, limits)];
        return new FirstPowerPlan(
            request.Proof.MayPower
                && limitA is not null
                && request.CoolerOn == true
                && !findings.Exists(one => one.Verdict is Verdict.Blocker or Verdict.FixFirst),
            limitA,
            request.SupplyV,
            Steps(request, windows, limitA),
            Cautions(request),
            Finding.WorstFirst(findings)
        );
    }

    private static PowerStep[] Steps(FirstPowerRequest request, List<PowerWindow> windows, double? limitA)
    {
        string limit = limitA is { } setA
            ? Invariant($"{setA:0.##} A")
            : "a little above the expected standby current, which is not known yet";
        string volts = request.SupplyV is { } supply ? Invariant($"{supply:0.##} V") : "the board's input voltage";
        List<PowerStep> steps =
        [
            new(
                1,
                "Set the supply",
                $"{volts}, limit {limit}. Set the limit with the leads touching each other, then connect the board.",
                "A spark or a jump of the current on connecting.",
                []
            ),
        ];
        foreach ((PowerOrder order, string title, string what) in Stages)
        {
            PowerWindow[] own = [.. windows.Where(window => window.Rail.Order == order)];
            string standby = request.StandbyCurrentA is { } idleA
                ? Invariant($"{idleA:0.##} A")
                : "its standby current";
            steps.Add(
                new PowerStep(
                    steps.Count + 1,
                    title,
                    what
                        + (own.Length > 0 ? " Read each rail; trust the next only when it lies inside its window." : "")
                        + (order == PowerOrder.AlwaysOn ? $" Go on only when it stays at {standby}." : ""),
                    order == PowerOrder.AlwaysOn
                        ? "The limit is reached: at a low voltage that is a short. Off, and chase the heat with less voltage."
                        : "A rail outside its window, the limit reached, a part too hot to touch, a smell.",
                    own
                )
            );
            if (order == PowerOrder.AlwaysOn)
            {
                string run = request.RunCurrentA is { } runA
                    ? Invariant($" It should run at about {runA:0.##} A.")
                    : "";
                steps.Add(
                    new PowerStep(
                        steps.Count + 1,
                        "Limit for the run",
                        $"Only when standby is as expected and steady: set the limit a little above what the board takes when it runs.{run} That is for the start, never for a fault.",
                        "Standby differs from what was expected: look for the reason first.",
                        []
                    )
                );
            }
        }
        steps.Add(
            new PowerStep(
                steps.Count + 1,
                "Clocks",
                "Look for the reference clocks.",
                "No clock: nothing behind it can run.",
                []
            )
        );
        steps.Add(
            new PowerStep(
                steps.Count + 1,
                "Reset released",
                "The reset line goes high; the boot memory is read. Record the current from here on.",
                "The current climbs slowly and does not settle: cooling or leakage, off.",
                []
            )
        );
        return [.. steps];
    }

    private static SourcedWords[] Cautions(FirstPowerRequest request) =>
        [
            new(
                "Never raise the limit to make a fault go away: lower the voltage and look for heat.",
                "power-up-pages"
            ),
            new(
                (
                    request.CoolerOn == true
                        ? "The cooler or dummy load stays on the die"
                        : "Put the cooler or a dummy load on the die first"
                ) + ": a bare die passes its limit in seconds.",
                "common-practice"
            ),
            new("Take the battery off; leave the clock cell as the board's documents ask for it.", "common-practice"),
            new(
                "Where the board has a mains part, use an isolating transformer and keep one hand off the board.",
                "common-practice"
            ),
            new(
                "Watch with a thermal camera or alcohol from the first second, and keep a hand on the switch.",
                "common-practice"
            ),
        ];

    private static IEnumerable<Finding> Findings(
        FirstPowerRequest request,
        List<PowerWindow> windows,
        double? limitA,
        ProofThresholds limits
    )
    {
        foreach (NetProof bar in request.Proof.Bars)
        {
            yield return new Finding(
                Verdict.Blocker,
                "power.proof-stop",
                bar.Net,
                $"The proof stands against power: {bar.Findings[0].What}",
                bar.Findings[0].Value,
                bar.Findings[0].Limit,
                bar.Findings[0].Source,
                bar.Findings[0].Todo ?? "Clear it up, or set it aside with the reason."
            );
        }
        if (!request.Proof.MayPower && !request.Proof.Bars.Any())
        {
            yield return new Finding(
                Verdict.Blocker,
                "power.no-proof",
                "rails",
                "No rail was held against its baseline.",
                Source: "common-practice",
                Todo: "Measure every rail to ground first."
            );
        }
        foreach (NetProof net in request.Proof.Nets.Where(net => net.Waived is not null))
        {
            yield return new Finding(
                Verdict.Warning,
                "power.waived",
                net.Net,
                $"It was set aside: {net.Waived}",
                net.Findings[0].Value,
                net.Findings[0].Limit,
                net.Findings[0].Source,
                "Read this rail first, and be ready to switch off."
            );
        }
        if (limitA is null)
        {
            yield return new Finding(
                Verdict.Unknown,
                "power.no-standby",
                "bench supply",
                "The standby current is not known, so no limit can be set.",
                Source: limits.Of("limit-over-standby").Source,
                Todo: "Take it from the host's own healthy trace, or from a board of the same sort."
            );
        }
        if (request is { RunCurrentA: { } runA, StandbyCurrentA: { } standbyA } && runA <= standbyA)
        {
            yield return new Finding(
                Verdict.Warning,
                "power.run-below-standby",
                "bench supply",
                "The run current is not above the standby current.",
                Invariant($"{runA:0.###} A"),
                Invariant($"{standbyA:0.###} A"),
                "job-file",
                "Check which is which."
            );
        }
        if (request.CoolerOn != true)
        {
            yield return new Finding(
                request.CoolerOn == false ? Verdict.Blocker : Verdict.Unknown,
                "power.cooler",
                "die",
                request.CoolerOn == false ? "No cooler is on the die." : "Whether a cooler is on the die is not told.",
                Source: "common-practice",
                Todo: "Put the cooler or a dummy load on."
            );
        }
        foreach (PowerWindow window in windows)
        {
            if (window.Inside == false)
            {
                yield return new Finding(
                    Verdict.Blocker,
                    "power.rail-outside",
                    window.Rail.Name,
                    "The rail lies outside its window.",
                    Invariant($"{window.MeasuredV:0.###} V"),
                    Invariant($"{window.LeastV:0.###} to {window.MostV:0.###} V"),
                    window.Source,
                    "Off. Do not trust the rails behind it."
                );
            }
            else if (window.LeastV is null)
            {
                yield return new Finding(
                    Verdict.Unknown,
                    "power.no-nominal",
                    window.Rail.Name,
                    "Its nominal voltage is not known, so there is no window to hold it to.",
                    Source: Practice,
                    Todo: "Enter it from the board's documents."
                );
            }
        }
    }

    private static PowerWindow Window(PowerRail rail, IReadOnlyList<Reading> measured, ProofThresholds limits)
    {
        double share = limits.Fraction("rail-window");
        double? leastV = rail.LeastV ?? (rail.NominalV * (1 - share));
        double? mostV = rail.MostV ?? (rail.NominalV * (1 + share));
        double? readV = measured
            .LastOrDefault(one => one.Kind == ReadingKind.Voltage && NetNames.Same(one.Net, rail.Name))
            ?.Value.Number;
        bool? inside =
            readV is { } volts && leastV is { } least && mostV is { } most ? volts >= least && volts <= most : null;
        bool sheet = rail.LeastV is not null && rail.MostV is not null;
        return new PowerWindow(
            rail,
            leastV,
            mostV,
            readV,
            inside,
            sheet ? "job-file" : limits.Of("rail-window").Source
        );
    }

    private static void Check(double? value, double most, string name)
    {
        if (value is { } given && !(given > 0 && given <= most))
        {
            throw new ArgumentOutOfRangeException(name, given, $"Must be above 0 and at most {most}.");
        }
    }
}
