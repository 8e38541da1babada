using Graftbench.Core.Insight;
using Graftbench.Core.Jobs;

namespace Graftbench.Core.Tests.Insight;

public class InsightPlannerTests
{
    private static readonly DateTimeOffset Now = new(2026, 11, 1, 12, 0, 0, TimeSpan.Zero);

    [Fact]
    public void Open_and_early_jobs_are_counted_apart_and_in_no_rate()
    {
        InsightAnswer answer = Answer([
            .. Cases(3, 90),
            Case(90, back: 10),
            Case(5),
            Case(90) with
            {
                IsHandedOver = false,
                HandedOverAt = null,
            },
        ]);
        Assert.Equal(new OutcomeCounts(3, 1, 0, 1, 1, 0), answer.Counts);
        Assert.Equal("3 of 4", InsightWords.Of(answer.Counts.Share));
    }

    [Theory]
    [InlineData(3, 4, "3 of 4")]
    [InlineData(9, 9, "9 of 9")]
    [InlineData(8, 10, "8 of 10, 80 % (44 to 97 %)")]
    [InlineData(0, 0, "none yet")]
    public void No_percentage_is_told_from_fewer_than_ten(int hits, int total, string expected) =>
        Assert.Equal(expected, InsightWords.Of(CountedShare.Of(hits, total)));

    [Fact]
    public void A_difference_that_may_be_chance_is_not_named()
    {
        // 9 of 10 against 6 of 10: p = 0.30 before any correction.
        InsightAnswer answer = Answer([
            .. Cases(9, 90, "Ada"),
            .. Failed(1, "Ada"),
            .. Cases(6, 90, "Bo"),
            .. Failed(4, "Bo"),
        ]);
        InsightTable table = Of(answer, InsightDimension.Technician);
        Assert.All(table.Groups, group => Assert.Equal(GroupVerdict.Chance, group.Verdict));
        Assert.Empty(answer.Differences);
    }

    [Fact]
    public void A_difference_beyond_chance_is_named_from_both_sides_and_counts_once()
    {
        InsightAnswer answer = Answer([.. Cases(30, 90, "Ada"), .. Cases(10, 90, "Bo"), .. Failed(20, "Bo")]);
        InsightTable table = Of(answer, InsightDimension.Technician);
        Assert.Equal(
            [("Ada", GroupVerdict.Better), ("Bo", GroupVerdict.Worse)],
            table.Groups.Select(group => (group.Name, group.Verdict))
        );
        Assert.Equal(1, answer.Comparisons);
        Assert.StartsWith(
            "Technician, Ada: worked more often",
            Assert.Single(answer.Differences),
            StringComparison.Ordinal
        );
    }

    [Fact]
    public void Every_chance_is_corrected_for_all_comparisons_of_the_answer()
    {
        InsightCase[] cases = [.. Cases(12, 90, "Ada"), .. Cases(6, 90, "Bo"), .. Failed(6, "Bo")];
        double alone = Of(Answer(cases), InsightDimension.Technician).Groups[0].ChanceFraction!.Value;
        InsightAnswer more = Answer(cases.Select((one, i) => With(one, alloy: i % 2 == 0)));
        Assert.Equal(2, more.Comparisons);
        Assert.Equal(2 * alone, Of(more, InsightDimension.Technician).Groups[0].ChanceFraction!.Value, 9);
        Assert.Equal(GroupVerdict.Better, Of(Answer(cases), InsightDimension.Technician).Groups[0].Verdict);
    }

    [Fact]
    public void Unknown_is_a_group_of_its_own_and_never_compared()
    {
        InsightAnswer answer = Answer([.. Cases(9, 90, "Ada"), .. Failed(9, "")]);
        InsightTable table = Of(answer, InsightDimension.Technician);
        Assert.Equal("", table.Groups[^1].Name);
        Assert.All(table.Groups, group => Assert.Equal(GroupVerdict.NotCompared, group.Verdict));
    }

    [Fact]
    public void Names_that_differ_in_capitals_are_one_group() =>
        Assert.Equal(
            ["Ada"],
            Of(Answer([.. Cases(2, 90, "Ada"), .. Cases(1, 90, "ADA")]), InsightDimension.Technician)
                .Groups.Select(group => group.Name)
        );

    [Fact]
    public void Only_cases_since_a_day_are_counted() =>
        Assert.Equal(
            2,
            InsightPlanner
                .Answer([.. Cases(2, 60), .. Cases(5, 200)], new InsightQuestion(Now) { Since = Now.AddDays(-100) })
                .Counts.All
        );

