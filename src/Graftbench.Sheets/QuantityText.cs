using System.Globalization;

namespace Graftbench.Sheets;

/// <summary>How quantities are shown to a person.</summary>
/// <param name="Fahrenheit">True to show temperatures in °F; the job document stays in °C.</param>
public sealed record Display(bool Fahrenheit = false)
{
    /// <summary>Celsius.</summary>
    public static Display Default { get; } = new();
}

/// <summary>Quantities as a person reads them. Sheets, web pages and the command line all write them by this.</summary>
public static class QuantityText
{
    private const double NearlyAllFraction = 0.95;

    /// <summary>What stands where a number is not known.</summary>
    public const string NotKnown = "not known";

    private static readonly CultureInfo Culture = CultureInfo.InvariantCulture;

    /// <summary>A duration, to the nearest step that matters: <c>45 min</c>, <c>6.5 h</c>, <c>13 h</c>, <c>4 d 6 h</c>, <c>37 d</c>.</summary>
    /// <param name="durationH">Duration [h]; null or not finite reads "not known".</param>
    public static string Hours(double? durationH) =>
        Hours(durationH, x => Math.Round(x, MidpointRounding.AwayFromZero));

    /// <summary>A duration that must not be cut short (time to dry): rounded up.</summary>
    /// <param name="durationH">Duration [h].</param>
    public static string HoursAtLeast(double? durationH) => Hours(durationH, x => Math.Ceiling(x - 1e-9));

    /// <summary>A duration that must not be stretched (floor life left): rounded down.</summary>
    /// <param name="durationH">Duration [h].</param>
    public static string HoursAtMost(double? durationH) => Hours(durationH, x => Math.Floor(x + 1e-9));

    /// <summary>A duration in hours as standards print it, with days beside it from two days on: <c>96 h (4 d)</c>.</summary>
    /// <param name="durationH">Duration [h].</param>
    public static string HoursAndDays(double? durationH)
    {
        if (durationH is not double h || !double.IsFinite(h))
        {
            return NotKnown;
        }
        return h < 48 ? HoursAtLeast(h) : $"{Math.Ceiling(h - 1e-9).ToString("0", Culture)} h ({HoursAtLeast(h)})";
    }

    /// <summary>A moment with weekday and offset: <c>Wed 25 Nov 2026 14:30 +01:00</c>.</summary>
    /// <param name="moment">The moment.</param>
    /// <param name="offset">Offset of the clock on the shop's wall.</param>
    public static string Moment(DateTimeOffset moment, TimeSpan offset)
    {
        DateTimeOffset local = At(moment, offset);
        return local.ToString("ddd d MMM yyyy HH:mm ", Culture) + Offset(offset);
    }

    /// <summary>A moment without year and offset: <c>Wed 25 Nov 14:30</c>.</summary>
    /// <param name="moment">The moment.</param>
    /// <param name="offset">Offset of the clock on the shop's wall.</param>
    public static string MomentShort(DateTimeOffset moment, TimeSpan offset) =>
        At(moment, offset).ToString("ddd d MMM HH:mm", Culture);

    /// <summary>A day: <c>Wed 25 Nov</c>.</summary>
    /// <param name="moment">A moment of that day.</param>
    /// <param name="offset">Offset of the clock on the shop's wall.</param>
    public static string Day(DateTimeOffset moment, TimeSpan offset) =>
        At(moment, offset).ToString("ddd d MMM", Culture);

    /// <summary>An offset from UTC: <c>+01:00</c>, or <c>UTC</c> for none.</summary>
    /// <param name="offset">The offset.</param>
    public static string Offset(TimeSpan offset) =>
        offset == TimeSpan.Zero
            ? "UTC"
            : (offset < TimeSpan.Zero ? "-" : "+") + offset.Duration().ToString(@"hh\:mm", Culture);

