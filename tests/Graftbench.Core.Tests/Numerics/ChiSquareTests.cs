using CsCheck;
using Graftbench.Core.Numerics;

namespace Graftbench.Core.Tests.Numerics;

public class ChiSquareTests
{
    public static readonly TheoryData<double, double, double, string> Sourced = new()
    {
        // chance, freedom, value to three decimals
        { 0.950, 1, 3.841, "printed tables of upper critical values, from memory" },
        { 0.950, 10, 18.307, "printed tables, from memory" },
        { 0.975, 10, 20.483, "printed tables, from memory" },
        { 0.025, 10, 3.247, "printed tables, from memory" },
        { 0.975, 40, 59.342, "printed tables, from memory" },
        { 0.025, 40, 24.433, "printed tables, from memory" },
        { 0.950, 100, 124.342, "printed tables, from memory" },
    };

    [Theory, MemberData(nameof(Sourced))]
    public void Quantiles_are_those_of_the_tables(double chance, double freedom, double expected, string source) =>
        Assert.True(Math.Abs(ChiSquare.Quantile(chance, freedom) - expected) < 0.0006, source);

    // With two degrees of freedom it is the exponential distribution; with four, 1 - (1 + x/2) exp(-x/2).
    [Fact]
    public void Two_and_four_degrees_of_freedom_have_a_closed_form() =>
        Gen.Double[0.001, 80]
            .Sample(x =>
                Math.Abs(ChiSquare.Cumulative(x, 2) - (1 - Math.Exp(-x / 2))) < 1e-12
                && Math.Abs(ChiSquare.Cumulative(x, 4) - (1 - ((1 + (x / 2)) * Math.Exp(-x / 2)))) < 1e-12
            );

    [Fact]
    public void Quantile_and_chance_undo_each_other() =>
        Gen.Select(Gen.Double[0.001, 0.999], Gen.Double[0.5, 5000])
            .Sample(
                (chance, freedom) =>
                    Math.Abs(ChiSquare.Cumulative(ChiSquare.Quantile(chance, freedom), freedom) - chance) < 1e-9
            );
}
