namespace Graftbench.Core.Watching;

/// <summary>A temperature with how far off it may be: two standard deviations of the filter and the structure's share.</summary>
/// <param name="EstimateC">Best value [°C].</param>
/// <param name="LowC">Lower end [°C].</param>
/// <param name="HighC">Upper end [°C].</param>
public sealed record TemperatureBand(double EstimateC, double LowC, double HighC);

/// <summary>A place now.</summary>
/// <param name="Place">Name of the place in the model.</param>
/// <param name="Where">In words a technician follows.</param>
/// <param name="Band">Its temperature.</param>
/// <param name="RiseKPerS">How fast it goes at present [K/s].</param>
public sealed record PlaceEstimate(string Place, string Where, TemperatureBand Band, double RiseKPerS);

/// <summary>What a probe says beside what the model expects of it.</summary>
/// <param name="Channel">Channel.</param>
/// <param name="ReadC">Last reading that counted [°C]; null before the first.</param>
/// <param name="ExpectedC">What the model expects at the end of the step, its learned offset included [°C].</param>
/// <param name="ExpectedSdDeltaK">Standard deviation of that, noise not counted [K].</param>
/// <param name="InnovationMeanDeltaK">Mean of readings less expectations over the last 60 s [K]; null before there are any.</param>
/// <param name="OffsetDeltaK">Offset that was learned [K].</param>
/// <param name="SilentS">Time since its last reading that counted [s].</param>
/// <param name="LeftOut">Whether it is left out as faulty.</param>
public sealed record ProbeEstimate(
    string Channel,
    double? ReadC,
    double ExpectedC,
    double ExpectedSdDeltaK,
    double? InnovationMeanDeltaK,
    double OffsetDeltaK,
    double SilentS,
    bool LeftOut
);

/// <summary>How far the estimate is to be believed.</summary>
public enum WatchTrust
{
    /// <summary>Too early: less than a minute of readings.</summary>
    Settling,

    /// <summary>Readings and model agree.</summary>
    Trusted,

    /// <summary>They do not agree well, or no probe was read lately: the band may be too narrow.</summary>
    NotTrusted,

    /// <summary>Probes contradict the model or there is nothing to go by: no answer.</summary>
    CannotTell,
}

/// <summary>Films learned so far, as multiples of the nominal ones.</summary>
/// <param name="TopFactor">Film under the nozzle, and what spills over.</param>
/// <param name="TopLogSdRatio">Standard deviation of its natural logarithm.</param>
/// <param name="BottomFactor">Film of the bottom heater.</param>
/// <param name="BottomLogSdRatio">Standard deviation of its natural logarithm.</param>
public sealed record LearnedFactors(
    double TopFactor,
    double TopLogSdRatio,
    double BottomFactor,
    double BottomLogSdRatio
);

/// <summary>What cannot be seen, at one moment.</summary>
/// <param name="TimeS">Moment: end of the last step [s].</param>
/// <param name="Coldest">Joint that is coldest by the estimate; its band is that of the coldest joint, whichever it is.</param>
/// <param name="Hottest">The hottest joint, in the same way.</param>
/// <param name="Corners">Joints nearest to the corners: lower left, lower right, upper left, upper right.</param>
/// <param name="BodyTop">Top centre of the chip's body; null where the model has none.</param>
/// <param name="Neighbours">Bodies and joints of neighbours, and the underside.</param>
/// <param name="Factors">What was learned.</param>
/// <param name="Probes">Each probe.</param>
/// <param name="GasC">Gas, as its set point and lag have it [°C].</param>
/// <param name="PreheaterC">Bottom heater, likewise [°C].</param>
/// <param name="Trust">How far to believe it.</param>
/// <param name="Reasons">Why it is not trusted, one sentence each; empty where it is.</param>
/// <param name="UnreadS">Time since any probe was read that counts [s].</param>
public sealed record LiveEstimate(
    double TimeS,
    PlaceEstimate Coldest,
    PlaceEstimate Hottest,
    IReadOnlyList<PlaceEstimate> Corners,
    PlaceEstimate? BodyTop,
    IReadOnlyList<PlaceEstimate> Neighbours,
    LearnedFactors Factors,
    IReadOnlyList<ProbeEstimate> Probes,
    double GasC,
    double PreheaterC,
    WatchTrust Trust,
    IReadOnlyList<string> Reasons,
    double UnreadS
);

/// <summary>When a limit will be reached.</summary>
/// <param name="Title">What a person reads: <c>U7 body</c>.</param>
/// <param name="Place">Name of the place.</param>
/// <param name="LimitC">The limit [°C].</param>
/// <param name="Hard">Whether passing it does harm that counts.</param>
/// <param name="InS">Time from now by the estimate, 0 where passed already [s]; null for not within the look ahead.</param>
/// <param name="EarliestInS">The same for the upper end of the band [s].</param>
/// <param name="OfChip">Whether it is a limit of the chip or its joints and not of a neighbour.</param>
public sealed record LimitAhead(
    string Title,
    string Place,
    double LimitC,
    bool Hard,
    double? InS,
    double? EarliestInS,
    bool OfChip
);

/// <summary>What comes if nothing is touched.</summary>
/// <param name="Held">True where present set points are held, false where the plan goes on.</param>
/// <param name="ReachS">How far it looks [s].</param>
/// <param name="FirstMeltInS">Until the first joint is fully molten, 0 for already [s]; null for not within reach.</param>
/// <param name="LastMeltInS">Until every joint is, by the estimate and the guard for early melts [s].</param>
/// <param name="LastMeltLatestInS">The same for the lower end of the band [s].</param>
/// <param name="Limits">Limits, soonest first.</param>
public sealed record WatchAhead(
    bool Held,
    double ReachS,
    double? FirstMeltInS,
    double? LastMeltInS,
    double? LastMeltLatestInS,
    IReadOnlyList<LimitAhead> Limits
);
