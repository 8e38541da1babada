namespace Graftbench.Core.Watching;

/// <summary>When an estimate is not to be believed.</summary>
internal static class TrustRules
{
    // Mean of readings less expectations beyond 2 K over a minute, or a film outside 0.6 to 1.6 of nominal: figures of the
    // prototype that the method comes from. The others are estimates.
    private const double MostMeanDeltaK = 2;
    private const double LeastFactor = 0.6;
    private const double MostFactor = 1.6;
    private const double AbsurdMeanDeltaK = 6;
    private const double LeastAbsurdFactor = 0.4;
    private const double MostAbsurdFactor = 2.5;
    private const double MostOffsetSigmas = 2.5;
    private const double AbsurdOffsetSigmas = 4;
    private const double SettlingS = 60;
    private const double UnreadS = 10;
    private const double LongUnreadS = 60;

    public static (WatchTrust Trust, List<string> Reasons) Of(
        double nowS,
        double unreadS,
        ProbeState[] probes,
        List<ProbeEstimate> read,
        LearnedFactors factors,
        WatchModel watch,
        (bool Lost, bool Broken) end
    )
    {
        List<string> reasons = [];
        if (end.Lost)
        {
            reasons.Add("Nothing was read for more than ten minutes: start the watch anew with the board cold.");
            return (WatchTrust.CannotTell, reasons);
        }
        if (end.Broken)
        {
            reasons.Add("The model could not be solved: go by the probe and the clock.");
            return (WatchTrust.CannotTell, reasons);
        }
        WatchTrust trust = WatchTrust.Trusted;
        void Say(WatchTrust at, string why)
        {
            trust = at > trust ? at : trust;
            reasons.Add(why);
        }
        if (probes.All(probe => probe.LeftOut))
        {
            Say(WatchTrust.CannotTell, "No probe is left that can be believed.");
        }
        if (unreadS > LongUnreadS)
        {
            Say(WatchTrust.CannotTell, Invariant($"No probe was read for {unreadS:0} s."));
        }
        else if (unreadS > UnreadS)
        {
            Say(WatchTrust.NotTrusted, Invariant($"No probe was read for {unreadS:0} s; the model goes on alone."));
        }
        for (int p = 0; p < read.Count; p++)
        {
            if (!read[p].LeftOut)
            {
                OfProbe(probes[p], read[p], Say);
            }
        }
        OfFactor("film under the nozzle", factors.TopFactor / watch.Setup.Factors.TopFactor, Say);
        OfFactor("film of the bottom heater", factors.BottomFactor / watch.Setup.Factors.BottomFactor, Say);
        if (trust == WatchTrust.Trusted && (nowS < SettlingS || read.All(one => one.InnovationMeanDeltaK is null)))
        {
            Say(WatchTrust.Settling, "Less than a minute of readings: too early to tell whether the model fits.");
        }
        return (trust, reasons);
    }

    private static void OfProbe(ProbeState probe, ProbeEstimate read, Action<WatchTrust, string> say)
    {
        double mean = read.InnovationMeanDeltaK ?? 0;
        if (Math.Abs(mean) > MostMeanDeltaK)
        {
            say(
                Math.Abs(mean) > AbsurdMeanDeltaK ? WatchTrust.CannotTell : WatchTrust.NotTrusted,
                Invariant(
                    $"{read.Channel} reads {Math.Abs(mean):0.0} K {(mean > 0 ? "above" : "below")} what the model expects, for a minute: check where the probe sits and whether the nozzle stands centred."
                )
            );
        }
        double sigmas = Math.Abs(read.OffsetDeltaK) / Math.Max(probe.AllowedDeltaK, 0.5);
        if (sigmas > MostOffsetSigmas)
        {
            say(
                sigmas > AbsurdOffsetSigmas ? WatchTrust.CannotTell : WatchTrust.NotTrusted,
                Invariant(
                    $"{read.Channel} would have to be off by {Math.Abs(read.OffsetDeltaK):0.0} K to fit the model: check its place, and that it touches."
                )
            );
        }
    }

    private static void OfFactor(string what, double factor, Action<WatchTrust, string> say)
    {
        if (factor is < LeastFactor or > MostFactor)
        {
            say(
                factor is < LeastAbsurdFactor or > MostAbsurdFactor ? WatchTrust.CannotTell : WatchTrust.NotTrusted,
                Invariant(
                    $"The {what} comes out at {factor:0.00} of what was assumed: check nozzle, flow and set points."
                )
            );
        }
    }

    private static string Invariant(FormattableString text) => FormattableString.Invariant(text);
}
