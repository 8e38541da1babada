using System.Globalization;
using Graftbench.Core.Facts;
using Graftbench.Core.Jobs;
using static System.FormattableString;

namespace Graftbench.Core.Drying;

/// <summary>What a walk through the exposure log of one body found.</summary>
/// <param name="Clock">The floor-life clock.</param>
/// <param name="CreditFraction">Share of a full bake that counts towards the next one.</param>
/// <param name="InDryer">True where the log ends in a bake that still runs.</param>
/// <param name="DryStart">Index of the exposure from which the body was last known dry; null where never.</param>
public sealed record FloorLifeWalk(FloorLifeClock Clock, double CreditFraction, bool InDryer, int? DryStart);

/// <summary>Walks a dated exposure log and counts a body's floor life.</summary>
/// <remarks>
/// A stretch uses up its length divided by the floor life in its climate; the shares add up. Adding shares is our own rule
/// (the table speaks of one climate at a time). A stretch whose climate has no published figure, or a gap in the log,
/// makes the history unknown from there on.
/// </remarks>
public sealed class FloorLifeLog
{
    /// <summary>Longest gap between two entries that is not counted as an unknown stretch.</summary>
    public static readonly TimeSpan GapAllowed = TimeSpan.FromMinutes(15);

    /// <summary>Longest open gap between two bakes that are counted as one: left-over parts go back into dry storage within an hour.</summary>
    public static readonly TimeSpan BetweenBakes = TimeSpan.FromHours(1);

    private readonly MoistBody body;
    private readonly Climate room;
    private readonly DateTimeOffset now;
    private readonly List<string> steps = [];
    private bool known;
    private double used;
    private double outH;
    private bool outWithinReference = true;
    private double creditFraction;
    private DateTimeOffset? dryFrom;
    private int? dryStart;
    private double openSinceBakeH;
    private bool refused;
    private double overElapsedH;
    private Climate? lastClimate;
    private string? whyUnknown = "No exposure log starts from a dry state.";
    private DateTimeOffset? lostAt;

    private FloorLifeLog(MoistBody body, Climate room, DateTimeOffset now)
    {
        this.body = body;
        this.room = room;
        this.now = now;
    }

    /// <summary>Counts a body's floor life.</summary>
    /// <param name="body">The body; an unknown level is counted as the most sensitive one.</param>
    /// <param name="exposures">Its exposures, in any order, not overlapping.</param>
    /// <param name="firstBagIsMakers">True where a dry bag as the first entry is the maker's, so that the body starts dry.</param>
    /// <param name="room">Climate of the room, for bakes without a stated humidity and for the time left.</param>
    /// <param name="now">Now.</param>
    public static FloorLifeWalk Walk(
        MoistBody body,
        IEnumerable<Exposure> exposures,
        bool firstBagIsMakers,
        Climate room,
        DateTimeOffset now
    )
    {
        MoistBody counted = body.Level == MoistureLevel.Unknown ? body with { Level = MoistureLevels.StandIn } : body;
        FloorLifeLog log = new(counted, room, now);
        List<Exposure> ordered = exposures
            .Where(exposure => exposure.From < now)
            .OrderBy(exposure => exposure.From)
            .ToList();
        DateTimeOffset? end = null;
        for (int i = 0; i < ordered.Count; i++)
        {
            Exposure exposure = ordered[i];
            DateTimeOffset to = exposure.To is { } stated && stated < now ? stated : now;
            if (end is { } before && exposure.From - before > GapAllowed)
            {
                log.Open((exposure.From - before).TotalHours);
                log.Lose($"Nothing is logged from {Stamp(before)} to {Stamp(exposure.From)}.");
            }
            log.Take(exposure, to, i, firstBagIsMakers);
            end = to;
        }
        if (end is { } last && now - last > GapAllowed)
        {
            log.Open((now - last).TotalHours);
            log.LoseTrack(last);
            log.Lose($"Nothing is logged since {Stamp(last)}.");
        }
        bool inDryer =
            ordered.Count > 0
            && ordered[^1].Place == ExposurePlace.Bake
            && (ordered[^1].To is null || ordered[^1].To > now);
        bool counting = ordered.Count > 0 && ordered[^1].Place is ExposurePlace.Room or ExposurePlace.Bag && end == now;
        return new FloorLifeWalk(log.Clock(counting), log.creditFraction, inDryer, log.dryStart);
    }

    private void Take(Exposure exposure, DateTimeOffset to, int index, bool firstBagIsMakers)
    {
        double lengthH = (to - exposure.From).TotalHours;
        string when = $"{Stamp(exposure.From)} to {Stamp(to)}";
        switch (exposure.Place)
        {
            case ExposurePlace.DryBag when index == 0 && firstBagIsMakers:
                Reset(to, index, $"{when}: maker's dry bag, the clock starts when it is opened.");
                break;
            case ExposurePlace.DryBag:
                steps.Add($"{when}: dry bag with fresh desiccant, the clock stands still.");
                break;
            case ExposurePlace.DryCabinet:
                TakeCabinet(exposure, lengthH, when, to, index);
                break;
            case ExposurePlace.Bake:
                TakeBake(exposure, when, to, index);
                break;
            default:
                TakeOpen(exposure, lengthH, when);
                break;
        }
    }

