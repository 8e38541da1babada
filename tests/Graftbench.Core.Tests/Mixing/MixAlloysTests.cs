using Graftbench.Core.Mixing;

namespace Graftbench.Core.Tests.Mixing;

public class MixAlloysTests
{
    [Theory]
    [InlineData("sac305", "SAC305", 0)]
    [InlineData("63/37", "Sn63Pb37", 37)]
    [InlineData("Sn50Pb50", "Sn50Pb50", 50)]
    [InlineData("Sn 92 Pb 8", "Sn 92 Pb 8", 8)]
    [InlineData("Pb40-Sn60", "Pb40-Sn60", 40)] // the table spells it the other way round
    public void Names_of_the_table_and_compositions_are_alloys(string given, string name, double lead)
    {
        MixAlloyReading reading = MixAlloys.Read(given);
        Assert.Equal(name, reading.Alloy!.Name);
        Assert.Equal(lead, reading.Alloy.Shares.LeadPercent, 1e-9);
        Assert.Null(reading.Problem);
    }

    [Theory]
    [InlineData("Sn99.25Cu0.7Ni0.05", "Nickel (0.05 %)")]
    [InlineData("Sn95Sb5", "Antimony (5 %)")]
    [InlineData("Sn90Pb8", "98 %")]
    [InlineData("Sn50Sn50", "stands twice")]
    [InlineData("Sn99Xx1", "no element")]
    [InlineData("SAC306", "not in the alloy table")]
    [InlineData("Sn63Pb37;drop", "not in the alloy table")]
    [InlineData("", "No alloy is named")]
    [InlineData("Sn1Sn1Sn1Sn1Sn1Sn1Sn1Sn1Sn1Sn1Sn1Sn1Sn1Sn1", "letters")]
    public void What_is_no_alloy_is_said_with_what_to_do(string given, string says)
    {
        MixAlloyReading reading = MixAlloys.Read(given);
        Assert.Null(reading.Alloy);
        Assert.Contains(says, reading.Problem, StringComparison.Ordinal);
        Assert.False(string.IsNullOrWhiteSpace(reading.Todo));
    }
}
