using System.Text.RegularExpressions;
using Graftbench.Core.Heating;
using Graftbench.Core.Physics.Heat;
using Graftbench.Core.Watching;

namespace Graftbench.Core.Reviewing;

/// <summary>A setting that the person changed in a run.</summary>
/// <param name="TimeS">When [s].</param>
/// <param name="GasC">Gas [°C]; null where it was left.</param>
/// <param name="PreheaterC">Bottom heater [°C]; null where it was left.</param>
public sealed record RunSetting(double TimeS, double? GasC, double? PreheaterC);

/// <summary>
/// Runs the watch's own estimator over a whole run, then goes back from its end, so that each second's estimate rests on what
/// was read before and after it. Band, faults and trust are those of the watch.
/// </summary>
public static partial class RunEstimator
{
    /// <summary>Longest run that is also gone through backwards [s]; a longer one is estimated forwards only.</summary>
    public const double LongestBackS = 1800;

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
        double endS = Math.Floor(Math.Min(log.EndS, LongestS));
        bool back = endS <= LongestBackS;
        HeatWatch watch = new(model, WatchGoals.Of(HeatTask.Place, []));
        LiveHistory history = new();
        watch.Filter.History = back ? history : null;
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
            doneFraction?.Report(k / endS * (back ? 0.5 : 1));
        }
        forward.Close();
        if (back)
        {
            BoardHeatModel places = model.Setup.Model;
            int steps = history.Count;
            history.Back(
                watch.Filter.PlaceRows[..(places.Places.Count * watch.Filter.State.Length)],
                watch.Filter.StartC,
                (k, temperaturesC, spreads) =>
                {
                    forward.Replace(k, temperaturesC, spreads);
                    doneFraction?.Report(0.5 + 0.5 * (steps - k) / steps);
                },
                cancel
            );
        }
        return forward.Estimate(back);
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

        public void Replace(int k, double[] temperaturesC, double[] spreads)
        {
            for (int p = 0; p < valuesC.Length && k < times.Count; p++)
            {
                if (double.IsFinite(temperaturesC[p]))
                {
                    valuesC[p][k] = temperaturesC[p];
                    halves[p][k] = Half(temperaturesC[p], spreads[p]);
                }
            }
        }

        public void Close()
        {
            double endS = times.Count > 0 ? times[^1] : 0;
            foreach ((string channel, (ProbeHealth health, double fromS)) in ill)
            {
                leftOut.Add(new LeftOutSpan(channel, health.Fault, new RunSpan(fromS, endS), health.Words));
            }
        }

        public RunEstimate Estimate(bool smoothed)
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
                smoothed && times.Count > 0,
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

    [GeneratedRegex(@"\d+(?:\.\d+)?(?= (?:K|s|of what))", RegexOptions.None, 1000)]
    private static partial Regex Figures();
}
