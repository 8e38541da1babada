using CsCheck;
using Graftbench.Core.Facts;
using Graftbench.Core.Heating;

namespace Graftbench.Core.Tests.Heating;

public class BoardMixtureTests
{
    [Fact]
    public void The_rival_form_gives_its_printed_example()
    {
        // Azar and Graebner: board 1.6 mm, 0.14 mm of copper: 31.4 and 0.648 W/(m K), within 0.5 %.
        BoardMixture board = BoardMixture.Of(1.6, 0.14);
        Assert.Equal(31.4, board.RivalInPlaneWPerMK, 31.4 * 0.005);
        Assert.Equal(0.648, board.RivalThroughWPerMK, 0.648 * 0.005);
    }

    [Fact]
    public void Four_copper_sheets_in_a_clad_laminate_take_up_4088_joules_per_square_metre()
    {
        // 1.6 mm with 4 x 35 µm copper, bulk values of the multichip-module paper: 4088 J/(m² K).
        BoardMixture board = BoardMixture.Of(
            1.6,
            4 * 0.035,
            HeatMaterials.Of("laminate-clad"),
            HeatMaterials.Of("copper-foil-other")
        );
        Assert.Equal(4088, board.ArealJPerM2K, 1.0);
        // 4 kW/m² net then warm it by 0.98 °C/s.
        Assert.Equal(0.98, 4000 / board.ArealJPerM2K, 0.005);
    }

    [Fact]
    public void A_radiating_board_has_the_textbook_coefficient()
    {
        // ε 0.9, 150 °C to 25 °C: 9.86 W/(m² K), within 0.5 %. σ is CODATA's 5.670374419e-8.
        const double Sigma = 5.670374419e-8;
        double hot = Units.Kelvin(150);
        double cold = Units.Kelvin(25);
        double film = 0.9 * Sigma * (Math.Pow(hot, 4) - Math.Pow(cold, 4)) / (hot - cold);
        Assert.Equal(9.86, film, 9.86 * 0.005);
    }

    [Fact]
    public void Bare_laminate_is_what_was_measured()
    {
        // Abstract: 1.059 along, 0.343 through.
        BoardMixture board = BoardMixture.Of(1.6, 0);
        Assert.Equal((1.06, 0.343), (board.InPlaneWPerMK, Math.Round(board.ThroughWPerMK, 12)));
    }

    [Fact]
    public void More_copper_conducts_more_and_weighs_more() =>
        Gen.Select(Gen.Double[0.3, 6], Gen.Double[0, 0.45], Gen.Double[0.01, 0.05])
            .Sample(
                (thicknessMm, share, more) =>
                {
                    BoardMixture less = BoardMixture.Of(thicknessMm, share * thicknessMm);
                    BoardMixture rich = BoardMixture.Of(thicknessMm, (share + more) * thicknessMm);
                    return rich.InPlaneWPerMK > less.InPlaneWPerMK
                        && rich.ThroughWPerMK > less.ThroughWPerMK
                        && rich.DensityKgPerM3 > less.DensityKgPerM3
                        && less.InPlaneWPerMK >= less.ThroughWPerMK;
                }
            );

    [Theory]
    [InlineData(0, 0)]
    [InlineData(double.NaN, 0.1)]
    [InlineData(1.6, 1.7)]
    [InlineData(1.6, -0.1)]
    public void What_is_no_board_is_refused(double thicknessMm, double copperMm) =>
        Assert.Throws<ArgumentOutOfRangeException>(() => BoardMixture.Of(thicknessMm, copperMm));
}
