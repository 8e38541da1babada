using Graftbench.Core.Drying;
using Graftbench.Core.Jobs;

namespace Graftbench.Core.Tests.Drying;

public class FloorLifeLogTests
{
    private static readonly DateTimeOffset Start = BakeLogTests.Start;
    private static readonly Climate Room = new(22, 45);

    private static Exposure In(
        ExposurePlace place,
        double fromH,
        double? toH,
        double? atC = null,
        double? humidityPercent = null
    ) =>
        new()
        {
            Of = "U1",
            Place = place,
            From = Start.AddHours(fromH),
            To = toH is { } to ? Start.AddHours(to) : null,
            TemperatureC = atC,
            HumidityPercent = humidityPercent,
        };

    private static FloorLifeWalk Walk(MoistureLevel level, double nowH, params Exposure[] exposures) =>
        FloorLifeLog.Walk(
            BakeTableTests.Body(1.2, level, ballGrid: true),
            exposures,
            firstBagIsMakers: true,
            Room,
            Start.AddHours(nowH)
        );

    [Fact]
    public void Rated_climate_uses_floor_life_hour_by_hour()
    {
        FloorLifeClock clock = Walk(
            MoistureLevel.L3,
            42,
            In(ExposurePlace.DryBag, -100, 0),
            In(ExposurePlace.Room, 0, null, 30, 60)
        ).Clock;

        Assert.Equal(FloorLifeState.Within, clock.State);
        Assert.Equal(0.25, clock.UsedFraction!.Value, 1e-9);
        Assert.Equal(126, clock.LeftH!.Value, 1e-9);
        Assert.Equal(Start.AddHours(168), clock.RunsOutAt);
    }

    [Fact]
    public void Shares_of_two_climates_add_up()
    {
        // 84 h of 168 h at 30/60, then 84 h of 288 h (12 d) at 20/60.
        FloorLifeClock clock = Walk(
            MoistureLevel.L3,
            168,
            In(ExposurePlace.DryBag, -100, 0),
            In(ExposurePlace.Room, 0, 84, 30, 60),
            In(ExposurePlace.Room, 84, null, 20, 60)
        ).Clock;

        Assert.Equal(84 / 168.0 + 84 / 288.0, clock.UsedFraction!.Value, 1e-9);
    }

    public static readonly TheoryData<MoistureLevel, double, double, double, bool, string> ShortExposures = new()
    { // level, hours out, cabinet % RH, hours in the cabinet, back to zero, source
        { MoistureLevel.L3, 10, 10, 50, true, "fact sheet, check 14: level 3 out 10 h, then 10 % RH: resets after 50 h" },
        { MoistureLevel.L3, 10, 10, 49.9, false, "the same, too short" },
        { MoistureLevel.L3, 12.1, 10, 100, false, "fact sheet section 1.5: out at most 12 h" },
        { MoistureLevel.L3, 10, 10.1, 100, false, "fact sheet section 1.5: at most 10 % RH" },
        { MoistureLevel.L5, 6, 5, 60, true, "fact sheet, check 15: level 5 out 6 h, then 5 % RH: resets after 60 h" },
        { MoistureLevel.L5, 6, 5, 59.9, false, "the same, too short" },
        { MoistureLevel.L5, 9, 5, 200, false, "fact sheet, check 16: level 5 out 9 h: no reset" },
        { MoistureLevel.L5, 6, 5.1, 200, false, "fact sheet section 1.5: at most 5 % RH" },
    };

    [Theory, MemberData(nameof(ShortExposures))]
    public void Dry_storage_undoes_short_exposures(
        MoistureLevel level,
        double outH,
        double humidityPercent,
        double inH,
        bool resets,
        string source
    )
    {
        FloorLifeClock clock = Walk(
            level,
            outH + inH,
            In(ExposurePlace.DryBag, -100, 0),
            In(ExposurePlace.Room, 0, outH, 25, 50),
            In(ExposurePlace.DryCabinet, outH, null, 22, humidityPercent)
        ).Clock;

        Assert.True(resets == (clock.UsedFraction == 0), source);
    }

    [Fact]
    public void A_dry_cabinet_stops_the_clock()
    {
        FloorLifeClock clock = Walk(
            MoistureLevel.L3,
            20 + 24,
            In(ExposurePlace.DryBag, -100, 0),
            In(ExposurePlace.Room, 0, 20, 30, 60),
            In(ExposurePlace.DryCabinet, 20, null, 22, 10)
        ).Clock;

        Assert.Equal(20 / 168.0, clock.UsedFraction!.Value, 1e-9);
        Assert.Null(clock.RunsOutAt);
    }

    [Fact]
    public void A_cabinet_at_8_percent_does_not_stop_the_clock_of_level_4()
    {
        // Level 4 at 25 °C / 10 % RH: 6 days in the published block.
        FloorLifeClock clock = Walk(
            MoistureLevel.L4,
            72,
            In(ExposurePlace.DryBag, -100, 0),
            In(ExposurePlace.DryCabinet, 0, null, 25, 8)
        ).Clock;

        Assert.Equal(0.5, clock.UsedFraction!.Value, 1e-9);
    }

