using Graftbench.Web.Shell;

namespace Graftbench.Web.Tests;

public class TemperatureTests
{
    [Theory]
    [InlineData("Cap 85 °C.", "Cap 85 °C (185 °F).")]
    [InlineData("20-35 °C", "20-35 °C (68-95 °F)")]
    [InlineData("at 62.5 °C and 90 °C", "at 62.5 °C (145 °F) and 90 °C (194 °F)")]
    [InlineData("−40 °C", "−40 °C (-40 °F)")]
    [InlineData("5 K over 60 minutes", "5 K over 60 minutes")]
    [InlineData("2 °C/s", "2 °C/s")]
    public void Fahrenheit_stands_beside_every_temperature_and_no_rate(string text, string expected) =>
        Assert.Equal(expected, Temperatures.WithFahrenheit(text));
}
