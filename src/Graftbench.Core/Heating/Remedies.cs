using Graftbench.Core.Facts;
using Graftbench.Core.Findings;
using Graftbench.Core.Jobs;

namespace Graftbench.Core.Heating;

/// <summary>A change at the bench or in the job that may free the plan.</summary>
/// <param name="Code">Stable name.</param>
/// <param name="What">What to change.</param>
/// <param name="CostMin">Time it costs, estimated [min].</param>
/// <param name="Job">The job as it would be.</param>
/// <param name="Nozzle">Nozzle; null for the planned one.</param>
/// <param name="FlowPercent">Flow; null for the planned one [%].</param>
/// <param name="PreheaterMaxC">Hottest preheater setting; null for the bench's own [°C].</param>
public sealed record RemedyChange(
    string Code,
    string What,
    double CostMin,
    Job Job,
    Nozzle? Nozzle = null,
    double? FlowPercent = null,
    double? PreheaterMaxC = null
);

/// <summary>A changed case, ready to be searched.</summary>
/// <param name="Runner">Its reduced model.</param>
/// <param name="Model">Its model.</param>
/// <param name="Limits">Its limits.</param>
public sealed record RemedyCase(IHeatRunner Runner, BoardHeatModel Model, IReadOnlyList<HeatLimit> Limits);

/// <summary>What settings reach, before a change or with it.</summary>
/// <param name="Answer">Settings and their figures.</param>
/// <param name="ChanceFraction">Chance that every joint melts and no hard limit is passed.</param>
internal sealed record RemedyReach(ScheduleAnswer Answer, double ChanceFraction);

/// <summary>Looks for changes that would help where a limit is passed, and tries each with the model.</summary>
internal static class Remedies
{
    // Times at the bench, estimated.
    private const double FlowMin = 1;
    private const double NozzleMin = 3;
    private const double ShieldMin = 5;
    private const double ConfirmMin = 5;
    private const double PreheatMin = 10;
    private const double PartOffMin = 20;
    private const double AlloyMin = 30;
    private const double StrongerPreheatDeltaK = 60;
    private const double UsualPreheaterMaxC = 250;

