using System.Text.RegularExpressions;
using Graftbench.Core.Heating;
using Graftbench.Core.Watching;

namespace Graftbench.Core.Reviewing;

/// <summary>A setting that the person changed in a run.</summary>
/// <param name="TimeS">When [s].</param>
/// <param name="GasC">Gas [°C]; null where it was left.</param>
/// <param name="PreheaterC">Bottom heater [°C]; null where it was left.</param>
public sealed record RunSetting(double TimeS, double? GasC, double? PreheaterC);

/// <summary>
/// Runs the watch's own estimator over a whole run: estimate, band, faults of probes and trust of each second are those of the
/// watch, from the readings up to it. Going back from the end, so that later readings correct earlier seconds, was tried and made
/// the coldest joint worse (docs/models/heat-review.md).
/// </summary>
public static partial class RunEstimator
{
    /// <summary>Longest run that is estimated at all [s].</summary>
    public const double LongestS = 7200;

    private const double SigmasNumber = 2;

    /// <summary>Estimates a run.</summary>
    /// <param name="model">Model and probes; channels as in the run.</param>
    /// <param name="log">The run; its time 0 is the start of the heat, with everything at room temperature.</param>
    /// <param name="settings">What the person set besides the plan, in order.</param>
    /// <param name="doneFraction">Told the share done; null for nobody.</param>
    /// <param name="cancel">Stops it.</param>
    public static RunEstimate Of(
        WatchModel model,
        RunLog log,
        IReadOnlyList<RunSetting> settings,
        IProgress<double>? doneFraction = null,
        CancellationToken cancel = default
    )
    {
        ArgumentNullException.ThrowIfNull(model);
        ArgumentNullException.ThrowIfNull(log);
        ArgumentNullException.ThrowIfNull(settings);
        // How long a jump of the clock really took nobody knows: the board may be anywhere after it.
        double jumpS = log.BreaksS.Count > 0 ? log.BreaksS[0] : double.PositiveInfinity;
        double endS = Math.Floor(Math.Min(Math.Min(log.EndS, LongestS), jumpS));
        HeatWatch watch = new(model, WatchGoals.Of(HeatTask.Place, []));
        Forward forward = new(model, watch);
        Queue<RunSetting> open = new(settings.OrderBy(one => one.TimeS));
        int next = 0;
        for (int k = 1; k <= endS; k++)
        {
            cancel.ThrowIfCancellationRequested();
            while (open.Count > 0 && open.Peek().TimeS <= k)
            {
                RunSetting set = open.Dequeue();
                watch.Set(Math.Max(0, set.TimeS), set.GasC, set.PreheaterC);
            }
            while (next < log.TimesS.Count && log.TimesS[next] <= k)
            {
                foreach (RunChannel channel in log.Channels)
                {
                    double read = channel.TemperaturesC[next];
                    watch.Add(new ProbeReading(log.TimesS[next], channel.Name, double.IsFinite(read) ? read : null));
                }
                next++;
            }
            if (!forward.Step(k))
            {
                break;
            }
            doneFraction?.Report(k / endS);
        }
        forward.Close();
        return forward.Estimate();
    }

    /// <summary>What the watch says second by second.</summary>
    private sealed class Forward
    {
        private readonly WatchModel model;
        private readonly HeatWatch watch;
        private readonly List<double> times = [];
        private readonly List<WatchTrust> trust = [];
        private readonly Dictionary<string, int> reasons = new(StringComparer.Ordinal);
        private readonly List<double>[] valuesC;
        private readonly List<double>[] halves;
        private readonly List<LeftOutSpan> leftOut = [];
        private readonly Dictionary<string, (ProbeHealth Health, double FromS)> ill = new(StringComparer.Ordinal);
        private WatchState state;

        public Forward(WatchModel model, HeatWatch watch)
        {
            this.model = model;
            this.watch = watch;
            int places = model.Setup.Model.Places.Count;
            valuesC = [.. Enumerable.Range(0, places).Select(_ => new List<double>())];
            halves = [.. Enumerable.Range(0, places).Select(_ => new List<double>())];
            state = watch.State;
        }

        // False where the estimate is over: nothing was read for too long, or it could not be solved.
        public bool Step(double timeS)
        {
            state = watch.AdvanceTo(timeS);
            LiveEstimate now = state.Estimate;
            Mind(now);
            foreach (string reason in now.Reasons)
            {
                string plain = Plain(reason);
                reasons[plain] = reasons.GetValueOrDefault(plain) + 1;
            }
            if (now.UnreadS >= LiveEstimator.LongestGapS || !double.IsFinite(now.Coldest.Band.EstimateC))
            {
                return false;
            }
            times.Add(timeS);
            trust.Add(now.Trust);
            for (int p = 0; p < valuesC.Length; p++)
            {
                double value = watch.Filter.TemperatureC(p);
                valuesC[p].Add(value);
                halves[p].Add(Half(value, watch.Filter.SpreadDeltaK(p)));
            }
            return true;
        }

        public void Close()
        {
            double endS = times.Count > 0 ? times[^1] : 0;
            foreach ((string channel, (ProbeHealth health, double fromS)) in ill)
            {
                leftOut.Add(new LeftOutSpan(channel, health.Fault, new RunSpan(fromS, endS), health.Words));
            }
        }

        public RunEstimate Estimate()
        {
            BoardHeatModel places = model.Setup.Model;
            return new RunEstimate(
                times,
                [
                    .. places.Places.Select(
                        (place, p) =>
                            new EstimatedPlace(
                                place,
                                place.Kind == HeatPlaceKind.Joint ? Places.OfJoint(place, places.Chip) : place.Name,
                                valuesC[p],
                                halves[p]
                            )
                    ),
                ],
                trust,
                [.. reasons.OrderByDescending(one => one.Value).Select(one => one.Key)],
                [.. leftOut.OrderBy(one => one.Span.FromS)],
                state.Estimate.Factors
            );
        }

        // As the watch has it: the structure's error grows with the rise, as everything that it scales does.
        private double Half(double temperatureC, double spreadDeltaK)
        {
            BoardHeatModel places = model.Setup.Model;
            double share = (temperatureC - places.RoomC) / Math.Max(1, places.MoltenC - places.RoomC);
            return SigmasNumber * spreadDeltaK + model.Setup.StructureDeltaK * Math.Clamp(share, 0, 1.5);
        }

        private void Mind(LiveEstimate now)
        {
            foreach (ProbeHealth health in state.Probes)
            {
                bool was = ill.TryGetValue(health.Channel, out (ProbeHealth Health, double FromS) before);
                if (was && health.Fault != before.Health.Fault)
                {
                    leftOut.Add(
                        new LeftOutSpan(
                            health.Channel,
                            before.Health.Fault,
                            new RunSpan(before.FromS, now.TimeS),
                            before.Health.Words
                        )
                    );
                    ill.Remove(health.Channel);
                    was = false;
                }
                if (!was && health.Fault != ProbeFault.None)
                {
                    ill[health.Channel] = (health, Math.Min(now.TimeS, Math.Max(0, health.SinceS)));
                }
            }
        }

        // Reasons differ by their figures from second to second; what is counted is the sort.
        private static string Plain(string reason) => Figures().Replace(reason, "some");
    }

    [GeneratedRegex(@"[0-9]+(?:\.[0-9]+)?(?= (?:K|s|of what))", RegexOptions.None, 1000)]
    private static partial Regex Figures();
}
