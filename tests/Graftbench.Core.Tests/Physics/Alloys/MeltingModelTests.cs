using Graftbench.Core.Facts;
using Graftbench.Core.Physics.Alloys;
using Graftbench.Tests.Checks;

namespace Graftbench.Core.Tests.Physics.Alloys;

/// <summary>
/// Check values of the project fact sheet 'solder alloys', section 5. "calc" is its independent calculation with the same
/// parameters in another language; "nature" is a published measurement.
/// </summary>
public class MeltingModelTests
{
    private const string Calc = "independent calculation, solder-alloys facts 5";

    internal static SolderMix Mix(string name) => SolderMix.Of(Core.Facts.Alloys.Find(name)!);

    internal static SolderMix Mix(string name, string other, double otherPercent) =>
        SolderMix.Blend((Mix(name), 100 - otherPercent), (Mix(other), otherPercent));

    // temperature K, element, J/mol (rows 1, 2 and the self-check of the parameter file)
    [Theory]
    [InlineData(4, -27180.482)]
    [InlineData(3, -33949.412)]
    [InlineData(0, -22727.799)]
    [InlineData(1, -29848.721)]
    [InlineData(2, -17995.475)]
    public void Reference_energies_at_500_K(int element, double expected)
    {
        GibbsState state = new();
        state.GoTo(500);
        Assert.Equal(expected, state.Reference[element], 0.01);
    }

    // phase, K, x of Ag Bi Cu Pb Sn, G, mu Pb, mu Sn (rows 3 to 6 and the self-check)
    public static readonly TheoryData<int, double, double[], double, double, double> Energies = new()
    {
        { 0, 500, [0, 0, 0, 0.1, 0.9], -28551.246, -38073.62, -27493.20 },
        { 1, 450, [0, 0, 0, 0.02, 0.98], -24161.242, -30588.70, -24030.07 },
        { 2, 450, [0, 0, 0, 0.72, 0.28], -28909.508, -30826.28, -23980.68 },
        { 0, 490, [0.0386, 0, 0.0168, 0, 0.9446], -26700.264, double.NaN, -26536.88 },
        { 0, 480, [0.03, 0, 0.008, 0.04, 0.922], -26499.533, -38772.96, -25843.68 },
        { 0, 400, [0, 0.45, 0, 0.2, 0.35], -24252.157, double.NaN, double.NaN },
        { 3, 380, [0, 0.35, 0, 0.55, 0.1], -24913.548, double.NaN, double.NaN },
        { 4, 400, [0, 0.99, 0, 0, 0.01], -23054.453, double.NaN, double.NaN },
    };

    [Theory, MemberData(nameof(Energies))]
    public void Energies_and_potentials_of_solutions(
        int phase,
        double temperatureK,
        double[] x,
        double expected,
        double lead,
        double tin
    )
    {
        GibbsState state = new();
        state.GoTo(temperatureK);
        double[] potentials = new double[5];
        double energy = state.Potentials(phase, x, potentials);
        Assert.Equal(expected, energy, 0.05);
        Assert.Equal(energy, state.Energy(phase, x), 1e-6 * Math.Abs(energy));
        Assert.True(double.IsNaN(lead) || Math.Abs(lead - potentials[3]) < 0.05, $"{potentials[3]}");
        Assert.True(double.IsNaN(tin) || Math.Abs(tin - potentials[4]) < 0.05, $"{potentials[4]}");
    }

    [Theory] // row 7 and the self-check
    [InlineData(0, 490, -28388.388)]
    [InlineData(2, 490, -28572.551)]
    [InlineData(3, 450, -26432.680)]
    [InlineData(1, 450, -26088.942)]
    public void Energies_of_compounds(int compound, double temperatureK, double expected)
    {
        GibbsState state = new();
        state.GoTo(temperatureK);
        Assert.Equal(expected, state.CompoundEnergy(compound), 0.01);
    }

