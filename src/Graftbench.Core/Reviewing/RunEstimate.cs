using Graftbench.Core.Heating;
using Graftbench.Core.Watching;

namespace Graftbench.Core.Reviewing;

/// <summary>A place whose temperature over the run was estimated.</summary>
/// <param name="Place">The place.</param>
/// <param name="Where">In words a technician follows.</param>
/// <param name="TemperaturesC">One value a step [°C].</param>
/// <param name="BandDeltaK">Half of the band, one value a step [K].</param>
public sealed record EstimatedPlace(
    HeatPlace Place,
    string Where,
    IReadOnlyList<double> TemperaturesC,
    IReadOnlyList<double> BandDeltaK
);

/// <summary>A stretch in which a probe was left out.</summary>
/// <param name="Channel">Channel.</param>
/// <param name="Fault">What was wrong with it.</param>
/// <param name="Span">When.</param>
/// <param name="Words">What was seen.</param>
public sealed record LeftOutSpan(string Channel, ProbeFault Fault, RunSpan Span, string Words);

/// <summary>What could not be seen of a run, from all of its readings.</summary>
/// <param name="TimesS">Times, one each second [s]; it ends where the estimate ends.</param>
/// <param name="Places">Places of the model, in its order.</param>
/// <param name="Trust">How far to believe it, one a step.</param>
/// <param name="Reasons">Why it is not believed where it is not, one sentence each, the most lasting first.</param>
/// <param name="LeftOut">Stretches in which probes were left out.</param>
/// <param name="Factors">Films as learned at the end.</param>
public sealed record RunEstimate(
    IReadOnlyList<double> TimesS,
    IReadOnlyList<EstimatedPlace> Places,
    IReadOnlyList<WatchTrust> Trust,
    IReadOnlyList<string> Reasons,
    IReadOnlyList<LeftOutSpan> LeftOut,
    LearnedFactors Factors
)
{
    /// <summary>Joints of the model.</summary>
    public IEnumerable<EstimatedPlace> Joints => Places.Where(place => place.Place.Kind == HeatPlaceKind.Joint);

    /// <summary>Top centre of the chip's body; null where the model has none.</summary>
    public EstimatedPlace? BodyTop => Places.FirstOrDefault(place => place.Place.Kind == HeatPlaceKind.BodyTop);
}
