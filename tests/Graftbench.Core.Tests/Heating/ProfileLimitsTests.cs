using CsCheck;
using Graftbench.Core.Facts;
using Graftbench.Core.Findings;
using Graftbench.Core.Heating;

namespace Graftbench.Core.Tests.Heating;

public class ProfileLimitsTests
{
    // A lead-free run that keeps every limit: soak 90 s, 2 K/s to 240 °C, 90 s above 217 °C.
    private static readonly double[] GoodTimesS = [0, 120, 210, 218.5, 250, 300, 310, 480];
    private static readonly double[] GoodC = [25, 150, 200, 217, 238, 238, 217, 50];

    private static ProfileFigure Figure(
        string item,
        double[] timesS,
        double[] temperaturesC,
        SolderProcess process = SolderProcess.LeadFree
    )
    {
        ProfileAnswer answer = ProfileLimits.Check(timesS, temperaturesC, process, 245, "chip U1");
        return answer.Figures.Single(figure => figure.Item == item);
    }

    [Fact]
    public void A_good_run_keeps_every_limit()
    {
        ProfileAnswer answer = ProfileLimits.Check(GoodTimesS, GoodC, SolderProcess.LeadFree, 245, "chip U1");
        Assert.All(answer.Findings, finding => Assert.Equal(Verdict.Ok, finding.Verdict));
        Assert.Equal(9, answer.Figures.Count);
        Assert.Equal(90, answer.Figures.Single(figure => figure.Item == "soak-most").Value);
        Assert.Equal(91.5, answer.Figures.Single(figure => figure.Item == "molten-most").Value);
    }

    [Fact]
    public void Time_above_217_of_170_s_fails()
    {
        // Above 217 °C from 200 to 370 s; the limit is 150 s.
        ProfileFigure figure = Figure("molten-most", [0, 200, 260, 310, 370, 400], [25, 217, 240, 240, 217, 150]);
        Assert.Equal((170.0, 150.0, (bool?)false), (figure.Value!.Value, figure.Limit, figure.Kept));
    }

    [Fact]
    public void From_217_to_245_in_8_s_fails()
    {
        ProfileFigure figure = Figure("rise-most", [0, 300, 308, 360, 500], [25, 217, 245, 217, 50]);
        Assert.Equal((3.5, 3.0, (bool?)false), (figure.Value!.Value, figure.Limit, figure.Kept));
    }

    [Fact]
    public void A_peak_after_490_s_fails_for_lead_free_and_360_s_is_the_end_for_tin_lead()
    {
        double[] temperaturesC = [25, 150, 240, 100];
        ProfileFigure late = Figure("to-peak-most", [0, 200, 490, 600], temperaturesC);
        Assert.Equal((490.0, 480.0, (bool?)false), (late.Value!.Value, late.Limit, late.Kept));
        Assert.True(Figure("to-peak-most", [0, 200, 480, 600], temperaturesC).Kept);
        Assert.False(Figure("to-peak-most", [0, 200, 361, 600], temperaturesC, SolderProcess.TinLead).Kept);
    }

    [Fact]
    public void A_fall_of_more_than_6_kelvin_a_second_fails()
    {
        Assert.False(Figure("fall-most", [0, 300, 314, 318, 400], [25, 217, 245, 217, 50]).Kept);
        Assert.True(Figure("fall-most", [0, 300, 314, 319, 400], [25, 217, 245, 217, 50]).Kept);
    }

    [Fact]
    public void Time_near_the_class_temperature_is_counted_from_5_kelvin_below()
    {
        // 240 °C and above for 31 s; the limit for lead-free is 30 s.
        ProfileFigure figure = Figure("near-peak-most", [0, 300, 331, 400], [25, 240, 240, 50]);
        Assert.Equal((31.0, (bool?)false), (figure.Value!.Value, figure.Kept));
    }

    [Fact]
    public void A_peak_above_the_class_temperature_stops_the_work_and_says_what_to_do()
    {
        ProfileAnswer answer = ProfileLimits.Check(
            [0, 300, 400],
            [25, 246, 50],
            SolderProcess.LeadFree,
            245,
            "chip U1"
        );
        Finding finding = answer.Findings.Single(one => one.Code == "heat.profile.peak");
        Assert.Equal((Verdict.FixFirst, "246 °C", "245 °C"), (finding.Verdict, finding.Value, finding.Limit));
        Assert.False(string.IsNullOrEmpty(finding.Todo));
    }

    [Fact]
    public void A_curve_that_never_melts_is_unknown_where_it_cannot_be_counted()
    {
        ProfileAnswer answer = ProfileLimits.Check(
            [0, 100, 200],
            [25, 120, 25],
            SolderProcess.LeadFree,
            245,
            "chip U1"
        );
        Assert.Equal(Verdict.Unknown, answer.Findings.Single(one => one.Code == "heat.profile.rise-most").Verdict);
        Assert.Equal(Verdict.Ok, answer.Findings.Single(one => one.Code == "heat.profile.molten-most").Verdict);
        Assert.Equal(Verdict.Unknown, answer.Findings.Single(one => one.Code == "heat.profile.molten-least").Verdict);
    }

    [Fact]
    public void Adding_points_on_a_curve_changes_nothing() =>
        Gen.Double[1, 470]
            .Sample(atS =>
            {
                double atC = Between(atS);
                int index = Array.FindIndex(GoodTimesS, time => time > atS);
                double[] timesS = [.. GoodTimesS[..index], atS, .. GoodTimesS[index..]];
                double[] temperaturesC = [.. GoodC[..index], atC, .. GoodC[index..]];
                ProfileAnswer more = ProfileLimits.Check(timesS, temperaturesC, SolderProcess.LeadFree, 245, "x");
                ProfileAnswer less = ProfileLimits.Check(GoodTimesS, GoodC, SolderProcess.LeadFree, 245, "x");
                return more
                    .Figures.Zip(less.Figures)
                    .All(pair =>
                        pair.First.Kept == pair.Second.Kept
                        && Math.Abs((pair.First.Value - pair.Second.Value) ?? 0) < 1e-6
                    );
            });

    [Theory]
    [InlineData(new double[] { 0, 1 }, new double[] { 25 })]
    [InlineData(new double[] { 0 }, new double[] { 25 })]
    [InlineData(new double[] { 1, 0 }, new double[] { 25, 30 })]
    [InlineData(new double[] { 0, 1 }, new double[] { 25, double.NaN })]
    public void What_is_no_curve_is_refused(double[] timesS, double[] temperaturesC) =>
        Assert.Throws<ArgumentException>(() =>
            ProfileLimits.Check(timesS, temperaturesC, SolderProcess.LeadFree, 245, "x")
        );

    private static double Between(double atS)
    {
        int i = Array.FindIndex(GoodTimesS, time => time > atS);
        double share = (atS - GoodTimesS[i - 1]) / (GoodTimesS[i] - GoodTimesS[i - 1]);
        return GoodC[i - 1] + share * (GoodC[i] - GoodC[i - 1]);
    }
}
