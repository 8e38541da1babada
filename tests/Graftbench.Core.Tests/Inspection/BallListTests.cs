using Graftbench.Core.Inspection;

namespace Graftbench.Core.Tests.Inspection;

public class BallListTests
{
    [Fact]
    public void Names_blocks_and_remarks_are_read()
    {
        (bool[] named, IReadOnlyList<string> problems) = BallList.Read("a1, B2;C3 # corner\nD2:C1\t", 4, 3);
        Assert.Empty(problems);
        string[] expected = ["A1", "B2", "C1", "C2", "C3", "D1", "D2"];
        Assert.Equal(expected, Enumerable.Range(0, 12).Where(k => named[k]).Select(k => BallNames.Of(k / 3, k % 3)));
    }

    [Theory]
    [InlineData("E1", "no ball")]
    [InlineData("A4", "no ball")]
    [InlineData("A1:", "no ball")]
    [InlineData("A1:B1:C1", "no ball")]
    [InlineData("A1 A1", "twice")]
    [InlineData("A1 A1:B2", "twice")]
    public void What_is_wrong_is_told_with_its_line(string text, string says)
    {
        string problem = Assert.Single(BallList.Read("\n" + text, 4, 3).Problems);
        Assert.StartsWith("Line 2:", problem, StringComparison.Ordinal);
        Assert.Contains(says, problem, StringComparison.Ordinal);
    }

    [Fact]
    public void Problems_without_end_are_cut_off()
    {
        string text = string.Join(' ', Enumerable.Repeat("Q9", 5000));
        Assert.InRange(BallList.Read(text, 4, 3).Problems.Count, 2, 25);
        Assert.Single(BallList.Read(new string('x', BallList.MaxLength + 1), 4, 3).Problems);
    }
}