    [Fact]
    public void Minutes_have_a_median_from_five_jobs_on()
    {
        static InsightCase Took(double minutes) =>
            Case(90) with
            {
                Spent = [new StepSpent(WorkStep.Place, minutes, null)],
            };
        Assert.Null(Answer(new double[] { 20, 25, 30, 35 }.Select(Took)).Times.Single().Jobs.Median);
        StepTime time = Answer(new double[] { 20, 25, 30, 35, 60 }.Select(Took)).Times.Single();
        Assert.Equal(30, time.Jobs.Median);
        // data/bench-minutes.csv, place.
        Assert.Equal((20, 30), (time.UsualLowMin, time.UsualHighMin));
    }

    [Fact]
    public void The_reserve_takes_the_upper_end_of_what_may_fail()
    {
        InsightCase[] cases =
        [
            .. Cases(5, 90)
                .Select(one => one with { Currency = "EUR", Spent = [new StepSpent(WorkStep.Parts, null, 40)] }),
        ];
        CostTable cost = Answer(cases).Costs.Single();
        // None of 5 failed: at most 1 - 0.025^(1/5).
        double atMost = 1 - Math.Pow(0.025, 0.2);
        Assert.Equal(atMost, cost.Reserve!.FailsAtMostFraction, 9);
        Assert.Equal(atMost * 40, cost.Reserve.ReserveCost, 6);
    }

    [Fact]
    public void Two_currencies_are_never_added_up() =>
        Assert.Equal(
            ["EUR", ""],
            Answer([
                .. Cases(2, 90)
                    .Select(one => one with { Currency = "EUR", Spent = [new StepSpent(WorkStep.Other, null, 1)] }),
                Case(90) with
                {
                    Spent = [new StepSpent(WorkStep.Other, null, 1)],
                },
            ])
                .Costs.Select(cost => cost.Currency)
        );

    [Fact]
    public void Donors_yield_counts_lifted_chips_and_those_that_worked()
    {
        InsightCase Donor(InsightCase one) =>
            one with
            {
                DonorSource = "Market",
                DonorChips = 2,
                TransplantFromDonor = true,
            };
        DonorYield yield = Answer([Donor(Case(90)), Donor(Case(90, back: 3)), Donor(Case(5))]).Donors.Single();
        Assert.Equal(
            ("Market", 3, 6, 1, 2),
            (yield.Source, yield.Donors, yield.Lifted, yield.Share.Hits, yield.Share.Total)
        );
    }

    [Fact]
    public void No_case_is_answered_with_nothing_known()
    {
        InsightAnswer answer = Answer([]);
        Assert.Equal(
            (0, 0.0, 1.0),
            (answer.Counts.All, answer.Counts.Share.LowFraction, answer.Counts.Share.HighFraction)
        );
        Assert.Empty(answer.Times);
        Assert.Empty(answer.Donors);
    }

    private static InsightAnswer Answer(IEnumerable<InsightCase> cases) =>
        InsightPlanner.Answer(cases, new InsightQuestion(Now));

    private static InsightTable Of(InsightAnswer answer, InsightDimension dimension) =>
        answer.Tables.Single(table => table.Dimension == dimension);

    private static InsightCase With(InsightCase one, bool alloy) =>
        one with
        {
            Groups = one.Groups with { Alloy = alloy ? AlloyFamily.Leaded : AlloyFamily.LeadFree },
        };

    private static IEnumerable<InsightCase> Cases(int number, int daysAgo, string technician = "Ada") =>
        Enumerable.Range(0, number).Select(_ => Case(daysAgo, technician: technician));

    private static IEnumerable<InsightCase> Failed(int number, string technician) =>
        Cases(number, 90, technician).Select(one => one with { FailedAt = one.HandedOverAt });

    private static InsightCase Case(int daysAgo, int? back = null, string technician = "Ada")
    {
        DateTimeOffset over = Now.AddDays(-daysAgo);
        return new InsightCase(
            "case",
            1,
            over.AddDays(-20),
            true,
            over,
            back is { } days ? over.AddDays(days) : null,
            null,
            new InsightGroups(
                "",
                AlloyFamily.Unknown,
                LandSolder.Unknown,
                PeakBand.Unknown,
                DriedBefore.Unknown,
                technician,
                ""
            ),
            "",
            0,
            false,
            "",
            []
        );
    }
}
