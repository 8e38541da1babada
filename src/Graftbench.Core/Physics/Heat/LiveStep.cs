using Graftbench.Core.Numerics;

namespace Graftbench.Core.Physics.Heat;

/// <summary>Temperatures of what drives a board at one moment.</summary>
/// <param name="GasC">Gas out of the nozzle [°C].</param>
/// <param name="PreheaterC">Bottom heater [°C].</param>
/// <param name="RoomC">Room [°C].</param>
internal readonly record struct LiveDrive(double GasC, double PreheaterC, double RoomC)
{
    /// <summary>A sink's temperature [°C].</summary>
    public double SinkC(IReadOnlyList<SignalShare> sink)
    {
        double sum = 0;
        for (int s = 0; s < sink.Count; s++)
        {
            double signalC = sink[s].Signal switch
            {
                HeatSignals.Gas => GasC,
                HeatSignals.Preheater => PreheaterC,
                _ => RoomC,
            };
            sum += sink[s].ShareFraction * signalC;
        }
        return sum;
    }
}

/// <summary>
/// One step of a reduced model from any state: the same matrices, radiation points and melting tiles as
/// <see cref="ReducedModel"/>, in a scheme that needs no earlier step and so bears a state that a reading has just moved.
/// </summary>
/// <remarks>
/// Heat content e(x) = C x + Σ latent·f(x). Two stages with one matrix S = C + γΔt·A, γ = 1 − 1/√2, second order and damping
/// [1]: e₁ = e₀ + γΔt·g(x₁), e₂ = e₀ + (1−γ)Δt·g(x₁) + γΔt·g(x₂); radiation beyond its linear part at the state carried on.
/// [1] R. Alexander, "Diagonally implicit Runge-Kutta methods for stiff ODEs", SIAM J. Numer. Anal. 14 (1977), 1006-1021.
/// </remarks>
internal sealed partial class LiveStep
{
    private const double MeanRadiatingK = 400;
    private const double Linear = 4 * MeanRadiatingK * MeanRadiatingK * MeanRadiatingK;

    private readonly ReducedModel.Parts parts;
    private readonly int n;
    private readonly double startK;
    private readonly double[] stiffness;
    private readonly double[] capacity;
    private readonly double[] gas;
    private readonly double[] preheater;
    private readonly double[] room;
    private readonly double[] constantLoad;
    private readonly double[] pointRises;
    private readonly TileMelt[] melts;
    private readonly double[][] sharesBefore;
    private readonly double[][] sharesMixed;
    private readonly double[] carried;
    private readonly double[] stage;
    private readonly double[] right;
    private readonly double[] heat;
    private readonly double[] matrix;
    private readonly double[] system;
    private readonly DenseLu lu;
    private double[] inverse = [];
    private HeatFactors factors = HeatFactors.Nominal;

    /// <summary>A stepper of its own scratch space; <see cref="Use"/> comes first.</summary>
    /// <param name="model">Reduced model.</param>
    /// <param name="stepS">Step [s].</param>
    public LiveStep(ReducedModel model, double stepS)
    {
        Require.FinitePositive(stepS);
        parts = model.Matrices;
        StepS = stepS;
        n = parts.States;
        startK = Units.Kelvin(parts.StartC);
        stiffness = new double[n * n];
        capacity = new double[n * n];
        gas = new double[n];
        preheater = new double[n];
        room = new double[n];
        constantLoad = new double[n];
        pointRises = new double[parts.RadiantWeights.Length / n];
        melts = [.. parts.Meltings.Select(tiles => new TileMelt(tiles, n, parts.StartC))];
        sharesBefore = [.. parts.Meltings.Select(tiles => new double[tiles.Count])];
        sharesMixed = [.. parts.Meltings.Select(tiles => new double[tiles.Count])];
        carried = new double[n];
        stage = new double[n];
        right = new double[n];
        heat = new double[n];
        matrix = new double[n * n];
        system = new double[n * n];
        lu = new DenseLu(Identity(n), n);
    }

    /// <summary>γ: the first stage ends after this share of the step.</summary>
    public static double FirstStageFraction { get; } = 1 - 1 / Math.Sqrt(2);

    /// <summary>Step [s].</summary>
    public double StepS { get; }

    /// <summary>Takes factors: matrices and inputs are put together anew.</summary>
    public void Use(HeatFactors wanted)
    {
        factors = wanted;
        parts.Conduction.CopyTo(stiffness, 0);
        foreach (ReducedModel.Scaled part in parts.Conductances)
        {
            Add(stiffness, part.Factor(wanted), part.Matrix);
        }
        Dense.AddScaled(stiffness, wanted.RadiationFactor, parts.RadiantLinear);
        Array.Clear(capacity);
        for (int i = 0; i < n; i++)
        {
            capacity[i * n + i] = 1;
        }
        foreach (ReducedModel.Scaled part in parts.Capacities)
        {
            Add(capacity, part.Factor(wanted), part.Matrix);
        }
        Inputs(wanted, gas, preheater, room);
        Array.Clear(constantLoad);
        Dense.AddScaled(constantLoad, -wanted.RadiationFactor, parts.RadiantLinearStart);
        capacity.CopyTo(system, 0);
        Dense.AddScaled(system, FirstStageFraction * StepS, stiffness);
        lu.Factorise(system);
        inverse = lu.Inverse();
        foreach (TileMelt melt in melts)
        {
            melt.Follow(inverse, 1);
        }
    }