    /// <summary>Changes worth trying, cheapest first.</summary>
    /// <param name="job">The job.</param>
    /// <param name="task">What the heat is for.</param>
    /// <param name="chipId">Its chip.</param>
    /// <param name="model">Model of the plan.</param>
    /// <param name="planned">Nozzles that were planned in full, the plan's own first.</param>
    /// <param name="barred">Others of them, each with a part that it heats too much.</param>
    /// <param name="flowPercent">Flow of the plan [%].</param>
    /// <param name="blocking">Limits that hold the plan back.</param>
    public static IReadOnlyList<RemedyChange> Candidates(
        Job job,
        HeatTask task,
        string chipId,
        BoardHeatModel model,
        IReadOnlyList<Nozzle> planned,
        IReadOnlyList<(Nozzle Nozzle, string Part)> barred,
        double? flowPercent,
        IReadOnlyList<HeatLimit> blocking
    )
    {
        List<RemedyChange> found = [];
        HeatTools tools = job.Bench.Heat;
        FlowStep? stronger = tools
            .Gas.FlowSteps.Where(step => flowPercent is { } now && step.FlowPercent > now + 0.1)
            .MinBy(step => step.FlowPercent);
        if (stronger is not null)
        {
            found.Add(
                new RemedyChange(
                    "flow-higher",
                    $"Take the airflow step {stronger.Name}.",
                    FlowMin,
                    job,
                    FlowPercent: stronger.FlowPercent
                )
            );
        }
        if (Larger(tools, planned) is { } larger)
        {
            string what = larger.Listed
                ? $"Take the larger nozzle {larger.Nozzle.Name}."
                : $"Get a larger nozzle: {larger.Nozzle.Name}; the bench lists none that is larger.";
            found.Add(new RemedyChange("nozzle-larger", what, NozzleMin, job, Nozzle: larger.Nozzle));
        }
        foreach (string reference in Blocked(blocking, model))
        {
            if (
                WithPart(job, task, chipId, reference, part => part with { Shield = Better(part.Shield) }) is
                { } shielded
            )
            {
                found.Add(
                    new RemedyChange(
                        "shield",
                        $"Shield {reference} with {Shielded(job, task, chipId, reference)}.",
                        ShieldMin,
                        shielded
                    )
                );
            }
            if (WithPart(job, task, chipId, reference, part => part with { TakenOff = true }) is { } without)
            {
                found.Add(
                    new RemedyChange("part-off", $"Take {reference} off the board for this heat.", PartOffMin, without)
                );
            }
        }
        foreach ((Nozzle nozzle, string reference) in barred)
        {
            if (
                WithPart(job, task, chipId, reference, part => part with { Shield = Better(part.Shield) }) is
                { } shielded
            )
            {
                found.Add(
                    new RemedyChange(
                        "shield-nozzle",
                        $"Shield {reference} with {Shielded(job, task, chipId, reference)}, and take the nozzle {nozzle.Name}.",
                        ShieldMin + NozzleMin,
                        shielded,
                        Nozzle: nozzle
                    )
                );
            }
            if (WithPart(job, task, chipId, reference, part => part with { TakenOff = true }) is { } free)
            {
                found.Add(
                    new RemedyChange(
                        "part-off-nozzle",
                        $"Take {reference} off the board for this heat, and take the nozzle {nozzle.Name}.",
                        PartOffMin + NozzleMin,
                        free,
                        Nozzle: nozzle
                    )
                );
            }
        }
        found.Add(Preheat(job));
        // Balls that are lifted are what they are.
        if (task != HeatTask.Lift && model.MoltenC > 200)
        {
            found.Add(
                new RemedyChange(
                    "other-alloy",
                    "Take tin-lead balls (Sn63Pb37, molten at 183 °C) on cleaned lands, where the customer's rules allow lead.",
                    AlloyMin,
                    WithAlloy(job, "Sn63Pb37")
                )
            );
        }
        if (task != HeatTask.Lift && model.MoltenC > 150 && KnownFreeOfLead(job, task, chipId))
        {
            found.Add(
                new RemedyChange(
                    "low-melt-alloy",
                    "Take tin-bismuth balls (Sn42Bi58, molten at 141 °C) on cleaned lands; no lead may ever have been there, and the joints are brittle.",
                    AlloyMin + 1,
                    WithAlloy(job, "Sn42Bi58")
                )
            );
        }
        return [.. found.OrderBy(one => one.CostMin)];
    }

    private static RemedyChange Preheat(Job job)
    {
        BottomHeater heater = job.Bench.Heat.Preheater;
        bool none = heater.Kind == PreheaterKind.None;
        double hottestC = (heater.MaxC ?? UsualPreheaterMaxC) + (none ? 0 : StrongerPreheatDeltaK);
        return new RemedyChange(
            none ? "preheat" : "preheat-stronger",
            none
                ? $"Heat the whole board from below as well, with a heater that can be set to {hottestC:0} °C."
                : $"Preheat with a heater that can be set to {hottestC:0} °C.",
            PreheatMin,
            none ? WithPreheater(job, hottestC) : job,
            PreheaterMaxC: hottestC
        );
    }

    private static Job WithPreheater(Job job, double hottestC) =>
        job with
        {
            Bench = job.Bench with { Heat = job.Bench.Heat with { Preheater = new BottomHeater { MaxC = hottestC } } },
        };

