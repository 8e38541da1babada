namespace Graftbench.Core.Heating;

/// <summary>A factor whose doubt hangs together with that of others.</summary>
/// <param name="Factor">Name of the factor.</param>
/// <param name="WeightsRatio">Weights of the independent numbers of all of them, in order.</param>
public sealed record MixedFactor(string Factor, IReadOnlyList<double> WeightsRatio);

/// <summary>What is left in doubt of a calibrated bench: numbers that a trial cannot tell apart move together.</summary>
/// <param name="At">When the bench was calibrated.</param>
/// <param name="HottestGasC">Hottest gas of the trial [°C].</param>
/// <param name="HottestPreheaterC">Hottest bottom heater of the trial [°C].</param>
/// <param name="Mixed">The factors.</param>
public sealed record CalibratedSpread(
    DateTimeOffset At,
    double HottestGasC,
    double HottestPreheaterC,
    IReadOnlyList<MixedFactor> Mixed
)
{
    /// <summary>Turns independent standard normal numbers of factors into ones that hang together.</summary>
    /// <param name="factors">Factors in the order of the numbers.</param>
    /// <param name="numbers">Independent numbers; more than factors are left alone.</param>
    internal double[] Together(IReadOnlyList<string> factors, double[] numbers)
    {
        double[] together = [.. numbers];
        int[] places = [.. Mixed.Select(one => factors.ToList().IndexOf(one.Factor))];
        for (int i = 0; i < Mixed.Count; i++)
        {
            if (places[i] < 0)
            {
                continue;
            }
            double sum = 0;
            for (int j = 0; j < Mixed.Count; j++)
            {
                sum += places[j] < 0 ? 0 : Mixed[i].WeightsRatio[j] * numbers[places[j]];
            }
            together[places[i]] = sum;
        }
        return together;
    }
}
