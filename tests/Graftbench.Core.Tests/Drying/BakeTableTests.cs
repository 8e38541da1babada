using Graftbench.Core.Drying;
using Graftbench.Core.Jobs;

namespace Graftbench.Core.Tests.Drying;

public class BakeTableTests
{
    internal static MoistBody Body(
        double thicknessMm,
        MoistureLevel level,
        double sideMm = 10,
        bool ballGrid = false,
        YesNo planes = YesNo.No
    ) => new(level, thicknessMm, sideMm, sideMm, ballGrid, planes, YesNo.No);

    public static readonly TheoryData<double, MoistureLevel, FloorLifeOver, double, double, string> Cells = new()
    { // mm, level, column pair, °C, hours, source
        { 1.4, MoistureLevel.L3, FloorLifeOver.MoreThan72H, 125, 9, "fact sheet, check 1" },
        { 1.4, MoistureLevel.L5A, FloorLifeOver.UpTo72H, 90, 24, "fact sheet, check 2" },
        { 1.8, MoistureLevel.L4, FloorLifeOver.MoreThan72H, 40, 1128, "fact sheet, check 3" },
        { 1.8, MoistureLevel.L2A, FloorLifeOver.UpTo72H, 125, 16, "fact sheet, check 4" },
        { 2.0, MoistureLevel.L3, FloorLifeOver.UpTo72H, 40, 23 * 24, "fact sheet, check 5" },
        { 3.0, MoistureLevel.L4, FloorLifeOver.MoreThan72H, 90, 240, "fact sheet, check 6" },
        { 1.4, MoistureLevel.L2, FloorLifeOver.MoreThan72H, 125, 5, "fact sheet section 1.2" },
        { 1.4, MoistureLevel.L2A, FloorLifeOver.MoreThan72H, 90, 23, "fact sheet section 1.2" },
        { 1.41, MoistureLevel.L2, FloorLifeOver.MoreThan72H, 90, 63, "fact sheet section 1.2" },
        { 2.0, MoistureLevel.L5A, FloorLifeOver.UpTo72H, 125, 40, "fact sheet section 1.2" },
        { 2.01, MoistureLevel.L3, FloorLifeOver.UpTo72H, 90, 8 * 24, "fact sheet section 1.2" },
        { 4.5, MoistureLevel.L5, FloorLifeOver.MoreThan72H, 40, 79 * 24, "fact sheet section 1.2" },
        {
            1.0,
            MoistureLevel.L6,
            FloorLifeOver.MoreThan72H,
            125,
            16,
            "fact sheet section 1.2: level 6 bakes with the row of 5a"
        },
    };

    [Theory, MemberData(nameof(Cells))]
    public void Cell_matches_the_standard(
        double thicknessMm,
        MoistureLevel level,
        FloorLifeOver over,
        double temperatureC,
        double expectedH,
        string source
    )
    {
        TableAnswer answer = BakeTable.Lookup(Body(thicknessMm, level), over, temperatureC, humidityPercent: 3);

        Assert.True(answer.Applies, source);
        Assert.Equal(expectedH, answer.Hours);
    }

    [Fact]
    public void Large_ball_grid_body_with_planes_takes_96_hours()
    {
        // Fact sheet, check 7.
        MoistBody body = Body(2.3, MoistureLevel.L3, sideMm: 27, ballGrid: true, planes: YesNo.Yes);

        TableAnswer answer = BakeTable.Lookup(body, FloorLifeOver.MoreThan72H, 125, 1);

        Assert.Equal(96, answer.Hours);
        Assert.Equal("M", answer.Confidence);
    }

    [Theory, InlineData(90), InlineData(40)]
    public void Large_ball_grid_body_has_no_cooler_column_and_is_sent_to_125(double temperatureC)
    {
        // Fact sheet, check 8.
        MoistBody body = Body(2.3, MoistureLevel.L3, sideMm: 27, ballGrid: true, planes: YesNo.Yes);

        TableAnswer answer = BakeTable.Lookup(body, FloorLifeOver.MoreThan72H, temperatureC, 1);

        Assert.False(answer.Applies);
        Assert.Null(answer.Hours);
        Assert.Contains("125 °C column does", answer.Says, StringComparison.Ordinal);
    }

    [Fact]
    public void Large_ball_grid_body_without_planes_takes_the_plain_row() =>
        Assert.Equal(
            48,
            BakeTable.Lookup(Body(2.3, MoistureLevel.L3, 27, true, YesNo.No), FloorLifeOver.MoreThan72H, 125, 1).Hours
        );

    [Fact]
    public void Unknown_planes_count_as_there_above_17_mm_only()
    {
        Assert.True(Body(1.2, MoistureLevel.L3, 17.1, true, YesNo.Unknown).LargeOrStacked);
        Assert.False(Body(1.2, MoistureLevel.L3, 17, true, YesNo.Unknown).LargeOrStacked);
    }

    [Fact]
    public void Thick_body_is_outside_the_table()
    {
        // Fact sheet, check 9.
        TableAnswer answer = BakeTable.Lookup(Body(5, MoistureLevel.L3), FloorLifeOver.MoreThan72H, 125, 1);

        Assert.False(answer.Applies);
        Assert.Contains("outside the table", answer.Says, StringComparison.Ordinal);
    }

    [Theory, InlineData(70), InlineData(124.9), InlineData(60), InlineData(50)]
    public void Other_temperatures_are_refused_with_the_columns_named(double temperatureC)
    {
        TableAnswer answer = BakeTable.Lookup(Body(1.4, MoistureLevel.L3), FloorLifeOver.MoreThan72H, temperatureC, 1);

        Assert.False(answer.Applies);
        Assert.Contains("125, 90, 40 °C only", answer.Says, StringComparison.Ordinal);
    }

    [Theory, InlineData(5.1, false), InlineData(5.0, true), InlineData(null, false)]
    public void Cooler_columns_need_dry_air(double? humidityPercent, bool applies) =>
        Assert.Equal(
            applies,
            BakeTable.Lookup(Body(1.4, MoistureLevel.L3), FloorLifeOver.MoreThan72H, 90, humidityPercent).Applies
        );

    [Fact]
    public void Hotter_column_asks_nothing_of_the_air() =>
        Assert.True(BakeTable.Lookup(Body(1.4, MoistureLevel.L3), FloorLifeOver.MoreThan72H, 125, null).Applies);

    [Fact]
    public void An_unknown_level_at_125_takes_the_longer_of_row_5a_and_the_shop_rule()
    {
        // Fact sheet section 1.5: one published shop rule bakes an unknown level for 48 h at 125 °C; row 5a says 16 h.
        TableAnswer answer = BakeTable.Lookup(Body(1.0, MoistureLevel.Unknown), FloorLifeOver.MoreThan72H, 125, 1);

        Assert.Equal(48, answer.Hours);
        Assert.Equal("jstd-033-d-procedure", answer.Source);
    }
}
