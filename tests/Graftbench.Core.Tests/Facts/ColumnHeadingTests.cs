using Graftbench.Core.Facts;

namespace Graftbench.Core.Tests.Facts;

public class ColumnHeadingTests
{
    [Theory]
    [InlineData("thicknessMm", "Thickness, mm")]
    [InlineData("volumeMm3", "Volume, mm³")]
    [InlineData("temperature_c", "Temperature, °C")]
    [InlineData("short_dry_humidity_percent", "Short dry humidity, %")]
    [InlineData("up_to_mm", "Up to, mm")]
    [InlineData("throughWPerMK", "Through, W/(m K)")]
    [InlineData("specificHeatJPerKgK", "Specific heat, J/(kg K)")]
    [InlineData("glassTransitionMinC", "Glass transition min, °C")]
    [InlineData("lowNumber", "Low")]
    [InlineData("lowMin", "Low, min")]
    [InlineData("rail.low", "Rail: low")]
    [InlineData("pad-trace", "Pad trace")]
    [InlineData("c", "c")]
    [InlineData("source", "Source")]
    public void A_column_is_told_in_words(string column, string heading) =>
        Assert.Equal(heading, ColumnHeading.Of(column));

    [Fact]
    public void A_text_about_a_table_calls_its_columns_by_their_headings() =>
        Assert.Equal(
            "“Peak, °C” for at most “Peak, s” seconds; peakLimitC of the job goes first, off: by hand, “Up to, mm”.",
            ColumnHeading.InWords(
                "peakC for at most peakS seconds; peakLimitC of the job goes first, off: by hand, up_to_mm.",
                ["peakC", "peakS", "off", "up_to_mm"]
            )
        );

    [Fact]
    public void Every_table_has_plain_headings_that_differ() =>
        Assert.All(
            ReferenceShelf.Tables,
            table =>
            {
                Assert.Equal(table.Headings.Count, table.Headings.Distinct().Count());
                Assert.All(
                    table.Headings,
                    heading =>
                    {
                        Assert.DoesNotContain('_', heading);
                        // No word with a capital inside, besides units after the comma.
                        Assert.DoesNotMatch("[a-z][A-Z]", heading.Split(", ")[0]);
                    }
                );
            }
        );
}
