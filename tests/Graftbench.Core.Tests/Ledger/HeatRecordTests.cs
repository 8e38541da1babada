using Graftbench.Core.Jobs;
using Graftbench.Core.Ledger;

namespace Graftbench.Core.Tests.Ledger;

/// <summary>One heat is written down once: for the chip and the board that were hot together, and it ends the stays that it ends.</summary>
public class HeatRecordTests
{
    private static readonly DateTimeOffset Monday = new(2026, 3, 2, 9, 0, 0, TimeSpan.FromHours(1));

    private static readonly Job Job = new()
    {
        Format = "graftbench-job-1",
        Id = "heats",
        Title = "Heats",
        Host = Board("Main"),
        Donor = Board("Wreck"),
        Chips =
        [
            Chip("NEW", ChipPlace.Shelf, ChipPlace.Host),
            Chip("OLD", ChipPlace.Host, ChipPlace.Scrap),
            Chip("SPARE", ChipPlace.Donor, ChipPlace.Shelf),
        ],
        Bench = new Bench { RoomC = 21, RoomHumidityPercent = 40 },
    };

    [Theory]
    [InlineData("OLD", HeatKind.Lift, "host")]
    [InlineData("NEW", HeatKind.Place, "host")]
    [InlineData("SPARE", HeatKind.Lift, "donor")]
    [InlineData("host", HeatKind.Lift, "OLD")]
    [InlineData("host", HeatKind.Place, "NEW")]
    [InlineData("donor", HeatKind.Lift, "SPARE")]
    [InlineData("NEW", HeatKind.Lift, null)]
    [InlineData("NEW", HeatKind.BallAttach, null)]
    [InlineData("host", HeatKind.Clean, null)]
    [InlineData("host", HeatKind.Again, null)]
    public void A_heat_has_its_partner(string of, HeatKind kind, string? expected) =>
        Assert.Equal(expected, HeatRecord.Partner(Job, of, kind));

    [Fact]
    public void After_the_placing_a_heat_again_is_the_placed_chip_s()
    {
        Job placed = With(
            heats:
            [
                new Heat
                {
                    Of = "NEW",
                    At = Monday,
                    Kind = HeatKind.Place,
                },
            ]
        );
        Assert.Equal("NEW", HeatRecord.Partner(placed, "host", HeatKind.Again));
        Assert.Equal("host", HeatRecord.Partner(placed, "NEW", HeatKind.Again));
        Assert.Null(HeatRecord.Partner(placed, "host", HeatKind.Place));
    }

    [Fact]
    public void With_two_chips_it_may_be_either_and_is_nobody_s()
    {
        Job two = Job with { Chips = [.. Job.Chips, Chip("OTHER", ChipPlace.Host, ChipPlace.Scrap)] };
        Assert.Null(HeatRecord.Partner(two, "host", HeatKind.Lift));
    }

    [Fact]
    public void What_is_placed_leaves_its_bag_and_what_is_heated_is_out_of_the_dryer()
    {
        Job kept = With(
            stays:
            [
                Stay("host", ExposurePlace.Bake) with
                {
                    TemperatureC = 100,
                },
                Stay("NEW", ExposurePlace.DryBag),
                Stay("SPARE", ExposurePlace.DryBag),
            ]
        );
        DateTimeOffset at = Monday.AddHours(50);
        Job placed = HeatRecord.EndStays(
            HeatRecord.EndStays(kept, "NEW", HeatKind.Place, at),
            "host",
            HeatKind.Place,
            at
        );
        Assert.Equal(
            [
                ("host", ExposurePlace.Bake, at),
                ("NEW", ExposurePlace.DryBag, at),
                ("SPARE", ExposurePlace.DryBag, null),
                ("host", ExposurePlace.Room, (DateTimeOffset?)null),
            ],
            placed.History.Exposures.Select(stay => (stay.Of, stay.Place, stay.To))
        );
        Assert.Equal((21, 40), (placed.History.Exposures[3].TemperatureC, placed.History.Exposures[3].HumidityPercent));
    }

    [Theory]
    [InlineData("SPARE", true)]
    [InlineData("OLD", false)]
    public void A_lifted_chip_that_is_wanted_lies_in_the_room(string chip, bool lies)
    {
        IReadOnlyList<Exposure> stays = HeatRecord.EndStays(Job, chip, HeatKind.Lift, Monday).History.Exposures;
        Assert.Equal(
            lies ? [(chip, ExposurePlace.Room, Monday, (DateTimeOffset?)null)] : [],
            stays.Select(stay => (stay.Of, stay.Place, stay.From, stay.To))
        );
    }

    [Fact]
    public void A_cabinet_goes_on_and_what_has_an_end_keeps_it()
    {
        Job kept = With(
            stays:
            [
                Stay("host", ExposurePlace.Bake) with
                {
                    TemperatureC = 100,
                    To = Monday.AddHours(60),
                },
                Stay("donor", ExposurePlace.DryCabinet),
            ]
        );
        DateTimeOffset at = Monday.AddHours(50);
        Assert.Equal(kept.History.Exposures, HeatRecord.EndStays(kept, "host", HeatKind.Lift, at).History.Exposures);
        Assert.Equal(kept.History.Exposures, HeatRecord.EndStays(kept, "donor", HeatKind.Lift, at).History.Exposures);
    }

    private static Job With(IReadOnlyList<Exposure>? stays = null, IReadOnlyList<Heat>? heats = null) =>
        Job with
        {
            History = new History { Exposures = stays ?? [], Heats = heats ?? [] },
        };

    private static Exposure Stay(string of, ExposurePlace place) =>
        new()
        {
            Of = of,
            Place = place,
            From = Monday,
        };

    private static Board Board(string name) =>
        new()
        {
            Name = name,
            LengthMm = 100,
            WidthMm = 100,
            ThicknessMm = 1.6,
        };

    private static Chip Chip(string id, ChipPlace from, ChipPlace to) =>
        new()
        {
            Id = id,
            From = from,
            To = to,
            BodyLengthMm = 20,
            BodyWidthMm = 20,
            BodyThicknessMm = 1.6,
        };
}
