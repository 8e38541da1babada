using CsCheck;
using Graftbench.Core.Numerics;

namespace Graftbench.Core.Tests.Numerics;

public class ConvexProgramTests
{
    // min (x − 1)² + (y − 2.5)² where x − 2y ≥ −2, −x − 2y ≥ −6, −x + 2y ≥ −2, x, y ≥ 0: the point (1.4, 1.7).
    [Fact]
    public void A_textbook_program_is_solved()
    {
        ConvexAnswer answer = ConvexProgram.Minimum(
            [2, 2],
            [-2, -5],
            [
                [1, -2],
                [-1, -2],
                [-1, 2],
                [1, 0],
                [0, 1],
            ],
            [-2, -6, -2, 0, 0],
            [0, 0]
        );
        Assert.True(answer.Converged);
        // J. Nocedal, S. J. Wright, "Numerical Optimization", 2nd edition, example 16.4.
        Assert.Equal(1.4, answer.Place[0], 1e-6);
        Assert.Equal(1.7, answer.Place[1], 1e-6);
    }

    [Fact]
    public void The_conditions_of_a_minimum_hold_for_any_box_with_cuts() =>
        Gen.Select(Gen.Double[-1, 1].Array[4], Gen.Double[-1, 1].Array[4].Array[6], Gen.Double[0.1, 2].Array[6])
            .Sample(
                (linear, cuts, room) =>
                {
                    // 0 lies inside every cut, so there is a minimum.
                    double[][] rows = [.. cuts, .. Units(1), .. Units(-1)];
                    double[] bounds = [.. room.Select(r => -r), .. Enumerable.Repeat(-1.0, 8)];
                    double[] diagonal = [0, 0.5, 0, 1e-3];
                    ConvexAnswer answer = ConvexProgram.Minimum(diagonal, linear, rows, bounds, new double[4]);
                    Assert.True(answer.Converged);
                    for (int j = 0; j < 4; j++)
                    {
                        double slope = diagonal[j] * answer.Place[j] + linear[j];
                        Assert.Equal(slope, rows.Select((row, i) => row[j] * answer.Multipliers[i]).Sum(), 1e-5);
                    }
                    for (int i = 0; i < rows.Length; i++)
                    {
                        double slack = rows[i].Zip(answer.Place, (a, x) => a * x).Sum() - bounds[i];
                        Assert.True(slack > -1e-6);
                        Assert.True(answer.Multipliers[i] >= 0);
                        Assert.Equal(0, slack * answer.Multipliers[i], 1e-5);
                    }
                },
                iter: 300,
                threads: 1
            );

    private static IEnumerable<double[]> Units(double size) =>
        Enumerable.Range(0, 4).Select(j => Enumerable.Range(0, 4).Select(k => k == j ? size : 0).ToArray());
}
