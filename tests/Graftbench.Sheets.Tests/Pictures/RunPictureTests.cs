using System.Text.RegularExpressions;
using Graftbench.Core.Reviewing;
using Graftbench.Sheets.Pictures;

namespace Graftbench.Sheets.Tests.Pictures;

public sealed class RunPictureTests
{
    private static RunReview Review(int points, bool simulated = false, bool gap = false)
    {
        double[] times =
        [
            .. Enumerable.Range(0, points).Select(i => 400.0 * i / points).Where(t => !gap || t is < 100 or > 200),
        ];
        double[] values = [.. times.Select((t, i) => 25 + t / 2 + 3 * Math.Sin(i * 12.9898))];
        return RunReviewer.Review(
            new ReviewRequest(
                new RunLog(times, [new RunChannel("T<1>", values)])
                {
                    Simulated = simulated,
                    Marks = [new RunMark(50, "moved", "<tape> & all")],
                }
            )
        );
    }

    [Fact]
    public void A_day_of_noise_is_brought_to_about_two_points_a_column()
    {
        string svg = RunPicture.Svg(Review(200_000));
        int numbers = Regex.Count(svg, @"-?\d+(?:\.\d+)?", RegexOptions.ExplicitCapture, TimeSpan.FromSeconds(5));
        Assert.True(numbers < 2 * 2 * 860 + 1500, $"{numbers} numbers");
    }

    [Fact]
    public void A_gap_cuts_the_line_and_is_named()
    {
        string whole = RunPicture.Svg(Review(400));
        string cut = RunPicture.Svg(Review(400, gap: true));
        Assert.DoesNotContain("no readings", whole, StringComparison.Ordinal);
        Assert.Contains("no readings", cut, StringComparison.Ordinal);
    }

    [Fact]
    public void A_simulation_is_written_across_it_and_names_are_escaped()
    {
        string svg = RunPicture.Svg(Review(400, simulated: true));
        Assert.Contains(">SIMULATION<", svg, StringComparison.Ordinal);
        Assert.DoesNotContain("<tape>", svg, StringComparison.Ordinal);
        Assert.DoesNotContain("T<1>", svg, StringComparison.Ordinal);
    }

    [Fact]
    public void Nothing_read_is_no_picture() =>
        Assert.Equal(
            "",
            RunPicture.Svg(RunReviewer.Review(new ReviewRequest(new RunLog([], [new RunChannel("a", [])]))))
        );
}
