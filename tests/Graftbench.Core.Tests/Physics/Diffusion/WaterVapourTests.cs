using Graftbench.Core.Physics.Diffusion;

namespace Graftbench.Core.Tests.Physics.Diffusion;

public class WaterVapourTests
{
    private const string Sheet = "fact sheet section 3, IAPWS-95, three decimals";
    private const string Formulation = "IAPWS-IF97 release, table 35 (verification values; from memory)";

    public static readonly TheoryData<double, double, double, string> Pressures = new()
    { // °C, MPa, relative tolerance, source
        { 217, 2.19, 0.01, "fact sheet, check 35" },
        { 100, 0.101, 5e-3, Sheet },
        { 150, 0.476, 1.1e-3, Sheet },
        { 183, 1.074, 5e-4, Sheet },
        { 200, 1.555, 5e-4, Sheet },
        { 240, 3.347, 5e-4, Sheet },
        { 260, 4.692, 5e-4, Sheet },
        { 300 - 273.15, 0.353658941e-2, 1e-3, Formulation },
        { 500 - 273.15, 0.263889776e1, 1e-3, Formulation },
        { 600 - 273.15, 0.123443146e2, 1e-3, Formulation },
    };

    [Theory, MemberData(nameof(Pressures))]
    public void Saturation_pressure_matches_published_values(
        double temperatureC,
        double expectedMPa,
        double tolerance,
        string source
    ) => Assert.True(Math.Abs(WaterVapour.SaturationPa(temperatureC) / 1e6 / expectedMPa - 1) <= tolerance, source);

    public static readonly TheoryData<double, double, double, double> Boxes = new()
    { // room °C, room % RH, box °C, % RH inside: fact sheet section 3 (check 34 among them)
        { 25, 50, 40, 21.5 },
        { 25, 50, 60, 7.9 },
        { 25, 50, 65, 6.3 },
        { 25, 50, 70, 5.1 },
        { 25, 50, 80, 3.3 },
        { 25, 50, 90, 2.3 },
        { 30, 60, 40, 34.5 },
        { 30, 60, 60, 12.8 },
        { 30, 60, 65, 10.2 },
        { 30, 60, 70, 8.2 },
        { 30, 60, 80, 5.4 },
        { 30, 60, 90, 3.6 },
        { 20, 40, 40, 12.7 },
        { 20, 40, 60, 4.7 },
        { 20, 40, 65, 3.7 },
        { 20, 40, 70, 3.0 },
        { 20, 40, 80, 2.0 },
        { 20, 40, 90, 1.3 },
    };

    [Theory, MemberData(nameof(Boxes))]
    public void Heated_room_air_is_as_dry_as_the_table_says(
        double roomC,
        double roomPercent,
        double boxC,
        double expectedPercent
    ) => Assert.Equal(expectedPercent, WaterVapour.HumidityInBoxPercent(roomC, roomPercent, boxC), 0.06);

    [Theory, InlineData(0), InlineData(-5), InlineData(374), InlineData(double.NaN)]
    public void Refuses_temperatures_without_liquid_water(double temperatureC) =>
        Assert.Throws<ArgumentOutOfRangeException>(() => WaterVapour.SaturationPa(temperatureC));
}