    /// <summary>Takes a state that was not reached by a step.</summary>
    public void Settle(ReadOnlySpan<double> state)
    {
        foreach (TileMelt melt in melts)
        {
            melt.Settle(state);
        }
    }

    /// <summary>One step.</summary>
    /// <param name="state">Rises through the shapes; replaced by those at the end of the step.</param>
    /// <param name="gain">What the step before added to the state, for radiation; replaced.</param>
    /// <param name="first">What drives at the end of the first stage.</param>
    /// <param name="end">What drives at the end of the step.</param>
    /// <returns>False where the melting iteration did not end.</returns>
    public bool Step(double[] state, double[] gain, LiveDrive first, LiveDrive end)
    {
        double gamma = FirstStageFraction;
        double mix = (1 - gamma) / gamma;
        for (int m = 0; m < melts.Length; m++)
        {
            melts[m].LiquidFraction.CopyTo(sharesBefore[m]);
        }
        for (int i = 0; i < n; i++)
        {
            carried[i] = state[i] + gamma * gain[i];
        }
        Array.Clear(heat);
        Dense.AddColumns(capacity, state, heat);
        bool fits = Stage(first, stage);
        // e₀ + (1 − γ)Δt·g₁ = e₀ + mix·(e₁ − e₀), the melt's share of it as the shares to start from.
        for (int i = 0; i < n; i++)
        {
            carried[i] = state[i] + gain[i];
            gain[i] = -state[i];
            state[i] += mix * (stage[i] - state[i]);
        }
        for (int m = 0; m < melts.Length; m++)
        {
            ReadOnlySpan<double> now = melts[m].LiquidFraction;
            bool same = true;
            for (int z = 0; z < now.Length; z++)
            {
                double was = sharesBefore[m][z];
                sharesMixed[m][z] = was + mix * (now[z] - was);
                same &= now[z] == was;
            }
            if (!same)
            {
                melts[m].StartFrom(sharesMixed[m]);
            }
        }
        Array.Clear(heat);
        Dense.AddColumns(capacity, state, heat);
        fits &= Stage(end, state);
        Dense.AddScaled(gain, 1, state);
        return fits;
    }

    private bool Stage(LiveDrive drive, double[] into)
    {
        double part = FirstStageFraction * StepS;
        heat.CopyTo(right, 0);
        Dense.AddScaled(right, part, constantLoad);
        Dense.AddScaled(right, part * (drive.GasC - parts.StartC), gas);
        Dense.AddScaled(right, part * (drive.PreheaterC - parts.StartC), preheater);
        Dense.AddScaled(right, part * (drive.RoomC - parts.StartC), room);
        foreach (ReducedModel.RadiantInput input in parts.RadiantInputs)
        {
            double sinkK = Units.Kelvin(drive.SinkC(input.Sink));
            double power = factors.RadiationFactor * (sinkK * sinkK) * (sinkK * sinkK);
            Dense.AddScaled(right, part * power, input.Vector);
        }
        if (pointRises.Length > 0)
        {
            Array.Clear(pointRises);
            Dense.AddColumns(parts.RadiantPoints, carried, pointRises);
            for (int p = 0; p < pointRises.Length; p++)
            {
                double k = startK + pointRises[p];
                pointRises[p] = -part * factors.RadiationFactor * (k * k * (k * k) - Linear * k);
            }
            Dense.AddColumns(parts.RadiantWeights, pointRises, right);
        }
        Array.Clear(into);
        Dense.AddColumns(inverse, right, into);
        bool fits = true;
        foreach (TileMelt melt in melts)
        {
            fits &= melt.Apply(into);
        }
        return fits;
    }

    private void Inputs(HeatFactors wanted, double[] toGas, double[] toPreheater, double[] toRoom)
    {
        Array.Clear(toGas);
        Array.Clear(toPreheater);
        Array.Clear(toRoom);
        foreach (ReducedModel.Input input in parts.Inputs)
        {
            double factor = FullModel.FilmFactor(wanted, input.Group);
            foreach (SignalShare share in input.Sink)
            {
                double[] into = share.Signal switch
                {
                    HeatSignals.Gas => toGas,
                    HeatSignals.Preheater => toPreheater,
                    _ => toRoom,
                };
                Dense.AddScaled(into, factor * share.ShareFraction, input.Vector);
            }
        }
    }

    private static void Add(double[] into, double factor, double[] added)
    {
        if (factor != 0)
        {
            Dense.AddScaled(into, factor, added);
        }
    }

    private static double[] Identity(int n)
    {
        double[] identity = new double[n * n];
        for (int i = 0; i < n; i++)
        {
            identity[i * n + i] = 1;
        }
        return identity;
    }
}
