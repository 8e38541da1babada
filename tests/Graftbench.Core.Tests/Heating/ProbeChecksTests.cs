using Graftbench.Core.Heating;

namespace Graftbench.Core.Tests.Heating;

public class ProbeChecksTests
{
    [Fact]
    public void Everything_that_is_wrong_with_probes_is_said_at_once()
    {
        IReadOnlyList<string> problems = Problems(
            Probe("good", 40, 75, 0),
            Probe("body top", 40, 75, 0),
            Probe("far", 900, 75, 0),
            Probe("deep", 40, 75, -40),
            Probe("air", 5, 5, 1.2)
        );
        Assert.Equal(4, problems.Count);
        Assert.StartsWith("body top: there is a place of this name already", problems[0], StringComparison.Ordinal);
        Assert.StartsWith("far: x 900 mm lies off what is heated", problems[1], StringComparison.Ordinal);
        Assert.StartsWith("deep: height -40 mm", problems[2], StringComparison.Ordinal);
        Assert.StartsWith("air: it hangs in the air", problems[3], StringComparison.Ordinal);
    }

    [Fact]
    public void Two_probes_of_one_name_and_numbers_that_are_none_are_refused()
    {
        Assert.Single(Problems(Probe("a", 40, 75, 0), Probe("a", 50, 75, 0)));
        Assert.Single(Problems(Probe("a", double.NaN, 75, 0)));
    }

    private static IReadOnlyList<string> Problems(params HeatPlace[] probes) =>
        ProbeChecks.Problems(
            probes,
            BoardModelBuilder.Build(HeatJob.Job(), HeatTask.Place, HeatJob.Chip.Id, null, null)
        );

    private static HeatPlace Probe(string name, double xMm, double yMm, double zMm) =>
        new(name, HeatPlaceKind.Probe, null, xMm, yMm, zMm);
}
