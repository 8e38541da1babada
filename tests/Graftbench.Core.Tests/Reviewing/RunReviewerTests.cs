using Graftbench.Core.Facts;
using Graftbench.Core.Findings;
using Graftbench.Core.Heating;
using Graftbench.Core.Reviewing;

namespace Graftbench.Core.Tests.Reviewing;

public sealed class RunReviewerTests
{
    private static RunReview Review(
        (double S, double C)[] corners,
        SolderProcess process,
        double classC,
        double offDeltaK = 0.5
    ) =>
        RunReviewer.Review(
            new ReviewRequest(Profiles.Log(corners, 0.5))
            {
                Seats = [new ProbeSeat("T1", HeatPlaceKind.BodyTop, null, null) { OffDeltaK = offDeltaK }],
                Process = process,
                ClassTemperatureC = classC,
            }
        );

    private static (double S, double C)[] LeadFree(double moltenS, double peakC) =>
        [
            (0, 25),
            (125, 150),
            (215, 200),
            (245, 217),
            (245 + moltenS / 2, peakC),
            (245 + moltenS, 217),
            (400 + moltenS, 60),
        ];

    // Limits of J-STD-020 revision D, table 5-2, as public sheets quote them ("Reflow Soldering Profile, per J-STD-020D, Table 5-2";
    // "Classification Reflow Profiles", revision C, tables 4-1 and 4-2, for the same rows); the profiles are made to lie on one side.
    [Theory]
    [InlineData("above", SolderProcess.LeadFree, 170, Verdict.FixFirst)] // 217 °C exceeded for 170 s, at most 150
    [InlineData("above", SolderProcess.LeadFree, 100, Verdict.Ok)]
    [InlineData("above", SolderProcess.LeadFree, 40, Verdict.Warning)] // at least 60: no harm to the body
    public void Time_above_liquidus_against_the_table(
        string key,
        SolderProcess process,
        double moltenS,
        Verdict expected
    )
    {
        RunReview review = Review(LeadFree(moltenS, 240), process, 260);
        Assert.Equal(expected, review.Checks.Where(check => check.Figure.Key == key).Min(check => check.Verdict));
    }

    [Theory]
    [InlineData(8, Verdict.FixFirst)] // 217 to 245 °C in 8 s: 3.5 K/s, at most 3
    [InlineData(14, Verdict.Ok)]
    public void Rise_from_liquidus_to_peak_against_the_table(double riseS, Verdict expected)
    {
        RunReview review = Review(
            [(0, 25), (125, 150), (215, 200), (245, 217), (245 + riseS, 245), (310 + riseS, 217), (500, 60)],
            SolderProcess.LeadFree,
            260
        );
        Assert.Equal(expected, review.Checks.Single(check => check.Figure.Key == "rise-mean").Verdict);
    }

    [Theory]
    [InlineData(490, SolderProcess.LeadFree, Verdict.FixFirst)] // at most 8 min
    [InlineData(400, SolderProcess.LeadFree, Verdict.Ok)]
    [InlineData(400, SolderProcess.TinLead, Verdict.FixFirst)] // at most 6 min
    [InlineData(300, SolderProcess.TinLead, Verdict.Ok)]
    public void Time_from_25_C_to_the_peak_against_the_table(double peakS, SolderProcess process, Verdict expected)
    {
        RunReview review = Review([(0, 25), (peakS, 225), (peakS + 80, 60)], process, 250);
        Assert.Equal(expected, review.Checks.Single(check => check.Figure.Key == "to-peak").Verdict);
    }

    [Theory]
    [InlineData(240, 245, Verdict.Ok)]
    [InlineData(252, 245, Verdict.FixFirst)]
    [InlineData(244.8, 245, Verdict.Warning)]
    [InlineData(245.2, 245, Verdict.Warning)]
    public void A_value_within_its_uncertainty_of_the_limit_is_not_ok(double peakC, double classC, Verdict expected)
    {
        RunReview review = Review(LeadFree(90, peakC), SolderProcess.LeadFree, classC);
        Assert.Equal(expected, review.Checks.Single(check => check.Figure.Key == "peak").Verdict);
    }

    [Fact]
    public void Without_a_job_or_solder_nothing_is_ok()
    {
        RunReview review = RunReviewer.Review(new ReviewRequest(Profiles.Log(LeadFree(90, 240), 1)));
        Assert.Empty(review.Checks);
        Assert.DoesNotContain(review.Findings, finding => finding.Verdict == Verdict.Ok);
        Assert.Equal(Verdict.Unknown, review.Verdict);
        Assert.Contains("cannot be told", review.Answer, StringComparison.Ordinal);
        Assert.Contains(review.Figures, figure => figure.Key == "peak" && figure.Value == 240);
    }

    [Fact]
    public void A_gap_over_the_hot_part_makes_a_kept_limit_unknown_and_never_ok()
    {
        RunLog log = Profiles.Without(Profiles.Log(LeadFree(148, 240), 1), 260, 300);
        RunReview review = RunReviewer.Review(
            new ReviewRequest(log)
            {
                Seats = [new ProbeSeat("T1", HeatPlaceKind.BodyTop, null, null)],
                Process = SolderProcess.LeadFree,
                ClassTemperatureC = 260,
            }
        );
        ReviewCheck most = review.Checks.Single(check => check.Figure.Key == "above" && !check.LimitIsLeast);
        Assert.NotEqual(Verdict.Ok, most.Verdict);
        Assert.True(most.Figure.AtLeast);
        Assert.StartsWith("at least", ReviewWords.Of(most.Figure), StringComparison.Ordinal);
        Assert.Contains(review.Findings, finding => finding.Code == "review.gaps");
    }

    [Fact]
    public void A_simulated_run_says_so_first()
    {
        RunReview review = RunReviewer.Review(
            new ReviewRequest(Profiles.Log(LeadFree(90, 240), 1) with { Simulated = true })
        );
        Assert.StartsWith("SIMULATION", review.Answer, StringComparison.Ordinal);
        Assert.Contains(review.Findings, finding => finding.Code == "review.simulation");
    }

    [Fact]
    public void Marks_of_the_person_weigh()
    {
        RunLog log = Profiles.Log(LeadFree(90, 240), 1) with
        {
            Marks = [new RunMark(250, "popped", ""), new RunMark(300, "cue", "lift")],
        };
        RunReview review = RunReviewer.Review(new ReviewRequest(log));
        Assert.Equal(Verdict.FixFirst, review.Verdict);
        Assert.Contains(review.Findings, finding => finding.Code == "review.mark-popped");
    }

    [Fact]
    public void An_empty_run_and_one_without_numbers_are_answered()
    {
        Assert.Equal(
            "Nothing was read.",
            RunReviewer.Review(new ReviewRequest(new RunLog([], [new RunChannel("a", [])]))).Answer
        );
        RunReview review = RunReviewer.Review(
            new ReviewRequest(new RunLog([0, 1, 2], [new RunChannel("a", [double.NaN, double.NaN, double.NaN])]))
        );
        Assert.Contains(review.Findings, finding => finding.Code == "review.no-readings");
    }
}
