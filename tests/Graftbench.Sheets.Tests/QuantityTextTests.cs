using Graftbench.Core.Drying;
using Graftbench.Core.Facts;
using Graftbench.Core.Findings;
using Graftbench.Core.Jobs;

namespace Graftbench.Sheets.Tests;

public class QuantityTextTests
{
    [Theory]
    [InlineData(0.0, "0 h")]
    [InlineData(0.004, "0 min")]
    [InlineData(0.75, "45 min")]
    [InlineData(0.999, "1 h")]
    [InlineData(6.5, "6.5 h")]
    [InlineData(9.96, "10 h")]
    [InlineData(13.2, "13 h")]
    [InlineData(47.6, "2 d")]
    [InlineData(102.0, "4 d 6 h")]
    [InlineData(335.7, "14 d")]
    [InlineData(79.0 * 24, "79 d")]
    [InlineData(-3.0, "−3 h")]
    [InlineData(double.NaN, "not known")]
    [InlineData(double.PositiveInfinity, "not known")]
    [InlineData(null, "not known")]
    public void Hours_keep_the_digits_that_matter(double? hours, string expected) =>
        Assert.Equal(expected, QuantityText.Hours(hours));

    [Fact]
    public void Drying_is_never_shown_shorter_nor_floor_life_longer_than_it_is()
    {
        for (double hours = 0.01; hours < 3000; hours *= 1.0173)
        {
            Assert.True(Read(QuantityText.HoursAtLeast(hours)) >= hours - 1e-6, QuantityText.HoursAtLeast(hours));
            Assert.True(Read(QuantityText.HoursAtMost(hours)) <= hours + 1e-6, QuantityText.HoursAtMost(hours));
            Assert.True(
                Math.Abs(Read(QuantityText.Hours(hours)) - hours) <= Math.Max(0.01, 0.051 * hours),
                QuantityText.Hours(hours)
            );
        }
    }

    [Theory]
    [InlineData(96.0, "96 h (4 d)")]
    [InlineData(102.4, "103 h (4 d 7 h)")]
    [InlineData(27.0, "27 h")]
    [InlineData(null, "not known")]
    public void Hours_stand_with_days_as_standards_print_them(double? hours, string expected) =>
        Assert.Equal(expected, QuantityText.HoursAndDays(hours));

    [Fact]
    public void Moments_carry_weekday_and_offset_of_the_shop()
    {
        DateTimeOffset moment = new(2026, 11, 25, 23, 30, 0, TimeSpan.Zero);
        Assert.Equal("Thu 26 Nov 2026 00:30 +01:00", QuantityText.Moment(moment, TimeSpan.FromHours(1)));
        Assert.Equal("Wed 25 Nov 2026 14:00 -09:30", QuantityText.Moment(moment, TimeSpan.FromHours(-9.5)));
        Assert.Equal("Wed 25 Nov 23:30", QuantityText.MomentShort(moment, TimeSpan.Zero));
        Assert.Equal("Thu 26 Nov", QuantityText.Day(moment, TimeSpan.FromHours(1)));
        Assert.Equal("UTC", QuantityText.Offset(TimeSpan.Zero));
        Assert.StartsWith(
            "Fri 31 Dec 9999",
            QuantityText.Moment(DateTimeOffset.MaxValue, TimeSpan.FromHours(14)),
            StringComparison.Ordinal
        );
    }

    [Theory]
    [InlineData(65.0, false, "65 °C")]
    [InlineData(65.0, true, "149 °F")]
    [InlineData(62.5, false, "62.5 °C")]
    [InlineData(-40.0, true, "−40 °F")]
    [InlineData(null, true, "not known")]
    public void Temperatures(double? c, bool fahrenheit, string expected) =>
        Assert.Equal(expected, QuantityText.Temperature(c, new Display(fahrenheit)));

    [Fact]
    public void A_temperature_difference_has_no_offset()
    {
        Assert.Equal("5 K", QuantityText.TemperatureDifference(5));
        Assert.Equal("9 °F", QuantityText.TemperatureDifference(5, new Display(Fahrenheit: true)));
    }

    [Theory]
    [InlineData(50.4, "50 %")]
    [InlineData(7.94, "7.9 %")]
    [InlineData(9.96, "10 %")]
    [InlineData(0.15, "0.15 %")]
    [InlineData(0.0, "0 %")]
    [InlineData(double.NaN, "not known")]
    public void Percentages(double percent, string expected)
    {
        Assert.Equal(expected, QuantityText.Percent(percent));
        Assert.Equal(expected, QuantityText.FractionAsPercent(percent / 100));
    }

    [Theory]
    [InlineData(1.0, "100 %")]
    [InlineData(0.99999, "99.9 %")]
    [InlineData(0.975, "97.5 %")]
    [InlineData(0.9, "90 %")]
    public void What_is_not_the_whole_never_reads_as_the_whole(double shareFraction, string expected) =>
        Assert.Equal(expected, QuantityText.Chance(shareFraction));

    [Fact]
    public void Every_value_of_the_document_and_the_answers_has_its_own_word()
    {
        AllDiffer<Verdict>(TradeWords.Of);
        AllDiffer<Verdict>(TradeWords.Meaning);
        AllDiffer<PartKind>(TradeWords.Of);
        AllDiffer<MoistureLevel>(TradeWords.Of);
        AllDiffer<DryingState>(TradeWords.Of);
        AllDiffer<FloorLifeState>(TradeWords.Of);
        AllDiffer<HeatKind>(TradeWords.Of);
        AllDiffer<JobStage>(TradeWords.Of);
        AllDiffer<ChipPlace>(TradeWords.Of);
        AllDiffer<Confidence>(TradeWords.Of);
        AllDiffer<Confidence>(TradeWords.InBrief);
    }

    [Fact]
    public void Confidence_marks_are_read_as_letter_or_name()
    {
        Assert.Equal(TradeWords.Of(Confidence.FromMemory), TradeWords.ConfidenceMark("M"));
        Assert.Equal("seen", TradeWords.ConfidenceShort("Seen"));
        Assert.Equal("confidence not stated", TradeWords.ConfidenceMark(null));
        Assert.Equal("7", TradeWords.ConfidenceMark("7"));
    }

    private static void AllDiffer<T>(Func<T, string> word)
        where T : struct, Enum
    {
        T[] values = Enum.GetValues<T>();
        Assert.Equal(values.Length, values.Select(word).Distinct(StringComparer.Ordinal).Count());
    }

    private static double Read(string text) =>
        text.Split(' ')
            .Chunk(2)
            .Sum(pair =>
                double.Parse(pair[0], System.Globalization.CultureInfo.InvariantCulture)
                * (
                    pair[1] == "d" ? 24
                    : pair[1] == "h" ? 1
                    : 1 / 60.0
                )
            );
}
