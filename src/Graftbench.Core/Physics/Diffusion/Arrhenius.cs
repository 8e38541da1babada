using Graftbench.Core.Facts;

namespace Graftbench.Core.Physics.Diffusion;

/// <summary>Diffusivity that follows Arrhenius' law.</summary>
/// <param name="D0M2PerS">Pre-exponential factor [m²/s].</param>
/// <param name="ActivationEv">Activation energy [eV].</param>
public readonly record struct Arrhenius(double D0M2PerS, double ActivationEv)
{
    /// <summary>Boltzmann constant [eV/K].</summary>
    public static double BoltzmannEvPerK { get; } = Constants.Value("boltzmann");

    /// <summary>A law that takes a given value at one temperature.</summary>
    /// <param name="diffusivityM2PerS">Diffusivity there [m²/s].</param>
    /// <param name="temperatureC">That temperature [°C].</param>
    /// <param name="activationEv">Activation energy [eV].</param>
    public static Arrhenius Through(double diffusivityM2PerS, double temperatureC, double activationEv) =>
        new(diffusivityM2PerS * Math.Exp(activationEv / (BoltzmannEvPerK * Units.Kelvin(temperatureC))), activationEv);

    /// <summary>Diffusivity at a temperature [m²/s]: D = D0·exp(−Ea/kT).</summary>
    /// <param name="temperatureC">Temperature [°C].</param>
    public double AtM2PerS(double temperatureC) =>
        D0M2PerS * Math.Exp(-ActivationEv / (BoltzmannEvPerK * Units.Kelvin(temperatureC)));

    /// <summary>How many times longer the same loss takes at one temperature than at another; above 1 where it is colder.</summary>
    /// <param name="temperatureC">The temperature asked for [°C].</param>
    /// <param name="referenceC">The temperature compared with [°C].</param>
    public double TimeRatio(double temperatureC, double referenceC) => AtM2PerS(referenceC) / AtM2PerS(temperatureC);
}
