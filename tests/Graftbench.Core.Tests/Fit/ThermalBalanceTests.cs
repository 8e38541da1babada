using CsCheck;
using Graftbench.Core.Fit;
using Graftbench.Tests.Checks;

namespace Graftbench.Core.Tests.Fit;

/// <summary>
/// Worked case (computed for this project before the code, illustrative numbers): 1.968 K/W, 28 W and 6 W of leakage at 85 °C
/// doubling every 25 K. At 25 °C it settles at 96.2 °C with a loop gain of 0.45; at 35 °C it does not settle.
/// </summary>
public class ThermalBalanceTests
{
    private const double ThetaKPerW = 1.968;
    private static readonly ChipPower Worked = new(28, 6, 85, 25);

    [Fact]
    public void The_worked_case_comes_out_to_the_printed_digits()
    {
        ThermalBalance cool = ThermalBalance.Of(25, ThetaKPerW, Worked);
        Assert.Equal(96.2, cool.SettlesC!.Value, 0.05);
        Assert.Equal(0.45, cool.LoopGainRatio!.Value, 0.005);
        Assert.Null(ThermalBalance.Of(35, ThetaKPerW, Worked).SettlesC);
        Assert.InRange(cool.MostAmbientC, 25, 35);
    }

    public static readonly TheoryData<double, double, double, double, double, double, double, double> Exact = new()
    { // air °C, K/W, switching W, leakage W at °C, doubles per K; settles °C, most air °C: tests/reference/thermal_balance.py
        { 25, 1.968, 28, 6, 85, 25, 96.221432197757, 34.101870010809 },
        { 20, 0.5, 65, 12, 90, 30, 55.184088254840, 99.739982808299 },
        { 40, 0.35, 95, 20, 100, 20, 76.332210626245, 78.762890097714 },
        { 25, 8, 4, 0.5, 60, 12, 61.315887628849, 36.052405993325 },
        { 35, 1.2, 0, 15, 85, 40, 43.817448280717, 94.522977020039 },
        { 25, 0.9, 45, 7.5, 85, 10, 67.507883964791, 41.031119247798 },
    };

    [Theory, MemberData(nameof(Exact))]
    public void It_settles_where_Lambert_s_function_says(
        double airC,
        double thetaKPerW,
        double switchingW,
        double leakageW,
        double leakageAtC,
        double doublesK,
        double settlesC,
        double mostC
    )
    {
        ThermalBalance found = ThermalBalance.Of(
            airC,
            thetaKPerW,
            new ChipPower(switchingW, leakageW, leakageAtC, doublesK)
        );
        Truth.Note("fit.settles", found.SettlesC!.Value - settlesC);
        Truth.Note("fit.settles", found.MostAmbientC - mostC);
        Assert.Equal(settlesC, found.SettlesC.Value, 1e-7);
        Assert.Equal(mostC, found.MostAmbientC, 1e-7);
    }

    [Fact]
    public void Without_leakage_it_is_the_plain_product() =>
        Assert.Equal(25 + (2 * 30), ThermalBalance.Of(25, 2, new ChipPower(30, 0, 85, 10)).SettlesC!.Value, 1e-12);

    [Fact]
    public void At_the_last_ambient_the_gain_is_one_and_just_above_it_runs_away()
    {
        double most = ThermalBalance.Of(25, ThetaKPerW, Worked).MostAmbientC;
        Assert.Equal(1, ThermalBalance.Of(most - 1e-9, ThetaKPerW, Worked).LoopGainRatio!.Value, 1e-3);
        Assert.Null(ThermalBalance.Of(most + 1e-6, ThetaKPerW, Worked).SettlesC);
    }

    [Fact]
    public void Where_it_settles_heat_made_is_heat_taken_away_and_it_comes_back_by_itself() =>
        Gen.Select(Gen.Double[0, 45], Gen.Double[0.2, 5], Gen.Double[0, 80], Gen.Double[0, 20], Gen.Double[5, 40])
            .Sample(
                (ambient, theta, switching, leakage, doubles) =>
                {
                    ChipPower power = new(switching, leakage, 85, doubles);
                    ThermalBalance found = ThermalBalance.Of(ambient, theta, power);
                    if (found.SettlesC is not { } settles)
                    {
                        return ambient > found.MostAmbientC;
                    }
                    double made = switching + (leakage * Math.Pow(2, (settles - 85) / doubles));
                    return Math.Abs(settles - ambient - (theta * made)) < 1e-4
                        && found.LoopGainRatio <= 1 + 1e-6
                        && ambient <= found.MostAmbientC;
                },
                iter: 2000
            );

    [Theory]
    [InlineData(double.NaN, 1, 1, 1, 10)]
    [InlineData(25, 0, 1, 1, 10)]
    [InlineData(25, 1, -1, 1, 10)]
    [InlineData(25, 1, 1, double.PositiveInfinity, 10)]
    [InlineData(25, 1, 1, 1, 0)]
    public void What_is_no_power_is_refused(
        double ambient,
        double theta,
        double switching,
        double leakage,
        double doubles
    ) =>
        Assert.Throws<ArgumentOutOfRangeException>(() =>
            ThermalBalance.Of(ambient, theta, new ChipPower(switching, leakage, 85, doubles))
        );
}