    /// <summary>A temperature: <c>65 °C</c>, or <c>149 °F</c>.</summary>
    /// <param name="temperatureC">Temperature [°C]; null reads "not known".</param>
    /// <param name="display">Which scale.</param>
    public static string Temperature(double? temperatureC, Display? display = null)
    {
        if (temperatureC is not double c || !double.IsFinite(c))
        {
            return NotKnown;
        }
        return display?.Fahrenheit == true
            ? Digits((c * 9 / 5) + 32, 0) + " °F"
            : Digits(c, c % 1 == 0 ? 0 : 1) + " °C";
    }

    /// <summary>A temperature difference: <c>5 K</c>, or <c>9 °F</c>.</summary>
    /// <param name="differenceDeltaK">Difference [K].</param>
    /// <param name="display">Which scale.</param>
    public static string TemperatureDifference(double differenceDeltaK, Display? display = null) =>
        display?.Fahrenheit == true
            ? Digits(differenceDeltaK * 9 / 5, 0) + " °F"
            : Digits(differenceDeltaK, differenceDeltaK % 1 == 0 ? 0 : 1) + " K";

    /// <summary>A clock time of a run: <c>3:40</c>.</summary>
    /// <param name="timeS">Time from the start [s]; not finite reads "not known".</param>
    public static string Clock(double timeS)
    {
        if (!double.IsFinite(timeS) || Math.Abs(timeS) > 1e7)
        {
            return NotKnown;
        }
        long seconds = (long)Math.Round(Math.Abs(timeS), MidpointRounding.AwayFromZero);
        string sign = timeS < 0 && seconds > 0 ? "−" : "";
        return string.Create(Culture, $"{sign}{seconds / 60}:{seconds % 60:00}");
    }

    /// <summary>A temperature in whole degrees as a run shows it: <c>218 °C</c>, with <c>(424 °F)</c> where that is asked for.</summary>
    /// <param name="temperatureC">Temperature [°C]; null reads "not known".</param>
    /// <param name="display">Whether °F stands behind it.</param>
    public static string Degrees(double? temperatureC, Display? display = null)
    {
        if (temperatureC is not double c || !double.IsFinite(c))
        {
            return NotKnown;
        }
        string fahrenheit = display?.Fahrenheit == true ? $" ({Digits((c * 9 / 5) + 32, 0)} °F)" : "";
        return $"{Digits(c, 0)} °C{fahrenheit}";
    }

    /// <summary>A figure in the unit of its limit: <c>218.4 °C</c>, <c>41 s</c>; a margin: <c>+6.6 K</c>.</summary>
    /// <param name="value">The figure.</param>
    /// <param name="unit"><c>°C</c>, <c>K</c>, <c>K/s</c> or <c>s</c>.</param>
    /// <param name="plus">Whether it is a margin: a plus stands before what is above 0, and °C become K.</param>
    public static string Figure(double value, string unit, bool plus = false)
    {
        if (!double.IsFinite(value))
        {
            return NotKnown;
        }
        string text = Digits(
            value,
            unit == "s" ? 0
                : unit == "K/s" ? 2
                : 1
        );
        string sign = plus && value > 0 && text != "0" ? "+" : "";
        return $"{sign}{text} {(plus && unit == "°C" ? "K" : unit)}";
    }

    /// <summary>A gap or a height under a chip: <c>0.511 mm</c>.</summary>
    /// <param name="gapMm">Length; not finite reads "not known" [mm].</param>
    public static string Gap(double gapMm) => double.IsFinite(gapMm) ? Digits(gapMm, 3) + " mm" : NotKnown;

    /// <summary>A force as the weight of so many grams, as a person feels it: <c>5.2 g</c>.</summary>
    /// <param name="forceMilliN">Force [mN].</param>
    public static string Grams(double forceMilliN) =>
        double.IsFinite(forceMilliN) ? Digits(Graftbench.Core.Units.WeightG(forceMilliN), 1) + " g" : NotKnown;

