using Graftbench.Core.Drying;
using Graftbench.Core.Jobs;

namespace Graftbench.Core.Tests.Drying;

public class BakeLogTests
{
    internal static readonly DateTimeOffset Start = new(2026, 11, 2, 8, 0, 0, TimeSpan.FromHours(1));

    internal static Exposure Bake(
        double fromH,
        double hours,
        double temperatureC,
        params (double FromH, double Minutes)[] breaks
    ) =>
        new()
        {
            Of = "host",
            Place = ExposurePlace.Bake,
            From = Start.AddHours(fromH),
            To = Start.AddHours(fromH + hours),
            TemperatureC = temperatureC,
            Breaks = breaks
                .Select(pause => new Break
                {
                    From = Start.AddHours(fromH + pause.FromH),
                    To = Start.AddHours(fromH + pause.FromH).AddMinutes(pause.Minutes),
                })
                .ToList(),
        };

    [Fact]
    public void Only_hours_above_90_count_against_the_budget()
    {
        // Fact sheet, check 10: 48 h at 125 °C + 40 h at 110 °C + 200 h at 90 °C: 88 h used, 8 h left.
        BakeBudget budget = BakeLog.Budget(
            [Bake(0, 48, 125), Bake(100, 40, 110), Bake(200, 200, 90)],
            Start.AddHours(500),
            0,
            null
        );

        Assert.Equal(88, budget.SpentH, 1e-9);
        Assert.Equal(8, budget.LeftH, 1e-9);
    }

    [Fact]
    public void A_spent_budget_leaves_no_hour_at_95()
    {
        // Fact sheet, check 11: 96 h at 125 °C, wish 1 h at 95 °C: refuse.
        BakeBudget budget = BakeLog.Budget([Bake(0, 96, 125)], Start.AddHours(200), 1, 95);

        Assert.True(budget.PlannedH > budget.LeftH);
    }

    [Fact]
    public void Planned_hours_at_90_or_below_cost_nothing() =>
        Assert.Equal(0, BakeLog.Budget([], Start, 400, 90).PlannedH);

    [Theory]
    [InlineData(20, 20)] // fact sheet, check 13: one break of 20 min, end + 20 min
    [InlineData(10, 0)] // one of 10 min, no change
    [InlineData(15, 0)] // exactly 15 min is not longer than 15 min
    public void A_break_longer_than_15_minutes_extends_the_bake(double breakMin, double laterMin)
    {
        Exposure bake = Bake(0, 9, 125, (3, breakMin));

        DateTimeOffset end = BakeLog.EndsAt(bake.From, 9, bake.Breaks);

        Assert.Equal(Start.AddHours(9).AddMinutes(laterMin), end);
        Assert.Equal(9 - laterMin / 60, BakeLog.EffectiveH(bake, Start.AddHours(20)), 1e-9);
    }

    [Fact]
    public void A_bake_that_runs_counts_up_to_now() =>
        Assert.Equal(2.5, BakeLog.EffectiveH(Bake(0, 9, 125) with { To = null }, Start.AddHours(2.5)), 1e-9);

    [Fact]
    public void Bakes_with_an_hour_or_less_in_the_open_between_them_are_one()
    {
        double one = BakeLog.TrailingCreditAt125H([Bake(0, 4, 125), Bake(5, 4, 125)], Start.AddHours(9));
        double two = BakeLog.TrailingCreditAt125H([Bake(0, 4, 125), Bake(5.1, 4, 125)], Start.AddHours(9.1));

        Assert.Equal(8, one, 1e-9);
        Assert.Equal(4, two, 1e-9);
    }

    [Fact]
    public void An_overheated_bake_is_counted_apart() =>
        Assert.Equal(3, BakeLog.Budget([Bake(0, 3, 130)], Start.AddHours(10), 0, null).OverheatedH, 1e-9);
}
