using Graftbench.Core.Findings;

namespace Graftbench.Core.Tests.Facts;

public class ChanceTextTests
{
    [Theory]
    [InlineData(0, "under 1 %")]
    [InlineData(0.004, "under 1 %")]
    [InlineData(0.831, "83 %")]
    [InlineData(0.994, "99 %")]
    [InlineData(0.996, "over 99 %")]
    [InlineData(1, "over 99 %")]
    public void None_of_the_samples_is_not_never_and_all_are_not_always(double fraction, string text) =>
        Assert.Equal(text, ChanceText.Of(fraction));

    [Fact]
    public void An_error_is_in_points_and_what_is_asked_for_is_as_it_was_asked()
    {
        Assert.Equal("60 % ± 3.1 %", ChanceText.Of(0.6, Math.Sqrt(0.6 * 0.4 / 1000)));
        Assert.Equal("99.9 %", ChanceText.Wanted(0.999));
    }
}
