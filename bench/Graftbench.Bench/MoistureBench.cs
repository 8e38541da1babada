using System.Globalization;
using BenchmarkDotNet.Attributes;
using Graftbench.Core.Physics.Diffusion;

namespace Graftbench.Bench;

/// <summary>
/// Moisture left in a slab at 1,000 times from Fo 1e-6 to 3, against the textbook series summed as a script would. The
/// set-up prints the largest error of each way, so that speed is never read without accuracy.
/// </summary>
public class MoistureBench
{
    private const int Times = 1000;
    private const int PlainTerms = 2000;
    private readonly double[] fourier = Enumerable
        .Range(0, Times)
        .Select(i => 1e-6 * Math.Pow(3e6, i / (Times - 1.0)))
        .ToArray();

    /// <summary>Prints the accuracy of each way against 200,000 terms added smallest first.</summary>
    [GlobalSetup]
    public void Accuracy()
    {
        double[] truth = fourier.Select(fo => Series(fo, 200_000)).ToArray();
        Say("textbook series, 2,000 terms", i => Series(fourier[i], PlainTerms));
        Say("Slab.RemainingFraction", i => Slab.RemainingFraction(fourier[i]));
        Say("SlabMoisture, 256 modes", i => Modal(fourier[i]));

        void Say(string way, Func<int, double> value)
        {
            double worst = Enumerable.Range(0, Times).Max(i => Math.Abs(value(i) - truth[i]));
            Console.WriteLine(string.Create(CultureInfo.InvariantCulture, $"// largest error, {way}: {worst:0.0e+0}"));
        }
    }

    /// <summary>The reference: the series as it stands in the book.</summary>
    [Benchmark(Baseline = true, OperationsPerInvoke = Times)]
    public double Textbook() => fourier.Sum(fo => Series(fo, PlainTerms));

    /// <summary>Short-time and long-time series, switched at Fo 0.06.</summary>
    [Benchmark(OperationsPerInvoke = Times)]
    public double TwoSeries() => fourier.Sum(Slab.RemainingFraction);

    /// <summary>The solver that follows any sequence of climates.</summary>
    [Benchmark(OperationsPerInvoke = Times)]
    public double Modes() => fourier.Sum(Modal);

    private static double Modal(double fo)
    {
        SlabMoisture slab = new(1, false, 1);
        slab.Hold(1e-12, 0, fo * 1e-6 / 1e-12);
        return slab.MeanFraction;
    }

    private static double Series(double fo, int terms)
    {
        double sum = 0;
        for (int n = terms - 1; n >= 0; n--)
        {
            double odd = 2.0 * n + 1;
            sum += Math.Exp(-odd * odd * Math.PI * Math.PI * fo) / (odd * odd);
        }
        return 8 / (Math.PI * Math.PI) * sum;
    }
}
