using Graftbench.Core.Physics.Heat;
using Graftbench.Tests.Checks;

namespace Graftbench.Core.Tests.Physics.Heat;

/// <summary>
/// Four boards against finite elements: 8-node bricks on a finer grid, two backward-Euler runs extrapolated in time. The
/// reference's own uncertainty is 0.1 to 0.2 K at the joints and up to 0.6 K on the tall neighbours.
/// </summary>
public sealed class ReferenceHeatTests
{
    private const string Source = "independent finite elements, 8-node bricks, tests/corpus/heat/*.reference.csv";

    private static readonly string[] Tall = ["conn_top", "coil_top"];

    public static readonly TheoryData<string> Cases = new(
        HeatCases.BareBoard,
        HeatCases.Centred,
        HeatCases.Neighbours,
        HeatCases.Misaligned
    );

    [Theory, MemberData(nameof(Cases))]
    public void The_usual_grid_stays_within_a_kelvin(string name) => Compare(name, HeatMesh.Usual, 1.0, 1.5);

    [Theory, MemberData(nameof(Cases))]
    public void The_grid_of_plans_stays_within_two_kelvins(string name) => Compare(name, HeatMesh.Plan, 2.0, 2.0);

    private static void Compare(string name, HeatMesh mesh, double nearK, double tallK)
    {
        HeatCase heat = HeatCases.Read(name);
        (double[] times, Dictionary<string, double[]> wanted) = HeatCases.Reference(name);
        HeatForecast forecast = HeatForecaster.Forecast(
            heat with
            {
                TimesS = times,
            },
            mesh,
            withErrors: false,
            null,
            CancellationToken.None
        );
        Assert.True(forecast.Converged);
        Assert.Equal(
            wanted.Keys.Order(StringComparer.Ordinal),
            heat.Probes.Select(p => p.Name).Order(StringComparer.Ordinal)
        );
        Assert.True(forecast.EnergyImbalanceFraction < 1e-3, $"{forecast.EnergyImbalanceFraction}");
        double near = 0;
        double tall = 0;
        foreach (ProbeForecast probe in forecast.Probes)
        {
            double largest = probe.TemperaturesC.Zip(wanted[probe.Name], (a, b) => Math.Abs(a - b)).Max();
            (near, tall) = Tall.Contains(probe.Name)
                ? (near, Math.Max(tall, largest))
                : (Math.Max(near, largest), tall);
        }
        TestContext.Current.SendDiagnosticMessage(
            FormattableString.Invariant(
                $"{name}: {forecast.Nodes} nodes, {forecast.Iterations} iterations, near {near:0.00} K, tall {tall:0.00} K, energy {forecast.EnergyImbalanceFraction:0.0e+0}"
            )
        );
        if (mesh == HeatMesh.Usual)
        {
            Truth.Note("heat.elements", near);
            Truth.Note("heat.balance", 100 * forecast.EnergyImbalanceFraction);
            if (forecast.Probes.Any(probe => Tall.Contains(probe.Name)))
            {
                Truth.Note("heat.elements-tall", tall);
            }
        }
        Assert.True(near <= nearK, $"{near:0.00} K: {Source}");
        Assert.True(tall <= tallK, $"{tall:0.00} K on tall neighbours: {Source}");
    }
}
