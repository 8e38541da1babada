namespace Graftbench.Core.Numerics;

/// <summary>Numbers that look drawn and are the same for the same seed (SplitMix64, see <see cref="LatinHypercube"/>).</summary>
/// <param name="seed">Seed.</param>
public sealed class Dice(ulong seed)
{
    private ulong state = seed;

    /// <summary>Between 0 and 1, ends excluded.</summary>
    public double Uniform() => ((LatinHypercube.Next(ref state) >> 11) + 0.5) / (1UL << 53);

    /// <summary>Between two numbers.</summary>
    public double Between(double low, double high) => low + (high - low) * Uniform();

    /// <summary>Normal: mean 0, standard deviation 1.</summary>
    public double Normal() => LatinHypercube.NormalQuantile(Uniform());
}