    /// <summary>Tries changes and says what each does: those that are enough first, each group the cheapest first.</summary>
    /// <param name="changes">Changes to try.</param>
    /// <param name="build">Rebuilds the model with a change; null where it cannot be.</param>
    /// <param name="solve">Searches a changed case.</param>
    /// <param name="before">What the plan reaches without a change.</param>
    /// <param name="limits">Its limits.</param>
    /// <param name="held">Limits that hold it back, strongest first.</param>
    /// <param name="wantedFraction">Chance that was asked for.</param>
    /// <param name="cancel">Asked before each.</param>
    public static IReadOnlyList<HeatRemedy> Try(
        IReadOnlyList<RemedyChange> changes,
        Func<RemedyChange, RemedyCase?> build,
        Func<RemedyChange, RemedyCase, RemedyReach> solve,
        RemedyReach before,
        IReadOnlyList<HeatLimit> limits,
        IReadOnlyList<HeatLimit> held,
        double wantedFraction,
        CancellationToken cancel
    )
    {
        List<(string Code, string What, string Effect, bool Enough, double CostMin)> found = [];
        foreach (RemedyChange change in changes)
        {
            cancel.ThrowIfCancellationRequested();
            if (build(change) is not { } made)
            {
                continue;
            }
            RemedyReach reach = solve(change, made);
            if (reach.Answer.Converged)
            {
                found.Add(
                    (
                        change.Code,
                        change.What,
                        Effect(reach, made.Limits, before, limits, held, wantedFraction),
                        // What frees an impossible plan is enough; a possible one lacks only chance.
                        reach.Answer.Possible && (!before.Answer.Possible || reach.ChanceFraction >= wantedFraction),
                        change.CostMin
                    )
                );
            }
        }
        foreach (HeatLimit limit in held)
        {
            int i = IndexOf(limits, limit);
            double short_ = i < 0 ? 0 : -RunFigures.Margin(limit, before.Answer.Figures[i]);
            // Only what belongs to a place has a data sheet: the difference across the joints and the heating time are aims.
            if (short_ > 0 && limit is { Place: not null, AtLeast: false } && limit.Confidence != Confidence.Seen)
            {
                found.Add(
                    (
                        "limit-confirmed",
                        $"Look up the limit of {limit.Title} in its data sheet and enter it.",
                        $"The best settings pass {limit.Value:0.#} {limit.Unit} by {short_:0.#}; a limit that much higher would free the plan of it.",
                        false,
                        ConfirmMin
                    )
                );
            }
        }
        return
        [
            .. found
                .OrderByDescending(one => one.Enough)
                .ThenBy(one => one.CostMin)
                .Select((one, i) => new HeatRemedy(i + 1, one.Code, one.What, one.Effect, one.Enough, one.CostMin)),
        ];
    }

    private static string Effect(
        RemedyReach reach,
        IReadOnlyList<HeatLimit> changed,
        RemedyReach before,
        IReadOnlyList<HeatLimit> limits,
        IReadOnlyList<HeatLimit> held,
        double wantedFraction
    )
    {
        List<string> parts = [];
        foreach (HeatLimit limit in held.Take(3))
        {
            int i = IndexOf(limits, limit);
            int j = IndexOf(changed, limit);
            if (i < 0)
            {
                continue;
            }
            parts.Add(
                j < 0
                    ? $"{limit.Title} no longer counts"
                    : $"{limit.Title} {before.Answer.Figures[i]:0.#} → {reach.Answer.Figures[j]:0.#} {limit.Unit} (limit {changed[j].Value:0.#})"
            );
        }
        parts.Add(
            $"chance {ChanceText.Of(before.ChanceFraction)} → {ChanceText.Of(reach.ChanceFraction)}, {ChanceText.Wanted(wantedFraction)} asked for"
        );
        parts.Add(
            reach.Answer.Blocking.Count == 0
                ? "every limit is kept"
                : $"still passed: {string.Join(", ", reach.Answer.Blocking.Take(2).Select(one => one.Title))}"
        );
        return $"By the model: {string.Join("; ", parts)}.";
    }

    // Where lead is or was, bismuth makes a joint that is soft at the temperature of a warm board; not knowing is not enough.
    private static bool KnownFreeOfLead(Job job, HeatTask task, string chipId)
    {
        List<string?> names = [job.Materials.BallAlloy];
        names.AddRange(
            job.Chips.Where(chip =>
                    chip.Id == chipId || (task == HeatTask.Place && ChipSites.Of(job, chip) == ChipPlace.Host)
                )
                .Select(chip => chip.BallAlloy)
        );
        if (task == HeatTask.Place)
        {
            names.Add(job.Materials.LandAlloy);
        }
        return names.TrueForAll(name => !string.IsNullOrWhiteSpace(name) && Alloys.Find(name) is { Leaded: false });
    }

