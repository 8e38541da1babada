namespace Graftbench.Core.Physics.Diffusion;

/// <summary>
/// Moisture in a slab through any sequence of climates, solved exactly by its own modes: within a stretch of constant
/// temperature and humidity each mode decays by itself, and a change of humidity adds to each mode.
/// </summary>
/// <remarks>
/// Concentrations are fractions of the saturated slab. For a slab with both faces open c(z,t) = s + Σ aₙ·sin((2n+1)πz/L)·
/// and aₙ decays with (2n+1)²π²·D·t/L²; a slab with a closed lower face is the upper half of one of twice the thickness.
/// Linear sorption, one diffusivity at a time, no dependence on concentration. J. Crank, "The Mathematics of Diffusion",
/// 2nd ed. (1975), ch. 4.3. Checked against <see cref="Slab"/> and against a finite-difference solution in the tests.
/// </remarks>
public sealed class SlabMoisture
{
    private const int ModeCount = 256;
    private const double DeadExponent = 40;
    private readonly double[] amplitude = new double[ModeCount];
    private readonly double thicknessMm;
    private readonly bool oneFaceOpen;
    private double surfaceFraction;

    // Modes above this one have died out: a slab that has dried for a while needs a handful of the 256.
    private int alive;

    /// <summary>A slab of uniform moisture.</summary>
    /// <param name="thicknessMm">Thickness [mm].</param>
    /// <param name="oneFaceOpen">True where only the face at depth 0 is open.</param>
    /// <param name="startFraction">Moisture everywhere at the start, of the saturated slab.</param>
    public SlabMoisture(double thicknessMm, bool oneFaceOpen, double startFraction)
    {
        Require.FinitePositive(thicknessMm);
        Require.Within(startFraction, 0, 100);
        this.thicknessMm = thicknessMm;
        this.oneFaceOpen = oneFaceOpen;
        surfaceFraction = startFraction;
    }

    private SlabMoisture(SlabMoisture other)
    {
        thicknessMm = other.thicknessMm;
        oneFaceOpen = other.oneFaceOpen;
        surfaceFraction = other.surfaceFraction;
        alive = other.alive;
        other.amplitude.CopyTo(amplitude, 0);
    }

    private double PathM => Units.Metres(oneFaceOpen ? 2 * thicknessMm : thicknessMm);

    /// <summary>An independent copy.</summary>
    public SlabMoisture Copy() => new(this);

    /// <summary>Keeps the slab in one climate for a while.</summary>
    /// <param name="diffusivityM2PerS">Diffusivity at its temperature [m²/s].</param>
    /// <param name="equilibriumFraction">Moisture that the climate would leave in it for ever.</param>
    /// <param name="timeS">Duration [s], 0 or above.</param>
    public void Hold(double diffusivityM2PerS, double equilibriumFraction, double timeS)
    {
        Require.FinitePositive(diffusivityM2PerS);
        Require.Within(equilibriumFraction, 0, 100);
        Require.Within(timeS, 0, double.MaxValue);
        double jump = surfaceFraction - equilibriumFraction;
        surfaceFraction = equilibriumFraction;
        double fourier = diffusivityM2PerS * timeS / (PathM * PathM);
        int count = jump == 0 ? alive : ModeCount;
        alive = 0;
        for (int n = 0; n < count; n++)
        {
            double odd = 2 * n + 1;
            double exponent = odd * odd * Math.PI * Math.PI * fourier;
            if (exponent > DeadExponent)
            {
                Array.Clear(amplitude, n, count - n);
                break;
            }
            // 1 = Σ 4/((2n+1)π)·sin((2n+1)πz/L) inside the slab.
            double moved = amplitude[n] + jump * 4 / (odd * Math.PI);
            amplitude[n] = moved * Math.Exp(-exponent);
            alive = n + 1;
        }
    }

    /// <summary>Mean moisture, as a fraction of the saturated slab.</summary>
    public double MeanFraction
    {
        get
        {
            double sum = 0;
            for (int n = alive - 1; n >= 0; n--)
            {
                sum += amplitude[n] * 2 / ((2 * n + 1) * Math.PI);
            }
            return Math.Max(0, surfaceFraction + sum);
        }
    }

    /// <summary>Moisture at one depth, as a fraction of the saturated slab.</summary>
    /// <param name="depthMm">Depth from the top face [mm], 0 to the thickness.</param>
    public double AtFraction(double depthMm)
    {
        Require.Within(depthMm, 0, thicknessMm);
        // sin((2n+1)x) by its recurrence: one sine and one cosine for the whole sum.
        double x = Math.PI * Units.Metres(depthMm) / PathM;
        double twoCos2X = 2 * Math.Cos(2 * x);
        double before = -Math.Sin(x);
        double current = Math.Sin(x);
        double sum = 0;
        for (int n = 0; n < alive; n++)
        {
            sum += amplitude[n] * current;
            (before, current) = (current, twoCos2X * current - before);
        }
        return Math.Max(0, surfaceFraction + sum);
    }

    /// <summary>Moisture at the wettest of evenly spaced depths, as a fraction of the saturated slab.</summary>
    /// <param name="depthNumber">Number of depths, 2 or more.</param>
    public double WorstFraction(int depthNumber)
    {
        double worst = 0;
        for (int i = 0; i < depthNumber; i++)
        {
            worst = Math.Max(worst, AtFraction(thicknessMm * i / (depthNumber - 1)));
        }
        return worst;
    }

    /// <summary>Time in one climate until the mean falls to a target.</summary>
    /// <param name="diffusivityM2PerS">Diffusivity [m²/s].</param>
    /// <param name="equilibriumFraction">Moisture that the climate would leave for ever.</param>
    /// <param name="targetFraction">Mean to reach.</param>
    /// <returns>Time [s], 0 where it is dry enough already; null where the climate never gets there.</returns>
    public double? TimeToMeanS(double diffusivityM2PerS, double equilibriumFraction, double targetFraction)
    {
        if (MeanFraction <= targetFraction)
        {
            return 0;
        }
        if (targetFraction <= equilibriumFraction)
        {
            return null;
        }
        double high = PathM * PathM / diffusivityM2PerS;
        double MeanAfter(double timeS)
        {
            SlabMoisture trial = Copy();
            trial.Hold(diffusivityM2PerS, equilibriumFraction, timeS);
            return trial.MeanFraction;
        }
        while (MeanAfter(high) > targetFraction)
        {
            high *= 2;
        }
        double low = 0;
        for (int i = 0; i < 60 && high - low > 1e-6 * high; i++)
        {
            double middle = (low + high) / 2;
            if (MeanAfter(middle) > targetFraction)
            {
                low = middle;
            }
            else
            {
                high = middle;
            }
        }
        return high;
    }
}
