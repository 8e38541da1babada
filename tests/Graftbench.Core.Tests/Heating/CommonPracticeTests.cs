using Graftbench.Core.Heating;
using Graftbench.Core.Jobs;
using Graftbench.Core.Physics.Heat;

namespace Graftbench.Core.Tests.Heating;

public class CommonPracticeTests(ITestOutputHelper output)
{
    // Common practice, no source: a lead-free board preheated to about 180 °C releases its chip within minutes under gas of
    // 280 to 290 °C. "Beside" is read 5 mm off the chip, with the gas held at 180 °C while the board warms.
    [Theory]
    [InlineData(4, 280)]
    [InlineData(6, 290)]
    public void A_board_at_180_C_releases_its_chip_within_minutes_under_gas_at_280_to_290_C(
        double overhangMm,
        double gasC
    )
    {
        const double WarmS = 420;
        const double GasS = 300;
        const double PreheaterC = 265;
        Job job = HeatJob.Job() with
        {
            Host = HeatJob.Board() with { LengthMm = 250, WidthMm = 200 },
            Chips = [HeatJob.Chip with { From = ChipPlace.Host, To = ChipPlace.Scrap, XMm = 125, YMm = 100 }],
        };
        Nozzle nozzle = new() { Name = "square", LengthMm = 35 + 2 * overhangMm };
        BoardHeatModel model = BoardModelBuilder.Build(job, HeatTask.Lift, "G1", nozzle, null);
        HeatSchedule schedule = new(
            [new(0, 180), new(WarmS, 180), new(WarmS, gasC)],
            [new(0, PreheaterC)],
            WarmS + GasS
        );
        HeatTrace trace = new HeatModels().Quick(model, schedule, TestContext.Current.CancellationToken);
        double besideC = model
            .Places.Select((place, at) => (place, at))
            .Where(one => one.place.Kind == HeatPlaceKind.BoardTop)
            .Average(one => trace.TemperaturesC[one.at][(int)(WarmS / trace.StepS)]);
        RunFigures figures = new(model.Places, [], model.MoltenC);
        double moltenS = figures.AllMoltenAt(trace.TemperaturesC) * trace.StepS;
        output.WriteLine(
            $"Beside the chip {besideC:0} °C with the bottom heater at {PreheaterC:0} °C; every joint above {model.MoltenC:0} °C {moltenS - WarmS:0} s after the gas went to {gasC:0} °C; hottest joint {figures.HottestC(trace.TemperaturesC):0} °C at the end."
        );
        foreach (HeatAssumption one in model.Assumptions.Where(one => !one.Measured))
        {
            output.WriteLine($"Assumed ({one.Code}, {one.Source}): {one.What}");
        }
        Assert.InRange(besideC, 176, 184);
        Assert.InRange(moltenS - WarmS, 20, 300);
    }
}
