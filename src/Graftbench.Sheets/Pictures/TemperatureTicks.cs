namespace Graftbench.Sheets.Pictures;

/// <summary>Round temperatures for an axis, in the scale that is shown.</summary>
internal static class TemperatureTicks
{
    /// <summary>Ticks between two temperatures, with the text of each.</summary>
    public static IEnumerable<(double AtC, string Text)> Between(double fromC, double toC, int most, Display display) =>
        display.Fahrenheit
            ? Ticks
                .Between(fromC * 9 / 5 + 32, toC * 9 / 5 + 32, most)
                .Select(f => ((f - 32) * 5 / 9, QuantityText.Digits(f, 0)))
            : Ticks.Between(fromC, toC, most).Select(c => (c, QuantityText.Digits(c, 0)));

    /// <summary>Name of the scale.</summary>
    public static string Unit(Display display) => display.Fahrenheit ? "°F" : "°C";
}
