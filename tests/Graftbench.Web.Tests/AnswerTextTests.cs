using Graftbench.Web.Shell;

namespace Graftbench.Web.Tests;

public class AnswerTextTests
{
    [Theory]
    [InlineData("Not possible as it is: coldest joint 216.5 °C, at least 228 °C needed.", "")]
    [InlineData(
        "Balls of 0.76 mm. Leave 0.04 mm of solder on the lands on average (thin); a land that stands 0.06 mm is safe by itself. Or balls of 0.89 instead of 0.76 mm.",
        "A land that stands 0.06 mm is safe by itself. Or balls of 0.89 instead of 0.76 mm."
    )]
    public void What_is_too_long_for_one_large_line_goes_below_it(string answer, string below)
    {
        (string head, string found) = AnswerText.Cut(answer);
        Assert.Equal(below, found);
        Assert.StartsWith(head.TrimEnd('.'), answer, StringComparison.Ordinal);
        Assert.Equal(answer.Length, head.Length + (below.Length == 0 ? 0 : below.Length + 1));
    }

    [Fact]
    public void One_long_sentence_stays_whole() => Assert.Equal("", AnswerText.Cut(new string('a', 400)).Below);
}
