using Graftbench.Core.Physics.Heat;
using Graftbench.Tests.Checks;

namespace Graftbench.Core.Tests.Physics.Heat;

/// <summary>Melting of the ball layer in the full model: it delays, it keeps the books, and it leaves the peak alone.</summary>
public sealed class MeltingHeatTests
{
    private static readonly HeatMesh Mesh = HeatMesh.Plan.Scaled(1.4);

    // Off-centre package; gas hot enough that every joint melts.
    private static HeatCase Case(bool melts) =>
        HeatLawTests.Hotter(HeatCases.Planned(HeatCases.Neighbours, melts), 70) with
        {
            DurationS = 450,
        };

    [Fact]
    public void The_last_joint_melts_at_the_same_moment_whatever_the_step()
    {
        double[] last =
        [
            .. new[] { 2, 1, 0.5 }.Select(step =>
                MoltenS(HeatCases.Run(Case(melts: true), Mesh with { StepS = step }))
            ),
        ];
        TestContext.Current.SendDiagnosticMessage(string.Join(", ", last));
        Assert.True(last.Max() - last.Min() < 1, string.Join(", ", last));
    }

    [Fact]
    public void Melting_delays_the_last_joint_and_leaves_the_peak_alone()
    {
        FullRun solid = HeatCases.Run(Case(melts: false), Mesh);
        FullRun melting = HeatCases.Run(Case(melts: true), Mesh);
        double delay = MoltenS(melting) - MoltenS(solid);
        TestContext.Current.SendDiagnosticMessage(
            $"delay {delay}, peak {Joints(Case(true)).Max(p => Math.Abs(melting.ProbesC[p].Max() - solid.ProbesC[p].Max()))}"
        );
        // The layer holds 0.035² m² x 0.45 mm x 1625 kg/m³ x 59 J/g = 53 J, 14 K of the package's own heat capacity.
        Assert.InRange(delay, 4, 20);
        foreach (int p in Joints(Case(melts: true)))
        {
            Assert.Equal(solid.ProbesC[p].Max(), melting.ProbesC[p].Max(), 0.3);
        }
    }

    [Fact]
    public void A_layer_without_melting_heat_runs_as_if_nothing_melted()
    {
        HeatCase heat = Case(melts: true);
        HeatCase none = heat with
        {
            Boxes =
            [
                .. heat.Boxes.Select(b =>
                    b.Melting is null ? b : b with { Melting = b.Melting with { LatentJPerKg = 0 } }
                ),
            ],
        };
        double[][] a = HeatCases.Run(none, Mesh with { StepS = 2 }).ProbesC;
        double[][] b = HeatCases.Run(Case(melts: false), Mesh with { StepS = 2 }).ProbesC;
        Assert.True(a.Zip(b, (x, y) => x.Zip(y, (v, w) => Math.Abs(v - w)).Max()).Max() < 0.01);
    }

    // A board without loss, heated through the melt and held: what came in is capacity and melting heat, nothing else.
    [Fact]
    public void The_melt_takes_its_heat_once()
    {
        HeatCase heat = HeatCases.Slab(25, 600, 0.5, 1, 50, 2e6) with
        {
            Films = [HeatCases.Film(Faces.Top, 100, "gas")],
            Signals = [HeatCases.Steady("gas", 250)],
            Probes = [new HeatProbe("p", 0.5, 0.5, 0.5)],
        };
        heat = heat with { Boxes = [heat.Boxes[0] with { Melting = new Melting(59_000, 217, 220) }] };
        EnergyBalance energy = HeatCases.Run(heat, HeatCases.BoxByBox(1)).Energy;
        // Per mm² of a 0.5 mm layer of 2000 kg/m³: 1e-6 kg; 225 K x 1000 J/(kg K) + 59 kJ/kg.
        Assert.Equal(1e-6 * (225 * 1000 + 59_000), energy.TakenUpJ, 2e-5 * 0.284);
        Assert.True(energy.ImbalanceFraction < 5e-3, $"{energy}");
    }

    // The textbook's own figure for its one-phase case, so that a slip in the equation would show: λ = 0.2 where
    // √π·λ·e^(λ²)·erf λ = Sl.
    [Fact]
    public void Neumann_s_number_solves_its_equation() =>
        Assert.Equal(0.2, TextbookHeat.NeumannFront(Math.Sqrt(Math.PI) * 0.2 * Math.Exp(0.04) * 0.222702589, 0), 1e-7);

