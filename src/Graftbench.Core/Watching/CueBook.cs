using Graftbench.Core.Heating;

namespace Graftbench.Core.Watching;

/// <summary>
/// Turns estimates into cues, one at a time, without flicker. "Lift" and "let settle" come only after the lower end of the
/// coldest joint's band has been above full melt for the asked time and the guard for early melts, in one stretch, with the
/// estimate trusted all along; they go the moment one of these fails.
/// </summary>
public sealed class CueBook
{
    private const double ShowAfterS = 2;
    private const double LeaveDeltaK = 3;
    private const double RiseOverS = 10;
    private const double RiseLeaveFraction = 0.85;
    private const double WarnLeaveS = 10;

    // Small joints of tin may stay liquid this far below the melting range while they cool (from memory: 10 to 30 K).
    private const double UndercoolingDeltaK = 30;

    private readonly WatchGoals goals;
    private readonly double moltenC;
    private readonly double solidC;
    private readonly CoolingSense cooling = new();
    private readonly Queue<(double TimeS, double TopC)> tops = new();
    private double? moltenFromS;
    private double? soakFromS;
    private bool soaked;
    private bool preheated;
    private bool melting;
    private bool steep;
    private bool warned;
    private bool doubted;
    private double doubtS;
    private double lastS = double.NegativeInfinity;
    private CueKind wanted = CueKind.Wait;
    private double wantedS;
    private CueKind shown = CueKind.Wait;
    private double shownS;

    /// <summary>Nothing shown yet.</summary>
    /// <param name="goals">Goals.</param>
    /// <param name="moltenC">Full melt of the joints [°C].</param>
    /// <param name="solidusC">Where the last of the joint freezes [°C].</param>
    public CueBook(WatchGoals goals, double moltenC, double solidusC)
    {
        ArgumentNullException.ThrowIfNull(goals);
        Require.FinitePositive(goals.MoltenS);
        this.goals = goals;
        this.moltenC = moltenC;
        solidC = solidusC - UndercoolingDeltaK;
    }

    /// <summary>Time that every joint has surely been molten in one stretch, the guard taken off [s].</summary>
    public double MoltenForS => moltenFromS is double from ? Math.Max(0, lastS - from - LiveReader.EarlyMeltS) : 0;

    /// <summary>Takes the state of a moment.</summary>
    /// <param name="now">Estimate; times rise.</param>
    /// <param name="ahead">What comes if nothing is touched.</param>
    /// <returns>The cue to show.</returns>
    public WatchCue Take(LiveEstimate now, WatchAhead ahead)
    {
        ArgumentNullException.ThrowIfNull(now);
        ArgumentNullException.ThrowIfNull(ahead);
        double goneS = now.TimeS - lastS;
        // A hole in the estimates is no proof that joints stayed molten in it.
        if (goneS > 2 * LiveEstimator.StepS)
        {
            moltenFromS = null;
        }
        lastS = now.TimeS;
        Count(now, ahead, double.IsFinite(goneS) ? Math.Clamp(goneS, 0, 10) : 0);
        CueKind kind = Wanted(now, ahead);
        bool atOnce =
            kind is CueKind.StopNow or CueKind.Lift or CueKind.LetSettle || shown is CueKind.Lift or CueKind.LetSettle;
        if (kind != wanted)
        {
            wanted = kind;
            wantedS = now.TimeS;
        }
        if (kind != shown && (atOnce || now.TimeS - wantedS >= ShowAfterS))
        {
            shown = kind;
            shownS = now.TimeS;
        }
        return CueWords.Of(shown, shownS, now, ahead, new CueLimits(goals, moltenC, solidC), MoltenForS);
    }

    private void Count(LiveEstimate now, WatchAhead ahead, double goneS)
    {
        bool sure = now.Trust == WatchTrust.Trusted && now.Coldest.Band.LowC >= moltenC;
        moltenFromS = sure ? moltenFromS ?? now.TimeS : null;
        double coldestC = now.Coldest.Band.EstimateC;
        double hottestC = now.Hottest.Band.EstimateC;
        preheated = coldestC >= goals.PreheatC - (preheated ? LeaveDeltaK : 0);
        soakFromS = preheated ? soakFromS ?? now.TimeS : null;
        soaked = soakFromS is double from && now.TimeS - from >= goals.SoakS;
        cooling.Take(hottestC, moltenC);
        melting = hottestC >= moltenC - (melting ? LeaveDeltaK : 0);
        double? riseKPerS = Rise(now);
        steep = riseKPerS > goals.RiseMostKPerS * (steep ? RiseLeaveFraction : 1);
        double warnS = goals.WarnS + (warned ? WarnLeaveS : 0);
        warned = First(ahead) is { InS: double inS } && inS <= warnS;
        // Doubt has to last to be said, and to be gone for as long to be taken back.
        bool doubt = now.Trust is WatchTrust.NotTrusted or WatchTrust.CannotTell;
        doubtS = doubt == doubted ? 0 : doubtS + goneS;
        if (doubtS >= 3)
        {
            doubted = doubt;
            doubtS = 0;
        }
    }

    private CueKind Wanted(LiveEstimate now, WatchAhead ahead)
    {
        // Both end the heat; where the joints are molten the chip comes off rather than freezing again.
        if (MoltenForS >= goals.MoltenS)
        {
            return goals.Task == HeatTask.Lift ? CueKind.Lift : CueKind.LetSettle;
        }
        if (ahead.Limits.Any(limit => limit is { Hard: true, InS: 0 }))
        {
            return CueKind.StopNow;
        }
        if (doubted)
        {
            return CueKind.CannotTell;
        }
        if (warned)
        {
            return CueKind.LimitFirst;
        }
        if (cooling.IsCooling)
        {
            return now.Hottest.Band.HighC < solidC ? CueKind.Solid : CueKind.Freezing;
        }
        if (steep)
        {
            return CueKind.RampTooFast;
        }
        if (melting)
        {
            return now.Coldest.Band.EstimateC >= moltenC ? CueKind.Hold : CueKind.FirstJointsMelt;
        }
        return soaked ? CueKind.SoakEnough
            : preheated ? CueKind.PreheatReached
            : CueKind.Wait;
    }

    /// <summary>The hard limit that comes before the joints melt, soonest first; null where none does.</summary>
    internal static LimitAhead? First(WatchAhead ahead) =>
        ahead.Limits.FirstOrDefault(limit =>
            limit is { Hard: true, InS: double inS } && (ahead.LastMeltInS is not double melt || inS < melt)
        );

    private double? Rise(LiveEstimate now)
    {
        if (now.BodyTop is not { } top)
        {
            return null;
        }
        tops.Enqueue((now.TimeS, top.Band.EstimateC));
        while (tops.Count > 1 && now.TimeS - tops.Peek().TimeS > RiseOverS)
        {
            tops.Dequeue();
        }
        (double fromS, double fromC) = tops.Peek();
        double span = now.TimeS - fromS;
        return span >= RiseOverS - LiveEstimator.StepS ? (top.Band.EstimateC - fromC) / span : null;
    }
}