    private void TakeOpen(Exposure exposure, double lengthH, string when)
    {
        bool bag = exposure.Place == ExposurePlace.Bag;
        Open(lengthH);
        double? temperatureC = exposure.TemperatureC ?? (bag ? lastClimate?.TemperatureC : null);
        double? humidityPercent = exposure.HumidityPercent ?? (bag ? lastClimate?.HumidityPercent : null);
        if (temperatureC is null || humidityPercent is null)
        {
            Lose($"{when}: temperature or humidity is not logged.");
            return;
        }
        Climate climate = new(temperatureC.Value, humidityPercent.Value);
        Count(
            climate,
            lengthH,
            bag ? $"{when}: closed bag without fresh desiccant, which keeps what it was closed with" : $"{when}: room"
        );
    }

    private void Count(Climate climate, double lengthH, string what)
    {
        lastClimate = climate;
        FloorLifeInClimate life = FloorLife.Find(body, climate);
        if (life.LifeH is null)
        {
            refused = true;
            Lose($"{what}. {life.Says}");
            return;
        }
        outH += lengthH;
        outWithinReference &=
            climate.TemperatureC <= Climate.Reference.TemperatureC
            && climate.HumidityPercent <= Climate.Reference.HumidityPercent;
        double share =
            double.IsPositiveInfinity(life.LifeH.Value) ? 0
            : life.LifeH.Value > 0 ? lengthH / life.LifeH.Value
            : double.PositiveInfinity;
        overElapsedH +=
            used >= 1 ? lengthH
            : used + share > 1 ? (double.IsFinite(share) ? lengthH * (used + share - 1) / share : lengthH)
            : 0;
        used += share;
        string of = double.IsPositiveInfinity(life.LifeH.Value) ? "no limit" : Invariant($"{life.LifeH.Value:0.#} h");
        steps.Add(Invariant($"{what}, {climate}: {lengthH:0.#} h of {of} ({life.Says}), {share * 100:0.#} %."));
    }

    private void TakeCabinet(Exposure exposure, double lengthH, string when, DateTimeOffset to, int index)
    {
        if (exposure.HumidityPercent is not { } humidityPercent)
        {
            Open(lengthH);
            Lose($"{when}: dry cabinet without a logged humidity.");
            return;
        }
        LevelRow level = MoistureLevels.Find(body.Level);
        bool shortRule =
            known
            && outWithinReference
            && outH > 0
            && outH <= level.ShortExposureH
            && humidityPercent <= level.ShortDryHumidityPercent
            && lengthH >= level.ShortDryFactorNumber * outH;
        if (shortRule)
        {
            Reset(
                to,
                index,
                Invariant(
                    $"{when}: dry cabinet at {humidityPercent:0.#} % RH for {lengthH:0.#} h, at least {level.ShortDryFactorNumber:0} times the {outH:0.#} h outside: the clock is back at zero."
                )
            );
            return;
        }
        bool sensitive = body.Level is MoistureLevel.L4 or MoistureLevel.L5 or MoistureLevel.L5A or MoistureLevel.L6;
        double stopsAtPercent = Constants.Value(sensitive ? "cabinet.dry-pack" : "cabinet.stops-clock");
        if (humidityPercent <= stopsAtPercent)
        {
            steps.Add(Invariant($"{when}: dry cabinet at {humidityPercent:0.#} % RH, the clock stands still."));
            return;
        }
        Open(lengthH);
        Count(
            new Climate(exposure.TemperatureC ?? room.TemperatureC, humidityPercent),
            lengthH,
            $"{when}: cabinet not dry enough to stop the clock"
        );
    }

    private void TakeBake(Exposure exposure, string when, DateTimeOffset to, int index)
    {
        double hours = BakeLog.EffectiveH(exposure, now);
        if (exposure.TemperatureC is not { } bakeC)
        {
            Open((to - exposure.From).TotalHours);
            Lose($"{when}: bake without a logged temperature, counts for nothing.");
            return;
        }
        double humidityPercent = BakeAdvice.HumidityPercent(exposure, room);
        if (body.Level == MoistureLevel.L1)
        {
            steps.Add(Invariant($"{when}: {hours:0.#} h at {bakeC:0.#} °C; level 1 needs none."));
            return;
        }
        if (bakeC > BakeModel.HottestC)
        {
            steps.Add(
                Invariant(
                    $"{when}: bake at {bakeC:0.#} °C, above the {BakeModel.HottestC:0} °C of a user's site, counts for nothing."
                )
            );
            return;
        }
        if (BakeAdvice.For(body, Over, bakeC, humidityPercent, null).AdviceH is not { } neededH)
        {
            // Too cold or too wet to dry it: a place like any other, with its own floor life or none.
            Open((to - exposure.From).TotalHours);
            Count(
                new Climate(bakeC, humidityPercent),
                (to - exposure.From).TotalHours,
                $"{when}: dryer that cannot dry it"
            );
            return;
        }
        openSinceBakeH = 0;
        creditFraction += neededH > 0 ? hours / neededH : 1;
        if (creditFraction >= 1 - 1e-9)
        {
            Reset(
                to,
                index,
                Invariant(
                    $"{when}: {hours:0.#} h at {bakeC:0.#} °C completes the {neededH:0.#} h bake, the clock is back at zero."
                )
            );
            return;
        }
        steps.Add(Invariant($"{when}: {hours:0.#} h at {bakeC:0.#} °C, {creditFraction * 100:0} % of the bake."));
    }

