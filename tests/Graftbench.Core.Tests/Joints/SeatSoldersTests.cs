using Graftbench.Core.Facts;
using Graftbench.Core.Jobs;
using Graftbench.Core.Joints;
using Graftbench.Core.Tests.Heating;

namespace Graftbench.Core.Tests.Joints;

/// <summary>
/// Which tension, density and swelling a seat is computed with. Values: project fact sheet "alloys", 1.3 and 1.4 (design values
/// under flux and in nitrogen, ±10 %; liquid densities 10 K above liquidus, ±1.5 %), and "seating mechanics", 1.4 (swelling).
/// </summary>
public class SeatSoldersTests
{
    [Theory]
    [InlineData("SAC305", SolderCover.Flux, 0.45, 7050, 1.04, 1.045)]
    [InlineData("SAC305", SolderCover.Nitrogen, 0.55, 7050, 1.04, 1.045)]
    [InlineData("Sn63Pb37", SolderCover.Flux, 0.40, 8060, 1.04, 1.045)]
    [InlineData("Sn63Pb37", SolderCover.Nitrogen, 0.48, 8060, 1.04, 1.045)]
    [InlineData("Sn42Bi58", SolderCover.Flux, 0.34, 8570, 0.995, 1.005)]
    public void The_alloys_own_figures_are_used(
        string alloy,
        SolderCover cover,
        double tension,
        double density,
        double leastSwelling,
        double mostSwelling
    )
    {
        double peakC = Alloys.Find(alloy)!.LiquidusC + 10;
        JointSolder solder = SeatSolders.Of(new SeatSolder { Cover = cover, PeakC = peakC }, Said(alloy));
        Assert.Equal(tension, solder.TensionNPerM, 1e-9);
        Assert.Equal(10, solder.TensionErrorPercent, 1e-9);
        Assert.Equal(density, solder.DensityKgPerM3, 11.0);
        Assert.InRange(solder.SwellingFactor, leastSwelling - 0.004, mostSwelling + 0.004);
        Assert.True(solder.Known);
        Assert.Equal(Alloys.Find(alloy)!.DensityKgPerM3, solder.SolidDensityKgPerM3);
        Assert.Equal(3, solder.Figures.Count);
        Assert.All(solder.Figures, figure => Assert.Contains(alloy, figure.Figure, StringComparison.Ordinal));
        Assert.All(solder.Figures, figure => Assert.NotNull(ReferenceShelf.FindSource(figure.Source)));
    }

    [Fact]
    public void The_measured_jump_of_tin_lead_lies_within_the_stated_error()
    {
        // [F23]: Sn-40Pb 8.51 at 25 °C, 8.15 liquid at the melting point (abstract).
        JointSolder solder = SeatSolders.Of(new SeatSolder { PeakC = 191 }, Said("Sn60Pb40"));
        Assert.Equal(8.51 / 8.15, solder.SwellingFactor, solder.SwellingErrorPercent / 100);
        Assert.Equal(8150, solder.DensityKgPerM3, 8150 * solder.DensityErrorPercent / 100);
    }

    [Fact]
    public void What_is_entered_wins_and_is_said_to_be_entered()
    {
        SeatSolder given = new()
        {
            TensionNPerM = 0.52,
            TensionErrorPercent = 4,
            DensityKgPerM3 = 7010,
            SwellingPercent = 0,
        };
        JointSolder solder = SeatSolders.Of(given, Said("SAC305"));
        Assert.Equal(
            (0.52, 4, 7010, 1),
            (solder.TensionNPerM, solder.TensionErrorPercent, solder.DensityKgPerM3, solder.SwellingFactor)
        );
        Assert.Equal((0, 0), (solder.DensityErrorPercent, solder.SwellingErrorPercent));
        Assert.All(solder.Figures, figure => Assert.Equal("job-file", figure.Source));
        Assert.All(solder.Figures, figure => Assert.Contains("entered", figure.Figure, StringComparison.Ordinal));
    }

    [Theory]
    [InlineData(null, "not said")]
    [InlineData("Unobtainium", "not in the alloy table")]
    [InlineData("In52Sn48", "no figure known for In52Sn48")]
    public void Without_a_figure_for_the_alloy_the_tension_is_wide_and_says_why(string? alloy, string why)
    {
        JointSolder solder = SeatSolders.Of(new SeatSolder(), Said(alloy));
        Assert.False(solder.Known);
        Assert.Equal((0.50, 20), (solder.TensionNPerM, solder.TensionErrorPercent));
        Assert.Contains(why, solder.Figures[0].Figure, StringComparison.Ordinal);
        // Wide enough for what most alloys have under flux, and for SAC in nitrogen.
        Assert.InRange(0.40, 0.5 * 0.8, 0.5 * 1.2);
        Assert.InRange(0.55, 0.5 * 0.8, 0.5 * 1.2);
    }

    [Fact]
    public void Another_alloy_on_the_lands_counts_by_its_mass()
    {
        // Linear in mass between the parents: 0.45 and 0.40 N/m.
        SolderSaid said = new("SAC305", "Sn63Pb37", 0.76, 0.6, 0.1);
        double mixed = SeatSolders.Of(new SeatSolder(), said).TensionNPerM;
        double ball = 7380 * Math.PI * 0.76 * 0.76 * 0.76 / 6;
        double dome = 8400 * Math.PI * 0.1 * (3 * 0.09 + 0.01) / 6;
        Assert.Equal((0.45 * ball + 0.40 * dome) / (ball + dome), mixed, 1e-9);
        Assert.Equal(0.45, SeatSolders.Of(new SeatSolder(), said with { DomeMm = 0 }).TensionNPerM, 1e-9);
    }

    [Fact]
    public void A_job_names_the_alloy_and_the_peak()
    {
        Job job = HeatJob.Job() with
        {
            Materials = new Materials { BallDiameterMm = 0.76, BallAlloy = "SAC305" },
            Wishes = new Wishes { Heat = new HeatWishes { JointMarginDeltaK = 12 } },
        };
        Chip chip = HeatJob.Chip with
        {
            PitchMm = 1.27,
            Rows = 6,
            Columns = 6,
            Seat = new Seat { PackagePadMm = 0.6, BoardPadMm = 0.6 },
        };
        JointSolder solder = JointRequests.Of(job, chip).Request!.Solder;
        Assert.Equal(0.45, solder.TensionNPerM, 1e-9);
        Assert.Contains("232 °C", solder.Figures[1].Figure, StringComparison.Ordinal);
    }

    private static SolderSaid Said(string? alloy) => new(alloy, null, 0.76, 0.6, 0);
}
