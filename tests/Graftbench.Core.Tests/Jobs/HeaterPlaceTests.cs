using Graftbench.Core.Jobs;

namespace Graftbench.Core.Tests.Jobs;

/// <summary>Heaters carried from one board to the next: the zones keep their place in the field.</summary>
public sealed class HeaterPlaceTests
{
    private static readonly HeatTools Tools = new()
    {
        Preheater = new BottomHeater
        {
            Kind = PreheaterKind.Infrared,
            LengthMm = 200,
            WidthMm = 100,
            XMm = 60,
            YMm = 30,
            Zones =
            [
                new HeaterZone
                {
                    Name = "left",
                    XMm = -40,
                    YMm = -20,
                    LengthMm = 100,
                    WidthMm = 100,
                },
            ],
        },
    };

    private static readonly Board Last = new()
    {
        LengthMm = 120,
        WidthMm = 80,
        ThicknessMm = 1.6,
    };

    [Fact]
    public void Zones_move_with_the_field_under_the_middle_of_the_next_board()
    {
        BottomHeater moved = HeaterPlaces.Under(Tools, Last, 300, 200).Preheater;
        Assert.Null(moved.XMm);
        Assert.Null(moved.YMm);
        // Left edge of the zone was 100 mm left of the field's centre, its lower edge 50 mm below it.
        Assert.Equal((150 - 100, 100 - 50), (moved.Zones[0].XMm, moved.Zones[0].YMm));
    }

    [Fact]
    public void A_field_without_a_centre_lies_in_the_middle_of_the_last_board()
    {
        HeatTools centred = Tools with { Preheater = Tools.Preheater with { XMm = null, YMm = null } };
        BottomHeater moved = HeaterPlaces.Under(centred, Last, 120, 80).Preheater;
        Assert.Equal((-40, -20), (moved.Zones[0].XMm, moved.Zones[0].YMm));
    }

    [Fact]
    public void Heaters_are_described_once_anything_is_said_of_them()
    {
        Assert.False(HeaterPlaces.AreDescribed(new HeatTools { Control = HeatControl.Knobs }));
        Assert.True(HeaterPlaces.AreDescribed(Tools));
        Assert.True(HeaterPlaces.AreDescribed(new HeatTools { Gas = new GasTool { MaxC = 400 } }));
    }
}
