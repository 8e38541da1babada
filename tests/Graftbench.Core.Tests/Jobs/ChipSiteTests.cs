using Graftbench.Core.Jobs;

namespace Graftbench.Core.Tests.Jobs;

/// <summary>Where a chip sits on a board: the given place wins, then its own, then that of the chip it replaces.</summary>
public sealed class ChipSiteTests
{
    private static readonly Board ABoard = new()
    {
        LengthMm = 200,
        WidthMm = 100,
        ThicknessMm = 1.6,
    };

    private static Job With(params Chip[] chips) =>
        new()
        {
            Format = JobFormat.Name,
            Id = "sites",
            Title = "t",
            Host = ABoard,
            Donor = ABoard,
            Chips = chips,
        };

    private static Chip AChip(
        string id,
        ChipPlace from,
        ChipPlace to,
        double? x = null,
        double? y = null,
        double turn = 0,
        double size = 20
    ) =>
        new()
        {
            Id = id,
            From = from,
            To = to,
            BodyLengthMm = size,
            BodyWidthMm = size,
            BodyThicknessMm = 1.5,
            XMm = x,
            YMm = y,
            RotationDeg = turn,
        };

    private static readonly Chip Donated = AChip("NEW", ChipPlace.Donor, ChipPlace.Host, 30, 40, 90);

    private static readonly Chip Old = AChip("OLD", ChipPlace.Host, ChipPlace.Scrap, 120, 50, 180);

    [Fact]
    public void A_chip_that_leaves_sits_where_it_is_and_nowhere_else()
    {
        Job job = With(Donated, Old);
        Assert.Equal(new ChipSite(30, 40, 90), ChipSites.At(job, Donated, ChipPlace.Donor));
        Assert.Equal(new ChipSite(120, 50, 180), ChipSites.At(job, Old, ChipPlace.Host));
        Assert.Null(ChipSites.At(job, Old, ChipPlace.Donor));
        Assert.Null(ChipSites.At(job, Old, ChipPlace.Shelf));
    }

    [Fact]
    public void The_place_of_the_chip_that_it_replaces_is_taken_with_its_turn() =>
        Assert.Equal(new ChipSite(120, 50, 180), ChipSites.At(With(Donated, Old), Donated, ChipPlace.Host));

    [Fact]
    public void A_given_place_on_the_host_wins_and_a_turn_that_is_left_out_is_that_of_the_old_chip()
    {
        Chip given = Donated with { HostXMm = 70, HostYMm = 60 };
        Assert.Equal(new ChipSite(70, 60, 180), ChipSites.At(With(given, Old), given, ChipPlace.Host));
        Chip turned = Donated with { HostRotationDeg = 270 };
        Assert.Equal(new ChipSite(120, 50, 270), ChipSites.At(With(turned, Old), turned, ChipPlace.Host));
        Assert.Equal(new ChipSite(70, 60, 0), ChipSites.At(With(given), given, ChipPlace.Host));
    }

    [Fact]
    public void Without_a_place_and_without_an_old_chip_it_is_unknown_and_never_the_place_on_the_donor()
    {
        Assert.Null(ChipSites.At(With(Donated), Donated, ChipPlace.Host));
        Chip unplaced = Old with { XMm = null, YMm = null };
        Assert.Null(ChipSites.At(With(Donated, unplaced), Donated, ChipPlace.Host));
    }

    [Fact]
    public void A_shelf_chip_has_its_own_place_on_the_board_that_it_goes_to()
    {
        Chip shelf = AChip("S", ChipPlace.Shelf, ChipPlace.Host, 55, 45, 10);
        Assert.Equal(new ChipSite(55, 45, 10), ChipSites.At(With(shelf, Old), shelf, ChipPlace.Host));
        Chip unplaced = shelf with { XMm = null, YMm = null };
        Assert.Equal((120, 50), Place(With(unplaced, Old), unplaced));
    }

    [Fact]
    public void A_chip_that_stays_on_the_host_keeps_its_place_unless_another_is_given()
    {
        Chip stays = AChip("R", ChipPlace.Host, ChipPlace.Host, 80, 20, 30);
        Assert.Equal(new ChipSite(80, 20, 30), ChipSites.At(With(stays, Old), stays, ChipPlace.Host));
        Chip moved = stays with { HostXMm = 90, HostYMm = 21 };
        Assert.Equal(new ChipSite(90, 21, 30), ChipSites.At(With(moved), moved, ChipPlace.Host));
    }

    [Fact]
    public void Of_several_old_chips_only_the_one_of_its_size_can_be_meant()
    {
        Chip small = AChip("SMALL", ChipPlace.Host, ChipPlace.Shelf, 20, 20, size: 8);
        Assert.Equal((120, 50), Place(With(Donated, Old, small), Donated));
        Chip twin = Old with { Id = "TWIN", XMm = 160 };
        Assert.Null(ChipSites.At(With(Donated, Old, twin), Donated, ChipPlace.Host));
        Chip second = Donated with { Id = "NEW2" };
        Assert.Null(ChipSites.At(With(Donated, second, Old), Donated, ChipPlace.Host));
    }

    [Fact]
    public void Two_chips_that_swap_boards_take_each_other_s_place()
    {
        Chip back = AChip("BACK", ChipPlace.Host, ChipPlace.Donor, 120, 50, 180);
        Job job = With(Donated, back);
        Assert.Equal(new ChipSite(120, 50, 180), ChipSites.At(job, Donated, ChipPlace.Host));
        Assert.Equal(new ChipSite(30, 40, 90), ChipSites.At(job, back, ChipPlace.Donor));
    }

    [Fact]
    public void An_arriving_chip_is_drawn_at_its_place_once_no_old_chip_marks_it()
    {
        Chip given = Donated with { HostXMm = 70, HostYMm = 60 };
        Chip drawn = Assert.Single(ChipSites.Drawn(With(given), ChipPlace.Host));
        Assert.Equal((70, 60), (drawn.XMm, drawn.YMm));
        Assert.Equal(["OLD"], ChipSites.Drawn(With(Donated, Old), ChipPlace.Host).Select(chip => chip.Id));
        Assert.Equal(["OLD", "NEW"], ChipSites.Drawn(With(given, Old), ChipPlace.Host).Select(chip => chip.Id));
    }

    [Theory]
    [InlineData("OLD", HeatKind.Lift)]
    [InlineData("NEW", HeatKind.Place)]
    public void Once_the_old_chip_is_off_or_the_new_one_on_the_new_one_is_drawn(string of, HeatKind kind)
    {
        Job job = With(Donated, Old);
        Heat heat = new()
        {
            Of = of,
            Kind = kind,
            At = DateTimeOffset.UnixEpoch,
        };
        Chip drawn = Assert.Single(
            ChipSites.Drawn(job with { History = new History { Heats = [heat] } }, ChipPlace.Host)
        );
        Assert.Equal(("NEW", 120.0, 50.0), (drawn.Id, drawn.XMm, drawn.YMm));
    }

    private static (double, double)? Place(Job job, Chip chip) =>
        ChipSites.At(job, chip, ChipPlace.Host) is { } site ? (site.XMm, site.YMm) : null;
}
