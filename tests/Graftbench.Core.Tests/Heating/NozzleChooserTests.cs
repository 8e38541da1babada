using Graftbench.Core.Heating;
using Graftbench.Core.Jobs;
using Graftbench.Core.Physics.Heat;

namespace Graftbench.Core.Tests.Heating;

public class NozzleChooserTests
{
    private static readonly RectMm Chip35 = new(0, 35, 0, 35);

    [Theory]
    [InlineData(new double[] { 20, 120, 90 }, 90)]
    [InlineData(new double[] { 20, 34, 30 }, 34)]
    [InlineData(new double[] { 20, 84, 90 }, 84)]
    public void Where_no_nozzle_suits_the_least_bad_one_is_tried(double[] edgesMm, double triedMm)
    {
        List<double> tried = [];
        HeatTools tools = new()
        {
            Gas = new GasTool { Nozzles = [.. edgesMm.Select(mm => new Nozzle { Name = $"{mm}", LengthMm = mm })] },
        };
        NozzleChooser.Rank(
            tools,
            Chip35,
            [],
            nozzle =>
            {
                tried.Add(nozzle.LengthMm);
                return null;
            },
            new ParallelOptions { MaxDegreeOfParallelism = 1 }
        );
        Assert.Equal([triedMm], tried);
    }
}
