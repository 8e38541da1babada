namespace Graftbench.Core;

/// <summary>Conversions at the door of the kernels, each once.</summary>
public static class Units
{
    /// <summary>0 °C in kelvin.</summary>
    public const double ZeroCelsiusK = 273.15;

    /// <summary>Seconds in an hour.</summary>
    public const double SecondsPerHour = 3600;

    /// <summary>Hours in a day.</summary>
    public const double HoursPerDay = 24;

    /// <summary>Weight of a gram under standard gravity, 9.80665 m/s² (CGPM 1901).</summary>
    public const double StandardGravityMilliNPerG = 9.80665;

    /// <summary>Force of a weight [mN].</summary>
    public static double WeightMilliN(double weightG) => weightG * StandardGravityMilliNPerG;

    /// <summary>Weight that makes a force [g].</summary>
    public static double WeightG(double forceMilliN) => forceMilliN / StandardGravityMilliNPerG;

    /// <summary>Kelvin from degrees Celsius.</summary>
    public static double Kelvin(double temperatureC) => temperatureC + ZeroCelsiusK;

    /// <summary>Metres from millimetres.</summary>
    public static double Metres(double lengthMm) => lengthMm / 1000;

    /// <summary>Seconds from hours.</summary>
    public static double Seconds(double timeH) => timeH * SecondsPerHour;

    /// <summary>Hours from seconds.</summary>
    public static double Hours(double timeS) => timeS / SecondsPerHour;

    /// <summary>A required time in whole hours: rounded up, since a minute less is not enough.</summary>
    /// <param name="timeH">Time [h], 0 or above.</param>
    /// <returns>Whole hours [h].</returns>
    public static double WholeHoursUpH(double timeH) => Math.Ceiling(timeH - 1e-6);
}