    // Bakes with more open time between them than left-over parts may lie about are not one bake.
    private void Open(double lengthH)
    {
        openSinceBakeH += lengthH;
        if (openSinceBakeH > BetweenBakes.TotalHours)
        {
            creditFraction = 0;
        }
    }

    private FloorLifeOver Over =>
        known && used > 1 && OverByH() <= 72 ? FloorLifeOver.UpTo72H : FloorLifeOver.MoreThan72H;

    // The most cautious of three readings: at the last climate's rate, at the rated one, and by the clock on the wall.
    private double OverByH()
    {
        double ratedH = MoistureLevels.Find(body.Level).RatedH ?? 0;
        double? lastH = lastClimate is { } climate ? FloorLife.Find(body, climate).LifeH : null;
        double share = double.IsFinite(used) ? used - 1 : 0;
        return Math.Max(overElapsedH, share * Math.Max(ratedH, lastH is { } life && double.IsFinite(life) ? life : 0));
    }

    private void Reset(DateTimeOffset at, int index, string step)
    {
        known = true;
        used = 0;
        outH = 0;
        outWithinReference = true;
        overElapsedH = 0;
        dryFrom = at;
        dryStart = index;
        whyUnknown = null;
        lostAt = null;
        steps.Add(step);
    }

    // What was known dry is so no more, only because nobody wrote down where it was.
    private void LoseTrack(DateTimeOffset at)
    {
        if (known && used <= 1)
        {
            lostAt = at;
        }
    }

    private void Lose(string why)
    {
        if (known || steps.Count == 0)
        {
            whyUnknown = why;
        }
        known = false;
        dryFrom = null;
        dryStart = null;
        steps.Add(why);
    }

    private FloorLifeClock Clock(bool counting)
    {
        LevelRow level = MoistureLevels.Find(body.Level);
        if (body.Level == MoistureLevel.L1 && !refused)
        {
            return new FloorLifeClock(
                FloorLifeState.Unlimited,
                null,
                null,
                null,
                null,
                null,
                dryFrom,
                steps,
                "Level 1: no floor life to count up to 30 °C / 85 % RH.",
                level.Source
            );
        }
        if (!known)
        {
            return new FloorLifeClock(
                FloorLifeState.Unknown,
                level.RatedH,
                null,
                null,
                null,
                null,
                null,
                steps,
                $"History not known to be dry: counts as saturated. {whyUnknown}".Trim(),
                level.Source
            )
            {
                LostAt = lostAt,
            };
        }
        Climate climate = lastClimate ?? room;
        FloorLifeInClimate life = FloorLife.Find(body, climate);
        if (used <= 1 && (level.RatedH > 0 || used <= 0))
        {
            double? leftH = life.LifeH is { } whole && double.IsFinite(whole) ? (1 - used) * whole : null;
            DateTimeOffset? runsOut = counting && leftH is { } left ? now.AddHours(left) : null;
            string says =
                level.RatedH is 0 ? "Level 6, just dried: use it within the time on its label."
                : life.LifeH is null
                    ? Invariant($"Within floor life: {used * 100:0} % used; for {climate} no figure is published.")
                : leftH is null ? Invariant($"Within floor life: {used * 100:0} % used, no limit at {climate}.")
                : Invariant($"Within floor life: {used * 100:0} % used, {leftH:0.#} h left at {climate}.");
            return new FloorLifeClock(
                FloorLifeState.Within,
                level.RatedH,
                used,
                leftH,
                null,
                runsOut,
                dryFrom,
                steps,
                says,
                level.Source
            );
        }
        double overByH = OverByH();
        bool longOver = overByH > 72;
        return new FloorLifeClock(
            longOver ? FloorLifeState.LongOver : FloorLifeState.Over,
            level.RatedH,
            double.IsFinite(used) ? used : null,
            0,
            overByH,
            null,
            dryFrom,
            steps,
            Invariant($"Floor life exceeded by {overByH:0.#} h at {climate}."),
            level.Source
        );
    }

    private static string Stamp(DateTimeOffset at) => at.ToString("yyyy-MM-dd HH:mm", CultureInfo.InvariantCulture);
}
