using Graftbench.Core.Fit.Maps;
using Graftbench.Core.Inspection;
using Graftbench.Vision.Lands;

namespace Graftbench.Vision.Tests.Lands;

/// <summary>What a lost land costs by the ball list: common practice, no source; from how many balls a rail is well fed is an estimate.</summary>
public class LandUsesTests
{
    [Fact]
    public void A_rail_of_many_balls_is_well_fed_and_one_of_few_counts_as_a_signal()
    {
        string many = string.Concat(Enumerable.Range(1, 8).Select(i => $"A{i};GND;ground\n"));
        BallMap map = BallMapReader
            .Read(
                "ball;signal;type\n" + many + "B1;VIO;power\nB2;D0;signal\nB3;NC;nc\nB4;RSVD1;reserved\n",
                BallView.Top
            )
            .Packages.Single();
        IReadOnlyDictionary<string, LandUse> uses = LandUses.Of(map);
        Assert.Equal(
            [LandUse.FedRail, LandUse.Signal, LandUse.Signal, LandUse.NoConnect, LandUse.Unknown],
            new[] { "A1", "B1", "B2", "B3", "B4" }.Select(name => uses[name])
        );
    }
}