    // name or mixture, liquidus, tolerance, primary phase, source (rows 9, 18 to 24)
    public static readonly TheoryData<string, string, double, double, double, SolderPhase, string> Liquidi = new()
    {
        { "SAC305", "", 0, 219.87, 0.03, SolderPhase.Tin, Calc + " row 18; public page 'Solder alloys' 220" },
        { "SAC405", "", 0, 223.58, 0.03, SolderPhase.Ag3Sn, Calc + " row 19" },
        { "SAC105", "", 0, 225.94, 0.03, SolderPhase.Tin, Calc + " row 20; public page 'Solder alloys' 227" },
        { "Pb90Sn10", "", 0, 300.92, 0.03, SolderPhase.Lead, Calc + " row 21" },
        { "Pb90Sn10", "", 0, 302, 3, SolderPhase.Lead, "nature: column supplier's table" },
        { "SAC305", "Sn63Pb37", 20, 210.70, 0.03, SolderPhase.Tin, Calc + " row 22" },
        { "SAC305", "Sn63Pb37", 50, 198.22, 0.03, SolderPhase.Tin, Calc + " row 23" },
        { "SAC305", "Sn63Pb37", 90, 185.44, 0.03, SolderPhase.Tin, Calc + " row 24" },
    };

    [Theory, MemberData(nameof(Liquidi))]
    public void Liquidus_and_what_forms_first(
        string name,
        string other,
        double share,
        double expectedC,
        double tolerance,
        SolderPhase phase,
        string source
    )
    {
        SolderMix mix = other.Length == 0 ? Mix(name) : Mix(name, other, share);
        MeltPoint liquidus = new MeltingModel(mix).Liquidus();
        Truth.Note(
            source.StartsWith(Calc, StringComparison.Ordinal) ? "alloys.liquidus" : "alloys.printed",
            liquidus.ValueC!.Value - expectedC
        );
        Assert.True(Math.Abs(liquidus.ValueC!.Value - expectedC) <= tolerance, $"{liquidus.ValueC} {source}");
        Assert.Equal(phase, liquidus.Phase);
    }

    [Theory] // row 9, Dinsdale 1991
    [InlineData(100, 0, 0, 231.93)]
    [InlineData(0, 100, 0, 327.46)]
    [InlineData(0, 0, 100, 271.40)]
    public void Pure_metals_melt_where_they_do(double tin, double lead, double bismuth, double expectedC)
    {
        MeltingModel model = new(new SolderMix(tin, lead, 0, 0, bismuth));
        Assert.Equal(expectedC, model.Liquidus().ValueC!.Value, 0.02);
        Assert.Equal(expectedC, model.Solidus().ValueC!.Value, 0.02);
        Assert.Equal(expectedC, model.FullMelt().ValueC!.Value, 0.02);
    }

    // A mix that ends in the invariant; °C, tolerance; wt% Ag Bi Cu Pb (-1: not given), tolerance; source (rows 10 to 17)
    public static readonly TheoryData<SolderMix, double, double, double[], double, string> Invariants = new()
    {
        { new(64, 36), 182.24, 0.03, [-1, -1, -1, 37.87], 0.02, Calc + " row 10" },
        {
            new(64, 36),
            183,
            1.5,
            [-1, -1, -1, 38.1],
            0.5,
            "nature: 183 °C public page 'Solder alloys', Sn 61.9 course page"
        },
        { new(97, 0, 3), 220.25, 0.03, [3.733, -1, -1, -1], 0.01, Calc + " row 12; public page 'Ag-Sn' 220.3, 3.73" },
        { new(99.5, 0, 0, 0.5), 226.84, 0.03, [-1, -1, 0.888, -1], 0.005, Calc + " row 13" },
        { new(96.5, 0, 3, 0.5), 215.93, 0.03, [3.733, -1, 0.853, -1], 0.01, Calc + " row 14" },
        { new(96.5, 0, 3, 0.5), 217.2, 2, [3.57, -1, 0.90, -1], 0.2, "nature: Moon et al. 2000" },
        { new(63, 36, 1), 177.00, 0.03, [1.583, -1, -1, 36.44], 0.02, Calc + " row 15" },
        {
            new(63, 36, 1),
            178.5,
            2.5,
            [1.4, -1, -1, 36.1],
            0.5,
            "nature: public page 'Solder alloys' 179, 178 also quoted (from memory)"
        },
        {
            new(20, 30, 0, 0, 50),
            97.96,
            0.05,
            [-1, 51.59, -1, 32.59],
            0.02,
            Calc + " row 16; NIST page 'Bi-Pb-Sn System' 98.0"
        },
        {
            new(20, 30, 0, 0, 50),
            95.5,
            3,
            [-1, 51.6, -1, 32.6],
            0.2,
            "nature: 95 to 96 from memory; a trade alloy at 96"
        },
        { new(58.8, 29.6, 0, 0, 11.6), 135.69, 0.05, [-1, 30.54, -1, 47.56], 0.02, Calc + " row 17; NIST page 135.7" },
    };

