using static System.FormattableString;

namespace Graftbench.Core.Watching.Lines;

/// <summary>
/// Gives each sample its time: by the logger's own stamps while they run as the arrival does, else by arrival. Times never
/// run backwards and never stand still.
/// </summary>
public sealed class SampleClock
{
    /// <summary>How far stamps may be off arrival before they count as a jump [s].</summary>
    public const double ToleranceS = 2;

    private const double LeastStepS = 1e-3;
    private const double HalfDayS = 43_200;
    private const double DayS = 86_400;
    private const int MostJumps = 5;

    private double lastS = double.NegativeInfinity;
    private double lastStampS = double.NaN;
    private double offsetS = double.NaN;
    private int jumps;

    /// <summary>Whether the logger's stamps are no longer used, since they jumped too often.</summary>
    public bool StampsIgnored => jumps > MostJumps;

    /// <summary>Time of the next sample.</summary>
    /// <param name="arrivalS">When it arrived, by a clock that never jumps [s].</param>
    /// <param name="stampS">The logger's stamp; null where it sends none [s].</param>
    /// <param name="note">What was wrong with the stamp; null where nothing was.</param>
    /// <returns>Time on the arrival clock, above that of the sample before [s].</returns>
    public double NextS(double arrivalS, double? stampS, out string? note)
    {
        note = null;
        double timeS = arrivalS;
        if (stampS is { } stamp && !StampsIgnored)
        {
            stamp = Unwrapped(stamp);
            if (double.IsNaN(offsetS))
            {
                offsetS = arrivalS - stamp;
            }
            double byStampS = stamp + offsetS;
            bool repeats = stamp == lastStampS;
            if (Math.Abs(byStampS - arrivalS) > ToleranceS)
            {
                jumps++;
                note = Invariant(
                    $"The logger's clock is {byStampS - arrivalS:+0.0;-0.0} s off the arrival of its lines; {(StampsIgnored ? "from now on its times are not used" : "it is set anew")}."
                );
                offsetS = arrivalS - stamp;
            }
            else if (!repeats)
            {
                timeS = byStampS;
            }
            lastStampS = stamp;
        }
        lastS = Math.Max(timeS, lastS + LeastStepS);
        return lastS;
    }

    // A time of day goes on after midnight.
    private double Unwrapped(double stampS) =>
        !double.IsNaN(lastStampS) && stampS < DayS && lastStampS - stampS > HalfDayS
            ? stampS + (Math.Ceiling((lastStampS - stampS - HalfDayS) / DayS) * DayS)
            : stampS;
}