    private static int IndexOf(IReadOnlyList<HeatLimit> limits, HeatLimit limit)
    {
        for (int i = 0; i < limits.Count; i++)
        {
            if (limits[i].Kind == limit.Kind && string.Equals(limits[i].Place, limit.Place, StringComparison.Ordinal))
            {
                return i;
            }
        }
        return -1;
    }

    // One that was planned already is no news.
    private static (Nozzle Nozzle, bool Listed)? Larger(HeatTools tools, IReadOnlyList<Nozzle> planned)
    {
        Nozzle now = planned[0];
        double lengthMm = now.LengthMm;
        double widthMm = now.WidthMm ?? now.LengthMm;
        List<Nozzle> larger =
        [
            .. tools.Gas.Nozzles.Where(one =>
                one.LengthMm >= lengthMm
                && (one.WidthMm ?? one.LengthMm) >= widthMm
                && one.LengthMm * (one.WidthMm ?? one.LengthMm) > lengthMm * widthMm * 1.02
            ),
        ];
        if (larger.Count > 0)
        {
            Nozzle? listed = larger
                .Where(one => !planned.Contains(one))
                .MinBy(one => one.LengthMm * (one.WidthMm ?? one.LengthMm));
            return listed is null ? null : (listed, true);
        }
        return (
            new Nozzle
            {
                Name = $"{lengthMm + 6:0.#} x {widthMm + 6:0.#} mm",
                LengthMm = lengthMm + 6,
                WidthMm = widthMm + 6,
            },
            false
        );
    }

    /// <summary>Parts beside the chip whose limits stand in the way, two at most.</summary>
    public static IEnumerable<string> Blocked(IReadOnlyList<HeatLimit> blocking, BoardHeatModel model) =>
        blocking
            .Where(limit => limit.OfNeighbour)
            .Select(limit =>
                model
                    .Places.FirstOrDefault(place => string.Equals(place.Name, limit.Place, StringComparison.Ordinal))
                    ?.Part
            )
            .OfType<string>()
            .Distinct(StringComparer.Ordinal)
            .Take(2);

    private static HeatShield Better(HeatShield now) =>
        now is HeatShield.None or HeatShield.Tape ? HeatShield.Foil : HeatShield.Cover;

    private static string Shielded(Job job, HeatTask task, string chipId, string reference) =>
        BoardOf(job, task, chipId)
            .Parts.First(part => string.Equals(part.Ref, reference, StringComparison.Ordinal))
            .Shield
            is HeatShield.None
                or HeatShield.Tape
            ? "metal foil"
            : "a metal cover that keeps the gas off";

    /// <summary>The board that is heated.</summary>
    public static Board BoardOf(Job job, HeatTask task, string chipId) =>
        task == HeatTask.Lift
        && job.Chips.FirstOrDefault(chip => string.Equals(chip.Id, chipId, StringComparison.Ordinal))?.From
            == ChipPlace.Donor
        && job.Donor is { } donor
            ? donor
            : job.Host;

    private static Job? WithPart(Job job, HeatTask task, string chipId, string reference, Func<Part, Part> change)
    {
        bool Is(Part part) => string.Equals(part.Ref, reference, StringComparison.Ordinal);
        Board Changed(Board board) =>
            board with
            {
                Parts = [.. board.Parts.Select(part => Is(part) ? change(part) : part)],
            };
        Board board = BoardOf(job, task, chipId);
        if (!board.Parts.Any(part => Is(part) && change(part) != part))
        {
            return null;
        }
        return ReferenceEquals(board, job.Host)
            ? job with
            {
                Host = Changed(board),
            }
            : job with
            {
                Donor = Changed(board),
            };
    }

    private static Job WithAlloy(Job job, string alloy) =>
        job with
        {
            Materials = job.Materials with { BallAlloy = alloy, LandAlloy = null },
        };
}