    [Theory]
    [InlineData(8.9, false)] // row: 9 h at 125 °C; body of 1.09 mm or thinner asks no more by diffusion
    [InlineData(9.6, true)]
    public void A_whole_bake_sets_the_clock_to_zero_and_a_part_of_it_does_not(double bakeH, bool resets)
    {
        MoistBody body = BakeTableTests.Body(1.0, MoistureLevel.L3);
        Exposure[] log = [In(ExposurePlace.Room, 0, 1000, 25, 50), In(ExposurePlace.Bake, 1000, 1000 + bakeH, 125)];

        FloorLifeClock clock = FloorLifeLog.Walk(body, log, false, Room, Start.AddHours(1000 + bakeH)).Clock;

        Assert.Equal(resets ? FloorLifeState.Within : FloorLifeState.Unknown, clock.State);
        Assert.Equal(resets ? Start.AddHours(1000 + bakeH) : null, clock.DryFrom);
    }

    [Fact]
    public void Unknown_history_counts_as_saturated()
    {
        FloorLifeClock clock = Walk(MoistureLevel.L3, 10).Clock;

        Assert.Equal(FloorLifeState.Unknown, clock.State);
        Assert.Contains("counts as saturated", clock.Says, StringComparison.Ordinal);
    }

    [Fact]
    public void A_room_log_without_a_dry_start_is_unknown() =>
        Assert.Equal(
            FloorLifeState.Unknown,
            Walk(MoistureLevel.L3, 5, In(ExposurePlace.Room, 0, null, 22, 45)).Clock.State
        );

    [Fact]
    public void A_bag_that_is_not_the_makers_does_not_dry_anything()
    {
        FloorLifeWalk walk = FloorLifeLog.Walk(
            BakeTableTests.Body(1.2, MoistureLevel.L3),
            [In(ExposurePlace.DryBag, 0, null)],
            firstBagIsMakers: false,
            Room,
            Start.AddHours(10)
        );

        Assert.Equal(FloorLifeState.Unknown, walk.Clock.State);
    }

    [Fact]
    public void Resealing_without_desiccant_lets_the_clock_run()
    {
        FloorLifeClock clock = Walk(
            MoistureLevel.L3,
            40,
            In(ExposurePlace.DryBag, -100, 0),
            In(ExposurePlace.Room, 0, 20, 30, 60),
            In(ExposurePlace.Bag, 20, null)
        ).Clock;

        Assert.Equal(40 / 168.0, clock.UsedFraction!.Value, 1e-9);
    }

    [Theory, InlineData(0.2, FloorLifeState.Within), InlineData(0.3, FloorLifeState.Unknown)]
    public void A_gap_in_the_log_loses_the_history(double gapH, FloorLifeState state) =>
        Assert.Equal(
            state,
            Walk(
                MoistureLevel.L3,
                20,
                In(ExposurePlace.DryBag, -100, 0),
                In(ExposurePlace.Room, 0, 10, 22, 45),
                In(ExposurePlace.Room, 10 + gapH, null, 22, 45)
            ).Clock.State
        );

    [Fact]
    public void A_climate_without_a_published_figure_loses_the_history() =>
        Assert.Equal(
            FloorLifeState.Unknown,
            Walk(
                MoistureLevel.L3,
                10,
                In(ExposurePlace.DryBag, -100, 0),
                In(ExposurePlace.Room, 0, null, 36, 60)
            ).Clock.State
        );

    [Theory]
    [InlineData(168 + 50, FloorLifeState.Over)]
    [InlineData(168 + 72, FloorLifeState.Over)]
    [InlineData(168 + 73, FloorLifeState.LongOver)]
    public void Over_by_up_to_72_hours_and_beyond_are_told_apart(double roomH, FloorLifeState state)
    {
        FloorLifeClock clock = Walk(
            MoistureLevel.L3,
            roomH,
            In(ExposurePlace.DryBag, -100, 0),
            In(ExposurePlace.Room, 0, null, 30, 60)
        ).Clock;

        Assert.Equal(state, clock.State);
        Assert.Equal(roomH - 168, clock.OverByH!.Value, 1e-6);
    }

    [Fact]
    public void Level_6_has_no_floor_life() =>
        Assert.NotEqual(
            FloorLifeState.Within,
            Walk(
                MoistureLevel.L6,
                1,
                In(ExposurePlace.DryBag, -100, 0),
                In(ExposurePlace.Room, 0, null, 22, 45)
            ).Clock.State
        );

    [Fact]
    public void Level_1_needs_no_history() =>
        Assert.Equal(FloorLifeState.Unlimited, Walk(MoistureLevel.L1, 10).Clock.State);

    [Fact]
    public void Bakes_at_different_temperatures_add_up_by_their_share()
    {
        FloorLifeWalk walk = FloorLifeLog.Walk(
            BakeTableTests.Body(1.4, MoistureLevel.L5A),
            [In(ExposurePlace.Bake, 0, null, 90, 2)],
            false,
            Room,
            Start.AddHours(24)
        );

        Assert.True(walk.InDryer);
        double neededH = BakeAdvice
            .For(BakeTableTests.Body(1.4, MoistureLevel.L5A), FloorLifeOver.MoreThan72H, 90, 2, null)
            .AdviceH!.Value;
        Assert.Equal(24 / neededH, walk.CreditFraction, 1e-9);
    }
}
