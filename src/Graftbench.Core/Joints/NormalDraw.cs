using Graftbench.Core.Numerics;

namespace Graftbench.Core.Joints;

/// <summary>Normal numbers from a seed: the same seed and trial give the same package, whatever else runs.</summary>
/// <remarks>G. Marsaglia, T. A. Bray, "A convenient method for generating normal variables", SIAM Rev. 6 (1964) 260-264.</remarks>
internal struct NormalDraw
{
    private ulong state;
    private double spare;
    private bool hasSpare;

    public NormalDraw(ulong seed, int trial)
    {
        state = seed;
        LatinHypercube.Next(ref state);
        state += 0xD1B54A32D192ED03UL * (ulong)(uint)trial;
        LatinHypercube.Next(ref state);
    }

    /// <summary>Uniform from 0 to 1.</summary>
    public double Uniform() => (LatinHypercube.Next(ref state) >> 11) * (1.0 / (1UL << 53));

    /// <summary>Normal with mean 0 and standard deviation 1.</summary>
    public double Normal()
    {
        if (hasSpare)
        {
            hasSpare = false;
            return spare;
        }
        double x;
        double y;
        double square;
        do
        {
            x = 2 * Uniform() - 1;
            y = 2 * Uniform() - 1;
            square = x * x + y * y;
        } while (square >= 1 || square == 0);
        double scale = Math.Sqrt(-2 * Math.Log(square) / square);
        spare = y * scale;
        hasSpare = true;
        return x * scale;
    }
}
