using System.Globalization;
using Graftbench.Core.Calibrating;
using Graftbench.Core.Heating;
using Graftbench.Core.Jobs;
using static System.FormattableString;

namespace Graftbench.Web.Benches;

/// <summary>Words and picture sizes of a calibration.</summary>
internal static class CalibrationText
{
    private const double Furthest = 2.5;

    /// <summary>Place on a bar of 300 for a multiple; 1 lies in the middle.</summary>
    public static string At(double ratio) =>
        Number(150 + 150 * Math.Clamp(Math.Log(ratio) / Math.Log(Furthest), -1, 1));

    /// <summary>Width on that bar between two multiples.</summary>
    public static string Width(double low, double high) =>
        Number(
            Math.Max(
                2,
                150
                    * (
                        Math.Clamp(Math.Log(high) / Math.Log(Furthest), -1, 1)
                        - Math.Clamp(Math.Log(low) / Math.Log(Furthest), -1, 1)
                    )
            )
        );

    /// <summary>A spread as percent.</summary>
    public static string Percent(double logSd) => Invariant($"±{100 * (Math.Exp(logSd) - 1):0.#} %");

    /// <summary>What was learned of a number.</summary>
    public static string Word(LearnedNumber one) =>
        one.Share switch
        {
            LearnedShare.Learned => "learned",
            LearnedShare.Partly => "partly learned",
            _ => "not learned",
        };

    /// <summary>Value with its unit.</summary>
    public static string Value(LearnedNumber one) =>
        one.BaseNumber is { } number ? Invariant($"{Digits(number * one.Ratio)} {one.Unit}").TrimEnd() : "";

    /// <summary>How far the model is trusted on a bench, in one line.</summary>
    public static string Trust(BenchCalibration? current, CalibrationFact? fact, DateTimeOffset now)
    {
        if (current is null)
        {
            return "Never calibrated: usual figures count.";
        }
        string day = CalibrationUse.Day(current.At);
        if (CalibrationUse.Expired(current, now))
        {
            return $"Calibrated on {day}, too long ago: usual figures count.";
        }
        string aged = (now - current.At).TotalDays > CalibrationUse.FreshDays ? ", counts less by now" : "";
        return fact is { Result.Gain: { } gain } && fact.Calibration.At == current.At
            ? Invariant(
                $"Calibrated on {day}{aged}: the coldest joint is forecast to ±{2 * gain.OtherBoardDeltaK:0} K, without it to ±{2 * gain.ColdestBeforeDeltaK:0} K."
            )
            : $"Calibrated on {day}{aged}.";
    }

    /// <summary>Where a calibration may be used.</summary>
    public static string Validity(BenchCalibration kept) =>
        Invariant(
            $"Nozzle of {kept.NozzleLengthMm:0.#} x {kept.NozzleWidthMm:0.#} mm; boards of half to twice {kept.BoardLengthMm:0} x {kept.BoardWidthMm:0} mm, {kept.BoardThicknessMm:0.#} mm thick or near it; gas to {kept.HottestGasC + CalibrationUse.BeyondDeltaK:0} °C, bottom heater to {kept.HottestPreheaterC + CalibrationUse.BeyondDeltaK:0} °C; in full until {CalibrationUse.Day(kept.At.AddDays(CalibrationUse.FreshDays))}, not used after {CalibrationUse.Day(kept.At.AddDays(CalibrationUse.ExpiresDays))} (estimates)."
        );

    // Three digits: more are not known.
    private static string Digits(double value) =>
        value.ToString(
            value >= 100 ? "0"
                : value >= 10 ? "0.0"
                : "0.00",
            CultureInfo.InvariantCulture
        );

    private static string Number(double value) => value.ToString("0.#", CultureInfo.InvariantCulture);
}
