using Graftbench.Core.Facts;
using Graftbench.Core.Jobs;
using Graftbench.Core.Physics.Heat;

namespace Graftbench.Core.Tests.Facts;

public class HeatTableTests
{
    // id, solidus, liquidus, molten, density, conductivity, melting heat; printed values of the public alloy tables,
    // melting heat from published Gibbs energies (tin-lead 44.8, SAC305 65.6 J/g).
    public static readonly TheoryData<string, double, double, double, double, double, double> SourcedAlloys = new()
    {
        { "Sn63Pb37", 183, 183, 183, 8400, 50, 44800 },
        { "SAC305", 217, 220, 220, 7380, 58, 65600 },
        { "SAC105", 217, 227, 227, 7320, 60, 64700 },
        { "Sn62Pb36Ag2", 179, 179, 179, 8410, 50, 51000 },
        { "Sn42Bi58", 138, 139, 141, 8560, 19, 49600 },
        { "In52Sn48", 118, 118, 118, 7300, 34, 43000 },
    };

    [Theory, MemberData(nameof(SourcedAlloys))]
    public void An_alloy_has_its_printed_figures(
        string name,
        double solidusC,
        double liquidusC,
        double moltenC,
        double densityKgPerM3,
        double conductivityWPerMK,
        double meltingHeatJPerKg
    )
    {
        Alloy alloy = Alloys.Find(name)!;
        Assert.Equal((solidusC, liquidusC, moltenC), (alloy.SolidusC, alloy.LiquidusC, alloy.MoltenC));
        Assert.Equal(
            (densityKgPerM3, conductivityWPerMK, meltingHeatJPerKg),
            (alloy.DensityKgPerM3, alloy.ConductivityWPerMK, alloy.MeltingHeatJPerKg)
        );
    }

    [Fact]
    public void Alloys_are_whole_and_melt_upwards() =>
        Assert.All(
            Alloys.All,
            alloy =>
            {
                double sumPercent =
                    alloy.TinPercent
                    + alloy.LeadPercent
                    + alloy.SilverPercent
                    + alloy.CopperPercent
                    + alloy.BismuthPercent
                    + alloy.IndiumPercent;
                Assert.Equal(100, sumPercent, 6);
                Assert.True(alloy.SolidusC <= alloy.LiquidusC && alloy.SolidusC <= alloy.MoltenC, alloy.Id);
            }
        );

    [Theory]
    [InlineData("sac305", "SAC305")]
    [InlineData("SAC-305", "SAC305")]
    [InlineData("Sn 63 / Pb 37", "Sn63Pb37")]
    [InlineData("63/37", "Sn63Pb37")]
    [InlineData("Sn96.5Ag3.0Cu0.5", "SAC305")]
    public void An_alloy_is_found_in_any_usual_spelling(string name, string id) =>
        Assert.Equal(id, Alloys.Find(name)?.Id);

    [Theory]
    [InlineData("SAC306", "SAC305")]
    [InlineData("Sn63Pb73", "Sn63Pb37")]
    [InlineData("Sn42Bi59", "Sn42Bi58")]
    public void An_unknown_alloy_is_answered_with_the_nearest_name(string name, string nearest)
    {
        Assert.Null(Alloys.Find(name));
        Assert.Equal(nearest, Alloys.Nearest(name).Id);
    }

    [Fact]
    public void Every_kind_of_part_has_a_material_and_a_limit_row() =>
        Assert.All(
            Enum.GetValues<PartKind>(),
            kind =>
            {
                Assert.True(HeatMaterials.Of(kind).InPlaneWPerMK > 0);
                Assert.Equal(kind, NeighbourLimits.Of(kind).Kind);
            }
        );

    [Fact]
    public void Cells_are_off_the_board_before_any_heat() =>
        Assert.Equal(
            [PartKind.Supercapacitor, PartKind.CoinCell, PartKind.LithiumPack],
            NeighbourLimits.Rows.Where(row => row.Off).Select(row => row.Kind).Order()
        );

    [Fact]
    public void A_film_lies_in_its_range_and_its_factor_exists() =>
        Assert.All(
            HeatFilms.All,
            input =>
            {
                Assert.True(input.Low is not double low || low <= input.Value, input.Id);
                Assert.True(input.High is not double high || high >= input.Value, input.Id);
                Assert.True(input.MeasuredLogSd <= input.LogSd, input.Id);
                Assert.True(
                    input.Factor is null || typeof(HeatFactors).GetProperty(input.Factor) is not null,
                    input.Id
                );
            }
        );

    [Fact]
    public void Uncalibrated_films_have_the_spread_of_the_planning_example()
    {
        // Natural logarithms: top 0.20, spill 0.25, bottom 0.15, ambient 0.20, radiation 0.10; gas 0.02.
        string[] ids =
        [
            "film.top",
            "film.spill-near",
            "film.bottom-unknown",
            "film.room-top",
            "emissivity.board",
            "excess.gas",
        ];
        Assert.Equal([0.20, 0.25, 0.15, 0.20, 0.10, 0.02], ids.Select(id => HeatFilms.Of(id).LogSd));
    }

    [Theory]
    [InlineData("<1.6", 1.6, false)]
    [InlineData("<1.6", 1.59, true)]
    [InlineData("1.6-2.5", 2.5, true)]
    [InlineData("1.6-<2.5", 2.5, false)]
    [InlineData(">=2.5", 2.5, true)]
    [InlineData(">2.5", 2.5, false)]
    [InlineData("350-2000", 350, true)]
    [InlineData("350-2000", 2000.1, false)]
    public void A_printed_range_holds_its_numbers(string text, double number, bool holds) =>
        Assert.Equal(holds, new TableRange(text).Holds(number));
}