    [Theory, MemberData(nameof(Invariants))]
    public void Invariant_melts(
        SolderMix mix,
        double expectedC,
        double toleranceC,
        double[] percents,
        double tolerance,
        string source
    )
    {
        MeltingModel model = new(mix);
        double solidusC = model.Solidus().ValueC!.Value;
        Truth.Note(
            source.StartsWith(Calc, StringComparison.Ordinal) ? "alloys.liquidus" : "alloys.printed",
            solidusC - expectedC
        );
        Assert.True(Math.Abs(solidusC - expectedC) <= toleranceC, $"{solidusC} {source}");
        SolderMix melt = model.At(solidusC + 0.004).Phases.Single(each => each.Phase == SolderPhase.Liquid).Mix;
        double[] found = [melt.SilverPercent, melt.BismuthPercent, melt.CopperPercent, melt.LeadPercent];
        for (int i = 0; i < 4; i++)
        {
            Assert.True(percents[i] < 0 || Math.Abs(found[i] - percents[i]) <= tolerance, $"{i}: {found[i]} {source}");
        }
    }

    [Fact] // rows 19, 21, 22, 23, 30
    public void Full_melt_and_solidus()
    {
        Assert.Equal(217.72, new MeltingModel(Mix("SAC405")).FullMelt().ValueC!.Value, 0.1);
        Assert.Equal(276.53, new MeltingModel(Mix("Pb90Sn10")).Solidus().ValueC!.Value, 0.1);
        MeltingModel some = new(Mix("SAC305", "Sn63Pb37", 20));
        Assert.Equal(210.50, some.FullMelt().ValueC!.Value, 0.05);
        Assert.Equal(176.50, some.Solidus().ValueC!.Value, 0.05);
        Assert.Equal(197.91, new MeltingModel(Mix("SAC305", "Sn63Pb37", 50)).FullMelt().ValueC!.Value, 0.05);
        MeltingModel soft = new(Mix("Sn42Bi58", "Sn63Pb37", 5));
        Assert.Equal(97.96, soft.Solidus().ValueC!.Value, 0.05);
        Assert.Equal(0.045, soft.At(100).LiquidFraction, 0.003);
    }

    [Fact] // rows 27, 28, 29
    public void Phases_by_mass()
    {
        PhaseBalance sac = new MeltingModel(Mix("SAC305")).At(215.9);
        Assert.Equal(0.947, Share(sac, SolderPhase.Tin), 0.002);
        Assert.Equal(0.040, Share(sac, SolderPhase.Ag3Sn), 0.002);
        Assert.Equal(0.013, Share(sac, SolderPhase.Cu6Sn5), 0.002);
        PhaseBalance eutectic = new MeltingModel(Mix("Sn63Pb37")).At(150);
        Assert.Equal(0.405, Share(eutectic, SolderPhase.Lead), 0.003);
        Assert.Equal(0.595, Share(eutectic, SolderPhase.Tin), 0.003);
        PhaseBalance half = new MeltingModel(new SolderMix(50, 50)).At(200);
        Assert.Equal(0.8505, Share(half, SolderPhase.Liquid), 0.003);
        Assert.Equal(0.1495, Share(half, SolderPhase.Lead), 0.003);
    }

