using Graftbench.Core.Findings;

namespace Graftbench.Core.Reviewing;

/// <summary>How a figure with a range stands against a limit.</summary>
internal static class ReviewVerdicts
{
    // Sums of times carry rounding of the last digit; a limit met exactly is kept.
    private const double Digit = 1e-9;

    /// <summary>
    /// Ok only where the whole range is inside; a limit within the range is a warning, or unknown where part was not seen; passed
    /// only where the whole range is beyond.
    /// </summary>
    public static Verdict Of(ReviewFigure figure, double limit, bool limitIsLeast, bool hard)
    {
        if (figure.Value is null)
        {
            return Verdict.Unknown;
        }
        double low = figure.Low ?? double.NegativeInfinity;
        double high = figure.High ?? double.PositiveInfinity;
        bool kept = limitIsLeast ? low >= limit - Digit : high <= limit + Digit;
        bool passed = limitIsLeast ? high < limit - Digit : low > limit + Digit;
        return kept ? Verdict.Ok
            : passed
                ? hard ? Verdict.FixFirst
                    : Verdict.Warning
            : figure.AtLeast ? Verdict.Unknown
            : Verdict.Warning;
    }
}