    public static readonly TheoryData<double, double, double, double, string> Fronts = new()
    { // start °C, face °C, melting heat kJ/kg, depth mm
        { 217, 260, 59, 2, Neumann },
        { 217, 260, 59, 6, Neumann },
        { 180, 260, 59, 2, Neumann },
        { 180, 260, 59, 6, Neumann },
        { 25, 300, 59, 4, Neumann },
        { 100, 300, 38, 4, Neumann },
    };

    private const string Neumann = "Neumann's solution: Carslaw and Jaeger, section 11.2";

    // A thick block of solder whose face is held hot from one moment on; it melts within 0.2 K.
    [Theory, MemberData(nameof(Fronts))]
    public void A_front_reaches_a_depth_when_Neumann_says(
        double startC,
        double faceC,
        double latentKJPerKg,
        double depthMm,
        string source
    )
    {
        const double MeltsC = 218.5;
        const double WPerMK = 33;
        const double JPerM3K = 2e6;
        double perKelvin = 1000 / (1000 * latentKJPerKg);
        double front = TextbookHeat.NeumannFront((faceC - MeltsC) * perKelvin, (MeltsC - startC) * perKelvin);
        double exactS = Math.Pow(depthMm / 1000 / (2 * front), 2) / (WPerMK / JPerM3K);
        const double StepsNumber = 400;
        double stepS = exactS / StepsNumber;
        double thickMm = Math.Max(3 * depthMm, 7000 * Math.Sqrt(WPerMK / JPerM3K * exactS));
        int cells = (int)Math.Ceiling(thickMm / (depthMm / 40));
        HeatCase heat = HeatCases.Slab(startC, 1.5 * exactS, cells * depthMm / 40, cells, WPerMK, JPerM3K, 0);
        heat = heat with
        {
            Boxes =
            [
                .. heat.Boxes.Select(box =>
                    box with
                    {
                        Melting = new Melting(1000 * latentKJPerKg, MeltsC - 0.1, MeltsC + 0.1),
                    }
                ),
            ],
            // So strong a film that the face has its temperature at once.
            Films = [HeatCases.Film(Faces.Bottom, 1e8, "face")],
            Signals = [HeatCases.Steady("face", faceC)],
            Probes = [new HeatProbe("p", 0.5, 0.5, depthMm)],
        };
        FullRun run = HeatCases.Run(heat, HeatCases.BoxByBox(stepS));
        Assert.True(run.Converged);
        double foundS = HeatCases.ReachedS(run.ProbesC[0], stepS, MeltsC) ?? double.NaN;
        TestContext.Current.SendDiagnosticMessage($"{foundS} {exactS} {cells}");
        Truth.Note("heat.melting", 100 * (foundS / exactS - 1));
        Assert.True(Math.Abs(foundS / exactS - 1) < 0.03, $"{foundS} s, {exactS} s by {source}");
    }

    [Fact]
    public void What_melted_freezes_by_the_same_law()
    {
        HeatCase heat = HeatCases.Slab(25, 800, 0.5, 1, 50, 2e6) with
        {
            Films = [HeatCases.Film(Faces.Top, 100, "gas")],
            Signals = [new HeatSignal("gas", [new(0, 250), new(300, 250), new(300, 25)])],
            Probes = [new HeatProbe("p", 0.5, 0.5, 0.5)],
        };
        heat = heat with { Boxes = [heat.Boxes[0] with { Melting = new Melting(59_000, 217, 220) }] };
        FullRun run = HeatCases.Run(heat, HeatCases.BoxByBox(1));
        Assert.Equal(25, run.ProbesC[0][^1], 0.01);
        Assert.True(Math.Abs(run.Energy.TakenUpJ) < 1e-5, $"{run.Energy}");
        // Time in 220 to 217 °C on the way down: (C + L/3 K)/h·ln((220 − 25)/(217 − 25)) per area.
        double[] down = [.. run.ProbesC[0].Reverse()];
        double out217 = HeatCases.ReachedS(down, 1, 217) ?? double.NaN;
        double out220 = HeatCases.ReachedS(down, 1, 220) ?? double.NaN;
        Assert.Equal((1e3 + 59e3 / 3) / 100 * Math.Log(195 / 192.0), out220 - out217, 1.2);
    }

    private static IEnumerable<int> Joints(HeatCase heat) =>
        Enumerable
            .Range(0, heat.Probes.Count)
            .Where(p => heat.Probes[p].Name.StartsWith("J_", StringComparison.Ordinal));

    private static double MoltenS(FullRun run) =>
        Joints(Case(melts: true)).Max(p => HeatCases.ReachedS(run.ProbesC[p], run.StepS, 220) ?? double.NaN);
}
