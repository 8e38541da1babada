using System.Globalization;
using Graftbench.Core.Physics.Capillary;
using Graftbench.Core.Tests.Jobs;
using Graftbench.Tests.Checks;

namespace Graftbench.Core.Tests.Physics.Capillary;

/// <summary>
/// How hard a joint centres against a general surface-energy minimiser with the upper rim moved sideways, which shares no code and
/// no method with the sideways mode here (tests/corpus/joints/sideways.py wrote sideways.csv).
/// </summary>
public class SidewaysReferenceTests
{
    [Theory]
    [InlineData("loaded")]
    [InlineData("stretched")]
    [InlineData("squashed")]
    [InlineData("unequal")]
    [InlineData("heavy")]
    public void A_joint_centres_as_hard_as_its_energy_says(string name)
    {
        double[] row =
        [
            .. File.ReadLines(Path.Combine(Corpus.Root, "tests/corpus/joints/sideways.csv"))
                .First(line => line.StartsWith(name + ",", StringComparison.Ordinal))
                .Split(',')
                .Skip(1)
                .Select(cell => double.Parse(cell, CultureInfo.InvariantCulture)),
        ];
        BridgeCase bridge = new(row[0], row[1], row[2], row[3], row[4]);
        double found = BridgeSideways.CentringMilliNPerMm(bridge, row[5])!.Value;
        Truth.Note("joints.sideways", 100 * (found / row[7] - 1));
        // Their own two meshes differ by up to 2.6e-4, most where the joint bulges.
        Assert.True(Math.Abs(found / row[7] - 1) <= 4e-4, $"{found} against {row[7]}, {found / row[7] - 1:0.0e+0}");
    }

    [Fact]
    public void Turned_upside_down_without_weight_a_joint_centres_as_hard()
    {
        BridgeCase bridge = new(0.225, 0.20, 0.0477129, 0.54, 0);
        BridgeCase turned = new(0.20, 0.225, 0.0477129, 0.54, 0);
        Assert.Equal(
            BridgeSideways.CentringMilliNPerMm(bridge, 0.29)!.Value,
            BridgeSideways.CentringMilliNPerMm(turned, 0.29)!.Value,
            1e-6
        );
    }
}
