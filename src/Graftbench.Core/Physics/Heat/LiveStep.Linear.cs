using Graftbench.Core.Numerics;

namespace Graftbench.Core.Physics.Heat;

/// <summary>How a step hangs on what it starts from.</summary>
internal sealed partial class LiveStep
{
    /// <summary>How the end of a step hangs on its start, on factors and on inputs: linear, first order in the step.</summary>
    /// <param name="before">State at the start.</param>
    /// <param name="after">State at the end.</param>
    /// <param name="end">What drives at the end.</param>
    /// <param name="moved">The same factors with each state's factors doubled.</param>
    /// <param name="transition">∂after/∂before, n × n row by row; written in full.</param>
    /// <param name="byFactor">∂after/∂(log of a factor), one row each; written in full.</param>
    /// <param name="byGas">∂after/∂(gas temperature); written in full.</param>
    /// <param name="byPreheater">∂after/∂(bottom heater's temperature); written in full.</param>
    public void Linearise(
        double[] before,
        double[] after,
        LiveDrive end,
        IReadOnlyList<HeatFactors> moved,
        double[] transition,
        double[][] byFactor,
        double[] byGas,
        double[] byPreheater
    )
    {
        capacity.CopyTo(matrix, 0);
        bool melting = false;
        capacity.CopyTo(system, 0);
        foreach (TileMelt melt in melts)
        {
            melting |= melt.AddCapacity(before, matrix);
            melting |= melt.AddCapacity(after, system);
        }
        Dense.AddScaled(system, StepS, stiffness);
        AddRadiation(after, system);
        lu.Factorise(system);
        double[] solved = lu.Inverse();
        if (!melting && parts.Capacities.All(part => part.Factor(factors) == 0))
        {
            solved.CopyTo(transition, 0);
        }
        else
        {
            Array.Clear(transition);
            for (int i = 0; i < n; i++)
            {
                for (int k = 0; k < n; k++)
                {
                    Dense.AddScaled(transition.AsSpan(i * n, n), solved[i * n + k], matrix.AsSpan(k * n, n));
                }
            }
        }
        for (int f = 0; f < moved.Count; f++)
        {
            Change(before, after, end, moved[f], right);
            Through(solved, right, byFactor[f]);
        }
        AddRadiantInputs(end, HeatSignals.Gas, gas, right);
        Through(solved, right, byGas);
        AddRadiantInputs(end, HeatSignals.Preheater, preheater, right);
        Through(solved, right, byPreheater);
    }

    // A signal's films and the slope of what radiates from it.
    private void AddRadiantInputs(LiveDrive end, string signal, double[] films, double[] into)
    {
        films.CopyTo(into, 0);
        foreach (ReducedModel.RadiantInput input in parts.RadiantInputs)
        {
            double share = 0;
            foreach (SignalShare one in input.Sink)
            {
                share += one.Signal == signal ? one.ShareFraction : 0;
            }
            if (share != 0)
            {
                double sinkK = Units.Kelvin(end.SinkC(input.Sink));
                Dense.AddScaled(into, 4 * factors.RadiationFactor * sinkK * sinkK * sinkK * share, input.Vector);
            }
        }
    }

    private void Through(double[] solved, double[] load, double[] into)
    {
        Dense.Multiply(solved, load, into);
        for (int i = 0; i < n; i++)
        {
            into[i] *= StepS;
        }
    }

    // What the rate of the heat content gains when factors go from the present ones to others; linear in the factors.
    private void Change(double[] before, double[] state, LiveDrive end, HeatFactors other, double[] into)
    {
        Array.Clear(into);
        foreach (ReducedModel.Scaled part in parts.Conductances)
        {
            double change = part.Factor(other) - part.Factor(factors);
            if (change != 0)
            {
                Array.Clear(carried);
                Dense.AddColumns(part.Matrix, state, carried);
                Dense.AddScaled(into, -change, carried);
            }
        }
        foreach (ReducedModel.Scaled part in parts.Capacities)
        {
            double change = part.Factor(other) - part.Factor(factors);
            if (change != 0)
            {
                for (int i = 0; i < n; i++)
                {
                    stage[i] = (state[i] - before[i]) / StepS;
                }
                Array.Clear(carried);
                Dense.AddColumns(part.Matrix, stage, carried);
                Dense.AddScaled(into, -change, carried);
            }
        }
        foreach (ReducedModel.Input input in parts.Inputs)
        {
            double change = FullModel.FilmFactor(other, input.Group) - FullModel.FilmFactor(factors, input.Group);
            if (change != 0)
            {
                Dense.AddScaled(into, change * (end.SinkC(input.Sink) - parts.StartC), input.Vector);
            }
        }
    }

    // Slope of the radiation beyond its linear part.
    private void AddRadiation(double[] state, double[] into)
    {
        if (pointRises.Length == 0)
        {
            return;
        }
        int points = pointRises.Length;
        Array.Clear(pointRises);
        Dense.AddColumns(parts.RadiantPoints, state, pointRises);
        for (int p = 0; p < points; p++)
        {
            double k = startK + pointRises[p];
            double slope = StepS * factors.RadiationFactor * (4 * k * k * k - Linear);
            ReadOnlySpan<double> weights = parts.RadiantWeights.AsSpan(p * n, n);
            for (int j = 0; j < n; j++)
            {
                right[j] = parts.RadiantPoints[j * points + p];
            }
            for (int i = 0; i < n; i++)
            {
                Dense.AddScaled(into.AsSpan(i * n, n), slope * weights[i], right);
            }
        }
    }
}
