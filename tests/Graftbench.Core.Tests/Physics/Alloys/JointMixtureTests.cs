using Graftbench.Core.Facts;
using Graftbench.Core.Physics.Alloys;

namespace Graftbench.Core.Tests.Physics.Alloys;

/// <summary>Rows 33 to 37 and 40 of the project fact sheet 'solder alloys', section 5.</summary>
public class JointMixtureTests
{
    private static Alloy Known(string name) => Core.Facts.Alloys.Find(name)!;

    [Theory] // row 33 (densities), section 1.3 (10 K above liquidus, printed digits)
    [InlineData("Sn63Pb37", 8400, 193, 8060)]
    [InlineData("SAC305", 7360, 230, 7050)]
    [InlineData("Pb90Sn10", 10740, 312, 10100)]
    [InlineData("Sn42Bi58", 8560, 150, 8570)]
    [InlineData("In52Sn48", 7300, 128, 7050)]
    public void Densities(string name, double solid, double atC, double liquid)
    {
        SolderMix mix = SolderMix.Of(Known(name));
        Assert.Equal(solid, SolderDensity.SolidKgPerM3(mix), 10.0);
        Assert.Equal(liquid, SolderDensity.LiquidKgPerM3(mix, atC), name == "Pb90Sn10" ? 50.0 : 10.0);
    }

    [Fact] // row 34
    public void Tin_lead_ball_on_a_layer_of_lead_free()
    {
        JointMixture joint = JointMixture.Of(
            JointPart.Ball(Known("Sn63Pb37"), 0.60),
            JointPart.Layer(Known("SAC305"), 0.50, 0.020)
        );
        Assert.Equal(0.9790, joint.MassMg, 0.001);
        Assert.Equal(35.90, joint.Mix.LeadPercent, 0.02);
        Assert.Equal(183.81, new MeltingModel(joint.Mix).Liquidus().ValueC!.Value, 0.05);
    }

    [Fact] // row 35
    public void Lead_free_ball_in_tin_lead_paste()
    {
        JointMixture joint = JointMixture.Of(
            JointPart.Ball(Known("SAC305"), 0.60),
            JointPart.Paste(Known("Sn63Pb37"), 0.50, 0.125, 0.5)
        );
        Assert.Equal(0.9377, joint.MassMg, 0.001);
        Assert.Equal(4.07, joint.Mix.LeadPercent, 0.01);
        Assert.Equal(214.76, new MeltingModel(joint.Mix).Liquidus().ValueC!.Value, 0.05);
    }

    [Fact] // row 36, its composition
    public void Bismuth_ball_on_tin_lead() =>
        Assert.Equal(
            1.278,
            JointMixture
                .Of(JointPart.Ball(Known("Sn42Bi58"), 0.50), JointPart.Layer(Known("Sn63Pb37"), 0.45, 0.015))
                .Mix.LeadPercent,
            0.005
        );

    [Fact] // row 37
    public void Dissolved_share() => Assert.Equal(0.658, JointMixture.DissolvedFraction(0.692, 0.10), 0.005);

    [Fact] // row 40
    public void Tension_of_a_half_and_half_mixture_under_flux() =>
        Assert.Equal(
            0.425,
            SolderTension.Of(MeltCover.Flux, (Known("SAC305"), 1), (Known("Sn63Pb37"), 1))!.TensionNPerM,
            0.001
        );

    [Fact]
    public void Elements_outside_the_model_are_refused_with_whose_limit()
    {
        string why = MeltingModel.OutsideModel(SolderMix.Of(Known("In52Sn48")))!;
        Assert.Contains("Indium", why, StringComparison.Ordinal);
        Assert.Contains("NIST", why, StringComparison.Ordinal);
        Assert.Throws<ArgumentException>(() => new MeltingModel(SolderMix.Of(Known("In52Sn48"))));
        Assert.Contains("5 %", MeltingModel.OutsideModel(new SolderMix(90, 0, 10))!, StringComparison.Ordinal);
        Assert.NotNull(MeltingModel.OutsideModel(new SolderMix(double.NaN)));
    }
}