    [Theory] // row 31 and section 3.4: wt% Pb in SAC305, liquid left at 178 °C (printed digits)
    [InlineData(0.1, 0.0009, 0.0002)]
    [InlineData(0.5, 0.007, 0.001)]
    [InlineData(1, 0.016, 0.002)]
    [InlineData(2, 0.037, 0.002)]
    [InlineData(5, 0.11, 0.006)]
    public void Freezing_with_traces_of_lead(double lead, double left, double tolerance)
    {
        SolderMix mix = SolderMix.Blend((Mix("SAC305"), 100 - lead), (new SolderMix(0, 100), lead));
        Freezing freezing = new MeltingModel(mix).Freeze();
        Assert.Equal(left, freezing.WatchedFraction!.Value, tolerance);
        Assert.Equal(176.5, freezing.End.ValueC!.Value, 0.3);
    }

    [Theory] // section 1.2: melting heat J/g, tolerance 1 (row 32)
    [InlineData("Sn63Pb37", 44.8)]
    [InlineData("Sn60Pb40", 44.6)]
    [InlineData("SAC305", 65.6)]
    [InlineData("SAC405", 67.7)]
    [InlineData("SAC387", 66.8)]
    [InlineData("SAC105", 64.7)]
    [InlineData("SnAg3.5", 63.7)]
    [InlineData("SnCu0.7", 62.0)]
    [InlineData("Sn42Bi58", 49.6)]
    [InlineData("Pb90Sn10", 24.9)]
    public void Melting_heat(string name, double expected) =>
        Assert.Equal(expected, new MeltingModel(Mix(name)).MeltingHeatJPerKg()!.Value / 1000, 1.0);

    [Theory] // section 1.2: solid near 45 °C, 25 K below solidus; ±5 % is stated, the printed digits are held
    [InlineData("SAC305", 0.231, 0.258)]
    [InlineData("Sn63Pb37", 0.214, 0.284)]
    [InlineData("SnAg3.5", 0.230, 0.255)]
    [InlineData("Sn42Bi58", 0.196, 0.270)]
    public void Specific_heat(string name, double near45, double below)
    {
        MeltingModel model = new(Mix(name));
        Assert.Equal(below, model.SpecificHeatJPerKgK(model.Solidus().ValueC!.Value - 25)!.Value / 1000, 0.003);
        Assert.Equal(near45, model.SpecificHeatJPerKgK(45)!.Value / 1000, 0.003);
    }

    [Theory] // printed melting ranges of solders far from the eutectics, from memory; tin, lead, silver, bismuth %, solidus, liquidus
    [InlineData(5, 93.5, 1.5, 0, 296, 301)]
    [InlineData(1, 97.5, 1.5, 0, 309, 309)]
    [InlineData(20, 80, 0, 0, 183, 280)]
    [InlineData(5, 95, 0, 0, 308, 312)]
    [InlineData(40, 60, 0, 0, 183, 238)]
    [InlineData(50, 50, 0, 0, 183, 216)]
    [InlineData(60, 0, 0, 40, 138, 170)]
    [InlineData(43, 43, 0, 14, 144, 163)]
    [InlineData(95, 0, 5, 0, 221, 245)]
    public void Printed_range_within_stated_error(
        double tin,
        double lead,
        double silver,
        double bismuth,
        double solidusC,
        double liquidusC
    )
    {
        MeltingModel model = new(new SolderMix(tin, lead, silver, 0, bismuth));
        MeltPoint first = model.Solidus();
        Assert.InRange(solidusC, first.ValueC!.Value - first.ErrorDeltaK, first.ValueC.Value + first.ErrorDeltaK);
        MeltPoint last = model.Liquidus();
        Assert.InRange(liquidusC, last.ValueC!.Value - last.ErrorDeltaK, last.ValueC.Value + last.ErrorDeltaK);
    }

    private static double Share(PhaseBalance balance, SolderPhase phase) =>
        balance.Phases.Where(each => each.Phase == phase).Sum(each => each.MassFraction);
}