    /// <summary>A percentage with two significant digits below ten: <c>7.9 %</c>, <c>50 %</c>, <c>0.15 %</c>.</summary>
    /// <param name="sharePercent">Share [%]; null or not finite reads "not known".</param>
    public static string Percent(double? sharePercent)
    {
        if (sharePercent is not double p || !double.IsFinite(p))
        {
            return NotKnown;
        }
        double size = Math.Abs(p);
        return Digits(
                p,
                size >= 9.95 || size == 0 ? 0
                    : size >= 0.995 ? 1
                    : 2
            ) + " %";
    }

    /// <summary>A fraction of one as a percentage.</summary>
    /// <param name="shareFraction">Share; null or not finite reads "not known".</param>
    public static string FractionAsPercent(double? shareFraction) => Percent(100 * shareFraction);

    /// <summary>A chance as a percentage; what is not the whole never reads as the whole: <c>99.9 %</c>.</summary>
    /// <param name="chanceFraction">Chance; null or not finite reads "not known".</param>
    public static string Chance(double? chanceFraction) =>
        chanceFraction is > NearlyAllFraction and < 1 and { } share
            ? Digits(Math.Min(100 * share, 99.9), 1) + " %"
            : FractionAsPercent(chanceFraction);

    /// <summary>How far a counted chance may be off, as people read ±: two standard errors.</summary>
    /// <param name="standardErrorFraction">Its standard error; null or not finite reads "not known".</param>
    public static string ChanceError(double? standardErrorFraction) => FractionAsPercent(2 * standardErrorFraction);

    /// <summary>Relative humidity: <c>7.9 % RH</c>.</summary>
    /// <param name="humidityPercent">Relative humidity [% RH].</param>
    public static string Humidity(double? humidityPercent) =>
        humidityPercent is double h && double.IsFinite(h) ? Percent(h) + " RH" : NotKnown;

    /// <summary>A length: <c>27 mm</c>, <c>1.27 mm</c>.</summary>
    /// <param name="lengthMm">Length [mm].</param>
    public static string Length(double? lengthMm) =>
        lengthMm is double mm && double.IsFinite(mm) ? Digits(mm, 2) + " mm" : NotKnown;

    /// <summary>A weight to a milligram: <c>142.318 g</c>.</summary>
    /// <param name="weightG">Weight [g].</param>
    public static string Weight(double? weightG) =>
        weightG is double g && double.IsFinite(g) ? g.ToString("0.000", Culture) + " g" : NotKnown;

    /// <summary>A number with at most so many decimals and no trailing zeros.</summary>
    internal static string Digits(double number, int decimals)
    {
        double rounded = Math.Round(number, decimals, MidpointRounding.AwayFromZero);
        string text = Math.Abs(rounded).ToString(decimals == 0 ? "0" : "0." + new string('#', decimals), Culture);
        return rounded < 0 ? "−" + text : text;
    }

    private static string Hours(double? durationH, Func<double, double> round)
    {
        if (durationH is not double h || !double.IsFinite(h))
        {
            return NotKnown;
        }
        if (h < 0)
        {
            return "−" + Hours(-h, round);
        }
        if (h == 0)
        {
            return "0 h";
        }
        double minutes = round(h * 60);
        if (minutes < 60)
        {
            return Digits(minutes, 0) + " min";
        }
        double tenths = round(h * 10) / 10;
        if (tenths < 10)
        {
            return Digits(tenths, 1) + " h";
        }
        double whole = round(h);
        if (whole < 48)
        {
            return Digits(whole, 0) + " h";
        }
        if (whole < 14 * 24)
        {
            double days = Math.Floor(whole / 24);
            double rest = whole - (24 * days);
            return rest == 0 ? Digits(days, 0) + " d" : $"{Digits(days, 0)} d {Digits(rest, 0)} h";
        }
        return Digits(round(h / 24), 0) + " d";
    }

    // Near the ends of the calendar a shift of offset may not exist; the moment is then shown as it came.
    private static DateTimeOffset At(DateTimeOffset moment, TimeSpan offset)
    {
        long ticks = moment.UtcTicks + offset.Ticks;
        return ticks < DateTimeOffset.MinValue.Ticks || ticks > DateTimeOffset.MaxValue.Ticks
            ? moment
            : moment.ToOffset(offset);
    }
}
